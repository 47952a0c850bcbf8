"""The rule in DEVELOPERS.md is a rule: saved as one file, it passes what every rule must pass."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from kb.base import Base
from kb.chance import FITS
from kb.judge import answer, judge
from kb.rules import RULES, Rule
from kb.store.load import init
from tests.rules import test_every_rule as every

TEXT = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def example() -> Iterator[Rule]:
    (block,) = [each for each in re.findall(r"```python\n(.*?)```", TEXT, re.DOTALL) if "@rule(" in each]
    exec(compile(block, "DEVELOPERS.md", "exec"), {"__name__": "kb.rules.oil.dipstick_marks_apart"})
    yield RULES["dipstick-marks-apart"]
    del RULES["dipstick-marks-apart"]


def test_its_cases_hold(example: Rule) -> None:
    assert example.lesson or example.asks.endswith("?")
    for case in example.cases:
        every.test_case_gives_its_quantity(example, case)
        every.test_case_holds_or_not(example, case)
        every.test_exact_inputs_give_the_plain_verdict(example, case)
        every.test_a_missing_input_never_clears(example, case)
    every.test_arrays_give_what_floats_give(example)
    every.test_units_agree(example)


def test_it_answers_for_the_sample(example: Rule, tmp_path: Path) -> None:
    init(str(tmp_path / "sample.db"), sample=True)
    with Base(str(tmp_path / "sample.db")) as base:
        build = base.build("drover-good")
    (finding,) = answer(build, [example], every.SETTINGS).findings
    assert finding.verdict == FITS
    assert judge(example, build, every.SETTINGS).quantity == pytest.approx(0.026, abs=1e-4)
