"""What a measurement is worth: against hand sums, and against worlds in which the advised reading is taken."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.base import Base
from kb.chance import FITS, NOT, OPEN
from kb.errors import Fault, UnknownName
from kb.finding import Finding
from kb.judge import Answer, judge
from kb.measure import Instrument, Term, instruments
from kb.rules._rule import HARMS
from kb.worth import Advice, advice
from kb.worth.advised import Measurement
from kb.worth.ordering import LEAST
from kb.worth.prospects import LOOK_UP, after, prospect, reading_of, tools_for, with_facts
from kb.worth.settle import FALLS, HALVINGS, STEPS, Taken, _integrated, _Outcome, judge_again, lattice, settling

EXACT = {"pan_gasket.stop_thickness": "2.1 mm", "pickup.hang": "184.2 mm"}  # typed in without a tolerance: exact


@pytest.fixture(scope="module")
def base(sample: str) -> Iterator[Base]:
    with Base(sample) as opened:
        yield opened


def found(answer: Answer, name: str) -> Finding:
    return next(each for each in answer.findings if each.name == name)


def tool(half_width: float, id: str = "own", minutes: float = 5.0, shape: str = "rectangular") -> Instrument:
    return Instrument(
        id,
        id,
        ("length", "depth", "step"),
        half_width,
        0.0,
        shape,
        0.0,
        minutes,
        ("yard", "bench", "car"),
        "",
        "",
        "test",
    )


# -- hand sums ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("half", [0.5e-3, 1e-3, 3e-3])
def test_a_missing_figure_between_two_limits(base: Base, half: float) -> None:
    """The gap is sump depth + gasket - hang, allowed from 1.5 to 12.7 mm, and the depth plausible from 40 to 320 mm.

    Derived from the definition: a reading with a rectangular error of half width h puts 97.5 % beyond a limit from
    0.95 h inside it, and 2.5 % up to 0.95 h outside, so each limit leaves 1.9 h open; readings are spread evenly, far
    from the ends of the range: open are 2 x 1.9 h of 280 mm, and it fits in 11.2 mm less 2 x 0.95 h of them.
    """
    finding = found(base.check("pair-unknown", overrides=EXACT), "pickup-floor-gap")
    leaf = finding.drivers[0].leaf
    one = settling(finding, Taken(leaf, tool(half)), base.settings("pair-unknown"))
    assert one is not None
    assert leaf.feature.plausible == (0.040, 0.320)
    assert [limit.bound for limit in finding.rule.limits] == [1.5e-3, 12.7e-3]
    assert one.settled == pytest.approx(1.0 - 2 * 1.9 * half / 0.280, abs=one.error + 1e-3)
    assert one.fits == pytest.approx((11.2e-3 - 1.9 * half) / 0.280, abs=2 * one.error + 1e-3)
    assert one.falls == 0.0
    assert one.error < 0.005


def test_a_perfect_reading_of_the_only_doubt_settles_it(base: Base) -> None:
    """An exact reading of the only uncertain input decides whatever it says: derived from the definition."""
    answer = base.check("drover", overrides={**EXACT, "pan.sump_depth": "194 +/- 1.5 mm"})
    finding = found(answer, "pickup-floor-gap")
    (driver,) = finding.drivers
    one = settling(finding, Taken(driver.leaf, tool(0.0)), answer.settings)
    assert one is not None
    assert one.settled == pytest.approx(1.0, abs=one.error)
    # What the reading says is spread as the depth is: it fits with the probability that the finding states.
    assert finding.probability is not None
    assert one.fits == pytest.approx(finding.probability, abs=one.error + 0.01)


def test_a_finer_instrument_is_worth_more(base: Base) -> None:
    answer = base.check("drover")
    finding = found(answer, "pickup-floor-gap")
    leaf = finding.drivers[0].leaf
    worths = [settling(finding, Taken(leaf, tool(half)), answer.settings) for half in (5e-3, 1e-3, 0.2e-3, 0.02e-3)]
    settled = [each.settled for each in worths if each is not None]
    assert settled == sorted(settled)
    assert settled[0] < 0.3 < 0.8 < settled[-1]


@given(cut=st.floats(0.0, 1.0), width=st.floats(0.0, 0.5))
def test_the_average_over_quantiles_of_a_verdict_that_changes_twice(cut: float, width: float) -> None:
    """No below the cut, cannot tell for `width`, then yes: shares by the definition, within the stated error."""

    def outcome(q: float) -> _Outcome:
        verdict = NOT if q < cut else OPEN if q < cut + width else FITS
        return _Outcome(verdict, q - cut - width)

    one = _integrated(outcome, STEPS, HALVINGS, 8)
    share = 1.0 - max(0.0, min(1.0, cut + width) - cut)
    # A doubt narrower than the distance of two quantiles may hide between them.
    missed = width if width <= 1.0 / STEPS else 0.0
    assert one.settled == pytest.approx(share, abs=one.error + missed + 2e-3)


def test_a_good_window_between_two_quantiles_is_found() -> None:
    """A window of 1 % of all readings, a sixth of the distance of two quantiles: the margin leads to it."""

    def outcome(q: float) -> _Outcome:
        margin = 0.005 - abs(q - 0.41)
        return _Outcome(FITS if margin >= 0.0 else NOT, margin)

    one = _integrated(outcome, STEPS, HALVINGS, 8)
    assert one.fits == pytest.approx(0.01, abs=one.error + 1e-3)
    assert one.settled == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("dimensions", [1, 2, 3, 6])
def test_the_lattice_fills_the_cube_evenly(dimensions: int) -> None:
    """Means of 1/2 and of squares of 1/3 on every axis, as of an even spread; no two points alike."""
    points = lattice(dimensions, 96)
    assert len(set(points)) == 96
    for axis in range(dimensions):
        values = [point[axis] for point in points]
        assert all(0.0 <= each < 1.0 for each in values)
        assert math.fsum(values) / 96 == pytest.approx(0.5, abs=0.02)
        assert math.fsum(each * each for each in values) / 96 == pytest.approx(1 / 3, abs=0.03)


# -- worlds ------------------------------------------------------------------------------------------------------------


def error_of(term: Term, rng: random.Random) -> float:
    if term.shape == "normal":
        return rng.gauss(0.0, term.u)
    if term.shape == "triangular":
        return term.half_width * (rng.random() - rng.random())
    return rng.uniform(-1.0, 1.0) * term.half_width


def true_value(leaf: Any, rng: random.Random) -> Any:
    if leaf.dimension is not None:
        return leaf.dimension.value + sum(error_of(term, rng) for term in leaf.dimension.terms)
    if leaf.options:
        return rng.choice(leaf.options)
    return rng.uniform(*leaf.feature.plausible)


def read_off(leaf: Any, instrument: Instrument, truth: Any, rng: random.Random) -> Any:
    if leaf.feature.sort != "dimension":
        return truth
    return truth + error_of(reading_of(instrument, truth).term(leaf.feature.quantity), rng)


WORLDS = [
    ("drover", {}, "pickup-floor-gap", 400),
    ("pair-unknown", {}, "pickup-floor-gap", 400),
    ("pair-unknown", {}, "pickup-inlet-area", 400),
    ("pair-contradiction", {}, "pickup-floor-gap", 400),
    ("drover-good", {"hole:alternator.stack": "?"}, "bolt-bottoming:alternator", 300),
    ("drover-good", {"battery.sealed": "?"}, "battery-vent", 100),
]


@pytest.mark.parametrize(("build", "overrides", "name", "count"), WORLDS)
def test_the_advised_reading_settles_as_often_as_promised(
    base: Base, build: str, overrides: dict[str, str], name: str, count: int
) -> None:
    """Seeded worlds: a true value, the reading with the instrument's error, the finding judged again by `judge`."""
    told = base.measure(build, overrides=overrides)
    item = next(each for each in told.items if any(one.name == name for one, _ in each.settles))
    (reading,) = item.readings
    finding, promised = next(pair for pair in item.settles if pair[0].name == name)
    settings = base.settings(build)
    rng = random.Random(20240513)
    settled = fits = 0
    for _ in range(count):
        said = read_off(reading.leaf, reading.tool, true_value(reading.leaf, rng), rng)
        fact = after(reading.leaf, reading.tool, said)
        again = judge(finding.rule, with_facts(finding.question.build, {reading.leaf: fact}), settings)
        settled += again.verdict != OPEN
        fits += again.verdict == FITS
    for share, p in ((settled / count, promised.settled), (fits / count, promised.fits)):
        held = (share * count + 1) / (count + 2)
        assert share == pytest.approx(p, abs=3 * math.sqrt(held * (1 - held) / count) + promised.error)


