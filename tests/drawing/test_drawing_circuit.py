"""The picture of a circuit: every node and joint once, marks by shape and word, nothing clipped or overlapping."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from kb.base import Base
from kb.build import Build
from kb.circuit.graph import STATES, Circuit, Joint, Node, circuits
from kb.circuit.ports import names
from kb.circuit.rows import rows
from kb.drawing import circuit_drawing
from kb.drawing._svg import LETTER, TEXT, WIDTH
from kb.drawing.circuit import LEGEND, MARKS, Suspect
from tests.circuit.seeds import SEEDS, Seed
from tests.drawing.drawn import SVG, all_text, having, number, read

HOSTILE = "<script>alert(1)</script> & \"'"


@pytest.fixture(scope="module")
def good(sample: str) -> Build:
    with Base(sample) as base:
        return base.build("drover-good")


def texts(root: ElementTree.Element) -> list[tuple[float, float, float, str]]:
    """(left, foot, width, words) of every text, width by the builder's own letter width."""
    made = []
    for each in root.iter(f"{SVG}text"):
        words = each.text or ""
        wide = len(words) * number(each, "font-size") * LETTER
        left = number(each, "x") - (wide / 2 if each.get("text-anchor") == "middle" else 0)
        made.append((left, number(each, "y"), wide, words))
    return made


def whole(root: ElementTree.Element) -> None:
    """Nothing outside the page, and no two texts on top of one another."""
    height = float(str(root.get("viewBox")).split()[3])
    found = texts(root)
    for left, foot, wide, words in found:
        assert left >= 0, words
        assert left + wide <= WIDTH + 1, words
        assert TEXT <= foot <= height, words
    order = sorted(found, key=lambda each: each[1])
    for at, (left, foot, wide, words) in enumerate(order):
        for other_left, other_foot, other_wide, other in order[at + 1 :]:
            if other_foot - foot >= TEXT:
                break
            apart = other_left >= left + wide or left >= other_left + other_wide
            assert apart, (words, other)
    boxes = having(root, "data-node")
    spans = sorted((number(each, "y"), number(each, "y") + number(each, "height")) for each in boxes)
    assert all(foot <= top for (_, foot), (top, _) in pairwise(spans))


@pytest.mark.parametrize("name", names())
def test_a_picture_of_each_circuit(name: str, good: Build) -> None:
    circuit = circuits(good)[name]
    root = read(circuit_drawing(circuit, prefix="c"))
    whole(root)
    shut_ends = {each.b for each in circuit.joints if each.closure}
    drawn = [each.get("data-node") for each in having(root, "data-node")]
    assert len(drawn) == len(set(drawn))
    assert {node.id for node in circuit.nodes} - set(drawn) <= shut_ends
    joints = [each.get("data-joint") for each in having(root, "data-joint")]
    assert sorted(map(str, joints)) == sorted(joint.id for joint in circuit.joints)
    assert {each.get("data-state") for each in having(root, "data-joint")} == {"sound"}
    assert "Every joint is sound" in str(root.find(f"{SVG}desc").text)  # type: ignore[union-attr]


@pytest.mark.parametrize("seed", SEEDS, ids=[each.name.replace(" ", "-") for each in SEEDS])
def test_a_break_stands_in_the_picture_in_words_and_shape(seed: Seed, good: Build) -> None:
    circuit = circuits(seed.spoil(good))[seed.circuit]
    svg = circuit_drawing(circuit)
    root = read(svg)
    whole(root)
    marked = {each.get("data-joint"): each.get("data-state") for each in having(root, "data-joint")}
    broken = {joint.id: joint.state for joint in circuit.joints if joint.state != "sound"}
    assert broken
    assert {id: state for id, state in marked.items() if state != "sound"} == broken
    said = all_text(root)
    assert all(LEGEND[state].split()[0] in said for state in broken.values())
    assert "Every joint is sound" not in svg


def test_rows_lead_every_line_downwards(good: Build) -> None:
    for circuit in circuits(good).values():
        seen: set[str] = set()
        for row in rows(circuit):
            if row.node is not None:
                seen.add(row.node.id)
            elif row.joint is not None and row.sort == "joint":
                ends = {row.joint.a, row.joint.b}
                assert ends & seen, row.joint.id  # what feeds a joint stands above it


