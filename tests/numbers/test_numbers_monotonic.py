"""What must never get worse when one thing is changed for the better: of rules that `tests/properties` does not sign.

Every direction follows from what the words mean (a longer bolt reaches deeper), none is read off the code.
"""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.chance import Settings
from kb.judge import judge
from kb.measure import Dimension, Term
from kb.records.part import Part
from kb.rules import load_rules
from kb.rules._rule import Rule
from tests.properties.test_rules_properties import SIGNS, feature_at, given_of, moved
from tests.rules.test_every_rule import build_of

RULES = load_rules()
UP, DOWN = 1, -1
SEEDS = st.integers(0, 2**32 - 1)

# (what is said, rule, input, which way its quantity goes when the input grows and all others stay)
MOVES: tuple[tuple[str, str, str, int], ...] = (
    ("a deeper pan never reduces the gap under the pickup", "pickup-floor-gap", "depth", UP),
    ("a thicker pan gasket never reduces the gap under the pickup", "pickup-floor-gap", "gasket", UP),
    ("a pickup that hangs lower never increases its gap to the floor", "pickup-floor-gap", "hang", DOWN),
    ("a deeper hole never brings the flywheel's bolts nearer to its bottom", "flywheel-bolt-tip", "depth", UP),
    ("a longer bolt never leaves more room at the bottom of its hole", "flywheel-bolt-tip", "length", DOWN),
    ("a thicker plate never takes room from the bolt's tip", "flywheel-bolt-tip", "plate", UP),
    ("a longer bolt never engages less thread", "flywheel-bolt-engagement", "length", UP),
    ("a spacer never lets a bolt engage more thread", "flywheel-bolt-engagement", "spacer", DOWN),
    ("a higher head never has more room behind it", "flywheel-bolt-head", "head", DOWN),
    ("a larger pilot is never looser in the crank", "pilot-seat", "outer", UP),
    ("a larger bore in the crank never holds the pilot tighter", "pilot-seat", "bore", DOWN),
    ("a thicker shaft never has more play in the pilot", "pilot-tip-fit", "tip", DOWN),
    ("a deeper bore never takes room from the converter's nose", "converter-nose-bottom", "depth", UP),
    ("a longer nose never leaves more room before the bottom", "converter-nose-bottom", "nose", DOWN),
    ("a longer nose never enters the crank less", "converter-nose-entry", "nose", UP),
    ("a spacer never lets the nose enter further", "converter-nose-entry", "spacer", DOWN),
    ("a larger nose never has more play in its bore", "converter-nose-pilot-fit", "nose", DOWN),
    ("a larger hub never has more play in its bushing", "converter-hub-bushing", "hub", DOWN),
    ("a thicker plate never leaves the converter's bolt heads more room", "converter-bolt-head", "plate", DOWN),
    ("a crank flange further out never takes their room", "converter-bolt-head", "flange", UP),
    ("a bearing that stands further out never has a larger gap to the fingers", "clutch-release-room", "stand", DOWN),
    ("a longer travel never leaves less of it over", "clutch-release-travel", "travel", UP),
    ("a clutch that needs more travel never leaves more over", "clutch-release-travel", "needed", DOWN),
    ("a larger hole in the plate never has less play on the crank", "crank-flange-register", "bore", UP),
    ("a larger reading never means less runout of the bell", "bell-runout-automatic", "reading", UP),
    ("a sag of the mounts never leaves more room", "mount-sag", "sag", DOWN),
    ("a longer spline is never engaged less", "yoke-engagement", "spline", UP),
    ("a deeper droop never leaves more spline engaged", "yoke-engagement", "droop", DOWN),
    ("a stiffer bump never leaves the yoke more room", "yoke-room", "bump", DOWN),
    ("a stronger cap never brings boiling nearer", "boil-margin", "cap", UP),
    ("more antifreeze never brings boiling nearer", "boil-margin", "glycol", UP),
    ("hotter coolant is never further from boiling", "boil-margin", "hot", DOWN),
    ("a cap that opens later never leaves a weak radiator more reserve", "cap-rating", "opens", DOWN),
    ("more flow never heats the coolant more", "coolant-rise", "flow", DOWN),
    ("more power never heats the coolant less", "coolant-rise", "power", UP),
    ("hotter air never makes a radiator carry off more heat", "radiator-heat", "air", DOWN),
    ("more power never leaves the radiator more to spare", "radiator-heat", "power", DOWN),
    ("a thicker spigot never stretches the hose less", "upper-hose-on-radiator", "spigot", UP),
    ("a wider hose is never stretched more", "lower-hose-on-pump", "bore", DOWN),
    ("warmer air before the blower is never colder behind it", "charge-temperature", "intake", UP),
    ("more boost never cools the charge", "charge-temperature", "boost", UP),
    ("a better intercooler never heats the charge", "charge-temperature", "cooling", DOWN),
    ("a higher setting never lowers the carburettor's pressure", "carb-pressure-band", "setting", UP),
    ("a droop never raises the pressure at full flow", "carb-pressure-full", "droop", DOWN),
    ("a pump of higher dead head never leaves the filter more to spare", "filter-rating", "dead", DOWN),
    ("a spacer never takes room from the pump's arm", "mech-pump-room", "spacer", UP),
    ("a spacer never makes the arm follow the lobe further", "mech-pump-stroke", "spacer", DOWN),
    ("a mouth further from the wall never has less room", "tank-pickup-clearance", "clearance", UP),
    ("more inductance never shortens the dwell", "coil-dwell-cranking", "inductance", UP),
    ("a higher voltage never lengthens the dwell", "coil-dwell-cranking", "voltage", DOWN),
    ("a ballast never raises the voltage at the coil", "coil-feed-running", "ballast", DOWN),
    ("a longer reach never brings the plug further from the piston", "plug-piston", "reach", DOWN),
    ("a thicker ring never screws the plug further in", "plug-reach", "washer", DOWN),
    ("a starter that draws more never leaves more volts at the posts", "battery-under-load", "current", DOWN),
    ("a sender of wider range never covers less of the dial", "gauge-sender-range", "sender", UP),
    ("a thicker journal never has more clearance", "cam-bearing-clearance", "journal", DOWN),
    ("a thicker cord is never squeezed less", "filter-adapter-ring-squeeze", "cord", UP),
    ("a deeper groove never squeezes its ring more", "filter-adapter-ring-squeeze", "groove", DOWN),
    ("shims never leave the gear more room", "gear-to-thrust-height", "shim", DOWN),
    ("a thicker end seal is never squeezed less", "rear-end-seal-step-gap", "seal", UP),
    ("a wider arch in the pan never squeezes the seal more", "front-end-seal-step-gap", "in_pan", DOWN),
    ("a worn track never grips the lip more", "rear-main-seal-interference", "track", UP),
)
NAMED = [pytest.param(*move[1:], id=move[0].replace(" ", "-")) for move in MOVES]


