"""What each milestone needs, and what still stands before it."""
