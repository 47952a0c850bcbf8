"""What a gauge shows with joints bad: small circuits by hand, and properties over all circuits of the good build."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.build import Build
from kb.circuit.flow import effects, lost, reached
from kb.circuit.graph import Circuit, Joint, Node, circuits
from kb.circuit.ports import names

ORDER = {"none": 0, "weak": 1, "full": 2, "high": 2}


def circuit(joints: list[Joint], *, source: str = "a", sources: tuple[str, ...] = (), back: str = "") -> Circuit:
    ids = list(dict.fromkeys(end for joint in joints for end in (joint.a, joint.b)))
    return Circuit(
        "c", tuple(Node(id, "", "", id) for id in ids), tuple(joints), source, (ids[-1],), sources=sources, back=back
    )


def joint(a: str, b: str, fails: str = "open", **more: object) -> Joint:
    base = Joint(f"{a}{b}", "c", a, b, "line", (), (), "prime", passes="oil", fails=fails)
    return base._replace(**more)  # type: ignore[arg-type]


# Every expected state below is read off the small graph by hand.


def test_a_chain_is_cut_where_it_is_open() -> None:
    chain = circuit([joint("a", "b"), joint("b", "c", "weak"), joint("c", "d")])
    assert reached(chain) == {"a": "full", "b": "full", "c": "full", "d": "full"}
    assert reached(chain, {"ab"}) == {"a": "full", "b": "none", "c": "none", "d": "none"}
    assert reached(chain, {"bc"}) == {"a": "full", "b": "full", "c": "weak", "d": "weak"}
    assert reached(chain, {"bc", "cd"})["d"] == "none"


def test_a_second_way_round_carries_on() -> None:
    ring = circuit([joint("a", "b"), joint("a", "c"), joint("b", "d"), joint("c", "d", "weak")])
    assert reached(ring, {"ab"})["d"] == "full"
    assert reached(ring, {"ab", "cd"})["d"] == "weak"
    assert reached(ring, {"ab", "ac"})["d"] == "none"


def test_a_pump_needs_oil_and_turning() -> None:
    pump = circuit(
        [joint("a", "p"), joint("t", "p", passes="turning"), joint("p", "q")], sources=("t",)
    )  # fmt: skip
    assert reached(pump)["q"] == "full"
    assert reached(pump, {"tp"})["q"] == "none"
    assert reached(pump, {"ap"})["q"] == "none"


def test_a_plug_left_out_empties_its_gallery_and_weakens_what_lies_before() -> None:
    joints = [
        joint("a", "i", suction=True),
        joint("i", "o", kind="pump"),
        joint("o", "g"),
        joint("g", "z"),
        joint("g", "x", "back", closure=True),
    ]
    plugged = circuit(joints)
    assert reached(plugged)["x"] == "none"
    assert reached(plugged, {"gx"}) == {"a": "full", "i": "full", "o": "weak", "g": "none", "z": "none", "x": "none"}


def test_what_falls_back_before_a_joint_never_arrives_behind_it() -> None:
    joints = [joint("a", "i", suction=True), joint("i", "o", kind="pump"), joint("o", "p", "back"), joint("p", "q")]
    assert reached(circuit(joints), {"op"}) == {"a": "full", "i": "full", "o": "weak", "p": "none", "q": "none"}


def test_a_blocked_return_leaves_too_much_before_it() -> None:
    joints = [
        joint("a", "o", kind="pump"),
        joint("o", "r"),
        joint("r", "c"),
        joint("r", "t", shut="high", returns=True),
    ]
    blocked = reached(circuit(joints), {"rt:high"})
    assert blocked == {"a": "full", "o": "high", "r": "high", "c": "high", "t": "none"}
    assert reached(circuit(joints), {"rt"})["c"] == "full"


def test_a_leaking_joint_wets_the_floor_and_takes_nothing_from_the_gauge() -> None:
    joints = [joint("a", "b"), joint("b", "outside", "leak", closure=True)]
    assert reached(circuit(joints))["outside"] == "none"
    assert reached(circuit(joints), {"boutside"}) == {"a": "full", "b": "full", "outside": "weak"}


def test_current_needs_its_way_home() -> None:
    joints = [
        joint("a", "m"),
        joint("m", "case", "weak", back=True),
        joint("case", "minus", back=True),
        joint("body", "case", back=True),
        joint("m", "wheel", passes="turning"),
    ]
    loop = circuit(joints, back="minus")
    assert set(reached(loop).values()) == {"full"}
    assert reached(loop, {"caseminus"}) == {
        "a": "full", "m": "none", "case": "none", "minus": "full", "body": "none", "wheel": "none",
    }  # fmt: skip
    assert reached(loop, {"mcase"})["wheel"] == "weak"
    assert reached(loop, {"bodycase"})["wheel"] == "full"


def test_a_fault_of_another_circuit_changes_nothing() -> None:
    chain = circuit([joint("a", "b")])
    assert reached(chain, {"elsewhere", "other:open"}) == reached(chain)


def test_an_effect_may_be_chosen() -> None:
    chain = circuit([joint("a", "b")])
    assert reached(chain, {"ab:weak"})["b"] == "weak"
    assert effects(joint("a", "b")) == ("open",)
    assert effects(joint("a", "b", "open", shut="high")) == ("open", "high")


@pytest.mark.parametrize("name", names())
def test_the_good_build_is_full_wherever_something_should_be(name: str, good: Build) -> None:
    drawn = circuits(good)[name]
    shown = reached(drawn)
    shut = {each.b for each in drawn.joints if each.closure}
    assert {id for id, state in shown.items() if state != "full"} <= shut
    assert list(shown) == [node.id for node in drawn.nodes]
    assert lost(drawn) == ()


@pytest.mark.parametrize("name", names())
def test_every_sink_is_lost_by_some_single_fault_before_it(name: str, good: Build) -> None:
    drawn = circuits(good)[name]
    changed = {sink for each in drawn.joints for sink in drawn.sinks if reached(drawn, {each.id})[sink] != "full"}
    assert changed == set(drawn.sinks)


@pytest.fixture(scope="session")
def pick(good: Build) -> Callable[[int, list[int]], tuple[Circuit, list[str]]]:
    made = list(circuits(good).values())

    def some(which: int, numbers: list[int]) -> tuple[Circuit, list[str]]:
        drawn = made[which % len(made)]
        return drawn, [drawn.joints[each % len(drawn.joints)].id for each in numbers]

    return some


@settings(deadline=None, max_examples=150)
@given(which=st.integers(0, 6), numbers=st.lists(st.integers(0, 60), max_size=4), more=st.integers(0, 60))
def test_one_more_fault_never_fills_a_node_that_should_be_full(
    which: int, numbers: list[int], more: int, pick: Callable[[int, list[int]], tuple[Circuit, list[str]]]
) -> None:
    drawn, faults = pick(which, [*numbers, more])
    fewer, worse = reached(drawn, frozenset(faults[:-1])), reached(drawn, frozenset(faults))
    wet = {each.b for each in drawn.joints if each.closure}  # only a leak brings something there
    assert all(ORDER[worse[id]] <= ORDER[fewer[id]] for id in fewer if id not in wet)


def by_hand(drawn: Circuit, bad: set[str]) -> set[str]:
    """Nodes that something reaches, by the plain definition: repeat until nothing changes; joints all or nothing."""
    live = {drawn.source, *drawn.sources}
    home = {drawn.back}
    while True:
        wider = home | {
            end
            for each in drawn.joints
            if each.back and each.id not in bad and ({each.a, each.b} & home)
            for end in (each.a, each.b)
        }
        if wider == home:
            break
        home = wider
    while True:
        new = set(live)
        for node in (each.id for each in drawn.nodes):
            comes = [each for each in drawn.joints if each.b == node and not each.back and not each.closure]
            things = {each.passes for each in comes}
            fed = {each.passes for each in comes if each.a in live and each.id not in bad}
            goes = [each for each in drawn.joints if each.a == node and each.back and drawn.back]
            earthed = all(each.id not in bad and each.b in home for each in goes)
            if things and things == fed and earthed:
                new.add(node)
        if new == live:
            return live
        live = new


@pytest.mark.parametrize("name", names())
def test_reach_is_the_plain_definition_for_all_single_faults_and_many_pairs(name: str, good: Build) -> None:
    """Against an independent, slow computation, each fault taken as a plain break."""
    drawn = circuits(good)[name]
    usual = [each for each in drawn.joints if not each.closure]
    ends = {each.id: each for each in drawn.joints}
    for pair in [*((each.id,) for each in usual), *list(combinations([each.id for each in usual], 2))[::7]]:
        shown = reached(drawn, {f"{id}:open" for id in pair})
        # a source is weakened, not cut, when nothing comes back to it
        expected = by_hand(drawn, set(pair))
        homeward = {end for each in drawn.joints if each.back for end in (each.a, each.b)} - {
            each.b for each in usual if not each.back
        }
        for node, state in shown.items():
            if node not in homeward and not any(ends[id].closure for id in pair):
                assert (state != "none") == (node in expected), (pair, node)
