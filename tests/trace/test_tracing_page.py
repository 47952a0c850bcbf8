"""docs/tracing.md: the worked example is what the engine gives, the tables are those of the data."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from kb.trace.engine import MISLEADING, Trial, believe, pack
from kb.trace.trees import figures, load, trees

PAGE = (Path(__file__).parents[2] / "docs" / "tracing.md").read_text(encoding="utf-8")
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in PAGE.splitlines() if line.startswith("| ")]
ORIGINS = {"memory": "from memory", "practice": "common practice, no source"}


def test_the_worked_example_is_what_the_engine_gives() -> None:
    # the page's example: suspects at 5 % and 2 %; symptom there; a test that the second shows in 80 %
    symptom = Trial(np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 1.0]]), 1.0)
    test = Trial(np.array([[1.0, 0.0], [1.0, 0.0], [0.2, 0.8]]), 5.0)
    found = believe(pack([0.05, 0.02], [symptom, test]), {0: 1, 1: 1})
    # by hand: prior odds times the chance of both answers, over their sum
    rest = 1.0 - MISLEADING
    bad = rest * 0.8 + MISLEADING * 0.2
    a, b = 0.05 / 0.95, 0.02 / 0.98
    weights = {
        "nothing": MISLEADING * MISLEADING,
        "A": a * rest * MISLEADING,
        "B": b * rest * bad,
        "A and B": a * b * rest * bad,
    }
    total = sum(weights.values())
    assert found.none == pytest.approx(weights["nothing"] / total, rel=1e-12)
    assert found.alone == pytest.approx([weights["A"] / total, weights["B"] / total], rel=1e-12)
    assert found.causes == pytest.approx(
        [(weights["A"] + weights["A and B"]) / total, (weights["B"] + weights["A and B"]) / total], rel=1e-12
    )
    table = {row[0]: row for row in ROWS if row[0] in weights}
    for name, weight in weights.items():
        assert table[name][4:] == [f"{weight:.6f}", f"{100 * weight / total:.1f} %"]
    flat = " ".join(PAGE.split())
    assert f"= {100 * found.causes[1]:.1f} %, A with {100 * found.causes[0]:.1f} %" in flat
    assert f"from {100 * figures().clear_at:g} %: B does" in flat
    assert found.causes[1] >= figures().clear_at
    assert f"A reading misleads with {100 * MISLEADING:g} %" in flat


def test_the_tables_are_those_of_the_data() -> None:
    told = {row[0]: row[1:] for row in ROWS if len(row) == 3}
    told.pop("kind")
    assert told == {each.words: [f"{100 * each.rate:g} %", ORIGINS[each.origin]] for each in figures().kinds.values()}
    trees_told = {row[0].strip("`"): row[1:] for row in ROWS if len(row) == 4 and row[0] != "symptom"}
    assert trees_told == {
        id: [each.words, str(len(each.causes)), str(len(each.tests) - 1)] for id, each in trees().items()
    }


def test_the_figures_in_the_text_are_those_of_the_data() -> None:
    shared, flat = figures(), " ".join(PAGE.split())
    assert f"counts as holding with {shared.unknown_holds:g}." in flat
    assert f"at least {shared.clash['confirmed']:g} when it is confirmed, {shared.clash['reported']:g} when" in flat
    assert f"{shared.clash['unsure']:g} when a record leaves open" in flat
    assert f"None is below {shared.least:g} or above {shared.most:g}." in flat
    assert f"adds {shared.tool_missing:g} minutes, an engine to be opened {shared.opened:g} (" in flat


def test_every_tree_says_where_its_causes_minutes_and_chances_come_from() -> None:
    for id, tree in trees().items():
        assert f"symptom tree {tree.letter} " in tree.origin, id
        assert "Minutes of the tests" in tree.origin
        assert "from memory" in tree.origin
    assert {load("kinds")[name]["origin"] for name in ("effort", "clear_at", "unknown_holds", "clash")} <= set(ORIGINS)
