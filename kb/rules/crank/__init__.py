"""Both ends of the crank: damper, flexplate or flywheel, bellhousing, converter or clutch, starter."""
