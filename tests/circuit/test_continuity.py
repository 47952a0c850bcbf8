"""Breaks: none in the good build, each seeded fault found at its joint, silence told from a break."""

from __future__ import annotations

from typing import Any

import pytest

from kb.base import Base
from kb.build import Build
from kb.circuit.continuity import SORTS, breaks, inspect
from kb.circuit.flow import lost
from kb.circuit.graph import STATES, circuits
from kb.circuit.ports import joint_kinds, names
from tests.circuit.seeds import SEEDS, Seed, drop, facts, without


def test_the_good_build_is_whole(good: Build) -> None:
    found = inspect(good)
    assert list(found.circuits) == list(names())
    assert found.breaks == ()
    assert found.silent == ()
    for circuit in found.circuits.values():
        assert {joint.state for joint in circuit.joints} == {"sound"}
        assert lost(circuit) == ()
        assert circuit.sinks


def test_the_first_pan_lets_the_oil_fall_back(first: Build) -> None:
    (found,) = breaks(first)
    assert (found.circuit, found.at, found.sort, found.rule) == (
        "oil", "oil.passage-rear-feed", "leaks_back", "passage-sealing",
    )  # fmt: skip
    assert found.milestone == "prime"
    oil = circuits(first)["oil"]
    assert oil.joint("oil.passage-rear-feed").state == "leaks_back"  # type: ignore[union-attr]
    assert "bearings" in lost(oil)


@pytest.mark.parametrize("seed", SEEDS, ids=[each.name.replace(" ", "-") for each in SEEDS])
def test_a_seeded_fault_is_found_at_its_joint(seed: Seed, good: Build) -> None:
    spoilt = seed.spoil(good)
    found = [each for each in breaks(spoilt) if (each.circuit, each.at) == (seed.circuit, seed.at)]
    assert seed.sort in {each.sort for each in found}
    for each in found:
        assert each.words
        assert each.fix
        assert each.sort in SORTS
    circuit = circuits(spoilt)[seed.circuit]
    joint = circuit.joint(seed.at)
    states = {joint.state} if joint else {each.state for each in circuit.joints if seed.at in (each.a, each.b)}
    assert states - {"sound", "unknown"}


def test_seeds_reach_every_circuit() -> None:
    assert {each.circuit for each in SEEDS} == set(names())
    assert len({each.name for each in SEEDS}) == len(SEEDS) >= 25


@pytest.mark.parametrize("seed", SEEDS, ids=[each.name.replace(" ", "-") for each in SEEDS])
def test_one_fault_raises_no_alarm_in_circuits_that_it_does_not_touch(seed: Seed, good: Build) -> None:
    spoilt = seed.spoil(good)
    roles = {role for role in good.parts if good.parts.get(role) is not spoilt.parts.get(role)}
    for each in breaks(spoilt):
        assert any(role in each.roles or role.partition(":")[0] in each.roles for role in roles), each


@pytest.mark.parametrize(
    ("role", "feature", "at"),
    [
        ("block", "ports", "oil.passage-rear-feed"),
        ("block", "plugs", "oil.plug-unrecorded"),
        ("charge_cable", "lands_on", "charge.cable"),
        ("fuel_filter:supply", "arrow", "fuel.filter"),
        ("grounds", "links", "battery-minus"),
    ],
)
def test_a_silent_record_is_no_break(role: str, feature: str, at: str, good: Build) -> None:
    found = inspect(facts(role, **{feature: None})(good))
    assert found.breaks == ()
    assert at in {each.at for each in found.silent}


def test_nothing_recorded_at_all_is_never_a_wrong_end(good: Build) -> None:
    """Parts without a single fact: all that may be broken is what nobody fills, and nobody is missing."""
    bare = good._replace(parts={role: part._replace(facts={}) for role, part in good.parts.items()})
    assert [each for each in breaks(bare) if each.sort not in ("unmated", "unsealed", "no_return")] == []


def test_an_empty_role_is_one_break(good: Build) -> None:
    found = breaks(without("fuel_pump")(good))
    assert [(each.at, each.sort) for each in found] == [("pump-inlet", "unmated")]
    assert found[0].roles == ("fuel_pump",)
    fuel = circuits(without("fuel_pump")(good))["fuel"]
    assert {joint.id for joint in fuel.joints if joint.state == "unmated"} >= {
        "fuel.pump-in",
        "fuel.pump-out",
        "fuel.pump",
    }


def test_one_strap_of_two_may_go(good: Build) -> None:
    """Both straps lead from the engine to the body: without either there is still a way."""
    for strap in ("engine strap", "second strap"):
        assert breaks(drop("grounds", "links", strap)(good)) == []


def test_a_build_without_a_circuits_parts_has_no_such_circuit(sample: str) -> None:
    with Base(sample) as base:
        assert circuits(base.build("drover-manual")) == {}
        assert set(circuits(base.build("pair-fits"))) == {"oil"}


def test_findings_of_a_whole_check_give_the_same_breaks(sample: str) -> None:
    with Base(sample) as base:
        for build in ("drover", "drover-good", "farm-33", "pair-passage"):
            answer = base.check(build)
            assert breaks(answer.build, answer.findings) == breaks(answer.build)


def test_joints_are_of_known_sorts_and_name_their_roles(good: Build) -> None:
    every = [joint for circuit in circuits(good).values() for joint in circuit.joints]
    for joint in every:
        assert joint.kind in joint_kinds()
        assert joint.state in STATES
        assert set(joint.roles) <= set(good.parts), joint.id
    # what one part does in two circuits is one joint
    assert len({joint.id for joint in every}) < len(every)


def test_a_gauge_reads_at_a_node(good: Build) -> None:
    made = circuits(good)
    assert made["oil"].at_gauge("oil-gallery") == "gallery"
    assert made["start"].at_gauge("start-engine-ground") == "at-engine"
    assert made["oil"].at_gauge("signal-spark") == ""
    node = made["oil"].node("gallery")
    assert node is not None
    assert node.place == "oil.gallery"
    everywhere: dict[str, Any] = {each.id: each for each in made["signal"].nodes}
    assert everywhere["plug-1"].gauges == ("signal-spark",)


def test_the_other_builds_of_the_sample(sample: str) -> None:
    with Base(sample) as base:
        found = {build: {(each.at, each.sort) for each in breaks(base.build(build))} for build in base.ids("build")}
    assert found["farm-33"] == {("coil-in", "unmated")}  # its coil is not recorded in the build
    assert ("oil.passage-rear-feed", "leaks_back") in found["pair-passage"]
