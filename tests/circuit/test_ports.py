"""The declared circuits: nothing is named that is not there, and no kind of part is forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from kb.build import Build
from kb.circuit.conditions import holds
from kb.circuit.ports import breaking, data, joint_kinds, names, node_of_gauge, ports, rules_of_joints, without_ports
from kb.gauges import places
from kb.records import KINDS
from kb.records.part import Part
from kb.roles import ROLES, role_feature
from kb.rules import load_rules
from kb.rules._rule import MILESTONES


def every(value: Any, key: str) -> Iterator[Any]:
    """Every value under `key`, however deep."""
    if isinstance(value, dict):
        if key in value:
            yield value[key]
        for each in value.values():
            yield from every(each, key)
    elif isinstance(value, list):
        for each in value:
            yield from every(each, key)


def joints() -> list[dict[str, Any]]:
    found = [each for word in ("join", "through") for each in every(data()["circuits"], word)]
    return [*found, *every(data()["grounds"], "join"), data()["grounds"]["missing"]]


def elements() -> list[dict[str, Any]]:
    return [each for chain in every(data()["circuits"], "elements") for each in chain]


def test_every_kind_is_in_some_circuit_or_listed_as_in_none() -> None:
    assert set(ports()) | set(without_ports()) == set(KINDS)
    assert not set(ports()) & set(without_ports())
    assert all(why.strip() for why in without_ports().values())


def test_rules_that_vouch_for_a_joint_are_there() -> None:
    """A rule that no joint names vouches for none: a new rule file needs no edit of the circuits."""
    placed = rules_of_joints()
    assert placed <= set(load_rules())
    assert len(placed) > 100


def test_rules_that_break_a_joint_vouch_for_one() -> None:
    assert set(breaking()) <= rules_of_joints()
    sorts = {"differs", "open", "leaks_back", "reversed", "bypass", "no_return", "dead_end", "no_ground", "unmated"}
    assert set(breaking().values()) <= sorts


def test_ports_name_circuits_and_features_that_are_there() -> None:
    for kind, listed in ports().items():
        for port in listed:
            assert port.circuit in names()
            assert port.way in ("in", "out", "both", "shut")
            assert set(port.end) <= set(KINDS[kind].features), (kind, port.name)
        assert len({port.name for port in listed}) == len(listed)


def test_elements_name_roles_and_their_ports() -> None:
    for each in elements():
        if each["role"]:
            mine = {port.name for port in ports()[ROLES[each["role"]].kind.kind]}
            assert each["port"] in mine, each["node"]
            if "out_port" in each and "out_role" not in each:
                assert each["out_port"] in mine, each["node"]
    for fan in (each for listed in every(data()["circuits"], "fans") for each in listed):
        if fan.get("role"):
            assert fan["port"] in {port.name for port in ports()[ROLES[fan["role"]].kind.kind]}


def test_joints_are_of_a_sort_a_milestone_and_an_effect_that_exist() -> None:
    assert {each["kind"] for each in joints()} == set(joint_kinds())
    assert {each["fails"] for each in joints()} <= {"open", "weak", "leak", "back"}
    assert {each.get("shut", "") for each in joints()} <= {"", "high", "weak"}
    assert set(every(data()["circuits"], "milestone")) <= set(MILESTONES)
    ids = [each["id"] for each in joints()]
    twice = {id for id in ids if ids.count(id) > 1}
    # drains of the heads and of the pan joint are both `oil.drain-...`, told apart by their entries
    assert twice == {"oil.drain-{id}"}


def test_conditions_name_features_that_exist() -> None:
    paths = list(every(data(), "is"))
    assert len(paths) > 20
    for path in paths:
        role_feature(path)


@pytest.mark.parametrize("place", places(), ids=str)
def test_every_gauge_place_reads_somewhere_in_its_circuit(place: str) -> None:
    circuit, node = node_of_gauge()[place]
    assert circuit == places()[place].circuit
    known = {each["node"] for each in elements()} | {each["out"] for each in elements() if "out" in each}
    known |= {"plug-1", "at-engine"}  # made from lists: leads, ground links
    assert node in known | {""}


def test_conditions_know_what_they_cannot_tell() -> None:
    pump = Part("p", "fuel_pump", "p", facts={"drive": "electric"})
    build = Build("b", "b", {"fuel_pump:rear": pump})
    electric = {"is": "fuel_pump.drive", "one_of": ["electric"]}
    silent = {"is": "fuel_pump.dead_head", "one_of": [1]}
    assert holds(None, build) is True
    assert holds({"filled": "fuel_pump"}, build) is True
    assert holds({"empty": "fuel_pump"}, build) is False
    assert holds(electric, build) is True
    assert holds({"not": electric}, build) is False
    assert holds(silent, build) is None
    assert holds({"not": silent}, build) is None
    # as in Kleene's logic of three values: one answer settles it whatever the open one is
    assert holds({"all": [electric, silent]}, build) is None
    assert holds({"all": [{"not": electric}, silent]}, build) is False
    assert holds({"any": [electric, silent]}, build) is True
    assert holds({"any": [{"not": electric}, silent]}, build) is None
