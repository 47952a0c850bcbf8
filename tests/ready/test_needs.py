"""Needs of the milestones: the data is sound, every role is classified, conditions follow the parts that decide."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise, product
from types import SimpleNamespace
from typing import Any

import pytest

from kb.base import Base
from kb.build import Build
from kb.errors import UnknownName
from kb.ready import needs as module
from kb.ready.needs import (
    LACKING,
    MET,
    UNDECIDED,
    alternatives,
    declared,
    described,
    items,
    list_of,
    needed_roles,
    needs,
    never_needed,
    ticked,
)
from kb.records.part import Part
from kb.roles import ROLES, base_role, role
from kb.rules._rule import HARMS, MILESTONES
from kb.rules.ready._bill import open_items


def build(**facts: dict[str, Any]) -> Build:
    """A build with these roles (`fuel_line__supply` for `fuel_line:supply`) and facts. Invented."""
    named = {name.replace("__", ":"): found for name, found in facts.items()}
    parts = {
        name: Part(f"a-{name}".replace(":", "-"), ROLES[base_role(name)].kind.kind, name, facts=found)
        for name, found in named.items()
    }
    return Build("trial", "trial", parts)


def state(found: Build, need: str, milestone: str = "drive") -> str:
    """The state of one need; empty where it does not apply."""
    return next((each.state for each in needs(found, milestone) if each.id == need), "")


def conditions(when: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Every condition inside a condition, itself among them."""
    yield when
    for several in ("all", "any", "first_known"):
        for each in when.get(several, ()):
            yield from conditions(each)
    if "not" in when:
        yield from conditions(when["not"])


# -- the data ------------------------------------------------------------------------------------------------------


def test_every_role_is_needed_under_some_condition_or_said_never_to_be() -> None:
    wanted = {base_role(name) for need, _ in declared() for name in need.roles}
    assert wanted | set(never_needed()) == set(ROLES), "a new role must be classified in kb/data/needs.json"
    assert not wanted & set(never_needed())


def test_every_item_of_the_lists_is_a_need() -> None:
    assert {need.item for need, _ in declared() if need.sort == "item"} == set(items())


def test_the_needs_are_sound() -> None:
    ids = [need.id for need, _ in declared()]
    assert len(ids) == len(set(ids))
    for need, _ in declared():
        assert need.milestone in MILESTONES
        assert need.sort in ("role", "any_of", "item", "circuit")
        assert need.harm in HARMS
        assert need.why
        assert need.source.title
        assert all(base_role(name) in ROLES for name in need.roles)
        assert bool(need.roles) == (need.sort in ("role", "any_of"))
        if need.sort == "item":
            assert list_of(need.item) in ("first_start", "small_parts")
        for name, what in need.such.items():
            for feature, codes in what.items():
                assert set(codes) <= set(role(name).kind.features[feature].options)
    assert described() <= set(ROLES)


def test_the_conditions_name_what_there_is() -> None:
    words = {"filled", "empty", "is", "one_of", "all", "any", "not", "first_known"}
    for need, whole in declared():
        for when in conditions(whole):
            assert set(when) <= words, need.id
            assert not when or set(when) != {"one_of"}, need.id
            if "filled" in when or "empty" in when:
                assert when.get("filled", when.get("empty")) in ROLES, need.id
            if "is" in when:
                name, feature, *field = when["is"].split(".")
                declared_feature = role(name).kind.features[feature]
                if field:
                    assert declared_feature.item is not None
                    declared_feature = declared_feature.item.features[field[0]]
                options = (True, False) if declared_feature.sort == "flag" else declared_feature.options
                assert set(when["one_of"]) <= set(options), need.id


# -- what decides --------------------------------------------------------------------------------------------------


def test_an_automatic_gearbox_wants_a_converter_and_a_manual_one_a_clutch() -> None:
    automatic, manual = build(transmission={"sort": "automatic"}), build(transmission={"sort": "manual"})
    assert state(automatic, "converter") == LACKING
    assert state(automatic, "clutch") == ""
    assert state(manual, "clutch") == LACKING
    assert state(manual, "converter") == ""


