"""The nine symptom trees: every line is covered, and a walk down each ends at the cause that the tree names."""

from __future__ import annotations

import random
import statistics
from collections.abc import Iterator

import numpy as np
import pytest

from kb.base import Base
from kb.errors import Fault, UnknownName
from kb.gauges import places
from kb.roles import ROLES
from kb.rules import load_rules
from kb.trace.phrases import examples, understood
from kb.trace.session import Session
from kb.trace.trees import COMPLAINT, OTHERS, figures, load, trees
from tests.benchmarks.trace import Fault as Seeded
from tests.benchmarks.trace import Workshop, answered, faults, open_workshop, run

# Numbered lines of each tree of the trade page; the last has none, and two meanings.
LINES = {
    "oil-prime": 9, "no-spark": 6, "sync-lost": 7, "belt": 7, "hard-crank": 6, "mixture": 5, "overheating": 7,
    "oil-leak": 6, "hanging-pressure": 2,
}  # fmt: skip


@pytest.fixture(scope="module")
def base(sample: str) -> Iterator[Base]:
    with Base(sample) as opened:
        yield opened


@pytest.fixture(scope="module")
def shop(base: Base) -> Workshop:
    return open_workshop(base, "drover-good")


# -- the data ----------------------------------------------------------------------------------------------------------


def test_every_line_of_the_trees_is_covered_by_tests_and_causes() -> None:
    assert list(trees())[: len(LINES)] == list(LINES)
    letters = [each.letter for each in trees().values()]
    assert letters[: len(LINES)] == list("ABCDEFGHI")
    assert len(set(letters)) == len(letters)
    for id, tree in trees().items():
        assert len(tree.lines) == LINES.get(id, len(tree.lines))
        tests, causes = {each.id for each in tree.tests}, {each.id for each in tree.causes}
        for line in tree.lines:
            assert line.tests, (id, line.id)
            assert line.causes, (id, line.id)
            assert set(line.tests) <= tests, (id, line.id)
            assert set(line.causes) <= causes, (id, line.id)
        assert {each for line in tree.lines for each in line.causes} == causes, id  # no cause that no line names


