"""What must be ticked before the engine turns."""