def test_readings_taken_together_settle_as_often_as_promised(base: Base) -> None:
    """The same for two missing figures that decide only together."""
    told = base.measure("pair-unknown", overrides={"pickup.hang": "?"})
    (item,) = told.items
    assert {each.name for each in item.readings} == {"pan.sump_depth", "pickup.hang"}
    rng = random.Random(7)
    settings = base.settings("pair-unknown")
    for finding, promised in item.settles:
        settled, count = 0, 400
        for _ in range(count):
            facts = {}
            for each in item.readings:
                said = read_off(each.leaf, each.tool, true_value(each.leaf, rng), rng)
                facts[each.leaf] = after(each.leaf, each.tool, said)
            settled += judge_again(finding, facts, settings).verdict != OPEN
        held = (settled + 1) / (count + 2)
        by_chance = 3 * math.sqrt(held * (1 - held) / count)
        assert settled / count == pytest.approx(promised.settled, abs=by_chance + promised.error)


def test_the_whole_list_settles_what_it_expects(base: Base) -> None:
    """Every reading of the list taken in one world: over many worlds the verdicts settled come to the promised sum."""
    overrides = {"pickup.hang": "?", "battery.sealed": "?", "hole:alternator.stack": "?"}
    told = base.measure("drover-good", overrides=overrides)
    settings = base.settings("drover-good")
    rng = random.Random(3)
    counts = []
    for _ in range(40):
        facts = {}
        for each in told.readings:
            said = read_off(each.leaf, each.tool, true_value(each.leaf, rng), rng)
            facts[each.leaf] = after(each.leaf, each.tool, said)
        counts.append(sum(judge_again(one, facts, settings).verdict != OPEN for one in told.undecided))
    mean = math.fsum(counts) / len(counts)
    spread = math.sqrt(math.fsum((each - mean) ** 2 for each in counts) / len(counts) / (len(counts) - 1))
    error = sum(each.error for each in told.items)
    assert mean == pytest.approx(told.expected, abs=3 * max(spread, 0.05) + error)