@pytest.mark.parametrize("id", list(LINES))
def test_a_tree_names_what_exists(id: str) -> None:
    tree = trees()[id]
    rules, shared = load_rules(), figures()
    names = {each.id for each in tree.causes}
    assert len(names) == len(tree.causes)
    for cause in tree.causes:
        assert set(cause.needs) <= set(ROLES), cause.id
        assert set(cause.roles) <= set(ROLES), cause.id
        assert set(cause.rules) <= set(rules), (cause.id, set(cause.rules) - set(rules))
        assert cause.kind in shared.kinds
        assert cause.fix
    for test in tree.tests:
        assert set(test.shows) <= names | {OTHERS}, test.id
        assert len(test.outcomes) >= 2
        assert set(test.tools) <= set(shared.tools), test.id
        assert test.default in test.outcomes
        given = {outcome for shows in test.shows.values() for outcome in shows}
        assert given <= set(test.outcomes), test.id
        for row in [test.row(name) for name in ("", *names)]:
            assert sum(row) == pytest.approx(1.0)
            assert min(row) >= 0.0
        if test.seen is not None:
            assert test.seen.place in places()
            assert {outcome for _, outcome in test.seen.at_least} <= set(test.outcomes)
            assert set(test.seen.codes.values()) <= set(test.outcomes)
            assert set(test.seen.codes) <= set(places()[test.seen.place].options), test.id
        if test.flow is not None:
            assert test.flow.place in places()
            for shows in test.flow.shows.values():
                assert set(shows) <= set(test.outcomes)
                assert sum(shows.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("id", list(LINES))
def test_every_cause_of_a_tree_can_be_told_from_every_other(id: str) -> None:
    tree = trees()[id]
    rows = {each.id: np.concatenate([test.row(each.id) for test in tree.tests]) for each in tree.causes}
    for first in rows:
        for second in rows:
            if first < second:
                assert np.abs(rows[first] - rows[second]).max() > 0.4, (first, second)


def test_every_figure_says_where_it_comes_from() -> None:
    data = load("kinds")
    for kind in data["kinds"].values():
        assert kind["origin"] in ("memory", "practice")
        assert 0.0 < kind["rate"] < 0.5
    assert "no published source" in data["about"]


# -- scripted sessions -------------------------------------------------------------------------------------------------

# A walk down each tree: answers as its lines tell them, and the cause at the end of that line.
WALKS = [
    # A1, A2, A6, A4: gauge true, pump turned, no jet at the pad, level good; A5: pressure appears, then fades
    ("oil-prime", "mechanical-gauge=fades slot-turning=turns drill-direction=right counted-oil=enough foot-place=good "
     "fill-suction=fades suction-vacuum=leaks", "suction-leak"),
    # A2: no bog, slot stands still
    ("oil-prime", "drill-feel=free slot-turning=still", "drive-not-engaged"),
    # A6, A7: oil jets at the pad, a loud trickle, the wire finds an open gallery
    ("oil-prime", "drill-feel=bogs pad-jet=jets trickle=trickle gallery-air=open", "plug-missing"),
    # A6: jets, no plug missing, the stack at the pad is wrong
    ("oil-prime", "pad-jet=jets trickle=quiet gallery-air=closed pad-stack=wrong", "filter-short-circuit"),
    # A1 and A8
    ("oil-prime", "mechanical-gauge=pressure", "gauge-untrue"),
    ("oil-prime", "fill-suction=none drill-feel=drags relief-slides=stuck", "relief-open"),
    # B1: zero rpm, ring there, millivolts only, gap too wide
    ("no-spark", "live-speed=zero wheel-seen=whole sensor-millivolts=weak gap-feelers=outside", "gap-wide"),
    # B2, B3, B4, B4
    ("no-spark", "live-speed=jumps count-teeth=other", "pattern-wrong"),
    ("no-spark", "live-speed=steady static-angle=off coil-lamp=flashes lead-order=order", "index-wrong"),
    ("no-spark", "live-speed=steady coil-lamp=flashes coil-volts=drops", "ballast-feed"),
    ("no-spark", "live-speed=steady coil-volts=volts coil-lamp=steady", "coil-driver"),
    # C1 and C7: the same speed each time, missing teeth, better with half the filter
    ("sync-lost", "when-lost=same-speed tooth-log=missing filter-halved=higher", "filter-too-long"),
    ("sync-lost", "when-lost=load swap-plugs=cured", "plugs-noisy"),
    ("sync-lost", "when-lost=quick tooth-log=missing wheel-dial=true gap-cold=wide", "few-teeth-wide-gap"),
    ("sync-lost", "cam-unplugged=cured", "cam-edges"),
    # D1, D2: a chirp, one plane off, washers right, hub right
    ("belt", "sound=chirp straight-edge=off washers=right hub-measured=same damper-mark=agrees", "planes-apart"),
    ("belt", "dust=one-side straight-edge=tilted bracket-screws=tight bracket-seat=gap", "bracket-tilts"),
    ("belt", "sound=squeal load=comes arm=middle groove-bottom=dull", "wrap-small"),
    ("belt", "thrown-when=high flanges=guided damper-mark=off", "damper-ring-walked"),
    # E1 to E4
    ("hard-crank", "rest-volts=low crank-volts=falls charge-ends=same", "battery-weak"),
    ("hard-crank", "crank-volts=holds feed-drop=large ground-drop=small joint-drop=small", "feed-cable-thin"),
    ("hard-crank", "feed-drop=small ground-drop=large strap-seen=there jumper-ground=faster", "ground-link-bad"),
    ("hard-crank", "smoke=smokes strap-seen=missing", "strap-missing"),
    ("hard-crank", "feed-drop=small ground-drop=small spark-off=free", "timing-early"),
    # F1 to F5
    ("mixture", "water-shake=other", "fuel-other"),
    ("mixture", "where=lean-all water-shake=thought jet-numbers=small", "jets-small"),
    ("mixture", "where=rich-all jet-numbers=large", "jets-large"),
    ("mixture", "where=rich-idle return-can=drops", "return-hang"),
    ("mixture", "where=lean-high pressure-full=falls filter-cut=blocked", "filter-blocked"),
    # G1 to G7
    ("overheating", "when-hot=idle paper=blown", "fan-wrong"),
    ("overheating", "when-hot=always belt-traced=wrong", "pump-backwards"),
    ("overheating", "bubbles=rising gas-test=yellow hose-route=right", "gasket-leaks"),
    ("overheating", "bubbles=stop vents=air", "air-trapped"),
    ("overheating", "when-hot=never infrared-gauge=cooler", "sender-dry"),
    # H2 to H6
    ("oil-leak", "highest-wet=bell glove=limp float-dial=inside drains-pour=runs seal-type=wrong", "rear-seal"),
    ("oil-leak", "glove=blown vent-path=shut", "vent-shut"),
    ("oil-leak", "stick-looks=bubbles drained-volume=over", "overfilled"),
    ("oil-leak", "stick-looks=bubbles drained-volume=agrees revved-pressure=falls foam-at-level=froths corners=no "
     "suction-hold=leaks", "suction-air"),
    ("oil-leak", "stick-looks=milky", "water-in-oil"),
    # I, both meanings
    ("hanging-pressure", "which=fuel return-can=drops", "return-small"),
    ("hanging-pressure", "which=oil mechanical-oil=same relief-slides=stuck", "relief-shut"),
]  # fmt: skip


@pytest.mark.parametrize(("symptom", "answers", "cause"), WALKS, ids=[f"{w[0]} {w[2]}" for w in WALKS])
def test_a_walk_down_a_tree_ends_at_its_cause(shop: Workshop, symptom: str, answers: str, cause: str) -> None:
    session = Session.start(shop.models[symptom])
    assert session.clear is None  # nothing stands clear before the first answer
    for each in answers.split():
        test, outcome = each.split("=")
        session = session.answered(test, outcome)
        assert not session.steps[-1].contradicts, each
    assert session.ranked[0].cause.id == cause
    assert session.ranked[0].probability > 0.6
    # whoever goes on from there as it proposes, and reads truly, ends with that cause clear
    chance = random.Random(1)
    for _ in range(12):
        if session.state != "open":
            break
        proposed = session.proposed
        assert proposed is not None
        fault = Seeded(symptom, cause, "")
        session = session.answered(proposed.id, answered(shop, fault, proposed, chance, 0.0))
    assert session.clear is not None
    assert session.clear.cause.id == cause


def test_two_faults_are_found_together(shop: Workshop) -> None:
    """A flat battery and a bad ground: neither explains all the readings, both do."""
    session = Session.start(shop.models["hard-crank"])
    for test, outcome in (
        ("rest-volts", "low"), ("crank-volts", "falls"), ("charge-ends", "same"), ("ground-drop", "large"),
        ("jumper-ground", "faster"), ("strap-seen", "there"),
    ):  # fmt: skip
        session = session.answered(test, outcome)
    first, second, third = session.ranked[:3]
    assert {first.cause.id, second.cause.id} == {"battery-weak", "ground-link-bad"}
    assert second.probability > 0.9
    assert first.alone < 0.1
    assert third.probability < 0.1
    assert [each.cause.id for each in session.also] == [second.cause.id]


def test_the_walks_visit_every_tree() -> None:
    assert {symptom for symptom, _, _ in WALKS} == set(LINES)


# -- sessions ----------------------------------------------------------------------------------------------------------


def test_every_step_can_be_taken_back(shop: Workshop) -> None:
    states = [Session.start(shop.models["oil-prime"])]
    for test, outcome in (("drill-feel", "bogs"), ("pad-jet", None), ("trickle", "trickle")):
        states.append(states[-1].answered(test, outcome))
    session = states[-1]
    for before in reversed(states[:-1]):
        session = session.undone()
        assert session.answers == before.answers
        assert session.belief.causes.tolist() == before.belief.causes.tolist()
    assert session.undone().answers == ()


def test_an_unknown_answer_tells_nothing_and_is_not_asked_again(shop: Workshop) -> None:
    session = Session.start(shop.models["belt"])
    first = session.proposed
    assert first is not None
    after = session.answered(first.id, None)
    assert after.belief.causes.tolist() == session.belief.causes.tolist()
    assert after.proposed is not None
    assert after.proposed.id != first.id


def test_a_second_answer_to_a_test_replaces_the_first(shop: Workshop) -> None:
    session = Session.start(shop.models["belt"]).answered("sound", "chirp").answered("sound", "squeal")
    assert [(each.test, each.outcome) for each in session.answers] == [("sound", "squeal")]


def test_the_order_of_the_answers_does_not_matter(shop: Workshop) -> None:
    pairs = [("sound", "chirp"), ("dust", "one-side"), ("straight-edge", "tilted")]
    there, back = (Session.start(shop.models["belt"]) for _ in range(2))
    for test, outcome in pairs:
        there = there.answered(test, outcome)
    for test, outcome in reversed(pairs):
        back = back.answered(test, outcome)
    assert there.belief.causes == pytest.approx(back.belief.causes, rel=1e-9)


def test_a_reading_that_contradicts_all_causes_is_said_to(shop: Workshop) -> None:
    session = Session.start(shop.models["oil-prime"])
    for test, outcome in (("drill-feel", "free"), ("slot-turning", "still")):
        session = session.answered(test, outcome)
        assert not session.steps[-1].contradicts
    # the pump stands still, and yet oil jets at the pad
    session = session.answered("pad-jet", "jets")
    assert session.steps[-1].contradicts
    assert session.steps[-1].misled > 0.5
    assert min(each.probability for each in session.ranked) > 0.0


def test_more_readings_never_make_the_true_fault_impossible(shop: Workshop) -> None:
    """A builder who reads wrongly half the time: whatever was wrong stays possible, and so does everything else."""
    chance = random.Random(7)
    every = faults(shop)
    for _ in range(30):
        fault = chance.choice(every)
        session = Session.start(shop.models[fault.symptom])
        for test in chance.sample(session.model.tests[1:], min(8, len(session.model.tests) - 1)):
            session = session.answered(test.id, answered(shop, fault, test, chance, 0.5))
        true = next(each for each in session.ranked if each.cause.id == fault.cause)
        assert true.probability > 0.0
        assert all(each.alone > 0.0 for each in session.ranked)
        assert session.nothing > 0.0


def test_what_is_unknown_here_is_refused_with_what_there_is(shop: Workshop) -> None:
    session = Session.start(shop.models["belt"])
    with pytest.raises(UnknownName, match="no test for belt named 'sond'") as caught:
        session.answered("sond", "chirp")
    assert "sound" in caught.value.step
    with pytest.raises(UnknownName, match="no outcome of sound named 'bang'") as caught:
        session.answered("sound", "bang")
    assert "chirp" in caught.value.step
    with pytest.raises(Fault, match="symptom itself"):
        session.answered(COMPLAINT, "absent")


def test_effort_counts_a_missing_tool_and_an_opened_engine(base: Base, shop: Workshop) -> None:
    from kb.trace.model import effort, usual_tools

    made = shop.models["oil-prime"]
    vacuum, trickle = made.test("suction-vacuum"), made.test("trickle")
    # hand sum from kb/data/causes: 20 minutes + 60 for the pump to be got + 120 for the pan
    assert effort(vacuum, usual_tools()) == 200
    assert effort(vacuum, usual_tools() | {"vacuum-pump"}) == 140
    assert effort(trickle, usual_tools()) == 5
    lacking = base.trace("drover-good", "oil-prime", tools=usual_tools() - {"drill"})
    assert lacking.proposed is not None
    assert "drill" not in lacking.proposed.tools


# -- the model of a very build -----------------------------------------------------------------------------------------


def test_the_rules_and_the_records_of_this_build_raise_its_causes(base: Base) -> None:
    session = base.trace("drover", "oil-prime", recorded=False)
    lead = session.ranked[0].cause
    assert lead.id == "passage-open"  # what is wrong with that build, see sample_db
    assert lead.clashes == ("aldine-pan-on-calder-38",)
    assert lead.broken
    good = {each.cause.id: each.cause for each in base.trace("drover-good", "oil-prime").ranked}
    assert lead.prior > good["passage-open"].prior
    assert good["passage-open"].clashes == ()
    # what its builder read when priming bears it out: no pressure, though the pump moves oil
    read = base.trace("drover", "oil-prime")
    assert {each.test: each.outcome for each in read.answers} == {"mechanical-gauge": "none", "pump-flow": "steady"}
    assert read.clear is not None
    assert read.clear.cause.id == "passage-open"


def test_a_prior_is_the_rate_of_its_kind_and_the_doubt_of_its_rules(base: Base) -> None:
    causes = {each.cause.id: each.cause for each in base.trace("drover", "oil-prime").ranked}
    foot = causes["foot-uncovered"]
    findings = {each.name: each for each in base.check("drover").findings}
    chance = findings[foot.doubtful].probability
    assert chance is not None
    assert foot.holds == chance
    assert foot.prior == pytest.approx(1 - (1 - foot.base) * chance)
    assert foot.holds == min(
        each.probability if each.probability is not None else 0.85  # unknown_holds of kinds.json
        for name, each in findings.items()
        if each.rule.id in foot.rules and each.because not in ("nothing", "outside_usual")
    )


def test_causes_that_this_build_cannot_have_are_left_out(base: Base, shop: Workshop) -> None:
    made = shop.models["no-spark"]
    assert "rotor-stands" not in {each.id for each in made.causes}  # its distributor is a stub without a rotor
    assert any("stub" in why for _, why in made.left_out)
    few = base.trace("pair-fits", "oil-prime")
    assert {each.cause.id for each in few.ranked} < {each.id for each in shop.models["oil-prime"].causes}
    assert any("no gauge" in why or "no oil pump" in why for _, why in few.model.left_out)


def test_joints_that_no_cause_covers_are_suspects_of_their_own(shop: Workshop) -> None:
    made = shop.models["oil-prime"]
    circuit = shop.circuits["oil"]
    own = {each.id for each in made.causes} - {each.id for each in made.tree.causes}
    assert "oil.filter-back" in own
    for id in own:
        joint = circuit.joint(id)
        assert joint is not None
        assert not any(id in each.joints for each in made.causes if each.id != id)
    # a joint beyond the gallery cannot take the pressure away there
    assert "oil.head-feed" not in own


def test_what_lies_inside_costs_the_opening_of_the_engine(shop: Workshop) -> None:
    made = shop.models["oil-prime"]
    opened = {each.id for each in made.tests if each.opened}
    assert {"at-oil-pickup", "at-oil-pump-outlet", "look-oil.bored-rear-feed"} <= opened  # behind the pan
    assert "at-oil-filter-outlet" not in opened
    assert made.test("look-oil.bored-rear-feed").asks == (
        "Is the passage open and of full bore, from outlet of the oil pump to end of the passage rear-feed in the "
        "block's face?"
    )


def test_faces_that_only_turn_one_another_are_no_wiring(shop: Workshop) -> None:
    made = shop.models["hard-crank"]
    flange = next(each for each in made.causes if each.id == "start.flange")
    assert flange.kind == "tightness"
    walk = made.test("walk-wiring-start")
    assert "start.flange" not in walk.outcomes
    assert "start.case" in walk.outcomes  # the starter's case carries the current home


def test_a_gauge_says_what_is_due_there(shop: Workshop) -> None:
    # 8.8 V = 9.6 V at the battery's posts less 0.8 V of the whole loop, both of the trade page (hand sum)
    stud = shop.models["hard-crank"].test("at-start-starter-stud")
    assert stud.outcomes["full"] == "8.8 V or more while cranking"
    assert stud.seen is not None
    assert [stud.seen.outcome(volts) for volts in (9.0, 8.1, 0.0)] == ["full", "weak", "none"]
    assert stud.seen.states == ("cranking",)
    assert stud.caution == shop.models["hard-crank"].tree.caution


def test_recorded_readings_are_answers_already_given(shop: Workshop) -> None:
    from kb.gauges import GaugeReading
    from kb.trace.model import _given

    made = shop.models["hard-crank"]
    readings = [
        GaugeReading("r1", "drover-good", "start-battery-posts", 12.6, state="at_rest", start=2, text="12.6 V"),
        GaugeReading("r2", "drover-good", "start-starter-case", 0.4, state="cranking", start=1, text="0.4 V"),
        GaugeReading("r3", "drover-good", "start-battery-posts", 10.1, state="cranking", start=2, text="10.1 V"),
        GaugeReading("r4", "drover-good", "start-feed-drop", "high", state="cranking", start=2, text="high"),
        GaugeReading("r5", "drover-good", "start-starter-case", 0.4, state="running", start=2, text="0.4 V"),
    ]
    found = _given(made.tests, readings)
    # bands of tree E: 12.4 V at rest, 9.6 V cranking; r2 is of an earlier start, r5 was not taken while cranking
    assert {test: each.outcome for test, each in found.items()} == {
        "rest-volts": "full",
        "crank-volts": "holds",
        "feed-drop": "large",
    }
    assert found["crank-volts"].reading == "r3"
    session = Session.start(made._replace(given=found))
    assert {each.test for each in session.answers} == set(found)
    assert session.answered("ground-drop", "small").undone().undone().answers == session.answers  # readings stay


# -- free words --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "symptom", "answers"),
    [
        ("no pressure at the filter when primed", "oil-prime", {"pad-jet": "none"}),
        ("oil at the pickup drains fast", "oil-prime", {"fill-suction": "fades"}),
        # 12.4 - 8.1 = 4.3 V lost, hand sum; 12.4 V is above the 9.6 V of tree E
        ("12.4 V at the battery, 8.1 V at the starter while cranking", "hard-crank",
         {"crank-volts": "holds", "loop-drop": "large"}),
        ("11 V at the battery and 10,6 V at the starter when starting", "hard-crank",
         {"crank-volts": "holds", "loop-drop": "small"}),
        ("battery reads 12.1 volts", "hard-crank", {"rest-volts": "low"}),
        ("rpm reads 0", "no-spark", {"live-speed": "zero"}),
        ("belt dust on the pump side", "belt", {"dust": "one-side", "pump-side-dust": "yes"}),
        ("Fuel pressure hangs at idle!", "hanging-pressure", {"which": "fuel"}),
        ("oil-leak", "oil-leak", {}),
    ],
)  # fmt: skip
def test_free_words_are_matched(words: str, symptom: str, answers: dict[str, str]) -> None:
    found = understood(words)
    assert found.symptom == symptom
    assert dict(found.answers) == answers


