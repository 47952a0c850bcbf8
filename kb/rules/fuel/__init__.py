"""Rules of fuel and induction: demand, pump, lines, pressure, jets for two fuels, materials, air."""
