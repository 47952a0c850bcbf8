"""Small catalogues drawn by hypothesis: pans, pickups, gaskets, rings, trays around a common engine."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from kb.build import Build
from kb.measure import Dimension, Term
from kb.records import KINDS
from kb.records.part import Part
from kb.search.candidates import Candidate

MM = 1e-3
SHAPES = ("rectangular", "normal", "triangular")
# Figures near those of one invented engine, so that verdicts of all three sorts occur: value and half range, mm.
NEAR: dict[str, dict[str, tuple[float, float]]] = {
    "pan": {"sump_depth": (180, 20), "shelf_depth": (100, 25)},
    "pickup": {
        "hang": (174, 14), "foot_length": (70, 20), "foot_width": (50, 20), "tube_bore": (19, 4),
        "groove_diameter": (19, 2), "groove_from_flange": (6, 3), "top_depth": (35, 25),
    },
    "pan_gasket": {"installed_thickness": (1.5, 1.2), "free_thickness": (3, 1), "stop_thickness": (2, 0.8)},
    "pickup_seal": {"cord": (3.3, 0.8), "inner_diameter": (18.5, 2)},
    "windage_tray": {"rim_thickness": (1, 0.9), "top_depth": (20, 18), "bottom_depth": (60, 30)},
    "oil_pump": {"inlet_bore": (25, 2)},
}  # fmt: skip
CHOICES: dict[str, dict[str, tuple[Any, ...]]] = {
    "pan": {"rail_pattern": ("one", "other"), "rear_seal": ("one_piece", "two_piece"), "construction": ("cast",)},
    "pickup": {"joint": ("radial", "face"), "foot_shape": ("round", "slot"), "brace": (True, False)},
    "pan_gasket": {"style": ("sheet", "molded"), "material": ("nitrile", "paper")},
    "pickup_seal": {"material": ("nitrile",)},
    "windage_tray": {"pickup_way": ("below", "cut_out")},
    "oil_pump": {"inlet_joint": ("radial", "face")},
}  # fmt: skip


@st.composite
def dimensions(draw: st.DrawFn, middle: float, half: float) -> Dimension:
    """A figure with none, one or two errors."""
    value = draw(st.integers(-100, 100)) / 100.0 * half + middle
    terms = draw(st.lists(st.tuples(st.sampled_from(SHAPES), st.sampled_from((0.02, 0.1, 0.5, 1.5))), max_size=2))
    return Dimension(value * MM, tuple(Term(shape, u * MM * min(1.0, half / 10)) for shape, u in terms), "listing")


@st.composite
def parts(draw: st.DrawFn, kind: str, name: str) -> Part:
    """A part of the kind, each fact there or missing."""
    facts: dict[str, Any] = {}
    for feature, (middle, half) in NEAR[kind].items():
        if draw(st.integers(0, 9)):
            facts[feature] = draw(dimensions(middle, half))
    for feature, options in CHOICES[kind].items():
        if draw(st.integers(0, 9)):
            facts[feature] = draw(st.sampled_from(options))
    assert set(facts) <= set(KINDS[kind].features)
    return Part(name, kind, name, facts=facts)


@st.composite
def candidates(draw: st.DrawFn, kind: str, most: int, *, empty: bool = False) -> list[Candidate]:
    """Up to `most` parts with a price in whole cents, or none; where `empty`, perhaps the empty place."""
    count = draw(st.integers(1, most))
    made = []
    for number in range(count):
        price = draw(st.one_of(st.none(), st.integers(1, 4)))
        made.append(Candidate(draw(parts(kind, f"{kind}-{number}")), None if price is None else float(price)))
    if empty and draw(st.booleans()):
        made.append(Candidate(None, 0.0))
    return made


@st.composite
def builds(draw: st.DrawFn, kinds: tuple[str, ...]) -> Build:
    """A build with one drawn part for each kind, in the role of its name."""
    return Build("drawn", "drawn", {kind: draw(parts(kind, f"fixed-{kind}")) for kind in kinds})
