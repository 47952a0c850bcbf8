"""The first-start sheet: only what the parts call for, in order, each with its value from this build."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html.parser import HTMLParser
from itertools import pairwise
from typing import Any

import pytest

from kb.base import Base
from kb.build import Build
from kb.measure import Dimension
from kb.ready.bands import declared
from kb.ready.sheet import Figure, Sheet, Step, broken, data, sheet
from kb.records.part import Part
from kb.roles import role, role_feature
from kb.rules import rule_named
from kb.say.sheet import as_html, as_json, as_text, told
from kb.sources import SOURCES
from kb.trace.trees import trees

BRACES = re.compile(r"\{([a-z_]+)\}")


@pytest.fixture(scope="module")
def good(sample: str) -> Build:
    with Base(sample) as base:
        return base.build("drover-good")


@pytest.fixture(scope="module")
def made(good: Build) -> Sheet:
    return sheet(good)


def steps(found: Sheet) -> dict[str, Step]:
    return {step.id: step for step in found.steps}


def figure(step: Step, name: str) -> Figure:
    return next(each for each in step.figures if each.name == name)


def changed(build: Build, name: str, **facts: Any) -> Build:
    part = build.parts[name]
    return build._replace(parts={**build.parts, name: part._replace(facts={**part.facts, **facts})})


def without(build: Build, *names: str) -> Build:
    return build._replace(parts={each: part for each, part in build.parts.items() if each not in names})


# -- the data ------------------------------------------------------------------------------------------------------


def test_the_data_names_nothing_that_is_not_there() -> None:
    rows = data()["steps"]
    assert len({row["id"] for row in rows}) == len(rows)
    bands = {each["id"]: each for each in declared()}
    for row in rows:
        assert row["phase"] in data()["phases"]
        assert row["source"] in SOURCES
        assert row["pass"]
        assert row.get("trace", "oil-prime") in trees()
        named = {*BRACES.findall(f"{row['pass']} {row.get('otherwise', '')} {row.get('stop', '')}")}
        assert named == set(row.get("values", {})), row["id"]
        for of in row.get("values", {}).values():
            if "feature" in of:
                role_feature(of["feature"])
            if "limit" in of:
                assert of["name"] in [each.name for each in rule_named(of["limit"]).limits]
            if "rule" in of:
                rule_named(of["rule"])
            if "band" in of:
                assert of["place"] in bands[of["band"]]["places"]
                assert of["state"] in bands[of["band"]]["states"]


def test_phases_come_in_the_order_of_the_work() -> None:
    order = list(data()["phases"])
    assert order == [
        "before_priming", "priming", "before_cranking", "cranking", "first_fire", "first_ten_minutes", "after",
    ]  # fmt: skip
    places = [order.index(row["phase"]) for row in data()["steps"]]
    assert places == sorted(places)


def test_every_item_of_the_first_start_is_ticked_by_a_step() -> None:
    flags = {name for name, feature in role("first_start").kind.features.items() if feature.sort == "flag"}
    assert {row["tick"] for row in data()["steps"] if "tick" in row} == flags


def test_every_symptom_stands_beside_some_step() -> None:
    assert {row["trace"] for row in data()["steps"] if "trace" in row} == set(trees())


def test_what_can_hurt_carries_its_caution() -> None:
    dangerous = ("fuel", "crank-", "run-", "prime", "fire")
    for row in data()["steps"]:
        if row["id"].startswith(dangerous) and row["id"] not in ("prime-level",):
            assert row.get("caution"), row["id"]


# -- what a build calls for ----------------------------------------------------------------------------------------


def test_only_the_steps_of_its_parts(good: Build, made: Sheet) -> None:
    there = steps(made)
    assert "prime-drill" in there
    assert "prime-pot" not in there  # its pump is turned by a shaft
    assert "fuel-two-minutes" in there
    assert "fuel-by-hand" not in there
    nose = steps(sheet(changed(good, "oil_pump", drive="clamped_nose")))
    assert "prime-pot" in nose
    assert "prime-drill" not in nose
    assert "nose-bolt" in nose
    assert "fuel-by-hand" in steps(sheet(changed(good, "fuel_pump", drive="mechanical")))
    assert "fuel-in" not in steps(sheet(without(good, "second_fuel")))
    assert "run-charge" not in steps(sheet(without(good, "alternator")))


def test_a_silent_record_keeps_the_step_and_says_so(good: Build) -> None:
    found = steps(sheet(changed(good, "oil_pump", drive=None)))
    for id in ("prime-drill", "prime-pot"):
        assert found[id].unsure == ("oil_pump.drive",)
    text = as_text(sheet(changed(good, "oil_pump", drive=None)))
    assert "oil_pump.drive" in text


def test_a_build_of_next_to_nothing() -> None:
    found = sheet(Build("b", "b", {"pan": Part("p", "pan", "p")}))
    there = steps(found)
    assert "oil-counted" in there
    assert there["oil-counted"].passes == "count it; nobody recorded what this pan holds"
    assert "crank-volts" not in there
    assert "extinguisher" in there
    assert as_text(found)


# -- figures -------------------------------------------------------------------------------------------------------


def test_figures_come_from_this_build(good: Build, made: Sheet) -> None:
    there = steps(made)
    # read off the sample's records: pan 4 l, needle's band 28 to 48 kPa, setting 41 kPa
    assert figure(there["oil-counted"], "litres") == Figure("litres", pytest.approx(4.0e-3), "volume")  # type: ignore[arg-type]
    assert figure(there["fuel-pressure"], "low").value == pytest.approx(28e3)
    assert figure(there["fuel-pressure"], "high").value == pytest.approx(48e3)
    assert figure(there["fuel-pressure"], "set").value == pytest.approx(41e3)
    assert figure(there["firing-order"], "order").value == "1-6-5-4-3-2"
    # trade pages: 9.6 V at the posts; service manual: 0.5 V to the stud
    assert figure(there["crank-volts"], "least").value == pytest.approx(9.6)
    assert figure(there["crank-feed"], "most").value == pytest.approx(0.5)
    # 10 psi for each 1000 rpm (trade page) at the idle of the sample's duty, 750 rpm: 7.5 psi, hand sum
    assert figure(there["run-pressure"], "least").value == pytest.approx(7.5 * 6894.757, rel=1e-6)


def test_figures_follow_the_build(good: Build) -> None:
    other = changed(good, "carburettor", inlet_pressure_most=Dimension(55e3))
    assert figure(steps(sheet(other))["fuel-pressure"], "high").value == 55e3
    slow = changed(good, "duty", idle=Dimension(1000 / 60))
    # 1000 rpm: 10 psi by the same floor
    assert figure(steps(sheet(slow))["run-pressure"], "least").value == pytest.approx(68947.57, rel=1e-6)


def test_an_own_limit_goes_before_the_declared_one(good: Build) -> None:
    own = good._replace(own_limits={("starter-feed-drop", "tolerated"): (0.3, "mine")})
    assert figure(steps(sheet(own))["crank-feed"], "most").value == 0.3


def test_a_figure_of_a_rule_is_what_the_rule_computes(sample: str, good: Build) -> None:
    with Base(sample) as base:
        answer = base.check("drover-good")
    due = {each.rule.id: each.quantity for each in answer.findings}
    for found in (sheet(good), sheet(answer.build, answer.findings)):
        there = steps(found)
        assert figure(there["crank-feed"], "expected").value == pytest.approx(due["starter-feed-drop"])
        assert figure(there["pickup-height"], "gap").value == pytest.approx(due["pickup-floor-gap"])


def test_without_figures_it_is_said_in_words(good: Build) -> None:
    silent = changed(good, "carburettor", inlet_pressure_least=None)
    step = steps(sheet(silent))["fuel-pressure"]
    assert step.passes == "the band of this carburettor's maker"
    assert step.figures == ()


@pytest.mark.parametrize("bare", [False, True], ids=["as it is", "without a fact"])
def test_no_brace_is_ever_left(good: Build, bare: bool) -> None:
    build = good
    if bare:
        build = good._replace(parts={name: part._replace(facts={}) for name, part in good.parts.items()})
    text = as_text(sheet(build))
    assert "{" not in text
    assert "None" not in text


# -- done, broken, open --------------------------------------------------------------------------------------------


def test_what_is_ticked_shows_as_done_with_its_date(good: Build) -> None:
    entries = ({"id": "oil_counted", "date": "2026-05-02", "by": "mara", "note": "4.2 l"},)
    found = sheet(changed(good, "first_start", ticked=entries))
    step = steps(found)["oil-counted"]
    assert step.done is True
    assert step.note == "2026-05-02, by mara, 4.2 l"
    text = as_text(found)
    assert "[x]" in text
    assert "2026-05-02, by mara" in text
    undone = sheet(changed(good, "first_start", oil_counted=False, ticked=entries))
    assert steps(undone)["oil-counted"].done is False
    assert steps(undone)["oil-counted"].note == ""


def test_a_broken_circuit_stands_on_the_sheet(sample: str, made: Sheet) -> None:
    with Base(sample) as base:
        first = base.sheet("drover")
    assert steps(first)["oil-circuit"].breaks
    assert broken(first)
    assert told(first).phases[0].steps[1].state == "broken"
    assert not steps(made)["oil-circuit"].breaks
    assert not broken(made)
    assert "The records say" in as_text(first)


def test_breaks_that_no_step_follows_stop_it_all_the_same(sample: str, made: Sheet) -> None:
    """Without a radiator no coolant is filled in: the sheet must not lead to a start over that."""
    with Base(sample) as base:
        pile = base.sheet("drover-pile")
    assert "coolant-circuit" not in steps(pile)
    assert any(each.startswith("coolant: nothing fills the role water pump") for each in pile.elsewhere)
    assert broken(pile)
    for page in (as_text(pile), as_html(pile)):
        assert "Do not start it yet" in " ".join(page.split())
    assert as_json(pile)["lacking"][1:] == list(pile.elsewhere)
    assert made.elsewhere == ()
    assert as_json(made)["lacking"] == []


def test_small_parts_that_are_lacking_are_named(good: Build) -> None:
    have = good.parts["small_parts"].facts["have"] - {"bell_dowels"}
    step = steps(sheet(changed(good, "small_parts", have=have)))["small-parts"]
    assert step.done is False
    assert "bell dowels" in str(figure(step, "count").value)


# -- words ---------------------------------------------------------------------------------------------------------


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.seen.append(tag)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_stands_alone_and_escapes_what_users_wrote(made: Sheet) -> None:
    hostile = made._replace(build=made.build._replace(name="<script>x</script>"))
    page = as_html(hostile)
    reader = _Page()
    reader.feed(page)
    assert reader.open == []
    assert "<script" not in page
    assert "http" not in page
    assert reader.seen.count("li") == len(made.steps)
    assert reader.seen.count("h1") == 1


def test_the_text_keeps_to_its_width(made: Sheet) -> None:
    for width in (60, 80):
        assert max(len(line) for line in as_text(made, width=width).splitlines()) <= width


def test_a_caution_is_said_where_it_changes(made: Sheet) -> None:
    for phase in told(made).phases:
        said = [step.caution for step in phase.steps if step.caution]
        assert all(one != other for one, other in pairwise(said))


def test_the_data_gives_si_and_words(made: Sheet) -> None:
    found: Mapping[str, Any] = as_json(made, "in")
    step = next(each for phase in found["phases"] for each in phase["steps"] if each["id"] == "crank-feed")
    assert step["figures"]["most"] == {"value": 0.5, "quantity": "voltage"}
    assert "0.50 V" in step["passes"]
    assert step["caution"]
    assert found["phases"][0]["id"] == "before_priming"
