"""Of findings told 90 %, 90 % hold: true values drawn from what the readings say of themselves, by what was told.

The draws here are Python's own random numbers and share nothing with `kb.draws` or with the closed forms.
"""

from __future__ import annotations

import itertools
import math
import random
from collections import defaultdict

import pytest

from kb.build import Build
from kb.chance import Settings
from kb.judge import Finding, judge
from kb.measure import Dimension, Term
from kb.rules import load_rules
from kb.rules._rule import Rule
from tests.rules.test_every_rule import build_of

RULES = load_rules()
SETTINGS = Settings(draws=20_000)
BINS = (50, 60, 70, 80, 90, 100)
TRIES, READINGS, TRUTHS = 600, 100, 20  # sets of readings tried and used a rule, and true sets drawn for each
# Straight, curved and broken (min, max) rules of every subsystem, one-sided and with bounds on both sides.
NAMES = (
    "pickup-floor-gap",
    "pickup-seal-squeeze",
    "pickup-seal-face-squeeze",
    "crank-to-pickup",
    "pump-drive-overlap",
    "flywheel-bolt-tip",
    "flywheel-bolt-engagement",
    "converter-nose-pilot-fit",
    "pilot-seat",
    "clutch-release-travel",
    "clutch-release-room",
    "boil-margin",
    "radiator-heat",
    "upper-hose-on-radiator",
    "cap-rating",
    "carb-pressure-band",
    "coil-dwell-cranking",
    "plug-piston",
    "battery-under-load",
    "rear-main-seal-interference",
)


def between(one: Build, other: Build, share: float) -> Build:
    """The one, moved a share of the way towards the other: from a case that holds to one that does not is a limit."""
    parts = {}
    for role, part in one.parts.items():
        facts = dict(part.facts)
        for name, fact in part.facts.items():
            there = other.parts[role].facts.get(name)
            if isinstance(fact, Dimension) and isinstance(there, Dimension):
                facts[name] = Dimension(fact.value + share * (there.value - fact.value), (), "measured")
        parts[role] = part._replace(facts=facts)
    return one._replace(parts=parts)


def read(rule: Rule, rnd: random.Random) -> Build:
    """Readings near a limit, each with an error of its own size and shape, from one of the rule's worked cases."""
    made = between(build_of(rule, rnd.choice(rule.cases)), build_of(rule, rnd.choice(rule.cases)), rnd.random())
    scale = 10 ** rnd.uniform(-3.0, -1.5)
    parts = {}
    for role, part in made.parts.items():
        facts = {}
        for name, fact in part.facts.items():
            if isinstance(fact, Dimension):
                u = scale * max(abs(fact.value), 1e-3) * rnd.uniform(0.1, 1.0)
                shape = rnd.choice(("normal", "rectangular", "triangular"))
                fact = Dimension(fact.value + u * rnd.uniform(-2.5, 2.5), (Term(shape, u),), "measured")
            facts[name] = fact
        parts[role] = part._replace(facts=facts)
    return made._replace(parts=parts)


def error(term: Term, rnd: random.Random) -> float:
    """One error of this shape; half widths are u times sqrt 3 and sqrt 6 (JCGM 100:2008, 4.3.7 and 4.3.9)."""
    if term.shape == "rectangular":
        return rnd.uniform(-1, 1) * math.sqrt(3) * term.u
    if term.shape == "triangular":
        half = math.sqrt(6) * term.u
        return rnd.triangular(-half, half, 0.0)
    return rnd.gauss(0.0, term.u)


def true(made: Build, rnd: random.Random) -> Build:
    """What the parts could really be, given these readings."""
    parts = {}
    for role, part in made.parts.items():
        facts = dict(part.facts)
        for name, fact in part.facts.items():
            if isinstance(fact, Dimension):
                facts[name] = Dimension(fact.value + sum(error(term, rnd) for term in fact.terms), (), "definition")
        parts[role] = part._replace(facts=facts)
    return made._replace(parts=parts)


def holds(finding: Finding) -> bool:
    return finding.probability == 1.0


@pytest.fixture(scope="module")
def told() -> dict[str, list[tuple[float, int]]]:
    """For each rule (probability told, how many of TRUTHS held); probabilities below one half as those of breaking."""
    found: dict[str, list[tuple[float, int]]] = defaultdict(list)
    for name in NAMES:
        rule, rnd = RULES[name], random.Random(f"calibrated {name}")
        for _ in range(TRIES):
            made = read(rule, rnd)
            said = judge(rule, made, SETTINGS).probability
            if said is None or not 1e-3 < said < 1 - 1e-3:
                continue
            if len(found[name]) == READINGS:
                break
            count = sum(holds(judge(rule, true(made, rnd), SETTINGS)) for _ in range(TRUTHS))
            found[name].append((said, count) if said >= 0.5 else (1 - said, TRUTHS - count))
    return found


def off(pairs: list[tuple[float, int]]) -> float:
    """How many standard errors what held is away from what was told."""
    due = sum(p * TRUTHS for p, _ in pairs)
    variance = sum(p * (1 - p) * TRUTHS for p, _ in pairs)
    return (sum(count for _, count in pairs) - due) / math.sqrt(variance)


@pytest.mark.parametrize(("low", "high"), list(itertools.pairwise(BINS)))
def test_what_is_told_with_so_much_holds_so_often(
    low: int, high: int, told: dict[str, list[tuple[float, int]]]
) -> None:
    pairs = [pair for some in told.values() for pair in some if low <= 100 * pair[0] < high]
    assert len(pairs) > 100
    assert abs(off(pairs)) < 3.0, f"{sum(n for _, n in pairs) / len(pairs) / TRUTHS:.3f} held"


@pytest.mark.parametrize("name", NAMES)
def test_each_rule_is_calibrated(name: str, told: dict[str, list[tuple[float, int]]]) -> None:
    assert len(told[name]) > 15
    # Of twenty rules the worst is beyond 3 in one run of twenty (normal); 3.5 leaves room for shortcuts.
    assert abs(off(told[name])) < 3.5
