"""Which recorded clashes match which parts."""

from __future__ import annotations

from typing import Any

import pytest

from kb.build import Build
from kb.known import Condition, Incompatibility, Party, clashes, holds, seen
from kb.measure import Dimension, Reading
from kb.records.part import Part


def part(id: str = "p", kind: str = "pan", **facts: Any) -> Part:
    return Part(id=id, kind=kind, name=id, facts=facts)


def about(value: float, half: float) -> Dimension:
    """A dimension with a rectangular error of this half width: its standard uncertainty is half / sqrt(3)."""
    return Dimension(value, (Reading(value, half, how="measured").term("length"),), "measured")


def clash(*parties: Party, status: str = "reported") -> Incompatibility:
    return Incompatibility("c", "a clash", status, parties, "s", "", "", ("leaks",), "prime", "", "", ())


def met(build: dict[str, Part], *parties: Party, lines: dict[str, tuple[str, ...]] | None = None) -> Any:
    """None when the clash does not touch the build, else what is unknown."""
    found = clashes(Build("b", "b", build), [clash(*parties)], lines or {})
    return found[0].unknown if found else None


# -- one condition ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("op", "value", "expected"),
    [
        # the feature is 6.35 mm, exactly 1/4 in: derived from the definition of the inch
        ("=", 0.00635, True), ("=", 0.25 * 0.0254, True), ("=", 0.0064, False), ("!=", 0.25 * 0.0254, False),
        ("!=", 0.0064, True), ("<", 0.0064, True), ("<", 0.25 * 0.0254, False), ("<=", 0.25 * 0.0254, True),
        ("<=", 0.0063, False), (">", 0.0063, True), (">", 0.25 * 0.0254, False), (">=", 0.25 * 0.0254, True),
        (">=", 0.0064, False), ("in", [0.001, 0.25 * 0.0254], True), ("in", [0.001, 0.002], False), ("in", [], False),
    ],
)  # fmt: skip
def test_an_exact_dimension_is_compared(op: str, value: Any, expected: bool) -> None:
    exact = part(hang=Dimension(0.00635))
    assert holds(Condition("hang", op, value), exact) is expected


@pytest.mark.parametrize(
    ("op", "value", "expected"),
    [
        # 100 mm with a half width of 3 mm: standard uncertainty 3 / sqrt(3) = 1.732 mm, twice that 3.46 mm
        ("<", 0.104, True), ("<", 0.103, None), ("<", 0.097, None), ("<", 0.096, False), (">", 0.096, True),
        (">", 0.097, None), (">=", 0.104, False), ("<=", 0.103, None), ("=", 0.103, None), ("=", 0.104, False),
        ("!=", 0.104, True), ("in", [0.05, 0.103], None), ("in", [0.05, 0.2], False),
    ],
)  # fmt: skip
def test_a_figure_too_vague_to_decide_does_not(op: str, value: Any, expected: bool | None) -> None:
    vague = part(hang=about(0.100, 0.003))
    assert holds(Condition("hang", op, value), vague) is expected


@pytest.mark.parametrize(
    ("feature", "op", "value", "expected"),
    [
        ("pattern", "=", "early", True), ("pattern", "=", "late", False), ("pattern", "!=", "late", True),
        ("pattern", "in", ["late", "early"], True), ("pattern", "in", ["late"], False), ("brace", "=", True, True),
        ("brace", "=", False, False), ("bolts", ">=", 2, True), ("bolts", "<", 2, False), ("bolts", "=", 2, True),
        ("families", "has", "mineral", True), ("families", "lacks", "mineral", False), ("families", "has", "x", False),
        ("families", "lacks", "x", True), ("ports", "has", "rear", True), ("ports", "lacks", "rear", False),
        ("ports", "has", "front", False), ("ports.rear.bore", "<", 0.01, True), ("ports.rear.bore", ">", 0.01, False),
        ("ports.rear.duty", "=", "feed", True), ("ports.front.bore", "<", 0.01, None),
        ("ports.rear.land", "<", 1.0, None),
        ("nothing", "=", "x", None), ("unknown", "<", 1.0, None), ("unknown", "has", "x", None),
    ],
)  # fmt: skip
def test_codes_flags_counts_and_lists_are_compared(feature: str, op: str, value: Any, expected: bool | None) -> None:
    one = part(
        pattern="early", brace=True, bolts=2, families=frozenset({"mineral", "ester"}), unknown=None,
        ports=({"id": "rear", "bore": Dimension(0.009), "duty": "feed", "land": None},),
    )  # fmt: skip
    assert holds(Condition(feature, op, value), one) is expected


