"""Rules of room: what swings above the pan, and what the car has below it."""