def test_the_table_has_rules_of_its_own() -> None:
    assert len({rule for _, rule, _, _ in MOVES} - set(SIGNS)) >= 25
    assert len({words for words, *_ in MOVES}) == len(MOVES)


@pytest.mark.parametrize(("name", "path", "sign"), NAMED)
@settings(max_examples=15, deadline=None)
@given(seed=SEEDS, share=st.floats(1e-3, 0.3))
def test_the_quantity_never_goes_the_wrong_way(name: str, path: str, sign: int, seed: int, share: float) -> None:
    rule = RULES[name]
    found = given_of(rule, random.Random(seed))
    if {"in_pan", "above"} <= found.keys():  # an arch that leaves a gap over the one above it
        found["in_pan"] = found["above"] + random.Random(seed).uniform(1e-3, 10e-3)
    plausible = feature_at(rule, path).plausible
    assert plausible is not None
    here = rule(**found)
    there = rule(**moved(found, path, share * (plausible[1] - plausible[0])))
    if not (math.isfinite(here) and math.isfinite(there)):  # no figure at all: a coil that never reaches its current
        return
    assert sign * (there - here) >= -1e-9 * (abs(here) + abs(there))


def one_sided(rule: Rule) -> int:
    """UP where a larger quantity can only be better, DOWN where a smaller one can, 0 with bounds on both sides."""
    sides = {limit.side for limit in rule.limits if limit.may_condemn}
    return {frozenset({"least"}): UP, frozenset({"most"}): DOWN}.get(frozenset(sides), 0)


BETTER = [move for move in MOVES if one_sided(RULES[move[1]])]


def test_most_of_them_have_a_better_side() -> None:
    assert len(BETTER) > 0.4 * len(MOVES)


@pytest.mark.parametrize(
    ("name", "path", "sign"), [pytest.param(*each[1:], id=each[0].replace(" ", "-")) for each in BETTER]
)
@settings(max_examples=6, deadline=None)
@given(seed=SEEDS, share=st.floats(1e-4, 0.05), spread=st.sampled_from([1e-3, 5e-3, 0.05]))
def test_no_verdict_gets_worse_by_what_is_better(
    name: str, path: str, sign: int, seed: int, share: float, spread: float
) -> None:
    """The probability that the limits hold, of uncertain readings, moves with the quantity or stays."""
    rule = RULES[name]
    case = random.Random(seed).choice(rule.cases)
    made = build_of(rule, case, spread=spread)
    of = next(each.of for each in rule.inputs if each.name == path)
    assert of.feature.plausible is not None
    step = share * (of.feature.plausible[1] - of.feature.plausible[0])
    part: Part = made.parts[of.role]
    old: Any = part.facts[of.feature.name]
    facts = {**part.facts, of.feature.name: Dimension(old.value + step, old.terms, old.how)}
    other = made._replace(parts={**made.parts, of.role: part._replace(facts=facts)})
    before, after = (judge(rule, each, Settings(draws=4000)) for each in (made, other))
    if before.probability is None or after.probability is None:
        return
    # Shortcuts for curved rules are good to a few thousandths (tests/test_chance.py); straight ones to rounding.
    slack = 1e-9 if rule.form == "linear" else 5e-3
    assert one_sided(rule) * sign * (after.probability - before.probability) >= -slack


def test_a_spread_reading_is_one() -> None:
    """A guard: the builds above carry the spread that they are asked for."""
    rule = RULES["pickup-floor-gap"]
    made = build_of(rule, rule.cases[0], spread=0.05)
    terms = [fact.terms for part in made.parts.values() for fact in part.facts.values() if isinstance(fact, Dimension)]
    assert terms
    assert all(isinstance(each[0], Term) and each[0].u > 0 for each in terms)
