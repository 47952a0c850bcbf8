"""Which recorded incompatibilities the rules foresee from what could be known before buying."""
