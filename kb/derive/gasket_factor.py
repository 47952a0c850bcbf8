"""Gasket factor m by material, where the maker gives none."""

from kb.roles import pan_gasket
from kb.rules._rule import derive

# ASME VIII-1 table 2-5.1, from memory: soft elastomer 0.5, vegetable fibre 1.75. Cork-rubber is not in it: taken as 1.
_FACTOR = {"cork_rubber": 1.0, "nitrile": 0.5, "silicone": 0.5, "fluoroelastomer": 0.5, "paper": 1.75, "acrylic": 0.5}


@derive(pan_gasket.gasket_factor, because="the usual factor of the material, from memory")
def gasket_factor(material=pan_gasket.material):
    """m = the table's factor of the material"""
    return _FACTOR[material]
