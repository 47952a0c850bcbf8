"""The fuel rules on the sample: a set that fits throughout, and for every rule the swap that it says no to."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from kb.build import Build, applies, views
from kb.chance import FITS, NOT, OPEN, Settings
from kb.explain import tell
from kb.judge import Finding, judge
from kb.reading_files import read
from kb.records.models import check
from kb.records.part import Part, assemble
from kb.rules import load_rules, rule_named
from kb.standards.fuels import ethanol_blend

RECORDS = Path(__file__).parent.parent.parent / "sample_db" / "records"
KINDS = (
    "fuel", "fuel_tank", "fuel_line", "fuel_pump", "fuel_filter", "fuel_regulator", "carburettor", "jet_set",
    "injector", "throttle", "compressor", "duty", "block",
)  # fmt: skip
GOOD = {
    "block": "bench-38-yard",
    "duty": "duty-road",
    "fuel": "pump-petrol",
    "second_fuel": "pump-e85",
    "carburettor": "bench-four",
    "second_jets": "quayside-e85-set",
    "fuel_tank": "drover-tank",
    "fuel_line:suction": "quayside-suction",
    "fuel_line:supply": "quayside-supply",
    "fuel_line:return": "quayside-return",
    "fuel_filter:suction": "quayside-strainer",
    "fuel_filter:supply": "hob-lane-fine",
    "fuel_pump": "bench-lift",
    "fuel_regulator": "hob-lane-bypass",
}
LOBE = {"fuel_pump": "calder-38-lobe-pump"}
# What a build with a carburettor and an electric pump leaves empty.
WITH = {
    "mech-pump-flow": LOBE,
    "mech-pump-stroke": LOBE,
    "mech-pump-room": LOBE,
    "injector-duty": {"injector": "tern-low-pressure"},
    "throttle-air-flow": {"throttle": "hob-lane-throttle"},
    "charge-temperature": {"compressor": "brightwater-mild"},
}
FAILS = {
    "carb-air-flow": {"carburettor": "calder-33-carb"},
    "carb-pressure-band": {"fuel_regulator": "tern-rail-regulator"},
    "carb-pressure-full": {"fuel_regulator": "quayside-dead-end"},
    "charge-temperature": {"compressor": "aldine-roots"},
    "filter-arrow": {"fuel_filter:supply": "bench-fine-turned"},
    "filter-mesh": {"fuel_filter:suction": "hob-lane-fine-before"},
    "filter-rating": {"fuel_filter:supply": "quayside-clear-bowl"},
    "fuel-demand-vs-pump": {"fuel_pump": "aldine-small-lift"},
    "fuel-filter-material": {"fuel_filter:supply": "quayside-clear-bowl"},
    "fuel-line-material": {"fuel_line:return": "quayside-coolant-hose"},
    "fuel-material-compat": {"fuel_tank": "brightwater-cell"},
    "injector-duty": {"injector": "tern-six"},
    "jet-and-needle-scaling": {"fitted_jets": "quayside-e85-set"},
    "mech-pump-flow": {"fuel_pump": "calder-33-lobe-pump"},
    "mech-pump-room": {"fuel_pump": "aldine-lobe-pump"},
    "mech-pump-stroke": {"fuel_pump": "calder-33-lobe-pump"},
    "needle-seat-flow": {"carburettor": "calder-33-carb"},
    "needle-shuts": {"second_jets": "aldine-big-seat"},
    "return-line-drop": {"fuel_line:return": "bench-return-brake-tube"},
    "second-fuel-jets": {"second_jets": "quayside-main-jets", "second_fuel": "tested-e85"},
    "suction-line-drop": {"fuel_line:suction": "bench-suction-narrow"},
    "suction-line-tight": {"fuel_line:suction": "bench-suction-narrow"},
    "supply-line-drop": {"fuel_line:supply": "bench-supply-narrow"},
    "tank-pickup-clearance": {"fuel_tank": "drover-tank-1974"},
    "tank-rollover-valve": {"fuel_tank": "drover-tank-1974"},
    "tank-vent-bore": {"fuel_tank": "drover-tank-1974"},
    "tank-vent-drop": {"fuel_tank": "brightwater-cell"},
    "throttle-air-flow": {"throttle": "aldine-throttle"},
}
SOFT = {"charge-temperature", "filter-mesh"}  # limits from memory: outside the usual range, no more
RULES = sorted(id for id, rule in load_rules().items() if rule.subsystem == "fuel")


@cache
def parts() -> dict[str, Part]:
    found = read([RECORDS / kind for kind in KINDS])
    assert found.faults == []
    facts = {one.id: one.facts for one in map(check, found.records)}

    def line(id: str) -> list[dict[str, Any]]:
        base = facts[id].get("based_on")
        return [*(line(base) if base else []), facts[id]]

    return {id: assemble(id, line(id)) for id in facts}


def build(**swaps: str) -> Build:
    chosen = {**GOOD, **swaps}
    return Build("fuel", "fuel", {role: parts()[id] for role, id in chosen.items() if id})


def ask(rule_id: str, whole: Build) -> list[Finding]:
    rule = rule_named(rule_id)
    return [
        judge(rule, view, Settings(draws=2000))._replace(qualifier=qualifier)
        for qualifier, view in views(rule, whole)
        if not applies(rule, view)
    ]


@pytest.mark.parametrize("rule", RULES)
def test_the_good_set_fits(rule: str) -> None:
    found = ask(rule, build(**WITH.get(rule, {})))
    assert found
    assert {each.name: each.verdict for each in found} == {each.name: FITS for each in found}


@pytest.mark.parametrize("rule", RULES)
def test_a_swap_is_refused(rule: str) -> None:
    found = ask(rule, build(**{**WITH.get(rule, {}), **FAILS[rule]}))
    if rule in SOFT:
        assert "outside_usual" in {each.because for each in found}
    else:
        assert NOT in {each.verdict for each in found}


def test_every_rule_touches_fuel_and_says_so() -> None:
    for rule in RULES:
        assert "extinguisher" in rule_named(rule).caution, rule


def test_what_is_incomplete_is_not_cleared() -> None:
    for role, part in {
        "fuel": "yard-can", "carburettor": "yard-carb", "fuel_pump": "yard-pump", "fuel_regulator": "yard-regulator",
        "fuel_tank": "yard-tank", "second_jets": "yard-jets", "fuel_line:supply": "yard-hose",
        "fuel_filter:supply": "yard-filter", "injector": "yard-injectors", "throttle": "yard-throttle",
        "compressor": "yard-turbo",
    }.items():  # fmt: skip
        opened = [
            each
            for rule in RULES
            for each in ask(rule, build(**{role: part}))
            if any(driver.leaf.part == part for driver in each.drivers)
        ]
        assert opened, part
        assert all(each.verdict in (OPEN, NOT) for each in opened)
        assert OPEN in {each.verdict for each in opened}, part


def test_a_rule_over_lines_runs_once_for_each_run_of_line() -> None:
    assert [each.name for each in ask("fuel-line-material", build())] == [
        "fuel-line-material:return", "fuel-line-material:suction", "fuel-line-material:supply",
    ]  # fmt: skip
    assert [each.name for each in ask("return-line-drop", build())] == ["return-line-drop:return"]


def test_the_second_fuel_decides_and_is_named() -> None:
    (finding,) = ask("fuel-demand-vs-pump", build(second_fuel="tested-e85"))
    assert finding.station == "second fuel"
    assert finding.quantity is not None
    (alone,) = ask("fuel-demand-vs-pump", build(second_fuel=""))
    assert alone.station == "fuel"
    # Volume of E79 over that of E5 for the same air, from the definition.
    first, second = ethanol_blend(0.05), ethanol_blend(0.79)
    more = first.ratio * first.density / (second.ratio * second.density)
    assert alone.quantity == pytest.approx(finding.quantity * more, rel=1e-6)


def test_e85_on_the_petrol_set_is_lean_and_the_answer_says_what_is_wanted() -> None:
    (finding,) = ask("jet-and-needle-scaling", build(fuel="tested-e85", second_fuel=""))
    assert finding.verdict == NOT
    told = tell(finding)
    assert any("computed" in note for note in told.notes)
    assert "extinguisher" in told.caution
    # The same jets with the set for E85 fitted: start here.
    (fitted,) = ask("jet-and-needle-scaling", build(fuel="pump-e85", second_fuel="", fitted_jets="quayside-e85-set"))
    assert fitted.verdict == FITS


def test_without_a_regulator_the_dead_head_stands_on_the_needle() -> None:
    (finding,) = ask("carb-pressure-band", build(fuel_regulator=""))
    assert finding.verdict == NOT
    assert finding.quantity == pytest.approx(100e3)


def test_the_ethanol_is_what_a_fuel_needs_to_be_known_by() -> None:
    (finding,) = ask("fuel-demand-vs-pump", build(fuel="yard-can"))
    assert finding.verdict == OPEN
    assert {driver.leaf.name for driver in finding.drivers} == {"fuel.density", "fuel.stoichiometric_ratio"}
    assert all("shake test" in driver.leaf.feature.measure for driver in finding.drivers)


def test_more_volts_never_mean_less_fuel() -> None:
    from kb.standards.fuel_flow import pump_flow

    flows = [pump_flow(40e3, 170.0, 140.0, 50e3, 100e3, volts, 13.5) for volts in (9, 11, 13.5, 14.4)]
    assert flows == sorted(flows)
    assert flows[2] == pytest.approx(146.0)  # on the line from 170 at nothing to 140 at 50 kPa
    assert math.isclose(pump_flow(100e3, 170.0, 140.0, 50e3, 100e3, 13.5, 13.5), 0.0, abs_tol=1e-12)