def test_a_gearbox_that_nobody_chose_is_itself_the_need() -> None:
    found = needed_roles(build(block={}), "crank")
    assert "transmission" in found
    assert "converter" not in found
    assert "clutch" not in found


def test_a_gearbox_of_unknown_sort_must_be_looked_at() -> None:
    found = {each.id: each for each in needs(build(transmission={}), "crank")}
    asked = found["record-transmission-sort"]
    assert (asked.sort, asked.item, asked.roles) == ("record", "transmission.sort", ("transmission",))
    assert {"converter", "converter-bolts"} <= set(asked.decides)
    assert "converter" not in found


def test_an_empty_role_that_decides_earlier_than_it_is_needed_is_to_be_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    # Invented data: a fan is needed for driving only, and decides what is needed to crank.
    when = {"is": "fan.drive", "one_of": ["mechanical"]}
    first = module._rows()[0]
    rows = (
        module._Row(first.need._replace(id="belt", roles=("belt",), milestone="crank"), when),
        module._Row(first.need._replace(id="fan", roles=("fan",), milestone="drive"), {}),
    )
    monkeypatch.setattr(module, "_rows", lambda: rows)
    assert [(each.id, each.sort) for each in needs(build(block={}), "crank")] == [("choose-fan", "choose")]
    assert needed_roles(build(block={}), "crank") == ["fan"]
    assert [each.id for each in needs(build(fan={"drive": "electric"}), "crank")] == []
    assert [each.id for each in needs(build(fan={"drive": "mechanical"}), "crank")] == ["belt"]


def test_carburettor_or_injection() -> None:
    neither, carburettor, injected = build(block={}), build(carburettor={}), build(injector={})
    assert state(neither, "fuel-metering") == LACKING
    assert state(carburettor, "fuel-metering") == state(injected, "fuel-metering") == MET
    assert state(carburettor, "throttle") == ""
    assert state(injected, "throttle") == LACKING
    assert state(injected, "controller-for-injection") == LACKING
    assert "injector" in needed_roles(injected, "fire")
    assert "carburettor" not in needed_roles(injected, "fire")
    assert ("carburettor", "injector") in alternatives(neither, "fire")


def test_distributor_or_coil_packs() -> None:
    rotor, stub = build(distributor={"style": "rotor"}), build(distributor={"style": "stub"})
    assert state(rotor, "spark-timing") == MET
    assert state(stub, "spark-timing") == LACKING, "a stub turns the pump and times nothing"
    assert state(build(distributor={}), "spark-timing") == UNDECIDED
    assert "record-distributor-style" in {each.id for each in needs(build(distributor={}), "fire")}
    packs = build(controller={"spark_mode": "wasted"})
    assert state(packs, "spark-timing") == MET
    assert {"crank_sensor", "trigger_wheel", "sensor_loom", "coil_wiring"} <= set(needed_roles(packs, "fire"))
    assert "cam_wheel" not in needed_roles(packs, "fire")
    assert "cam_wheel" in needed_roles(build(controller={"spark_mode": "sequential"}), "fire")
    assert state(build(controller={"spark_mode": "distributor"}), "distributor-hands-round") == LACKING


def test_the_pump_decides_what_turns_it() -> None:
    shaft, nose = build(oil_pump={"drive": "shaft"}), build(oil_pump={"drive": "clamped_nose"})
    assert {"pump_drive", "distributor"} <= set(needed_roles(shaft, "crank"))
    assert "pump_drive" not in needed_roles(nose, "crank")
    assert "damper" in needed_roles(nose, "prime")
    assert "damper" not in needed_roles(shaft, "prime")


