"""A record of every kind that holds hostile text wherever it takes text at all. Names and figures are invented."""

from __future__ import annotations

from typing import Any

from kb import units
from kb.records import KINDS, Feature
from kb.roles import ROLES
from tests.hostile.words import BREAK_OUT, SCRIPT, SQL

WORDS = f"{SCRIPT}{BREAK_OUT} {SQL} {{{{7*7}}}} ${{7*7}}"
LINE = WORDS[:200]
STORY = f"{WORDS}\n\n{WORDS}"


def _dimension(feature: Feature) -> dict[str, Any]:
    assert feature.plausible is not None
    value = sum(feature.plausible) / 2
    unit, size = units.show_unit(feature.quantity)
    text = f"{value / size:.6f}" if feature.quantity == "number" else f"{value / size:.6f} {unit}"
    return {
        "value": text,
        "how": "listing",
        "by": LINE,
        "note": STORY,
        "date": "2024-05-31",
        "source": "hostile-source",
    }


def _value(feature: Feature) -> Any:
    if feature.sort == "dimension":
        return _dimension(feature)
    if feature.sort == "list":
        assert feature.item is not None
        inner = {name: _value(each) for name, each in feature.item.features.items() if name != "id"}
        return [{"id": "e1", **{name: value for name, value in inner.items() if value is not None}}]
    if feature.sort == "text":
        return LINE
    if feature.sort == "flag":
        return True
    if feature.sort == "count":
        return 4
    if feature.sort == "position":
        return "10 mm"
    if feature.options:
        return feature.options[0] if feature.sort == "choice" else [feature.options[0]]
    return None


def part(kind: str) -> dict[str, Any]:
    """A part of this kind with everything recorded."""
    features = {name: _value(feature) for name, feature in KINDS[kind].features.items()}
    features.pop("ticked", None)  # names items of a list that is fixed
    return {
        "kind": kind,
        "id": f"hostile-{kind.replace('_', '-')}",
        "name": WORDS[:100],
        "maker": LINE,
        "notes": STORY,
        "part_number": WORDS[:60],
        **{name: value for name, value in features.items() if value is not None},
    }


def others() -> list[dict[str, Any]]:
    """What is no part: source, instrument, term, build with every role filled, incompatibility, donor, reading."""
    ids = {kind: f"hostile-{kind.replace('_', '-')}" for kind in KINDS}
    roles = {role: {"part": ids[each.kind.kind], "note": STORY} for role, each in ROLES.items()}
    side = {"role": "pan", "part": ids["pan"]}
    return [
        {"kind": "source", "id": "hostile-source", "title": LINE[:120], "sort": "practice", "reference": STORY},
        {
            "kind": "instrument",
            "id": "hostile-tool",
            "name": LINE[:120],
            "measures": ["depth"],
            "half_width": "0.1 mm",
            "cost": LINE,
            "hold": STORY,
        },
        {"kind": "term", "id": "rail_pattern/hostile", "meaning": LINE[:120]},
        {
            "kind": "build",
            "id": "hostile",
            "name": LINE[:120],
            "roles": roles,
            "notes": STORY,
            "own_limits": [{"rule": "pickup-floor-gap", "limit": "least", "value": "5 mm", "why": LINE[:120]}],
        },
        {
            "kind": "build",
            "id": "hostile-few",
            "name": LINE[:120],
            "roles": {role: roles[role] for role in ("block", "pan", "pan_gasket", "pickup", "crank")},
            "notes": STORY,
        },
        {
            "kind": "incompatibility",
            "id": "hostile-clash",
            "title": LINE[:120],
            "parties": [side],
            "symptom": STORY,
            "cause": STORY,
            "found": "bench",
            "by": LINE,
            "remedy": STORY,
            "harm": ["leaks"],
            "milestone": "drive",
            "evidence": [{"text": STORY, "role": "pan", "feature": "sump_depth", "reading": "190 mm"}],
            "status": "confirmed",
            "reports": [{"by": LINE[:120], "date": "2024-05-31", "text": STORY}],
            "reviews": [{"status": "confirmed", "by": LINE[:120], "date": "2024-05-31", "reason": STORY}],
        },
        {
            "kind": "donor",
            "id": "hostile-donor",
            "name": LINE[:120],
            "sort": "yard",
            "car": LINE,
            "place": LINE,
            "notes": STORY,
            "carries": [{"part": ids["pan"], "price": 5, "note": STORY}],
        },
        {
            "kind": "reading",
            "id": "hostile-reading",
            "build": "hostile",
            "place": "oil-gallery",
            "value": "1 bar",
            "state": "idling",
            "speed": "800 rpm",
            "by": LINE,
            "note": STORY,
            "date": "2024-05-31",
        },
    ]


def every() -> list[dict[str, Any]]:
    """A record of every kind."""
    return [*(part(kind) for kind in KINDS), *others()]
