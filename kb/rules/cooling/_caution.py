"""The word of caution that every rule of this folder gives."""

COLD = "Open a cooling system only when it is cold: hot coolant under pressure scalds."
