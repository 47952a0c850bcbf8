"""Rules of the spark: coil, driver, feed, distributor, plugs, firing order."""
