"""How much each measurement is worth: what it would settle, for the time and tool that it takes."""
