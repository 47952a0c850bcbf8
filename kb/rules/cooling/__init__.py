"""Rules of the cooling system: vents, thermostat, head gaskets, hoses, heat, cap."""
