"""Rules of the oil system: pickup, suction, joint, pump drive, filter, dipstick."""