# -- the list ----------------------------------------------------------------------------------------------------------


def test_one_reading_serves_every_finding_that_reads_the_same_input(base: Base) -> None:
    told = base.measure("drover-good", overrides={"pickup.hang": "?"})
    (item,) = told.items
    assert {one.name for one, _ in item.settles} == {each.name for each in told.undecided}
    assert len(item.settles) > 3
    assert item.settled == pytest.approx(sum(each.settled for _, each in item.settles))
    assert sum(item.by_harm.values()) == pytest.approx(item.settled)
    assert list(item.by_harm) == [harm for harm in HARMS if harm in item.by_harm]


def test_what_is_decided_needs_no_reading(base: Base) -> None:
    told = base.measure("drover-good")
    assert (told.undecided, told.items, told.expected) == ((), (), 0.0)


def test_the_best_for_its_minutes_comes_first_and_nothing_is_read_twice(base: Base) -> None:
    told = base.measure("drover-good", overrides={"pickup.hang": "?", "battery.sealed": "?", "belt.ribs": "?"})
    rates = [item.added / item.minutes for item in told.items]
    assert rates == sorted(rates, reverse=True)
    keys = [each.key for item in told.items for each in item.readings]
    assert len(keys) == len(set(keys)) == 3
    assert all(LEAST <= item.added <= item.settled + 1e-12 for item in told.items)
    assert told.expected <= len(told.undecided) + 1e-9


def test_the_list_is_the_same_every_time(base: Base) -> None:
    def names(told: Advice) -> list[Any]:
        return [([each.name for each in item.readings], item.settled, item.added) for item in told.items]

    asked = {"pickup.hang": "?", "battery.sealed": "?"}
    assert names(base.measure("drover-good", overrides=asked)) == names(base.measure("drover-good", overrides=asked))


def test_tool_by_tool(base: Base) -> None:
    asked = {"pickup.hang": "?", "battery.sealed": "?", "belt.ribs": "?", "hole:alternator.stack": "?"}
    told = base.measure("drover-good", overrides=asked, order="tool")
    tools = [item.readings[0].tool.id for item in told.items]
    assert [tools.index(each) for each in tools] == sorted(tools.index(each) for each in tools)  # kept together
    sums = {each: sum(i.added for i in told.items if i.readings[0].tool.id == each) for each in tools}
    assert list(dict.fromkeys(tools)) == sorted(sums, key=lambda each: -sums[each])


def test_parts_that_nobody_owns_are_in_the_yard_and_the_cars_own_on_the_car(base: Base) -> None:
    def where(build: str, overrides: dict[str, str], **more: Any) -> dict[str, str]:
        told = base.measure(build, overrides=overrides, **more)
        return {each.name: each.where for each in told.readings}

    assert where("drover", {}) == {"pan.sump_depth": "bench"}  # the first pan is owned
    assert where("pair-unknown", {}) == {"pan.sump_depth": "yard"}
    assert where("drover", {}, at="yard") == {}
    assert where("pair-unknown", {}, at="yard") == {"pan.sump_depth": "yard"}
    assert where("pair-unknown", {}, at="car") == {}


