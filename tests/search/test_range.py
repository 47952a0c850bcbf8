"""Ranges on sorted sides say the same as the screen, and the screen the same as the judge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.base import Base
from kb.build import Build
from kb.chance import Settings
from kb.measure import Dimension, Term
from kb.records.part import Part
from kb.rules import load_rules
from kb.search import _range
from kb.search.candidates import Candidate, candidates_for
from kb.search.tables import FITS, NOT, tables
from tests.benchmarks.catalogue import parts as generated
from tests.search.brute import code, with_parts
from tests.search.random_parts import builds, candidates

USUAL = Settings()
DRAWN = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
LINEAR = [each for each in load_rules().values() if each.form == "linear"]
Domains = Mapping[str, Sequence[Candidate]]


class Tally:
    """How many cells the ranges decided."""

    def __init__(self) -> None:
        self.decided = 0
        self.refused = 0


def both(domains: Domains, fixed: Build, how: Settings = USUAL) -> Tally:
    """Compare the tables of all linear rules with and without ranges."""
    tally = Tally()
    real = _range.ranges

    def watched(screen: Any, cells: Any) -> Any:
        found = real(screen, cells)
        if found is None:
            tally.refused += 1
            return None
        told = found.codes

        def counted(some: Any) -> Any:
            codes = told(some)
            tally.decided += int((codes != _range.UNDECIDED).sum())
            return codes

        found.codes = counted
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_range, "WORTH", 0)
        patch.setattr(_range, "ranges", watched)
        quick = tables(domains, fixed, how, rules=LINEAR)
        patch.setattr(_range, "ranges", lambda screen, cells: None)
        slow = tables(domains, fixed, how, rules=LINEAR)
    assert [each.name for each in quick] == [each.name for each in slow]
    for one, other in zip(quick, slow, strict=True):
        assert one.codes.tolist() == other.codes.tolist(), one.name
    return tally


@DRAWN
@given(st.data())
def test_random_catalogues_with_missing_values(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump", "pickup_seal")))
    domains = {
        "pan": data.draw(candidates("pan", 5)),
        "pickup": data.draw(candidates("pickup", 5)),
        "pan_gasket": data.draw(candidates("pan_gasket", 3, empty=True)),
    }
    how = data.draw(st.sampled_from((USUAL, Settings(0.999, 0.001), Settings(0.6, 0.4), Settings(1.0, 0.0))))
    both(domains, fixed, how)


def test_a_generated_catalogue_is_mostly_decided_by_ranges(sample: str) -> None:
    made = generated(300, seed=5)
    domains = {kind: candidates_for(kind, made[kind]) for kind in ("pan", "pickup")}
    with Base(sample) as base:
        fixed = base.build("drover-good")
    tally = both(domains, fixed)
    assert tally.decided > 1000


def _sample_axes(base: Base) -> list[tuple[str, str]]:
    filled = set(base.build("drover-good").parts)
    pairs = {
        tuple(sorted(pair))
        for rule in LINEAR
        for pair in [(a, b) for a in rule.roles for b in rule.roles if a < b and {a, b} <= filled]
    }
    return sorted((one, other) for one, other in pairs)


def test_every_pair_of_roles_that_a_linear_rule_joins(sample: str) -> None:
    """Limits that are features and usual limits are among them: the rules are all the linear ones there are."""
    draw = numpy.random.Generator(numpy.random.PCG64(11))

    def moved(part: Part, number: int) -> Part:
        facts: dict[str, Any] = {}
        for name, value in part.facts.items():
            if isinstance(value, Dimension):
                value = value._replace(value=value.value * float(draw.choice((0.9, 0.97, 1.0, 1.03, 1.2))))
            facts[name] = value
        return part._replace(id=f"{part.id}-{number}", facts=facts)

    decided = 0
    with Base(sample) as base:
        fixed = base.build("drover-good")
        pairs = _sample_axes(base)
        for pair in pairs:
            domains = {
                role: [Candidate(moved(fixed.parts[role], number), None) for number in range(5)] for role in pair
            }
            decided += both(domains, fixed).decided
    assert len(pairs) > 5
    assert decided > 100
    rules = [rule for rule in LINEAR if set(rule.roles) <= set(fixed.parts)]
    assert any(not limit.may_condemn for rule in rules for limit in rule.limits)


@pytest.mark.parametrize("terms", [(), (Term("rectangular", 0.0001),), (Term("normal", 0.0001),)])
def test_ties_on_a_limit_and_a_nanometre_beside_it(sample: str, terms: tuple[Term, ...]) -> None:
    """As the judge has it: a nanometre of slack, no more (kb.finding.slack_of)."""
    rule = load_rules()["pickup-floor-gap"]
    with Base(sample) as base:
        fixed = base.build("drover-good")
        plain = {name: part._replace(facts=_exact(part.facts)) for name, part in fixed.parts.items()}
        fixed = fixed._replace(parts=plain)
    pan, pickup = fixed.parts["pan"], fixed.parts["pickup"]
    offs = (-3e-9, -1.0001e-9, -1e-9, -0.9999e-9, 0.0, 0.9999e-9, 1e-9, 1.0001e-9, 3e-9)

    def with_depth(value: float, number: int, errors: tuple[Term, ...] = ()) -> Candidate:
        depth = Dimension(value, errors, "listing")
        return Candidate(pan._replace(id=f"pan-{number}", facts={**pan.facts, "sump_depth": depth}), None)

    # Where the gap meets each limit is searched by the judge himself: halves of 40 mm until a femtometre is left.
    values = []
    grid = [0.150 + 0.002 * step for step in range(40)]
    codes = [code(rule, "", with_parts(fixed, ("pan",), (with_depth(at, 0),)), USUAL) for at in grid]
    for low, high, one, other in zip(grid, grid[1:], codes, codes[1:], strict=False):
        if one == other:
            continue
        for _ in range(60):
            middle = (low + high) / 2
            same = code(rule, "", with_parts(fixed, ("pan",), (with_depth(middle, 0),)), USUAL) == one
            low, high = (middle, high) if same else (low, middle)
        # Normal errors are cut at 4.5 standard uncertainties: then a corner of the box of errors meets the limit.
        box = sum((min(term.half_width, 4.5 * term.u) for term in terms), 0.0)
        values += [low + corner + off for corner in sorted({-box, 0.0, box}) for off in offs]
    assert len(values) >= 2 * len(offs)
    hangs = [pickup.facts["hang"].value + off for off in offs]
    pickups = [
        Candidate(pickup._replace(id=f"p-{number}", facts={**pickup.facts, "hang": Dimension(at, (), "listing")}), None)
        for number, at in enumerate(hangs)
    ]
    domains = {"pan": [with_depth(value, number, terms) for number, value in enumerate(values)], "pickup": pickups}
    # Of exact parts the screen decides every cell outright, without ranges.
    assert bool(both(domains, fixed).decided) == bool(terms)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_range, "WORTH", 0)
        (made,) = tables(domains, fixed, USUAL, rules=[rule])
    if not terms:
        assert {FITS, NOT} <= set(made.codes.ravel().tolist())
    for at in numpy.ndindex(made.codes.shape):
        cell = [domains[role][place] for role, place in zip(made.roles, at, strict=True)]
        assert made.codes[at] == code(rule, "", with_parts(fixed, made.roles, cell), USUAL)


def _exact(facts: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value._replace(terms=()) if isinstance(value, Dimension) else value for name, value in facts.items()}


def test_a_rule_that_does_not_add_up_is_left_to_the_screen(sample: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made = generated(200, seed=5)
    domains = {kind: candidates_for(kind, made[kind]) for kind in ("pan", "pickup")}
    monkeypatch.setattr(_range, "_adds_up", lambda *rest: False)
    with Base(sample) as base:
        tally = both(domains, base.build("drover-good"))
    assert tally.refused
    assert not tally.decided
