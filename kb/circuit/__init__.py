"""Circuits: ports of the parts of a build joined in chains that carry oil, coolant, fuel, air or current."""
