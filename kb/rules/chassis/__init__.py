"""Rules of the car around the engine: hood, rock, steering, driveline."""
