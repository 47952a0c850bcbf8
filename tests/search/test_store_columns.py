"""Columns read from the database say what the parts assembled from it say; the count on the command line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy
import pytest

from kb.measure import Dimension
from kb.records import KINDS
from kb.store.columns import columns
from kb.store.read import open_readonly, parts_of_kinds


def plain(value: Any) -> Any:
    """What rules see of a fact: a figure and its errors, not who read it."""
    if isinstance(value, Dimension):
        return value.value, value.terms
    if isinstance(value, tuple):
        return tuple({name: plain(each) for name, each in entry.items()} for entry in value)
    return value


@pytest.mark.parametrize("kind", list(KINDS))
def test_columns_are_the_parts(sample: str, kind: str) -> None:
    con = open_readonly(sample)
    parts = parts_of_kinds(con, [kind])[kind]
    made = columns(con, kind)
    assert list(made.ids) == [part.id for part in parts]
    for at, part in enumerate(parts):
        again = made.part(at)
        known = {name: plain(value) for name, value in part.facts.items() if value is not None}
        assert {name: plain(value) for name, value in again.facts.items()} == known
        assert again.price == part.price


def test_some_features_and_some_parts(sample: str) -> None:
    made = columns(open_readonly(sample), "pan", ("sump_depth", "rail_pattern"))
    assert set(made.facts) == {"sump_depth", "rail_pattern"}
    some = made.take(numpy.array([2, 0]))
    assert [some.ids[0], some.ids[1]] == [made.ids[2], made.ids[0]]
    assert plain(some.part(1).facts.get("sump_depth")) == plain(made.part(0).facts.get("sump_depth"))


def test_the_command_counts(run: Callable[..., Any], sample: str) -> None:
    whole = run("find", "pan", "--and", "pickup", "drover-good", "--json", "--db", sample)
    found = run("find", "pan", "--and", "pickup", "drover-good", "--count", "--db", sample)
    assert found.status == whole.status
    import json

    told = json.loads(whole.out)
    for word in ("fits", "cannot tell", "does not fit"):
        (line,) = [each for each in found.out.splitlines() if each.strip().startswith(word)]
        assert int(line.split()[-1].replace(",", "")) in _numbers(told)
    assert "candidates for pan" in found.out


def _numbers(value: Any) -> set[int]:
    if isinstance(value, dict):
        return set().union(*(_numbers(each) for each in value.values()))
    return {value} if isinstance(value, int) else set()


def test_a_count_lists_no_rows(run: Callable[..., Any], sample: str) -> None:
    found = run("find", "pan", "drover-good", "--count", "--limit", "3", "--db", sample)
    assert found.status == 2
    assert "--count" in found.err
