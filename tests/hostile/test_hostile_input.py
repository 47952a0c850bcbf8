"""Hostile input of every sort, each in a process of its own: no traceback, no hang, little memory, nothing lost.

`MATCHMARK_LONG=1` tries 10,000 cases of each on the whole sample, and takes an hour; `python -m tests.hostile` does the
same with a table of figures.
"""

from __future__ import annotations

import random

import pytest

from tests.hostile import words
from tests.hostile.__main__ import NAMES, in_child
from tests.hostile.campaign import HANG, MOST_MEMORY, Outcome, Report, run
from tests.hostile.long import cases

FEW = {"records": 400, "notation": 1500, "command": 60, "processes": 12, "pages": 250, "forms": 400, "tables": 300}
# Of so many cases so many at least get through to what they are aimed at: input that is all refused at the door tries
# nothing. What is refused before a page or a parser saw it is no use.
ACCEPTED = {
    "records": 0.05,
    "notation": 0.03,
    "command": 0.05,
    "processes": 0.01,
    "pages": 0.4,
    "forms": 0.05,
    "tables": 0.3,
}


def test_every_sort_is_tried() -> None:
    assert set(FEW) == set(ACCEPTED) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_no_input_breaks_anything(name: str) -> None:
    report = in_child(name, cases(FEW[name], 300 if name == "processes" else 10_000), seed=1)
    assert not report.faults()
    assert report.sorts.get("accepted", 0) >= ACCEPTED[name] * report.cases
    assert report.sorts.get("refused", 0) > 0


class Broken:
    """A campaign that goes wrong in every way that is to be seen."""

    def case(self, rnd: random.Random) -> Outcome:
        luck = rnd.random()
        if luck < 0.3:
            raise RuntimeError("fell over")
        return Outcome("accepted", "broke a promise" if luck < 0.6 else "", "the case")

    def close(self) -> list[str]:
        return ["left something behind"]


def test_what_goes_wrong_is_seen() -> None:
    report = run("broken", Broken(), range(60), 1)
    told = "\n".join(report.faults())
    assert "fell over" in told
    assert "the case: broke a promise" in told
    assert "left something behind" in told
    good = Report("good", 1, {}, [], [], 1.0, HANG, MOST_MEMORY)
    assert not good.faults()
    assert "of computing" in good._replace(slowest=HANG + 1).faults()[0]
    assert "MB" in good._replace(memory=MOST_MEMORY + 1).faults()[0]


def test_a_case_depends_on_its_number_alone() -> None:
    one, other = (words.text(random.Random("pages 1 77"), "good") for _ in range(2))
    assert one == other
    assert len({words.text(random.Random(f"pages 1 {number}"), "good") for number in range(50)}) > 25
