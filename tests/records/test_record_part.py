"""A part assembled from its line: readings combined, the rest overridden, lists merged."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from kb.measure import Dimension, Instrument
from kb.records.models import normalise, part_of
from kb.records.part import UNSAID, assemble

MODEL = {
    "kind": "pan", "id": "deep", "name": "Deep", "maker": "Aldine Castings", "price": 120, "rear_seal": "one_piece",
    "sump_depth": "190 +/- 1 mm", "flange": [{"id": "R1", "height": "0.1 +/- 0.1 mm"}, {"id": "R2", "height": "0 mm"}],
    "ports": [{"id": "feed", "duty": "feed", "bore": "12 mm"}],
}  # fmt: skip
HEAVY = ["numpy", "pint", "pydantic", "sqlite_utils", "yaml", "click", "dataclasses", "inspect", "hashlib", "pathlib"]


def test_value_types_by_sort() -> None:
    part = part_of(
        {"kind": "pickup", "id": "p", "name": "P", "hang": "180 mm", "foot_x": "120 mm", "bends": 2, "brace": False,
         "joint": "radial"}
    )  # fmt: skip
    assert isinstance(part.facts["hang"], Dimension)
    assert part.facts["foot_x"] == 0.12
    assert part.facts["bends"] == 2
    assert part.facts["brace"] is False
    assert part.facts["joint"] == "radial"
    assert "tube_bore" not in part.facts
    controller = part_of({"kind": "controller", "id": "c", "name": "C", "senses": ["hall_biased", "hall_bare"]})
    assert controller.facts["senses"] == frozenset({"hall_biased", "hall_bare"})


def test_readings_of_the_line_combine_by_inverse_variance() -> None:
    part = part_of(MODEL, {"kind": "pan", "id": "mine", "name": "Mine", "based_on": "deep",
                           "sump_depth": {"value": "190.5 mm", "tolerance": "1 mm"}})  # fmt: skip
    depth = part.facts["sump_depth"]
    # Two readings of equal half width: the mean, with u/sqrt(2). Derived from the definition of the weighted mean.
    assert depth.value == pytest.approx(0.19025)
    assert depth.u == pytest.approx(0.001 / math.sqrt(3) / math.sqrt(2))
    assert (part.id, part.name, part.maker, part.based_on, part.price) == (
        "mine",
        "Mine",
        "Aldine Castings",
        "deep",
        120,
    )
    assert part.facts["rear_seal"] == "one_piece"


def test_a_contradiction_is_carried() -> None:
    part = part_of(MODEL, {"kind": "pan", "id": "mine", "name": "Mine", "sump_depth": "180 +/- 0.5 mm"})
    assert part.facts["sump_depth"].contradiction


def test_a_reading_that_supersedes_stands_alone() -> None:
    part = part_of(
        MODEL,
        {"kind": "pan", "id": "mine", "name": "Mine",
         "sump_depth": {"value": "180 mm", "tolerance": "0.5 mm", "supersedes": True}},
    )  # fmt: skip
    assert part.facts["sump_depth"].value == 0.18
    assert part.facts["sump_depth"].contradiction == ""


def test_own_words_override_and_lists_merge_by_id() -> None:
    own = {
        "kind": "pan", "id": "mine", "name": "Mine", "rear_seal": "two_piece",
        "flange": [{"id": "R2", "height": {"value": "0 mm", "tolerance": "0.1 mm", "supersedes": True}},
                   {"id": "R3", "height": "0.2 mm"}],
        "ports": [{"id": "feed", "closed": True}],
    }  # fmt: skip
    part = part_of(MODEL, own)
    assert part.facts["rear_seal"] == "two_piece"
    assert [entry["id"] for entry in part.facts["flange"]] == ["R1", "R2", "R3"]
    assert part.facts["flange"][1]["height"].u == pytest.approx(0.0001 / math.sqrt(3))  # half width over root 3
    feed = part.facts["ports"][0]
    assert (feed["duty"], feed["closed"], feed["bore"].value) == ("feed", True, 0.012)


def test_without_any_word_a_figure_counts_as_a_listing() -> None:
    depth = part_of({**MODEL, "sump_depth": "190 mm"}).facts["sump_depth"]
    assert depth.how == UNSAID == "listing"
    measured = part_of({**MODEL, "sump_depth": {"value": "190 mm", "with": "caliper"}}).facts["sump_depth"]
    assert measured.how == "measured"
    assert measured.u < depth.u


def test_an_instrument_of_the_database_goes_before_the_built_in_one() -> None:
    worn = Instrument("caliper", "worn", ("length",), 0.001, 0.0, "triangular", 0.0, 1.0, ("yard",), "", "", "practice")
    facts = normalise({**MODEL, "sump_depth": {"value": "190 mm", "with": "caliper"}})
    depth = assemble("deep", [facts], {"caliper": worn}).facts["sump_depth"]
    assert depth.u == pytest.approx(0.001 / math.sqrt(6))  # triangular: half width over root 6, JCGM 100 4.3.9


def test_the_module_stays_light() -> None:
    code = f"import kb.records.part, kb.store.read, sys; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
