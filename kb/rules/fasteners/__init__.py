"""Rules of threaded joints: screw and hole, the screws of one flange, pipe threads."""
