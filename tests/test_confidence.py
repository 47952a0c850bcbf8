"""Confidence in an incompatibility: the arithmetic, and the worked figures of docs/merging.md."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.confidence import confidence

PAGE = (Path(__file__).parent.parent / "docs" / "merging.md").read_text(encoding="utf-8")


def clash(found: str = "bench", *, agree: int = 0, disagree: int = 0, review: str = "") -> dict[str, Any]:
    reports = [{"by": f"for {n}", "date": "2024-02"} for n in range(agree)]
    reports += [{"by": f"against {n}", "date": "2024-02", "agrees": False} for n in range(disagree)]
    reviews = [{"status": review, "by": "keeper", "date": "2024-03", "reason": "r"}] if review else []
    return {"by": "finder", "found": found, "reports": reports, "reviews": reviews}


# (words of the page, the record): its own figures are recomputed from these. Weights: common practice, no source.
WORKED = [
    ("read in a report", clash("report")),
    ("found on the bench", clash()),
    ("found on the bench, one more met it", clash(agree=1)),
    ("found on the bench, one more met it, for one it worked", clash(agree=1, disagree=1)),
    ("found on the bench, confirmed by another", clash(review="confirmed")),
    ("found on the bench, refuted by another", clash(review="refuted")),
    ("found on the bench, three more met it, confirmed by another", clash(agree=3, review="confirmed")),
]
ROWS = re.findall(r"^\| ([a-z ,]+) \| ([0-9.]+) \| ([0-9.]+) \| ([0-9]+) % \|$", PAGE, re.MULTILINE)


def test_the_page_works_every_case_and_no_other() -> None:
    assert [row[0] for row in ROWS] == [words for words, _ in WORKED]


@pytest.mark.parametrize(("words", "record"), WORKED, ids=[words for words, _ in WORKED])
def test_the_worked_figures_of_the_page(words: str, record: dict[str, Any]) -> None:
    _, pro, contra, percent = next(row for row in ROWS if row[0] == words)
    found = confidence(record)
    assert (found.pro, found.contra) == (float(pro), float(contra))
    assert found.share == pytest.approx((1 + float(pro)) / (2 + float(pro) + float(contra)))  # mean of a Beta
    assert round(100 * found.share) == int(percent)


def test_each_person_counts_once_with_the_last_word() -> None:
    record = clash(agree=1)
    again = {**record, "reports": [*record["reports"], {"by": "for 0", "date": "2024-05"}]}
    assert confidence(again).share == confidence(record).share
    turned = {**record, "reports": [*record["reports"], {"by": "for 0", "date": "2024-05", "agrees": False}]}
    assert (confidence(turned).pro, confidence(turned).contra) == (1.0, 1.0)


def test_a_finder_who_reviews_the_own_find_adds_nothing() -> None:
    own = {"status": "confirmed", "by": "finder", "date": "2024-03", "reason": "r"}
    assert confidence({**clash(), "reviews": [own]}).share == confidence(clash()).share
    taken_back = {**own, "status": "refuted"}
    assert (confidence({**clash(), "reviews": [taken_back]}).pro) == 0.0


def test_a_review_that_opens_the_case_takes_the_earlier_word_back() -> None:
    record = clash(review="refuted")
    opened = {"status": "reported", "by": "keeper", "date": "2024-04", "reason": "wrong pan"}
    assert confidence({**record, "reviews": [*record["reviews"], opened]}).share == confidence(clash()).share


@given(agree=st.integers(0, 5), disagree=st.integers(0, 5), review=st.sampled_from(["", "confirmed", "refuted"]))
def test_reports_raise_it_and_refutations_lower_it(agree: int, disagree: int, review: str) -> None:
    here = confidence(clash(agree=agree, disagree=disagree, review=review)).share
    assert 0.0 < here < 1.0
    assert confidence(clash(agree=agree + 1, disagree=disagree, review=review)).share > here
    assert confidence(clash(agree=agree, disagree=disagree + 1, review=review)).share < here
