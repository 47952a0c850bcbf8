"""The board: states, blockers worst first, their steps; the sample's builds, and builds made for the purpose."""

from __future__ import annotations

from typing import Any, NamedTuple

import pytest

from kb.base import Base
from kb.chance import FITS, OPEN, Settings
from kb.gauges import GaugeReading
from kb.judge import Answer
from kb.measure import instruments
from kb.ready.board import CANNOT_TELL, NOT_READY, READY, SORTS, Blocker, Board, board
from kb.rules._rule import HARMS, MILESTONES


class Fault(NamedTuple):
    """A break of a circuit, as `kb.circuit.continuity` gives them."""

    circuit: str = "oil"
    at: str = "oil.pump-to-filter"
    sort: str = "differs"
    milestone: str = "prime"
    roles: tuple[str, ...] = ("oil_pump", "oil_filter")
    words: str = "the ends differ"
    fix: str = "an adapter"
    rule: str = ""
    finding: str = ""


def of(sample: str, build: str, **overrides: str) -> Board:
    with Base(sample) as base:
        return base.ready(build, overrides={name.replace("__", "."): value for name, value in overrides.items()})


def names(found: Board, milestone: str, sort: str) -> list[str]:
    return [each.name for each in found.of(milestone).blockers if each.sort == sort]


def answer_of(sample: str, build: str = "drover-good", roles: dict[str, str] | None = None) -> Answer:
    with Base(sample) as base:
        return base.check(build, roles)


def reading(value: Any, start: int, place: str = "oil-gallery", state: str = "cranking") -> GaugeReading:
    return GaugeReading(f"r{start}", "drover-good", place, value, state=state, start=start, date="2024-05-01")


# -- the sample ----------------------------------------------------------------------------------------------------


def test_the_good_build_is_ready_for_everything(sample: str) -> None:
    found = of(sample, "drover-good")
    assert [each.name for each in found.milestones] == list(MILESTONES)
    assert [each.state for each in found.milestones] == [READY] * 4
    assert all(not each.blockers for each in found.milestones)
    assert found.next is None
    assert all(each.probability is not None and each.probability > 0.975 for each in found.milestones)
    assert [each.joint.not_counted for each in found.milestones] == [0, 0, 0, 0]


def test_the_first_pan_stands_before_priming(sample: str) -> None:
    found = of(sample, "drover")
    assert found.next is not None
    assert found.next.name == "prime"
    prime = found.of("prime")
    assert prime.state == NOT_READY
    assert names(found, "prime", "clash") == ["aldine-pan-on-calder-38"]
    assert names(found, "prime", "does not fit") == ["passage-sealing"]
    assert prime.probability == pytest.approx(0.0, abs=1e-3)
    # The gap is open towards its upper limit only, which counts from driving on.
    assert "pickup-floor-gap" not in [each.name for each in found.of("fire").blockers]
    assert names(found, "drive", "cannot tell") == ["pickup-floor-gap"]


def test_a_milestone_holds_the_blockers_of_those_before_it(sample: str) -> None:
    for build in ("drover", "drover-manual", "pair-unknown", "farm-33"):
        found = of(sample, build)
        kept = [{(each.sort, each.name) for each in milestone.blockers} for milestone in found.milestones]
        assert kept[0] <= kept[1] <= kept[2] <= kept[3], build


def test_blockers_are_worst_first_and_each_has_a_step(sample: str) -> None:
    harms = list(HARMS)
    for build in ("drover", "drover-manual", "pair-unknown"):
        for milestone in of(sample, build).milestones:
            keys = [(SORTS[each.sort], harms.index(each.harm)) for each in milestone.blockers]
            assert keys == sorted(keys)
            assert all(each.step.startswith("matchmark ") for each in milestone.blockers)
            # One origin each, but for a break, which also says which need of the milestone it breaks.
            for each in milestone.blockers:
                origins = [each.finding, each.clash, each.need if each.fault is None else each.fault]
                assert sum(origin is not None for origin in origins) == 1


