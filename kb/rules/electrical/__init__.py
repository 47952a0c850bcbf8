"""Rules of the current: starter cable and its way back, battery, charging, gauges."""
