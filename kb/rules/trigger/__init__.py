"""Rules of crank position: wheel, sensor, controller."""
