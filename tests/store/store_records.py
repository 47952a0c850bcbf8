"""Records for the tests of the store: a small set by hand, and any records by property. Figures are invented."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

from kb.records import KINDS, Feature
from kb.store.references import tickable, vocabularies
from kb.unit_show import show_unit

TERMS = [
    {"kind": "term", "id": f"{vocabulary}/{code}", "meaning": f"{vocabulary} {code}"}
    for vocabulary in vocabularies()
    for code in ("early", "late", "60-2")
]
SOURCE = {"kind": "source", "id": "aldine", "title": "Aldine Castings catalogue", "sort": "trade", "date": "2024"}
TOOL = {"kind": "instrument", "id": "my-caliper", "name": "My caliper", "measures": ["depth"], "half_width": "0.03 mm"}
DEEP = {
    "kind": "pan", "id": "deep-pan", "name": "Deep pan", "maker": "Aldine Castings", "price": 120,
    "rail_pattern": "late", "sump_depth": "190 +/- 1 mm", "shelf_depth": "90 mm",
    "known": {"how": "listing", "source": "aldine"},
    "flange": [{"id": "R1", "height": "0.1 mm"}, {"id": "R2", "height": "-0.2 mm"}],
    "ports": [{"id": "rear-feed", "duty": "feed", "bore": "12 mm"}],
}  # fmt: skip
MINE = {
    "kind": "pan", "id": "my-pan", "name": "The pan on the bench", "based_on": "deep-pan",
    "sump_depth": {"value": "189.6 mm", "with": "my-caliper", "by": "Sam", "date": "2024-05-31"},
    "flange": [{"id": "R2", "height": {"value": "0 mm", "with": "feeler", "supersedes": True}}],
}  # fmt: skip
PICKUP = {"kind": "pickup", "id": "long-pickup", "name": "Long pickup", "hang": "185 mm", "bends": 2, "brace": True}
BUILD = {
    "kind": "build", "id": "drover", "name": "Drover",
    "roles": {"pan": "my-pan", "pickup": {"part": "long-pickup", "owned": True, "price": 30}},
    "own_limits": [{"rule": "r", "limit": "low", "value": "6 mm", "why": "my engine"}],
    "alternatives": {"pan": ["deep-pan", {"part": "my-pan", "owned": True, "price": 0, "note": "spare"}]},
}  # fmt: skip
CLASH = {
    "kind": "incompatibility", "id": "shallow", "title": "Long pickup in a shallow pan",
    "parties": [{"role": "pan", "where": {"sump_depth": "< 195 mm", "rail_pattern": "in [late, early]"}},
                {"role": "pickup", "part": "long-pickup"}],
    "symptom": "no oil pressure", "cause": "foot on the floor", "found": "bench", "harm": ["destroys", "wears"],
    "milestone": "prime", "by": "Kim", "evidence": [{"text": "foot touched", "role": "pan", "feature": "sump_depth",
                                                     "reading": "186 mm"}],
    "reports": [{"by": "Lee", "date": "2024-06", "text": "mine too"},
                {"by": "Ash", "date": "2024-07", "agrees": False}],
}  # fmt: skip
DONOR = {
    "kind": "donor", "id": "row-9", "name": "Blue saloon, row 9", "sort": "yard", "car": "Penrose Marlow",
    "years": "1996-2001", "place": "Harbour breakers", "seen": "2024-05",
    "carries": ["long-pickup", {"part": "deep-pan", "price": 25, "note": "dented"}],
}  # fmt: skip
GAUGE = {
    "kind": "reading", "id": "drover-1", "build": "drover", "place": "oil-gallery", "value": "3.2 bar",
    "with": "pressure-gauge", "state": "running", "speed": "1500 rpm", "temperature": "80 degC", "start": 2,
    "date": "2024-06-01", "by": "Sam", "note": "steady",
}  # fmt: skip
FADES = {
    "kind": "reading", "id": "drover-0", "build": "drover", "place": "oil-pickup", "value": "fades", "state": "primed",
    "start": 1,
}  # fmt: skip
ALL: list[dict[str, Any]] = [*TERMS, SOURCE, TOOL, DEEP, MINE, PICKUP, BUILD, CLASH, DONOR, GAUGE, FADES]

IDS = st.from_regex(r"[a-z0-9][a-z0-9-]{0,20}", fullmatch=True)
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=40)
NOTES = st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t"), max_size=60)


def values(feature: Feature) -> st.SearchStrategy[str]:
    """Plausible values in workshop notation."""
    unit, scale = show_unit(feature.quantity)
    low, high = feature.plausible or (1.0 * scale, 100.0 * scale)
    return st.floats(low / scale, high / scale).map(lambda number: f"{number:.9f} {unit}".strip())


def readings(feature: Feature) -> st.SearchStrategy[Any]:
    """A text, a mapping, or several."""
    one = values(feature)
    unit, scale = show_unit(feature.quantity)
    low, high = feature.plausible or (0.0, 100.0 * scale)
    tolerance = st.just(f"{(high - low) / scale / 64:.5f} {unit}".strip())
    mapping = st.fixed_dictionaries(
        {"value": one, "tolerance": tolerance},
        optional={
            "shape": st.sampled_from(["normal", "rectangular", "triangular"]),
            "how": st.sampled_from(["drawing", "listing", "measured", "estimated"]),
            "with": st.sampled_from(["caliper", "my-caliper"]),
            "source": st.sampled_from(["aldine", "practice"]),
            "date": st.sampled_from(["2024", "2024-05", "2024-05-31"]),
            "by": NAMES,
            "note": NOTES,
            "supersedes": st.booleans(),
        },
    )
    return one | mapping | st.lists(one | mapping, min_size=1, max_size=3)


ENTRIES = ("R1", "R2", "drain plug", "é-3")


def value_of(feature: Feature, entries: Sequence[str] = ENTRIES) -> st.SearchStrategy[Any]:
    """Anything that may be written for a feature; entries: what those of a list may be called."""
    codes = st.sampled_from(feature.options or ("early", "late", "60-2"))
    if feature.sort == "list":
        assert feature.item is not None
        inner = {name: value_of(each) for name, each in feature.item.features.items() if name != "id"}
        entry = st.fixed_dictionaries({"id": st.sampled_from(entries)}, optional=inner)
        return st.lists(entry, max_size=3, unique_by=lambda each: str(each["id"]))
    made: dict[str, st.SearchStrategy[Any]] = {
        "choice": codes,
        "codes": st.lists(codes, max_size=3, unique=True),
        "count": st.integers(0, 100),
        "flag": st.booleans(),
        "text": NAMES,
    }
    if feature.sort in made:
        return made[feature.sort]
    return readings(feature) if feature.sort == "dimension" else values(feature)


def parts(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    """Any record of a kind."""
    return st.fixed_dictionaries(
        {"kind": st.just(kind), "id": IDS, "name": NAMES},
        optional={
            "maker": NAMES,
            "notes": NOTES,
            "price": st.integers(0, 1000) | st.floats(0, 1000),
            "known": st.just({"how": "listing", "source": "aldine"}) | st.just({"with": "caliper", "by": "Sam"}),
            **{
                name: value_of(feature, tickable(kind) if name == "ticked" else ENTRIES)
                for name, feature in KINDS[kind].features.items()
            },
        },
    )


@st.composite
def record_sets(draw: st.DrawFn) -> list[dict[str, Any]]:
    """A few parts of any kinds, some based on others, a build and a clash, beside what they name."""
    kinds = draw(st.lists(st.sampled_from(list(KINDS)), min_size=1, max_size=3))
    made: list[dict[str, Any]] = []
    for kind in kinds:
        one = draw(parts(kind))
        if one["id"] in {each["id"] for each in made}:
            continue
        if "with" in one.get("known", {}):
            one.pop("known") if _needs_tolerance(one) else None
        same = [each["id"] for each in made if each["kind"] == kind]
        if same and draw(st.booleans()):
            one["based_on"] = same[-1]
        made.append(one)
    clash = {**CLASH, "parties": [{"role": "pan"}], "title": draw(NAMES), "symptom": draw(NAMES)}
    build = {"kind": "build", "id": "any", "name": draw(NAMES), "roles": {}, "notes": draw(NOTES)}
    return [*TERMS, SOURCE, TOOL, build, clash, *made]


def _needs_tolerance(record: dict[str, Any]) -> bool:
    """Whether a default instrument would have to speak for a figure that it does not read."""
    return any(
        feature.sort in ("list", "dimension") and name in record
        for name, feature in KINDS[record["kind"]].features.items()
    )