def test_suspects_are_marked_by_number_shape_and_word(good: Build) -> None:
    circuit = circuits(good)["oil"]
    root = read(circuit_drawing(circuit, suspects={"oil.pickup-pump": Suspect(1, "62 %"), "oil.relief": Suspect(2)}))
    whole(root)
    said = all_text(root)
    assert "suspect 1: 62 %" in said
    assert "suspect 2" in said
    group = next(each for each in having(root, "data-joint") if each.get("data-joint") == "oil.pickup-pump")
    assert group.find(f"{SVG}polygon") is not None
    assert "Suspect 1" in str(root.find(f"{SVG}desc").text)  # type: ignore[union-attr]


def test_what_gauges_show_is_written_where_it_is_not_full(good: Build) -> None:
    circuit = circuits(good)["oil"]
    root = read(circuit_drawing(circuit, shown={"gallery": "none", "pad": "weak", "sump": "full"}))
    whole(root)
    assert all_text(root).count("a gauge here shows") == 2


def one(state: str, words: str = "") -> Circuit:
    nodes = (Node("a", "pan", "x", f"from {words}"), Node("b", "pan", "x", "to"))
    joint = Joint("c.j", "c", "a", "b", "line", (), (), "prime", state, words, entry=words)
    return Circuit("c", nodes, (joint,), "a", ("b",), title=f"C {words}")


@pytest.mark.parametrize("state", STATES)
def test_every_state_has_a_mark_of_its_own(state: str) -> None:
    root = read(circuit_drawing(one(state)))
    whole(root)
    group = having(root, "data-joint")[0]
    shapes = [(each.tag, re.sub(r"mm-\w+-\w+", "", str(each.get("points") or ""))) for each in group]
    others = [
        [
            (each.tag, str(each.get("points") or ""))
            for each in having(read(circuit_drawing(one(other))), "data-joint")[0]
        ]
        for other in STATES
        if other != state
    ]
    assert shapes not in others  # told apart without colour


def test_hostile_words_stay_words() -> None:
    svg = circuit_drawing(
        one("open", HOSTILE), words={"c.j": HOSTILE, "a": HOSTILE}, suspects={"c.j": Suspect(1, HOSTILE)}
    )
    root = read(svg)
    assert "<script" not in svg
    assert root.find(f".//{SVG}script") is None
    assert " style=" not in svg


def test_a_circuit_of_nothing() -> None:
    root = read(circuit_drawing(Circuit("c", (), (), "", ())))
    assert "Nothing of this circuit" in all_text(root)


def test_a_ring_is_drawn_with_its_way_back() -> None:
    nodes = tuple(Node(id, "", "", id) for id in "abc")
    base = one("sound").joints[0]
    ring = tuple(base._replace(id=f"{a}{b}", a=a, b=b) for a, b in ("ab", "bc", "ca"))
    root = read(circuit_drawing(Circuit("c", nodes, ring, "a", ("c",))))
    whole(root)
    assert "back to: a" in all_text(root)


def test_every_mark_has_its_words() -> None:
    assert set(MARKS) == set(LEGEND)
    assert set(STATES) <= set(MARKS)


@pytest.mark.parametrize("name", names())
def test_two_columns_show_the_same_and_are_shorter(name: str, good: Build) -> None:
    circuit = circuits(good)[name]
    one_column, two = read(circuit_drawing(circuit)), read(circuit_drawing(circuit, columns=2))
    wide, tall = map(float, str(two.get("viewBox")).split()[2:])
    assert wide == 2 * WIDTH
    assert tall <= float(str(one_column.get("viewBox")).split()[3])
    for attribute in ("data-node", "data-joint"):
        assert [each.get(attribute) for each in having(two, attribute)] == [
            each.get(attribute) for each in having(one_column, attribute)
        ]
    found = texts(two)
    assert all(0 < foot <= tall and left + across <= wide + 1 for left, foot, across, _ in found)
    # no text of the first column reaches into the second
    assert all(left + across <= WIDTH + 1 for left, _, across, _ in found if left < WIDTH)
    assert any(left > WIDTH for left, *_ in found)
