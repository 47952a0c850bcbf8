"""Lists before the engine turns: the sample is ready, each gap is named, and the bill follows what was chosen."""

from __future__ import annotations

import itertools
from types import SimpleNamespace

import pytest

from kb.chance import FITS, NOT, OPEN
from kb.explain import tell
from kb.judge import Finding
from kb.records.kinds.ready import SMALL
from kb.rules import load_rules, rule_named
from kb.rules.ready._bill import ALWAYS, BY_CHOICE, open_items
from tests.rules.sample_parts import asked, build

GOOD = {"small_parts": "drover-box", "first_start": "drover-first-start", "coolant_circuit": "drover-circuit"}
HURRY = {"first_start": "drover-in-a-hurry"}
FAILS = {
    "small-parts": {"small_parts": "drover-box-first"},
    "turned-by-hand": HURRY,
    "primed": HURRY,
    "fluids-and-timing": HURRY,
    "fire-guard": HURRY,
    "stop-rules": HURRY,
}


def found(id: str, more: dict[str, str]) -> Finding:
    (finding,) = asked(rule_named(id), build("drover-good", {**GOOD, **more}))
    return finding


def test_the_table_names_every_rule_of_the_folder() -> None:
    assert set(FAILS) == {id for id, each in load_rules().items() if each.subsystem == "ready"}


@pytest.mark.parametrize("id", FAILS)
def test_the_good_build_is_ready(id: str) -> None:
    assert found(id, {}).verdict == FITS


@pytest.mark.parametrize("id", FAILS)
def test_the_swap_is_not(id: str) -> None:
    assert found(id, FAILS[id]).verdict == NOT


@pytest.mark.parametrize(
    ("id", "swap", "named"),
    [
        ("small-parts", {"small_parts": "drover-box-unsorted"}, "small_parts.have"),
        ("small-parts", {"coolant_circuit": "drover-circuit-bought"}, "coolant_circuit.heater_loop"),
        ("primed", {"first_start": "drover-half-ticked"}, "first_start.priming_pressure_seen"),
        ("fluids-and-timing", {"first_start": "drover-half-ticked"}, "first_start.timing_set"),
        ("fire-guard", {"first_start": "drover-half-ticked"}, "first_start.extinguisher"),
        ("stop-rules", {"first_start": "drover-half-ticked"}, "first_start.stop_rules_agreed"),
    ],
)
def test_what_nobody_ticked_is_asked_for(id: str, swap: dict[str, str], named: str) -> None:
    finding = found(id, swap)
    assert finding.verdict == OPEN
    assert named in [driver.leaf.name for driver in finding.drivers]


def test_what_is_open_is_named() -> None:
    words = tell(found("fluids-and-timing", HURRY)).headline
    assert words == "not yet: coolant vented, static timing, firing order, throttle shuts"
    assert "extinguisher" in tell(found("fire-guard", HURRY)).headline


def test_the_bill_knows_every_small_part_and_no_other() -> None:
    asked_for = [*ALWAYS, *(part for _, _, parts, _ in BY_CHOICE for part in parts)]
    assert sorted(asked_for) == sorted(SMALL)


def test_every_combination_asks_for_what_the_trade_page_lists() -> None:
    """The list of the trade page, with its conditions written out by hand: what is not asked for is not missed."""
    for gearbox, seal, pad, pump, heater, leads, fan in itertools.product(
        ("automatic", "manual"), ("one_piece_gasket", "end_seals"), (True, False), ("electric", "mechanical"),
        ("heater", "valved", "looped", "capped"), (None, "tank", "crossover", "maker_blank", "nothing"),
        ("electric", "mechanical"),
    ):  # fmt: skip
        due = set(SMALL)
        due -= {"pilot_bearing", "flywheel_bolts"} if gearbox == "automatic" else set()
        due -= {"converter_sleeve", "flexplate_spacer", "converter_bolts"} if gearbox == "manual" else set()
        due -= {"end_seals"} if seal != "end_seals" else set()
        due -= {"fuel_pump_blank"} if not (pad and pump == "electric") else set()
        due -= {"heater_caps"} if heater != "capped" else set()
        due -= {"steam_tubes"} if leads not in ("tank", "crossover") else set()
        due -= {"fan_spacer"} if fan != "mechanical" else set()
        points = [] if leads is None else [SimpleNamespace(id="here", leads=leads)]
        given = (gearbox, seal, pad, pump, heater, points, fan)
        assert {part for part, _ in open_items(frozenset(), *given)} == due
        assert open_items(frozenset(due), *given) == []


def test_the_bill_says_what_asks_for_a_part() -> None:
    words = tell(found("small-parts", {"small_parts": "drover-box-first"})).headline
    assert "converter sleeve (automatic gearbox)" in words
    assert "steam tubes (vents that lead on)" in words
    assert "bell dowels" in words
    assert "heater caps" not in words


def test_a_build_without_those_parts_says_what_it_was_counted_as() -> None:
    whole = build("drover-good", {"small_parts": "drover-box"})
    bare = whole._replace(
        parts={name: part for name, part in whole.parts.items() if name not in ("coolant_circuit", "fan", "fuel_pump")}
    )
    (finding,) = asked(rule_named("small-parts"), bare)
    assert finding.verdict == FITS
    assert {role for role, _ in finding.question.assumed} == {"coolant_circuit", "fan", "fuel_pump"}


@pytest.mark.parametrize(
    ("id", "milestone"),
    [
        ("small-parts", "crank"), ("turned-by-hand", "crank"), ("primed", "crank"), ("fluids-and-timing", "fire"),
        ("fire-guard", "fire"), ("stop-rules", "fire"),
    ],
)  # fmt: skip
def test_each_list_blocks_its_milestone(id: str, milestone: str) -> None:
    # The order of the trade page: nothing turns before it was primed, nothing fires before it is guarded.
    assert {limit.milestone for limit in rule_named(id).limits} == {milestone}