def test_words_that_nobody_declared_are_refused_with_the_list() -> None:
    with pytest.raises(Fault, match="no symptom is known") as caught:
        understood("it smells of purple")
    assert all(id in caught.value.step for id in LINES)


def test_every_declared_phrase_is_understood_as_it_says() -> None:
    said = examples()
    assert all(said.values())
    for phrase in load("phrases")["phrases"]:
        found = understood(phrase["says"])
        assert found.symptom == phrase["symptom"], phrase["says"]
        outcomes = {test.id: test.outcomes for test in trees()[found.symptom].tests}
        for test, outcome in phrase.get("answers", {}).items():
            assert outcome in outcomes[test], phrase["says"]
            assert dict(found.answers)[test] == outcome, phrase["says"]


# -- the benchmark, bounded --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("misleading", [0.0, 0.02])
def test_seeded_faults_are_named_first_or_second(shop: Workshop, misleading: float) -> None:
    """The goal is 90 of 100 and a median of five tests; the benchmark runs all hundred."""
    found = run(shop, 20, seed=1, misleading=misleading)
    assert sum(each.place <= 2 for each in found) >= 18
    assert statistics.median(each.tests for each in found) <= 5


def test_most_seeded_faults_are_joints_whose_gauges_come_from_the_circuit(shop: Workshop) -> None:
    every = faults(shop)
    assert sum(bool(each.joint) for each in every) > len(every) / 2
    assert {each.symptom for each in every} == set(LINES)
