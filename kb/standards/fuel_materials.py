"""Which materials stand which fuel: petrol, petrol with a little ethanol, and fuel that is mostly ethanol.

`bad`: swells, dissolves, cracks or corrodes; never use. `watch`: known cases of trouble, or slow corrosion; ask the
maker, look again. `good`: in general use. Compounds of one name vary; a marking for the very fuel beats this table.
"""

from __future__ import annotations

from typing import NamedTuple

from kb.errors import unknown

LITTLE, MUCH = 0.005, 0.20
"""Ethanol by volume from which a fuel counts as a low blend, and from which as a high one. Common practice."""


class Row(NamedTuple):
    """One material. `source` is a key of kb.sources."""

    material: str
    words: str
    petrol: str
    low: str
    high: str
    source: str


_ROWS = (
    # Published lists for fuel ethanol, read on a trade page: bad and good for high blends.
    Row("natural_rubber", "natural rubber", "bad", "bad", "bad", "trade-page"),
    Row("polyurethane", "polyurethane", "watch", "watch", "bad", "trade-page"),
    Row("cork", "cork", "good", "watch", "bad", "trade-page"),
    Row("leather", "leather", "good", "watch", "bad", "trade-page"),
    Row("pvc", "PVC hose", "watch", "bad", "bad", "trade-page"),
    Row("polyamide", "plain polyamide (nylon)", "good", "good", "bad", "trade-page"),
    Row("nitrile", "nitrile (Buna-N)", "good", "good", "good", "trade-page"),
    Row("neoprene", "neoprene", "good", "good", "good", "trade-page"),
    Row("ptfe", "PTFE", "good", "good", "good", "trade-page"),
    Row("fluoroelastomer", "fluoroelastomer", "good", "good", "good", "trade-page"),
    # Common practice, no published source reached.
    Row("epdm", "EPDM (coolant and brake hose)", "bad", "bad", "bad", "practice"),
    Row("silicone", "silicone", "bad", "bad", "bad", "practice"),
    Row("fluorosilicone", "fluorosilicone", "good", "good", "good", "practice"),
    Row("polyethylene", "polyethylene", "good", "good", "good", "practice"),
    Row("polypropylene", "polypropylene", "good", "good", "good", "practice"),
    Row("acetal", "acetal", "good", "good", "good", "practice"),
    Row("nitrophyl", "closed-cell float foam", "good", "good", "watch", "practice"),
    Row("steel", "plain steel", "good", "good", "good", "practice"),
    Row("stainless", "stainless steel", "good", "good", "good", "practice"),
    Row("copper", "copper tube", "watch", "watch", "watch", "practice"),
    Row("brass", "brass", "good", "good", "watch", "practice"),
    Row("bronze", "bronze", "good", "good", "good", "practice"),
    Row("aluminium", "bare aluminium", "good", "good", "watch", "practice"),
    Row("aluminium_coated", "aluminium, anodised or nickel plated", "good", "good", "good", "practice"),
    Row("zinc", "zinc die casting or galvanised steel", "good", "watch", "watch", "practice"),
    Row("terne", "terne-plated (lead and tin) steel", "good", "watch", "watch", "practice"),
    Row("solder", "lead solder", "good", "watch", "watch", "practice"),
    Row("polyester_resin", "polyester glass-fibre resin", "good", "watch", "bad", "practice"),
)

MATERIALS: dict[str, Row] = {row.material: row for row in _ROWS}
NAMES = tuple(MATERIALS)


def blend_class(ethanol: float) -> str:
    """'petrol', 'low' or 'high', by the share of ethanol by volume."""
    return "high" if ethanol > MUCH else "low" if ethanol > LITTLE else "petrol"


def stands(material: str, ethanol: float) -> str:
    """'good', 'watch' or 'bad' for a material in petrol with a share of ethanol; UnknownName for another material."""
    if material not in MATERIALS:
        raise unknown("material", material, MATERIALS)
    return str(getattr(MATERIALS[material], blend_class(ethanol)))