def test_only_with_the_tools_that_one_has(base: Base) -> None:
    def tools(*named: str) -> list[str]:
        return [each.tool.id for each in base.measure("drover", tools=named).readings]

    assert tools("depth-gauge") == ["depth-gauge"]
    assert tools("micrometer") == []  # it reads no depth
    assert tools("yard-rule") == ["yard-rule"]  # the base's own: it reads depths, if only to 1.5 mm
    with pytest.raises(UnknownName, match="no instrument named 'depht-gauge'"):
        base.measure("drover", tools=["depht-gauge"])


def test_an_instrument_of_ones_own_suits_where_it_shares_a_way_of_measuring(base: Base) -> None:
    leaf = found(base.check("drover"), "pickup-floor-gap").drivers[0].leaf
    table = {**instruments(), "mine": tool(1e-4, "mine"), "worn": base.instrument("worn-caliper")}
    assert [each.id for each in tools_for(leaf, table, ["mine", "worn"])] == ["mine"]


def test_up_to_a_milestone(base: Base) -> None:
    asked = {"pickup.hang": "?", "battery.sealed": "?"}
    early = base.measure("drover-good", overrides=asked, milestone="prime")
    late = base.measure("drover-good", overrides=asked, milestone="drive")
    assert {each.name for each in early.undecided} < {each.name for each in late.undecided}
    assert all(
        any(limit.milestone == "prime" for limit in each.rule.limits) for each in early.undecided
    )  # nothing is known that says which limit


@pytest.mark.parametrize("wrong", [{"milestone": "win"}, {"at": "moon"}, {"order": "price"}])
def test_words_that_there_are_not(base: Base, wrong: dict[str, str]) -> None:
    with pytest.raises(Fault, match="there is no"):
        base.measure("drover", **wrong)  # type: ignore[arg-type]


def test_readings_that_contradict_each_other_are_set_aside_by_the_next(base: Base) -> None:
    (reading,) = base.measure("pair-contradiction").readings
    assert reading.supersedes
    dimension = after(reading.leaf, reading.tool, 0.189)
    assert dimension.contradiction == ""
    assert dimension.value == 0.189


def test_a_reading_that_makes_the_rule_fall_away_settles_it(base: Base) -> None:
    """A bead is asked about only where sealant was used: `when` of the rule, either answer decides."""
    answer = base.check("drover-good", overrides={"sealing_job.sealant": "?"})
    finding = found(answer, "sealant-bead")
    leaf = next(each.leaf for each in finding.drivers if each.leaf.name == "sealing_job.sealant")
    verdicts = {option: judge_again(finding, {leaf: option}, answer.settings).verdict for option in leaf.options}
    assert FALLS in verdicts.values()
    one = settling(finding, Taken(leaf, instruments()["eye"]), answer.settings)
    assert one is not None
    # Every option is as likely as the others, and they are counted one by one: exact.
    assert one.falls == sum(each == FALLS for each in verdicts.values()) / len(verdicts)
    assert one.error == 0.0


def test_what_nobody_states_is_taken_from_other_parts(base: Base) -> None:
    answer = base.check("drover-good", overrides={"belt.ribs": "?"})
    leaf = next(each.leaf for f in answer.findings for each in f.drivers if each.leaf.name == "belt.ribs")
    assert prospect(leaf, "belt", instruments()["eye"]) is None
    seen = prospect(
        leaf, "belt", instruments()["eye"], lambda kind, path: [5, 6] if (kind, path) == ("belt", "ribs") else []
    )
    assert seen is not None
    assert (seen.values, seen.from_others) == ((5, 6), True)
    told = advice(answer)  # without the other parts nobody can foresee it
    assert [each.name for each in told.unforeseen] == ["belt.ribs"]
    assert told.items == ()


def test_a_figure_without_an_instrument_is_looked_up(base: Base) -> None:
    answer = base.check("drover-good", overrides={"duty.power": "?"})
    leaf = next(each.leaf for f in answer.findings for each in f.drivers if each.leaf.name == "duty.power")
    assert leaf.feature.tools == ()
    assert tools_for(leaf, instruments()) == [LOOK_UP]
    assert tools_for(leaf, instruments(), ["caliper"]) == [LOOK_UP]


def test_the_accuracy_needed_is_the_finest_that_a_finding_asks_for(base: Base) -> None:
    told = base.measure("drover")
    (reading,) = told.readings
    assert isinstance(reading, Measurement)
    assert reading.needed == found(base.check("drover"), "pickup-floor-gap").drivers[0].needed


def test_progress_is_told(base: Base) -> None:
    said: list[tuple[str, int, int]] = []
    base.measure("drover", progress=lambda *each: said.append(each))
    assert said[-1][1] == said[-1][2]
    assert {each[0] for each in said} == {"weighing readings", "weighing readings together"}
