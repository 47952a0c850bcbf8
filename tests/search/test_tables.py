"""Tables of verdicts: in every cell what the judge says."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy
import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.base import Base
from kb.build import Build
from kb.chance import Settings
from kb.known import Condition, Incompatibility, Party, clashes
from kb.measure import Term
from kb.records.part import Part
from kb.roles import base_role
from kb.rules import load_rules
from kb.rules._rule import Rule
from kb.search._cells import Axis
from kb.search._reads import facts_read
from kb.search._spread import below
from kb.search.candidates import Candidate, candidates_for
from kb.search.tables import NOT, NOT_ASKED, OPEN, Table, tables
from kb.sums import Sum
from tests.search.brute import code, with_parts
from tests.search.random_parts import builds, candidates

USUAL = Settings()
SWAPS = yaml.safe_load((Path(__file__).parents[2] / "sample_db" / "swaps.yaml").read_text(encoding="utf-8"))
RULES = list(load_rules().values())
DRAWN = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@pytest.fixture(scope="module")
def base(sample: str) -> Iterator[Base]:
    with Base(sample) as opened:
        yield opened


def judged(table: Table, domains: dict[str, list[Candidate]], fixed: Build, how: Settings = USUAL) -> Any:
    """The same table by the judge; a role that the table does not read is filled by its first candidate."""
    made = numpy.empty(table.codes.shape, dtype=numpy.int8)
    assert isinstance(table.rule, Rule)
    for cell in numpy.ndindex(made.shape):
        at = dict(zip(table.roles, cell, strict=True))
        picked = [several[at.get(role, 0)] for role, several in domains.items()]
        made[cell] = code(table.rule, table.qualifier, with_parts(fixed, tuple(domains), picked), how)
    return made


def same(made: list[Table], domains: dict[str, list[Candidate]], fixed: Build, how: Settings = USUAL) -> int:
    """Compare every table; how many cells that was."""
    cells = 0
    for table in made:
        assert table.codes.tolist() == judged(table, domains, fixed, how).tolist(), (table.name, table.roles)
        cells += table.codes.size
    return cells


# -- the sample -------------------------------------------------------------------------------------------------------


def _swapped(rule: Rule) -> tuple[str, dict[str, str]]:
    """(build, swaps) that make the rule fail, or pass, on the sample."""
    swaps = dict(SWAPS["fails"].get(rule.id) or SWAPS.get("passes", {}).get(rule.id) or {})
    return str(swaps.pop("build", "drover-good")), {role: part for role, part in swaps.items() if isinstance(part, str)}


@pytest.mark.parametrize("rule", RULES, ids=[each.id for each in RULES])
def test_every_rule_says_of_the_sample_what_the_judge_says(base: Base, rule: Rule) -> None:
    build, swaps = _swapped(rule)
    fixed = base.build(build)
    for role, part in swaps.items():  # a role that the build leaves empty is searched too
        fixed = fixed._replace(parts={role: base.part(part), **fixed.parts})
    wanted = {*rule.roles, *rule.optional_roles}
    free = [name for name in fixed.parts if name in swaps] or [
        name for name in fixed.parts if base_role(name) in wanted
    ]
    domains: dict[str, list[Candidate]] = {}
    for role in free[:2]:
        here = [fixed.parts[role], *([base.part(swaps[role])] if role in swaps else [])]
        domains[role] = candidates_for(role, list({part.id: part for part in here}.values()))
    assert same(tables(domains, fixed, USUAL, rules=[rule]), domains, fixed) >= 1


def test_roles_with_qualifiers_are_asked_as_the_judge_asks_them(base: Base) -> None:
    fixed = base.build("drover-good")
    hoses = [base.part(id) for id in base.ids("coolant_hose")][:4]
    rules = [rule for rule in RULES if "coolant_hose" in rule.roles]
    free = [*candidates_for("coolant_hose", hoses), Candidate(None, 0.0)]
    domains = {"coolant_hose:upper": free}
    assert same(tables(domains, fixed, USUAL, rules=rules), domains, fixed) > 10
    # Both free and both perhaps empty: then the plain view comes up, where no hose is filled at all.
    domains = {"coolant_hose:upper": free, "coolant_hose:lower": free[-2:]}
    assert same(tables(domains, fixed, USUAL, rules=rules), domains, fixed) > 20
    domains = {"coolant_hose": free, "coolant_hose:upper": free}
    bare = fixed._replace(parts={name: part for name, part in fixed.parts.items() if "hose" not in name})
    assert same(tables(domains, bare, USUAL, rules=rules), domains, bare) > 20


def test_one_part_in_two_roles_is_drawn_once(base: Base) -> None:
    fixed = base.build("drover-good")
    cables = candidates_for("feed_cable", [base.part(id) for id in base.ids("battery_cable")][:5])
    domains = {"feed_cable": cables, "return_cable": cables}
    rules = [rule for rule in RULES if {"feed_cable", "return_cable"} <= {*rule.roles, *rule.optional_roles}]
    assert rules
    assert same(tables(domains, fixed, USUAL, rules=rules), domains, fixed) >= 25


def test_limits_and_thresholds_of_a_build_count(base: Base) -> None:
    fixed = base.build("drover-good", own_limits={"pickup-floor-gap.least": "9 mm"})
    pans = [base.part(id) for id in base.ids("pan")]
    domains = {"pan": candidates_for("pan", pans)}
    rules = [load_rules()[name] for name in ("pickup-floor-gap", "pickup-inlet-area", "pan-to-ground")]
    for how in (Settings(0.999, 0.001), Settings(0.6, 0.4), Settings(1.0, 0.0)):
        assert same(tables(domains, fixed, how, rules=rules), domains, fixed, how) == 3 * len(pans)


def test_spared_cells_are_those_that_a_quicker_rule_condemns(base: Base) -> None:
    fixed = base.build("drover-good")
    pans = candidates_for("pan", [base.part(id) for id in ("bench-38-pan", "calder-33-pan", "calder-38-truck-pan")])
    rules = [load_rules()[name] for name in ("rail-pattern", "pickup-floor-gap", "flange-flatness-sheet")]
    whole = {each.name: each for each in tables({"pan": pans}, fixed, USUAL, rules=rules)}
    spare = {each.name: each for each in tables({"pan": pans}, fixed, USUAL, rules=rules, spare=True)}
    condemned = (whole["rail-pattern"].codes == NOT) | (whole["pickup-floor-gap"].codes == NOT)
    assert condemned.any()
    assert not condemned.all()
    last = whole["flange-flatness-sheet"].codes.copy()
    last[condemned] = NOT_ASKED
    assert spare["flange-flatness-sheet"].codes.tolist() == last.tolist()
    assert spare["rail-pattern"].codes.tolist() == whole["rail-pattern"].codes.tolist()


def test_progress_goes_to_the_end(base: Base) -> None:
    fixed = base.build("drover-good")
    told: list[tuple[str, int, int]] = []
    pans = candidates_for("pan", [base.part("bench-38-pan")])
    made = tables({"pan": pans}, fixed, USUAL, rules=RULES[:40], progress=lambda *each: told.append(each))
    assert told[-1][1] == told[-1][2] == len(made)


# -- random catalogues ------------------------------------------------------------------------------------------------


@DRAWN
@given(st.data())
def test_random_sumps_are_judged_cell_by_cell(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump", "pan_gasket", "windage_tray")))
    domains = {"pan": data.draw(candidates("pan", 4)), "pickup": data.draw(candidates("pickup", 4))}
    assert same(tables(domains, fixed, USUAL), domains, fixed) >= 1


@DRAWN
@given(st.data())
def test_random_gaskets_trays_and_empty_places(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump", "pickup")))
    domains = {
        "pan": data.draw(candidates("pan", 2)),
        "pan_gasket": data.draw(candidates("pan_gasket", 3, empty=True)),
        "windage_tray": data.draw(candidates("windage_tray", 2, empty=True)),
    }
    assert same(tables(domains, fixed, USUAL), domains, fixed) >= 1


@DRAWN
@given(st.data())
def test_random_rings(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump",)))
    domains = {"pickup": data.draw(candidates("pickup", 4)), "pickup_seal": data.draw(candidates("pickup_seal", 4))}
    assert same(tables(domains, fixed, USUAL), domains, fixed) >= 1


def _wiggled(draw: random.Random, part: Part) -> Part:
    """The part with dimensions moved, widened, or gone, in lists too."""

    def one(value: Any) -> Any:
        if value.__class__.__name__ == "Dimension":
            chance = draw.random()
            if chance < 0.08:
                return None
            moved = value._replace(value=value.value * draw.choice((1.0, 1.0, 0.93, 1.02, 1.1)))
            factor = draw.choice((0.0, 1.0, 1.0, 3.0))
            return moved._replace(terms=tuple(term.scaled(factor) for term in value.terms if factor))
        if isinstance(value, tuple):
            return tuple({name: each if name == "id" else one(each) for name, each in row.items()} for row in value)
        return value

    facts = {name: one(value) for name, value in part.facts.items()}
    return part._replace(id=f"{part.id}-moved", facts={name: each for name, each in facts.items() if each is not None})


@pytest.mark.parametrize("subsystem", ["cooling", "fuel", "electrical", "crank", "trigger", "accessory", "clearance"])
def test_moved_parts_of_every_subsystem(base: Base, subsystem: str) -> None:
    draw = random.Random(f"seed of {subsystem}")
    fixed = base.build("drover-good")
    cells = 0
    for rule in RULES:
        if (
            rule.subsystem != subsystem
            or rule.form == "stations"
            or not set(rule.roles) <= set(map(base_role, fixed.parts))
        ):
            continue
        free = [name for name in fixed.parts if base_role(name) in {*rule.roles, *rule.optional_roles}][:2]
        domains = {
            role: [
                Candidate(part, None)
                for part in (fixed.parts[role], *(_wiggled(draw, fixed.parts[role]) for _ in "12"))
            ]
            for role in free
        }
        cells += same(tables(domains, fixed, USUAL, rules=[rule]), domains, fixed)
    assert cells > 20


# -- recorded clashes -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("build", ["drover-good", "farm-33"])
def test_clash_tables_say_what_matching_says(base: Base, build: str) -> None:
    fixed = base.build(build)
    every = base.incompatibilities()
    domains = {role: candidates_for(role, base.candidates([role])[role]) for role in ("pan", "pickup")}
    lines = base.lines_of([each.id for several in domains.values() for each in several])
    lines.update(base.lines(fixed))
    made = tables(domains, fixed, USUAL, rules=[], clashes=every, lines=lines)
    assert len(made) == len(every)
    matched = 0
    for pan_at, pan in enumerate(domains["pan"]):
        for pickup_at, pickup in enumerate(domains["pickup"]):
            whole = with_parts(fixed, ("pan", "pickup"), (pan, pickup))
            due = {each.incompatibility.id: NOT if each.certain else OPEN for each in clashes(whole, every, lines)}
            at = {"pan": pan_at, "pickup": pickup_at}
            said = {
                table.rule.id.removeprefix("clash:"): int(table.codes[tuple(at[role] for role in table.roles)])
                for table in made
            }
            assert {id: each for id, each in said.items() if each} == due
            matched += len(due)
    assert matched > 10


def test_a_refuted_clash_has_no_table() -> None:
    party = Party("pan", "", (Condition("construction", "=", "cast"),))
    clash = Incompatibility("one", "One", "refuted", (party, party), "", "", "", ("leaks",), "prime", "", "", ())
    pan = Candidate(Part("a", "pan", "a", facts={"construction": "cast"}), None)
    assert tables({"pan": [pan]}, Build("b", "b", {}), USUAL, rules=[], clashes=[clash]) == []
    told = tables({"pan": [pan]}, Build("b", "b", {}), USUAL, rules=[], clashes=[clash._replace(status="reported")])
    assert told[0].codes.tolist() == [NOT]


# -- pieces -----------------------------------------------------------------------------------------------------------


def test_parts_that_look_alike_to_a_rule_are_one_class(base: Base) -> None:
    """Prices, names and features that the rule does not read count for nothing."""
    pan = base.part("bench-38-pan")
    twin = pan._replace(id="twin", price=1.0, facts={**pan.facts, "construction": "welded"})
    other = pan._replace(id="other", facts={**pan.facts, "sump_depth": pan.facts["sump_depth"]._replace(value=0.2)})
    fixed = base.build("drover-good")
    rule = load_rules()["pickup-floor-gap"]
    facts = facts_read(rule, {**{role: [part] for role, part in fixed.parts.items()}, "pan": [pan, twin, other]})
    assert Axis("pan", [pan, twin, other], facts["pan"], False).classes.tolist() == [0, 0, 1]
    assert Axis("pan", [pan, twin, other], facts["pan"], True).classes.tolist() == [0, 1, 2]


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(("rectangular", "normal")), st.floats(0.001, 1.0)), min_size=1, max_size=7),
    st.floats(-3.5, 3.5),
)
def test_bounds_on_arrays_hold_the_exact_probability(terms: list[tuple[str, float]], at: float) -> None:
    whole = Sum([Term(shape, u) for shape, u in terms])
    variance = numpy.array([sum(u * u for shape, u in terms if shape == "normal")])
    halves = numpy.array([[u * math.sqrt(3) for shape, u in terms if shape != "normal"] or [0.0]])
    exact = whole.cdf(at * whole.u)
    for coarse in (True, False):
        low, high = below(numpy.array([at * whole.u]), variance, halves, coarse)
        assert low[0] - 1e-9 <= exact <= high[0] + 1e-9
    assert high[0] - low[0] < 0.004  # not coarse: near enough to decide


def test_an_exact_sum_is_below_or_not() -> None:
    low, high = below(numpy.array([-1.0, 0.0, 1.0]), numpy.zeros(3), numpy.zeros((3, 0)), True)
    assert low.tolist() == high.tolist() == [0.0, 1.0, 1.0]
