"""Rules of the pan joint: patterns, flange seat, passages."""