# -- limits of several milestones ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("depth", "milestone", "sort"),
    [("183 +/- 0.05 mm", "prime", "does not fit"), ("200 +/- 0.05 mm", "drive", "does not fit")],
)
def test_a_rule_blocks_from_the_limit_that_it_breaks(sample: str, depth: str, milestone: str, sort: str) -> None:
    """The pickup's gap: at least 1.5 mm counts from priming on, at most 12.7 mm from driving on.

    It is the depth + 1.9 mm of gasket - 184.2 mm of hang (sample): 0.7 mm and 17.7 mm.
    """
    found = of(sample, "drover-good", pan__sump_depth=depth)
    first = next(each for each in found.milestones if "pickup-floor-gap" in names(found, each.name, sort))
    assert first.name == milestone
    blocker = next(each for each in first.blockers if each.name == "pickup-floor-gap")
    assert blocker.milestone == milestone


def test_what_is_open_by_one_limit_and_broken_by_a_later_one(sample: str) -> None:
    # The gap is the depth + 1.9 mm of gasket - 184.2 mm of hang (sample): with +/- 30 mm nothing can be told.
    found = of(sample, "drover-good", pan__sump_depth="190 +/- 30 mm")
    assert "pickup-floor-gap" in names(found, "prime", "cannot tell")
    assert found.of("prime").state == CANNOT_TELL
    assert found.of("prime").probability is not None
    assert 0.025 < (found.of("prime").probability or 0.0) < 0.975


def test_the_step_of_what_cannot_be_told_is_a_reading_good_enough(sample: str) -> None:
    found = of(sample, "drover")
    step = next(each for each in found.of("drive").blockers if each.name == "pickup-floor-gap").step
    assert step == "matchmark reading drover pan.sump_depth=... --with steel-rule"
    missing = of(sample, "pair-unknown")
    blocker = next(each for each in missing.of("drive").blockers if each.name == "pickup-floor-gap")
    assert blocker.step.startswith("matchmark reading pair-unknown pan.sump_depth=... --with ")
    assert blocker.finding is not None
    needed = blocker.finding.drivers[0].needed
    assert needed is not None
    assert instruments()[blocker.step.rpartition(" ")[2]].u_at(0.19) <= needed
    twice = of(sample, "pair-contradiction")
    step = next(each for each in twice.of("drive").blockers if each.name == "pickup-floor-gap").step
    assert step.endswith(" --supersedes")


# -- lists ---------------------------------------------------------------------------------------------------------


def test_ticks_stand_item_by_item_and_come_last(sample: str) -> None:
    rows = board(answer_of(sample, roles={"first_start": "drover-half-ticked"})).of("drive").blockers
    open_items = [each.name for each in rows if each.sort == "not ticked"]
    assert len(open_items) == len(set(open_items))
    assert {"priming_pressure_seen", "fuel_joints_dry"} <= set(open_items)
    assert "turned_by_hand" not in open_items
    assert all(each.step == f"matchmark done drover-good {each.name}" for each in rows if each.sort == "not ticked")
    subsystems = {each.finding.rule.subsystem for each in rows if each.finding is not None}
    assert "ready" not in subsystems


def test_a_list_that_is_not_started_shows_its_items(sample: str) -> None:
    found = of(sample, "drover-manual")
    assert "first_start" not in names(found, "crank", "missing part")
    assert {"turned_by_hand", "bell_dowels", "pilot_bearing"} <= set(names(found, "crank", "not ticked"))
    assert "converter_sleeve" not in names(found, "crank", "not ticked")


def test_a_list_that_cannot_be_judged_is_not_ready(sample: str) -> None:
    """The buckets say nothing of what they hold, nor of the gearbox that they are for."""
    found = board(answer_of(sample, roles={"small_parts": "drover-box-unsorted"}))
    assert found.of("crank").state == NOT_READY
    assert "bell_dowels" in names(found, "crank", "not ticked")


# -- parts, circuits, gauges ---------------------------------------------------------------------------------------


def test_a_missing_part_is_found_and_what_is_only_read_begins_with_a_reading(sample: str) -> None:
    found = of(sample, "drover-manual")
    steps = {each.name: each.step for each in found.of("drive").blockers if each.sort == "missing part"}
    assert steps["pan"] == "matchmark find pan drover-manual"
    assert steps["battery_circuit"] == "matchmark find battery_circuit drover-manual"
    assert steps["oil_readings"].startswith("matchmark reading drover-manual oil_readings.cold_highest=... --with ")
    assert steps["carburettor or injector"] == "matchmark find carburettor drover-manual"


