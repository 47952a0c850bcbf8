"""The calls that command line, pages and scripts share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from kb.base import Base
from kb.chance import FITS, NOT, OPEN, Settings
from kb.errors import Fault, NotationFault, RecordFault, StoreFault, UnknownName
from kb.measure import Dimension
from kb.records import KINDS
from kb.rules import chosen_rules, entries
from kb.store.write import set_status, write_record
from kb.typed_values import own_limit, read_value, refuse_role

BENCH = {
    "block": "bench-38-yard", "oil_pump": "bench-38-pump", "pan": "bench-38-pan", "pan_gasket": "calder-38-gasket",
    "flange_bolts": "calder-38-bolts", "pickup": "bench-38-pickup", "pickup_seal": "calder-38-ring",
}  # fmt: skip
GAP = ("pickup-floor-gap",)


@pytest.fixture
def base(sample: str) -> Iterator[Base]:
    with Base(sample) as opened:
        yield opened


# -- parts and builds -------------------------------------------------------------------------------------------------


def test_parts_and_ids_are_found(base: Base) -> None:
    assert base.part("bench-38-pan").based_on
    assert base.part("bench-38-pan").kind == "pan"
    assert "bench-38-pan" in base.ids("pan")
    assert "bench-38-pan" in base.ids()
    assert "bench-38-pan" not in base.ids("pickup")
    assert "drover" in base.ids("build")
    assert "drover" not in base.ids()
    assert base.ids("nothing") == []
    with pytest.raises(UnknownName, match="no part named 'bench-38-pn'"):
        base.part("bench-38-pn")


def test_a_recorded_build(base: Base) -> None:
    build = base.build("drover")
    assert build.id == "drover"
    assert build.parts["pan"].id == "bench-first-pan"
    assert build.name.startswith("Calder 38 into")


def test_parts_by_role_replace_and_add(base: Base) -> None:
    build = base.build("drover", {"pan": "bench-38-pan"})
    assert build.parts["pan"].id == "bench-38-pan"
    assert build.parts["block"].id == base.build("drover").parts["block"].id
    alone = base.build(roles=BENCH)
    assert (alone.id, alone.name) == ("parts", "These parts together")
    assert {role: part.id for role, part in alone.parts.items()} == BENCH


def test_the_same_part_may_fill_two_roles_of_a_qualifier(base: Base) -> None:
    build = base.build(roles={"pan:one": "calder-38-pan", "pan:two": "calder-38-pan"})
    assert list(build.parts) == ["pan:one", "pan:two"]


@pytest.mark.parametrize(
    ("id", "roles", "overrides", "limits", "error", "message"),
    [
        ("", {}, {}, {}, Fault, "no part is named"),
        ("none", {}, {}, {}, UnknownName, "no build named 'none'"),
        ("", {"pan": "none"}, {}, {}, UnknownName, "no part named 'none'"),
        ("", {"wing": "calder-38-pan"}, {}, {}, UnknownName, "no role named 'wing'"),
        ("", {"pan": "calder-38-pickup"}, {}, {}, Fault, "takes a pan"),
        ("", {"pan:A b": "calder-38-pan"}, {}, {}, Fault, "cannot tell two of a role apart"),
        ("drover", {}, {"pan": "3 mm"}, {}, UnknownName, "no feature of the role 'pan' named ''"),
        ("drover", {}, {"": "3 mm"}, {}, UnknownName, "no role named ''"),
        ("drover", {}, {"pan.sump_depth": ""}, {}, Fault, "pan.sump_depth="),
        ("drover", {}, {}, {"pickup-floor-gap": "2 mm"}, UnknownName, "no limit of pickup-floor-gap"),
        ("drover", {}, {}, {"": "2 mm"}, UnknownName, "no rule named ''"),
    ],
)
def test_what_does_not_exist_is_told(
    base: Base,
    id: str,
    roles: dict[str, str],
    overrides: dict[str, str],
    limits: dict[str, str],
    error: Any,
    message: str,
) -> None:
    with pytest.raises(error) as caught:
        base.build(id, roles, overrides, limits)
    assert message in str(caught.value)
    assert caught.value.step


def test_a_file_that_is_no_database(tmp_path: Any) -> None:
    with pytest.raises(StoreFault, match="no such database"):
        Base(str(tmp_path / "none.db"))


def test_a_closed_base_holds_nothing_open(own: str) -> None:
    import os

    with Base(own) as opened:
        opened.ids()
    os.remove(own)
    assert not os.path.exists(own)


# -- checking ---------------------------------------------------------------------------------------------------------


def test_a_check_answers_every_rule_or_says_why_not(base: Base) -> None:
    answer = base.check("drover-good")
    asked = {finding.rule.id for finding in answer.findings}
    unasked = {rule.id for rule, _ in answer.not_asked}
    assert asked | unasked == {each.id for each in entries()}
    assert all(reason for _, reason in answer.not_asked)
    assert answer.verdict == FITS


def test_only_what_was_asked_for(base: Base) -> None:
    assert [each.rule.id for each in base.check("drover", rules=GAP).findings] == list(GAP)
    some = base.check("drover", subsystem="sealing").findings
    assert {each.rule.subsystem for each in some} == {"sealing"}
    assert [rule.id for rule in chosen_rules(["rail-pattern", "rail-pattern"])] == ["rail-pattern"]
    assert len(chosen_rules()) == len(entries())


def test_a_value_to_try_changes_the_verdict_and_nothing_else(base: Base) -> None:
    before = base.part("bench-38-pan").facts
    assert base.check(roles=BENCH, rules=GAP).verdict == FITS
    assert base.check(roles=BENCH, overrides={"pan.sump_depth": "170 mm"}, rules=GAP).verdict == NOT
    assert base.check(roles=BENCH, overrides={"pickup.hang": "?"}, rules=GAP).verdict == OPEN
    assert base.part("bench-38-pan").facts == before
    tried = base.build(roles=BENCH, overrides={"pan.sump_depth": "190 mm"}).parts["pan"].facts["sump_depth"]
    assert (tried.value, tried.how, tried.u) == (pytest.approx(0.19), "user", 0.0)


def test_an_entry_of_a_list_to_try(base: Base) -> None:
    build = base.build("drover-good", overrides={"pan.flange.P1.height": "-4 mm +/- 0.1 mm"})
    flange = {entry["id"]: entry["height"] for entry in build.parts["pan"].facts["flange"]}
    plain = {entry["id"]: entry["height"] for entry in base.build("drover-good").parts["pan"].facts["flange"]}
    assert flange["P1"].value == pytest.approx(-0.004)
    assert flange["P1"].u == pytest.approx(0.0001 / 3**0.5)  # half width of a rectangular error
    assert {id for id in flange if flange[id] != plain[id]} == {"P1"}


def test_a_limit_of_ones_own(base: Base) -> None:
    answer = base.check(roles=BENCH, own_limits={"pickup-floor-gap.least": "30 mm"}, rules=GAP)
    assert answer.verdict == NOT
    check = next(each for each in answer.findings[0].checks if each.limit.name == "least")
    assert (check.bound, check.own) == (pytest.approx(0.03), "limit given with this check")
    assert own_limit("pickup-floor-gap", "least", "1/2 in", "w") == (pytest.approx(0.0127), "w")
    with pytest.raises(Fault, match="takes no tolerance"):
        own_limit("pickup-floor-gap", "least", "2 +/- 1 mm", "w")


def test_a_build_brings_its_own_limits_and_thresholds(own: str) -> None:
    record = {
        "kind": "build", "id": "mine", "name": "mine", "roles": BENCH, "fits_at": 0.99, "not_at": 0.01,
        "own_limits": [{"rule": "pickup-floor-gap", "limit": "least", "value": "30 mm", "why": "the maker says so"}],
    }  # fmt: skip
    write_record(own, record, by="test", origin="test")
    with Base(own) as base:
        answer = base.check("mine", rules=GAP)
        assert (answer.settings.fits_at, answer.settings.not_at) == (0.99, 0.01)
        assert answer.verdict == NOT
        check = next(each for each in answer.findings[0].checks if each.limit.name == "least")
        assert check.own == "own limit of this build: the maker says so"
        # one given with the check goes before
        given = base.check("mine", own_limits={"pickup-floor-gap.least": "1 mm"}, rules=GAP)
        assert given.verdict == FITS
        other = base.check("mine", rules=GAP, settings=Settings(0.6, 0.4))
        assert other.settings.fits_at == 0.6
        assert base.settings("mine") == Settings(0.99, 0.01)
        assert base.settings() == Settings()


def test_clashes_are_part_of_the_answer_until_refuted(own: str) -> None:
    with Base(own) as base:
        assert [each.incompatibility.id for each in base.check("drover").clashes] == ["aldine-pan-on-calder-38"]
        assert base.check("drover-good").clashes == ()
    record = {
        "kind": "incompatibility", "id": "hum", "title": "hums", "symptom": "s", "found": "build", "harm": "nuisance",
        "parties": [{"role": "pan", "where": {"rail_pattern": "calder-38"}}], "milestone": "drive",
    }  # fmt: skip
    write_record(own, record, by="test", origin="test")
    with Base(own) as base:
        assert base.check("drover-good").verdict == NOT
        assert base.check("drover-good", rules=GAP).verdict == NOT  # whatever is asked
        assert base.check("farm-33").verdict == FITS
        assert "hum" in {each.id for each in base.incompatibilities()}
    set_status(own, "hum", "refuted", by="test", reason="r")
    with Base(own) as base:
        assert base.check("drover-good").verdict == FITS
        assert "hum" not in {each.id for each in base.incompatibilities()}


def test_lines_go_from_a_part_to_what_it_is_based_on(base: Base) -> None:
    lines = base.lines(base.build("drover"))
    assert lines["bench-first-pan"][:2] == ("bench-first-pan", "aldine-33-38-pan")
    assert all(line[0] == id for id, line in lines.items())


# -- values from words ------------------------------------------------------------------------------------------------

PAN, PICKUP, BLOCK = KINDS["pan"].features, KINDS["pickup"].features, KINDS["block"].features
TERMS = ("rail_pattern/early", "rail_pattern/late", "balance/early-only")


def read(feature: Any, text: str) -> Any:
    return read_value(feature, text, lambda: TERMS)


def test_values_are_read_by_the_sort_of_their_feature() -> None:
    depth = read(PAN["sump_depth"], "7 1/2 in")
    assert isinstance(depth, Dimension)
    assert (depth.value, depth.terms, depth.how) == (pytest.approx(0.1905), (), "user")  # 7.5 * 25.4 mm
    # a half width of 2 mm, rectangular: 2 / sqrt(3)
    assert read(PAN["sump_depth"], "190 ± 2 mm").u == pytest.approx(0.002 / 3**0.5)
    assert read(PAN["construction"], " cast ") == "cast"
    assert read(PICKUP["brace"], "YES") is True
    assert read(PICKUP["brace"], "false") is False
    assert read(PICKUP["flange_bolts"], "2") == 2
    assert read(BLOCK["rail_pattern"], "late") == "late"
    station = BLOCK["stations"].item.features
    assert read(station["x"], "12.7 mm") == pytest.approx(0.0127)
    for text in ("?", "unknown", " ? "):
        assert read(PAN["sump_depth"], text) is None
        assert read(PAN["construction"], text) is None


@pytest.mark.parametrize(
    ("feature", "text", "error", "message"),
    [
        (PAN["sump_depth"], "3 bar", NotationFault, "a length is due"),
        (PAN["sump_depth"], "190 in", RecordFault, "absurd"),
        (PAN["construction"], "brass", UnknownName, "no choice"),
        (BLOCK["rail_pattern"], "early-only", UnknownName, "no choice"),  # a term of another vocabulary
        (PICKUP["brace"], "perhaps", Fault, "neither yes nor no"),
        (PICKUP["flange_bolts"], "2.5", Fault, "no whole number"),
        (PICKUP["flange_bolts"], "", Fault, "no whole number"),
        (PICKUP["flange_bolts"], "١", Fault, "no whole number"),
        (PICKUP["flange_bolts"], "1234567", Fault, "no whole number"),
        (PAN["flange"], "3 mm", Fault, "is a list"),
        (BLOCK["stations"].item.features["x"], "1 +/- 1 mm", Fault, "exact"),
        (BLOCK["stations"].item.features["x"], "99 m", Fault, "engine bay"),
    ],
)
def test_values_that_are_none_are_refused(feature: Any, text: str, error: Any, message: str) -> None:
    with pytest.raises(error, match=message) as caught:
        read(feature, text)
    assert caught.value.step


def test_codes_are_a_set_of_known_ones() -> None:
    several = [
        feature
        for kind in KINDS.values()
        for feature in kind.features.values()
        if feature.sort == "codes" and feature.options
    ]
    assert several
    for feature in several:
        first, *more = feature.options
        assert read(feature, f"{first}, {more[0] if more else first}") == frozenset({first, more[0] if more else first})
        assert read(feature, ",") == frozenset()
        with pytest.raises(UnknownName, match="no choice"):
            read(feature, f"{first}, nonsense")


@pytest.mark.parametrize("name", ["pan", "pan:left", "pan:a-1"])
def test_roles_with_and_without_a_qualifier(name: str) -> None:
    refuse_role(name)


@pytest.mark.parametrize("name", ["pan:", "pan:A", "pan: left", "pan:a:b", "pan:-a", "pn", "", ":a", "pan:" + "a" * 41])
def test_what_is_no_role(name: str) -> None:
    with pytest.raises(Fault):
        refuse_role(name)