def test_pump_boost_second_fuel_battery_and_fan() -> None:
    electric, lobe = build(fuel_pump={"drive": "electric"}), build(fuel_pump={"drive": "mechanical"})
    assert "fuel_regulator" in needed_roles(electric, "fire")
    assert "fuel_regulator" not in needed_roles(lobe, "fire")
    assert "fuel_regulator" in needed_roles(build(fuel_pump={"drive": "mechanical"}, compressor={}), "fire")
    assert "second_jets" in needed_roles(build(second_fuel={}, carburettor={}), "drive")
    assert "second_jets" not in needed_roles(build(carburettor={}), "drive")
    rear, front = build(battery_circuit={"place": "behind_cab"}), build(battery_circuit={"place": "engine_bay"})
    assert "grounds" in needed_roles(rear, "crank")
    assert "grounds" not in needed_roles(front, "crank")
    assert "grounds" in needed_roles(front, "fire")
    assert "engine_bay" in needed_roles(build(fan={"drive": "mechanical"}), "fire")
    assert "engine_bay" not in needed_roles(build(fan={"drive": "electric"}), "fire")
    assert "engine_bay" in needed_roles(build(fan={"drive": "electric"}), "drive")


def test_a_line_is_met_by_its_own_name_or_by_one_that_says_what_it_serves() -> None:
    assert state(build(fuel_line__supply={}), "fuel-line-supply") == UNDECIDED
    assert state(build(fuel_line__supply={"serves": "supply"}), "fuel-line-supply") == MET
    assert state(build(fuel_line__supply={"serves": "return"}), "fuel-line-supply") == LACKING
    assert state(build(fuel_line__rail={"serves": "supply"}), "fuel-line-supply") == MET
    assert state(build(fuel_line__rail={}), "fuel-line-supply") == LACKING


def test_a_milestone_counts_those_before_it() -> None:
    ids = [{each.id for each in needs(build(block={}), name)} for name in MILESTONES]
    assert all(before < after for before, after in pairwise(ids))
    with pytest.raises(UnknownName, match="milestone"):
        needs(build(block={}), "sail")


def test_needed_roles_are_in_the_order_of_the_milestones_and_each_once() -> None:
    found = needed_roles(build(block={}), "drive")
    assert len(found) == len(set(found))
    assert found.index("pan") < found.index("starter") < found.index("radiator") < found.index("alternator")


# -- items ---------------------------------------------------------------------------------------------------------


def test_ticks_are_read_off_the_lists() -> None:
    found = build(first_start={"turned_by_hand": True}, small_parts={"have": frozenset({"bell_dowels"})})
    assert ticked("turned_by_hand", found) is True
    assert ticked("oil_counted", found) is None
    assert ticked("bell_dowels", found) is True
    assert ticked("dust_cover", found) is False
    assert state(found, "turned-by-hand") == state(found, "small-bell-dowels") == MET
    assert state(found, "small-dust-cover") == state(found, "oil-in-the-pan") == LACKING
    with pytest.raises(UnknownName, match="item"):
        list_of("turned_by_foot")


@pytest.mark.parametrize("gearbox", ["automatic", "manual"])
def test_the_small_parts_are_those_of_the_rule(gearbox: str) -> None:
    """The data and the rule `small-parts` ask for the same, whatever the combination."""
    choices = product(
        ["one_piece_gasket", "end_seals"], [True, False], ["mechanical", "electric"], ["heater", "capped"],
        ["tank", "maker_blank"], ["mechanical", "electric"],
    )  # fmt: skip
    for pan_seal, pad, pump, heater, leads, fan in choices:
        found = build(
            small_parts={"have": frozenset(), "gearbox": gearbox, "pan_seal": pan_seal, "fuel_pump_pad": pad},
            fuel_pump={"drive": pump},
            coolant_circuit={"heater_loop": heater, "high_points": ({"id": "rear", "leads": leads},)},
            fan={"drive": fan},
        )
        points = [SimpleNamespace(leads=leads)]
        due = {part for part, _ in open_items(frozenset(), gearbox, pan_seal, pad, pump, heater, points, fan)}
        asked = {each.item for each in needs(found, "crank") if each.sort == "item" and each.state == LACKING}
        assert {item for item in asked if list_of(item) == "small_parts"} == due


def test_the_good_build_of_the_sample_lacks_nothing(sample: str) -> None:
    with Base(sample) as base:
        good, manual = base.build("drover-good"), base.build("drover-manual")
    assert [each.id for each in needs(good, "drive") if each.state in (LACKING, UNDECIDED)] == []
    lacking = [each.id for each in needs(manual, "drive") if each.state == LACKING and each.sort == "role"]
    assert "oil-pump" in lacking
    assert "clutch" not in lacking