def test_an_empty_build_has_a_board(sample: str) -> None:
    answer = answer_of(sample)
    bare = Answer(answer.build._replace(parts={}), (), (), (), Settings())
    found = board(bare)
    assert [each.state for each in found.milestones] == [NOT_READY] * 4
    assert names(found, "prime", "missing part")[0] == "block"
    assert found.of("prime").probability is None


def test_a_break_blocks_its_circuit_from_its_milestone_on(sample: str) -> None:
    answer = answer_of(sample)
    found = board(answer, (), [Fault(), Fault("charge", "charge.cable", milestone="drive", words="no way back")])
    assert names(found, "prime", "circuit") == ["oil: pump to filter"]
    assert len(names(found, "fire", "circuit")) == 1
    assert len(names(found, "drive", "circuit")) == 2
    assert found.of("prime").state == NOT_READY
    first = found.of("prime").blockers[0]
    assert (first.step, first.words) == ("matchmark circuits drover-good oil", "the ends differ")


def test_a_break_that_repeats_a_finding_or_a_missing_part_is_left_out(sample: str) -> None:
    answer = answer_of(sample, "drover")
    told = Fault(finding="passage-sealing", rule="passage-sealing", roles=("block", "pan"))
    assert names(board(answer, (), [told]), "prime", "circuit") == []
    bare = answer_of(sample, "drover-manual")
    assert names(board(bare, (), [Fault()]), "prime", "circuit") == []  # pump and filter are missing there


def test_a_gauge_that_showed_nothing_stands_against_the_tick(sample: str) -> None:
    answer = answer_of(sample)
    assert board(answer, [reading(2.5e5, 1)]).of("crank").state == READY
    dead = board(answer, [reading(2.5e5, 1), reading("none", 2)])
    assert names(dead, "crank", "circuit") == ["oil: oil-gallery"]
    assert dead.of("prime").state == READY
    assert dead.of("crank").blockers[0].step.startswith("matchmark reading drover-good oil-gallery=...")
    mended = board(answer, [reading(0.0, 2), reading(3e5, 3)])
    assert mended.of("crank").state == READY
    unnumbered = reading(3e5, 1)._replace(start=None)
    assert board(answer, [reading(0.0, 2), unnumbered]).of("crank").state == READY, "the same day, and later"
    later = reading(0.0, 1)._replace(date="2024-06-01")
    assert board(answer, [reading(3e5, 3), later]).of("crank").state == NOT_READY
    assert board(answer, [reading(0.0, 1, state="at_rest")]).of("crank").state == READY


def test_an_uncertain_clash_cannot_be_told(sample: str) -> None:
    answer = answer_of(sample, "drover")
    unsure = answer._replace(
        clashes=tuple(each._replace(unknown=("pan.sump_depth",)) for each in answer.clashes),
        findings=tuple(each for each in answer.findings if each.verdict == FITS),
    )
    found = board(unsure)
    assert found.of("prime").state == CANNOT_TELL
    blocker: Blocker = found.of("prime").blockers[0]
    assert blocker.sort == OPEN
    assert blocker.step.startswith("matchmark reading drover pan.sump_depth=...")


def test_what_is_mended_at_the_car_is_read_again(sample: str) -> None:
    """The crank's end float is no part that one could buy: after the fix it is measured anew."""
    found = of(sample, "drover-good", crank_float__with_gearbox="0.01 +/- 0.005 mm")
    rows = [each for each in found.of("crank").blockers if each.name.startswith("crank-end-float")]
    assert rows
    assert all(each.sort == "does not fit" for each in rows)
    assert all(each.step.startswith("matchmark reading drover-good crank_float.") for each in rows)
    # A cable is a part: another one can be bought.
    thin = of(sample, "drover-good", feed_cable__length="11 m")
    steps = {each.step for each in thin.of("crank").blockers if each.finding is not None and each.sort != OPEN}
    assert steps == {"matchmark plan drover-good --change"}
