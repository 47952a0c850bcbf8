"""The engine against plain enumeration: every expected figure here is worked out again from the definition."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.trace import engine
from kb.trace.engine import Trial, believe, gains, next_test, pack, predicted, rates

MISLEADING = 0.02


# -- the same, by enumeration, in plain Python -------------------------------------------------------------------------


def worst(first: list[float], second: list[float]) -> list[float]:
    """Distribution of the worse of two independent outcomes: summed over all pairs of them."""
    found = [0.0] * len(first)
    for (i, p), (j, q) in itertools.product(enumerate(first), enumerate(second)):
        found[max(i, j)] += p * q
    return found


def shown(trial: dict[str, Any], faults: tuple[int, ...]) -> list[float]:
    """Chance of each true outcome with these faults."""
    rows = trial["rows"]
    if not faults:
        return list(rows[0])
    if len(faults) == 1:
        return list(rows[1 + faults[0]])
    first, second = (rows[1 + each] for each in faults)
    if trial["combine"] == "either":
        return [(a + b) / 2 for a, b in zip(first, second, strict=True)]
    return worst(first, second)


def likelihood(trial: dict[str, Any], faults: tuple[int, ...], outcome: int) -> float:
    """Chance of a reading: the true outcome, or any other one as likely when it misleads."""
    true = shown(trial, faults)
    if len(true) == 1:
        return 1.0
    return (1 - MISLEADING) * true[outcome] + MISLEADING * (1 - true[outcome]) / (len(true) - 1)


def hypotheses(priors: list[float]) -> dict[tuple[int, ...], float]:
    """Faults -> prior: none, one, two; each cause faulty or not by itself, not more than two at once."""
    found = {}
    for size in (0, 1, 2):
        for faults in itertools.combinations(range(len(priors)), size):
            found[faults] = math.prod(p if i in faults else 1 - p for i, p in enumerate(priors))
    total = sum(found.values())
    return {faults: mass / total for faults, mass in found.items()}


def posterior(
    priors: list[float], trials: list[dict[str, Any]], answers: dict[int, int]
) -> dict[tuple[int, ...], float]:
    mass = {
        faults: prior * math.prod(likelihood(trials[test], faults, outcome) for test, outcome in answers.items())
        for faults, prior in hypotheses(priors).items()
    }
    total = sum(mass.values())
    return {faults: each / total for faults, each in mass.items()}


def entropy(chances: list[float]) -> float:
    return -sum(p * math.log2(p) for p in chances if p > 0)


def information(
    priors: list[float], trials: list[dict[str, Any]], answers: dict[int, int], test: int
) -> tuple[float, list[float]]:
    """(expected bits of a test, chance of each outcome): how much less there is to know after it, on average."""
    before = posterior(priors, trials, answers)
    outcomes = len(trials[test]["rows"][0])
    chances = [sum(p * likelihood(trials[test], faults, o) for faults, p in before.items()) for o in range(outcomes)]
    left = sum(
        chance * entropy(list(posterior(priors, trials, {**answers, test: o}).values()))
        for o, chance in enumerate(chances)
    )
    return entropy(list(before.values())) - left, chances


def best_rate(priors: list[float], trials: list[dict[str, Any]], answers: dict[int, int], test: int) -> float:
    """Most bits per minute with this test first and, for each outcome, any other test or none after it: all tried."""
    gain, chances = information(priors, trials, answers, test)
    others = [other for other in range(len(trials)) if other not in answers and other != test]
    best = 0.0
    for plan in itertools.product([None, *others], repeat=len(chances)):
        bits, minutes = gain, trials[test]["effort"]
        for outcome, follower in enumerate(plan):
            if follower is not None:
                after, _ = information(priors, trials, {**answers, test: outcome}, follower)
                bits += chances[outcome] * after
                minutes += chances[outcome] * trials[follower]["effort"]
        best = max(best, bits / minutes)
    return best


# -- random small models -----------------------------------------------------------------------------------------------


@st.composite
def models(draw: Any, most_causes: int = 5, most_tests: int = 4) -> tuple[list[float], list[dict[str, Any]]]:
    causes = draw(st.integers(1, most_causes))
    priors = draw(st.lists(st.floats(0.002, 0.9), min_size=causes, max_size=causes))
    trials = []
    for _ in range(draw(st.integers(1, most_tests))):
        outcomes = draw(st.integers(2, 3))
        rows = []
        for _ in range(causes + 1):
            if draw(st.booleans()):  # mostly one outcome for certain, as in the trees
                at = draw(st.integers(0, outcomes - 1))
                rows.append([1.0 if i == at else 0.0 for i in range(outcomes)])
            else:
                parts = draw(st.lists(st.integers(1, 9), min_size=outcomes, max_size=outcomes))
                rows.append([each / sum(parts) for each in parts])
        trials.append(
            {"rows": rows, "combine": draw(st.sampled_from(engine.COMBINE)), "effort": float(draw(st.integers(1, 60)))}
        )
    return priors, trials


def packed_of(priors: list[float], trials: list[dict[str, Any]]) -> engine.Packed:
    made = [Trial(np.array(each["rows"]), each["effort"], each["combine"]) for each in trials]
    return pack(priors, made, MISLEADING)


@given(models(), st.data())
@settings(max_examples=60, deadline=None)
def test_the_posterior_is_that_of_enumeration(model: Any, data: Any) -> None:
    priors, trials = model
    answers = {
        test: data.draw(st.integers(0, len(each["rows"][0]) - 1))
        for test, each in enumerate(trials)
        if data.draw(st.booleans())
    }
    found = believe(packed_of(priors, trials), answers)
    due = posterior(priors, trials, answers)
    for cause in range(len(priors)):
        assert found.causes[cause] == pytest.approx(sum(p for faults, p in due.items() if cause in faults), abs=1e-12)
        assert found.alone[cause] == pytest.approx(due[(cause,)], abs=1e-12)
    assert found.none == pytest.approx(due[()], abs=1e-12)
    prior = hypotheses(priors)
    evidence = sum(
        p * math.prod(likelihood(trials[test], faults, outcome) for test, outcome in answers.items())
        for faults, p in prior.items()
    )
    assert found.evidence == pytest.approx(math.log(evidence), abs=1e-9)


@given(models())
@settings(max_examples=40, deadline=None)
def test_information_is_what_a_test_leaves_less_to_know(model: Any) -> None:
    priors, trials = model
    packed = packed_of(priors, trials)
    belief = believe(packed, {})
    found = gains(packed, belief.classes)
    for test in range(len(trials)):
        bits, chances = information(priors, trials, {}, test)
        assert found[test] == pytest.approx(bits, abs=1e-9)
        assert predicted(packed, belief, test) == pytest.approx(chances, abs=1e-12)


@given(models(most_causes=4, most_tests=3))
@settings(max_examples=25, deadline=None)
def test_the_chosen_test_is_best_by_exhaustive_look_ahead(model: Any) -> None:
    priors, trials = model
    packed = packed_of(priors, trials)
    belief = believe(packed, {})
    due = [best_rate(priors, trials, {}, test) for test in range(len(trials))]
    gain = [information(priors, trials, {}, test)[0] for test in range(len(trials))]
    telling = [test for test in range(len(trials)) if gain[test] > engine.LEAST_GAIN * 1.001]
    found = rates(packed, belief, steps=2)
    for test in telling:
        assert found[test] == pytest.approx(due[test], rel=1e-7)
    chosen = next_test(packed, belief)
    if telling:
        assert chosen is not None
        assert due[chosen] == pytest.approx(max(due[test] for test in telling), rel=1e-6)
    # one step: the ratio itself
    assert rates(packed, belief, steps=1) == pytest.approx(
        [max(bits, 0.0) / each["effort"] for bits, each in zip(gain, trials, strict=True)], abs=1e-9
    )


@given(models(), st.data())
@settings(max_examples=40, deadline=None)
def test_more_readings_never_make_the_true_fault_impossible(model: Any, data: Any) -> None:
    """Whatever is read, in whichever order, no cause comes to nothing: a reading may always mislead."""
    priors, trials = model
    packed = packed_of(priors, trials)
    answers: dict[int, int] = {}
    for test in data.draw(st.permutations(range(len(trials)))):
        answers[test] = data.draw(st.integers(0, len(trials[test]["rows"][0]) - 1))
        found = believe(packed, answers)
        assert (found.causes > 0.0).all()
        assert (found.alone > 0.0).all()
        assert found.none > 0.0


def line(*, at: int, of: int) -> list[float]:
    return [1.0 if each == at else 0.0 for each in range(of)]


def test_two_faults_show_the_worse_outcome() -> None:
    # derived from the definition: cause 0 shows outcome 1, cause 1 shows outcome 2, both together 2
    found = engine.combined(np.array([line(at=1, of=3)]), np.array([line(at=2, of=3)]))
    assert found.tolist() == [[0.0, 0.0, 1.0]]
    assert engine.combined(np.array([line(at=1, of=3)]), np.array([line(at=2, of=3)]), "either").tolist() == [
        [0.0, 0.5, 0.5]
    ]


def test_hypotheses_that_no_test_tells_apart_are_one_class() -> None:
    rows = np.array([line(at=0, of=2), *[line(at=1, of=2)] * 20, *[line(at=0, of=2)] * 20])
    packed = pack([0.03] * 40, [Trial(rows, 5.0)])
    assert packed.log_mass.shape == (2,)  # of 1 + 40 + 780: what shows 0, and what shows 1
    assert packed.share.shape == (40, 2)


def test_a_reading_that_no_cause_explains_is_known_as_such() -> None:
    # three outcomes; no cause and no "none" ever shows the third
    rows = np.array([line(at=0, of=3), line(at=1, of=3), line(at=1, of=3)])
    packed = pack([0.1, 0.2], [Trial(rows, 5.0)], MISLEADING)
    belief = believe(packed, {})
    assert predicted(packed, belief, 0)[2] == pytest.approx(MISLEADING / 2)  # derived from the definition
    assert engine.misled(packed, belief, 0, 2) == pytest.approx(1.0)
    assert engine.misled(packed, belief, 0, 1) < 0.5
    after = believe(packed, {0: 2})
    assert after.causes == pytest.approx(belief.causes)  # it tells nothing, and nothing becomes impossible
    assert engine.doubts(packed, {0: 2})[0] == pytest.approx(1.0)


def test_of_equal_tests_the_first_is_chosen_and_one_that_tells_nothing_never() -> None:
    telling = np.array([line(at=0, of=2), line(at=1, of=2), line(at=0, of=2)])
    silent = np.array([line(at=0, of=2)] * 3)
    packed = pack([0.2, 0.2], [Trial(silent, 1.0), Trial(telling, 5.0), Trial(telling, 5.0)])
    assert next_test(packed, believe(packed, {})) == 1
    assert next_test(packed, believe(packed, {1: 1}), frozenset({1})) == 2  # asked twice it tells more
    assert next_test(packed, believe(packed, {}), frozenset({1, 2})) is None
    assert next_test(pack([0.2], []), believe(pack([0.2], []), {})) is None


def test_a_long_row_of_answers_stays_exact() -> None:
    rows = np.array([line(at=0, of=2), line(at=1, of=2)])
    packed = pack([0.001], [Trial(rows, 1.0)] * 200)
    found = believe(packed, dict.fromkeys(range(200), 1))
    # derived from the definition: log odds = log(0.001 / 0.999) + 200 log(0.98 / 0.02)
    assert found.none == pytest.approx(math.exp(-(math.log(0.001 / 0.999) + 200 * math.log(0.98 / 0.02))), rel=1e-6)
    assert found.evidence == pytest.approx(math.log(0.001) + 200 * math.log(0.98), rel=1e-9)