# -- whole clashes ----------------------------------------------------------------------------------------------------

PAN = Party("pan", "deep-pan", ())
BLOCK = Party("block", "", (Condition("pattern", "=", "early"),))


def test_every_side_must_be_there() -> None:
    deep, early = part("deep-pan"), part("b", "block", pattern="early")
    assert met({"pan": deep, "block": early}, PAN, BLOCK) == ()
    assert met({"pan": deep}, PAN, BLOCK) is None
    assert met({"block": early}, PAN, BLOCK) is None
    assert met({"pan": part("other"), "block": early}, PAN, BLOCK) is None
    assert met({"pan": deep, "block": part("b", "block", pattern="late")}, PAN, BLOCK) is None
    assert met({}, PAN) is None


def test_what_is_not_recorded_leaves_it_open() -> None:
    deep = part("deep-pan")
    assert met({"pan": deep, "block": part("b", "block")}, PAN, BLOCK) == ("block.pattern",)
    both = Party("block", "", (Condition("pattern", "=", "early"), Condition("year", ">", 3)))
    assert met({"pan": deep, "block": part("b", "block")}, PAN, both) == ("block.pattern", "block.year")
    # one condition that surely fails is enough, whatever else is unknown
    assert met({"pan": deep, "block": part("b", "block", pattern="late")}, PAN, both) is None


def test_a_part_is_also_what_it_is_based_on() -> None:
    mine = {"pan": part("mine")}
    assert met(mine, PAN, lines={"mine": ("mine", "deep-pan", "pan-of-old")}) == ()
    assert met(mine, Party("pan", "pan-of-old", ()), lines={"mine": ("mine", "deep-pan", "pan-of-old")}) == ()
    assert met(mine, PAN, lines={"mine": ("mine", "other")}) is None
    # and a model is not the one part that was built on it
    assert met({"pan": part("deep-pan")}, Party("pan", "mine", ()), lines={"deep-pan": ("deep-pan",)}) is None


def test_a_named_part_may_have_conditions_too() -> None:
    party = Party("pan", "deep-pan", (Condition("depth", "<", 0.1),))
    assert met({"pan": part("deep-pan", depth=Dimension(0.09))}, party) == ()
    assert met({"pan": part("deep-pan", depth=Dimension(0.11))}, party) is None


def test_a_role_that_is_filled_twice_is_met_by_either() -> None:
    party = Party("hose", "soft", ())
    assert met({"hose:supply": part("hard"), "hose:return": part("soft")}, party) == ()
    assert met({"hose:supply": part("hard")}, party) is None
    # the sure one counts, though the other cannot be told
    bore = Party("hose", "", (Condition("bore", "<", 0.01),))
    two = {"hose:supply": part("a", bore=None), "hose:return": part("b", bore=Dimension(0.005))}
    assert met(two, bore) == ()
    assert met({"hose:supply": part("a", bore=None)}, bore) == ("hose:supply.bore",)
    # one that names the place is met there only
    assert met(two, Party("hose:supply", "b", ())) is None
    assert met(two, Party("hose:return", "b", ())) == ()


def test_refuted_ones_do_not_count_and_the_others_do() -> None:
    build = Build("b", "b", {"pan": part("deep-pan")})
    some = [clash(PAN, status=status) for status in ("reported", "confirmed", "refuted")]
    found = clashes(build, some, {})
    assert [each.incompatibility.status for each in found] == ["reported", "confirmed"]
    assert all(each.certain for each in found)


@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        ({"text": "a mark"}, "a mark"),
        ({"text": "feelers", "role": "pan", "feature": "step", "reading": "1.9 mm"}, "feelers (pan.step 1.9 mm)"),
        ({"text": "feelers", "reading": "1.9 mm"}, "feelers (1.9 mm)"),
        ({"text": "read 1.9 mm", "role": "pan", "feature": "step", "reading": "1.9 mm"}, "read 1.9 mm"),
    ],
)
def test_evidence_is_told_with_its_reading(evidence: dict[str, str], expected: str) -> None:
    assert seen(evidence) == expected
