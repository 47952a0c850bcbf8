"""The standards, handbooks and common practice that limits and tables cite.

`sort` decides what a limit may do: a limit that rests on memory alone never condemns, it only says
"outside the usual range" and asks for the user's own figure.
"""

from __future__ import annotations

from typing import NamedTuple

SORTS = ("standard", "handbook", "service", "trade", "practice", "memory", "definition")


class Source(NamedTuple):
    """Where a figure comes from. `sort` is one of SORTS."""

    id: str
    title: str
    sort: str

    @property
    def may_condemn(self) -> bool:
        """False for figures from memory: too weak to say "does not fit" on their own."""
        return self.sort != "memory"


_ALL = (
    Source("definition", "follows from the definition of the quantity", "definition"),
    Source("practice", "common practice, no published source reached", "practice"),
    Source("memory", "from memory, to be replaced by a standard or your own figure", "memory"),
    Source("trade-page", "trade page (magazine, club or forum): common practice, no published source", "trade"),
    Source("service-manual", "figure read in a published service manual", "service"),
    Source("builders-guide", "published guide for amateur builders", "handbook"),
    Source("tm-9-2815", "US Army TM 9-2815-200-35", "service"),
    Source("oring-guide", "O-ring design guide of a seal maker", "handbook"),
    Source("seal-handbook", "abstract of a sealing handbook, read at second hand", "handbook"),
    Source("oring-lecture", "design lecture notes on O-ring glands", "handbook"),
    Source("as568", "SAE AS568, aerospace size standard for O-rings", "standard"),
    Source("iso-3601", "ISO 3601-1, O-rings: sizes and tolerances", "standard"),
    Source("sae-as4716", "SAE AS4716, gland design: reduction of the cord by stretch", "standard"),
    Source("sae-j300", "SAE J300, engine oil viscosity classification", "standard"),
    Source("iso-3448", "ISO 3448, ISO viscosity classification", "standard"),
    Source("astm-d341", "ASTM D341, viscosity-temperature chart for liquid petroleum products", "standard"),
    Source("astm-d2270", "ASTM D2270, viscosity index", "standard"),
    Source("asme-viii", "ASME BPVC VIII-1 Appendix 2 and TEMA, flange bolt spacing", "standard"),
    Source("iso-898", "ISO 898-1, mechanical properties of fasteners", "standard"),
    Source("hetenyi", "Hetenyi, Beams on Elastic Foundation; Roark's Formulas for Stress and Strain", "handbook"),
    Source("hooper", "Hooper, The two-K method, Chemical Engineering, 24 August 1981", "handbook"),
    Source("armour-cannon", "Armour and Cannon, Fluid flow through woven screens, AIChE Journal 14, 1968", "handbook"),
    Source("colebrook", "Colebrook-White friction factor", "handbook"),
    Source("potter-wiggert", "Potter and Wiggert, Mechanics of Fluids, table 7.2", "handbook"),
    Source("shigley", "Shigley's Mechanical Engineering Design", "handbook"),
    Source("jcgm-100", "JCGM 100, guide to the expression of uncertainty in measurement", "standard"),
    Source("jcgm-106", "JCGM 106, the role of measurement uncertainty in conformity assessment", "standard"),
    Source("iso-965", "ISO 965-1, ISO general purpose metric screw threads: tolerances", "standard"),
    Source("asme-b1-1", "ASME B1.1, unified inch screw threads", "standard"),
    Source("asme-b1-20", "ASME B1.20.1, pipe threads, general purpose, inch", "standard"),
    Source("iso-7", "ISO 7-1, pipe threads where pressure-tight joints are made on the threads", "standard"),
    Source("fed-h28", "FED-STD-H28/2, screw-thread standards: strength of threads", "standard"),
    Source("trade-bulletin", "bulletin of a trade association, read at second hand", "trade"),
    Source("iso-9981", "ISO 9981, pulleys and V-ribbed belts for the automotive industry, PK profile", "standard"),
    Source("sae-j1459", "SAE J1459, V-ribbed belts and pulleys, read in a summary", "standard"),
    Source("sae-j636", "SAE J636, V-belts and pulleys, read in a summary", "standard"),
    Source("euler-eytelwein", "rope friction after Euler and Eytelwein, in any handbook of mechanics", "handbook"),
    Source("controller-note", "published application note of a controller maker", "handbook"),
    Source("controller-docs", "published documentation of an open controller", "handbook"),
    Source("astm-b258", "ASTM B258, diameters of solid round wire by American wire gauge", "standard"),
    Source("iec-60028", "IEC 60028, resistance of copper", "standard"),
    Source("iec-60228", "IEC 60228, conductors of insulated cables", "standard"),
    Source("iso-53", "ISO 53, cylindrical gears: standard basic rack tooth profile", "standard"),
    Source("sae-j537", "SAE J537, storage batteries", "standard"),
    Source("starter-manuals", "US Army TM 5-3805-254-14P-2 and a service manual: starter circuit", "service"),
    Source("instrument-manual", "published manual of a test instrument", "service"),
)

SOURCES: dict[str, Source] = {source.id: source for source in _ALL}


def source(name: str) -> Source:
    """The source named `name`; KeyError says which names exist (a programming slip, not user input)."""
    try:
        return SOURCES[name]
    except KeyError:
        raise KeyError(f"no source {name!r} in kb/sources.py; it has {', '.join(sorted(SOURCES))}") from None
