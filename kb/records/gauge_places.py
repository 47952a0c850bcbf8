"""The points of a circuit where a gauge, a meter or an eye can read, and what may be written for each.

from kb.records.gauge_places import places, read_value
read_value("oil-gallery", "3.2 bar")      -> {"quantity": "pressure", "si": 320000.0, "text": "3.2 bar"}
read_value("oil-gallery", "fades")        -> {"quantity": "pressure", "code": "fades", "text": "fades"}
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from kb import units
from kb.errors import RecordFault, unknown
from kb.records._kind import SHOWN, Feature
from kb.records.values import read_dimension

CIRCUITS = ("oil", "coolant", "fuel", "air", "start", "signal", "charge")
STATES = ("at_rest", "primed", "cranking", "idling", "running")
CODE = "code"
_CODE = re.compile(r"[a-z][a-z0-9_]{0,39}")
_NODE = re.compile(r"[a-z][a-z0-9_]{0,39}(:[a-z0-9][a-z0-9-]{0,39})?([._-][a-z0-9_.:-]{1,80})?")


class Place(NamedTuple):
    """A point of a circuit where something can be read.

    quantity: a key of `kb.records.SHOWN`, or "code" where only a code of `options` can be said; where a figure is due,
    `options` may stand for it ("none", "fades"). plausible: in SI, None for any.
    """

    id: str
    circuit: str
    node: str
    quantity: str
    meaning: str
    tools: tuple[str, ...]
    options: tuple[str, ...] = ()
    plausible: tuple[float, float] | None = None


@cache
def places() -> Mapping[str, Place]:
    """Every gauge place, by id."""
    path = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "data", "gauge_places.json")
    with open(path, encoding="utf-8") as file:
        rows = json.load(file)["places"]
    found = {}
    for row in rows:
        bounds = row.get("plausible")
        scale = 1.0 if row["quantity"] == CODE else SHOWN[row["quantity"]][1]
        plausible = (bounds[0] * scale, bounds[1] * scale) if bounds else None
        found[row["id"]] = Place(
            row["id"], row["circuit"], row["node"], row["quantity"], row["meaning"], tuple(row["tools"]),
            tuple(row["options"]), plausible,
        )  # fmt: skip
    return found


def circuit_of(place: str) -> str:
    """The circuit that a place belongs to. UnknownName for a place that is none."""
    if place in places():
        return places()[place].circuit
    circuit, dot, node = place.partition(".")
    if dot and circuit in CIRCUITS and _NODE.fullmatch(node):
        return circuit
    fault = unknown("place to read", place, [*places(), *(f"{each}." for each in CIRCUITS)])
    fault.step = fault.step or f"name a gauge place, or circuit.node with a circuit of: {', '.join(CIRCUITS)}"
    raise fault


def read_value(place: str, text: str, tolerance: str = "") -> dict[str, Any]:
    """What was read, in normal form: {"quantity", "si", "half", "text"}, or {"quantity", "code", "text"} for a code.

    At a node that is no gauge place the unit says the quantity, and any code may be said. UnknownName for a place that
    is none; RecordFault for a code that is none there, a figure where a code is due, an absurd figure.
    """
    circuit_of(place)
    known = places().get(place)
    word = text.strip()
    if _CODE.fullmatch(word):
        if tolerance:
            raise RecordFault(f"{word} is no figure and has no tolerance", step="leave the tolerance out")
        if known is not None and word not in known.options:
            fault = unknown(f"code for {place}", word, known.options)
            fault.step = fault.step or _due(known)
            raise fault
        return {"quantity": known.quantity if known else CODE, "code": word, "text": text}
    if known is None:
        quantity = units.parse(word).kind
        return {"quantity": quantity, **read_dimension(Feature("dimension", "", quantity=quantity), text, tolerance)}
    if known.quantity == CODE:
        raise RecordFault(f"{word[:40]!r} is no code", step=_due(known))
    feature = Feature("dimension", known.meaning, quantity=known.quantity)
    feature.plausible = known.plausible
    return {"quantity": known.quantity, **_figure(feature, text, tolerance)}


def _figure(feature: Feature, text: str, tolerance: str) -> dict[str, Any]:
    """As `read_dimension`; below its range a gauge may read zero or a little less, so only far outside is absurd."""
    low, high = feature.plausible or (-1e300, 1e300)
    plausible, feature.plausible = feature.plausible, None
    found = read_dimension(feature, text, tolerance)
    if plausible and not low - 0.01 * (high - low) <= found["si"] <= high:
        show = units.show
        step = f"a true one is {show(low, feature.quantity)} to {show(high, feature.quantity)}: check figure and unit"
        raise RecordFault(f"{show(found['si'], feature.quantity)} is absurd here", step=step)
    return found


def _due(place: Place) -> str:
    codes = ", ".join(place.options)
    return f"say one of: {codes}" if place.quantity == CODE else f"write a {place.quantity}, or one of: {codes}"
