"""Which drawing stands beside which finding, build and rule, and that the pages carry them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from kb.base import Base
from kb.circuit.graph import circuits
from kb.judge import Answer, Finding
from kb.store.load import init
from kb.web import pictures
from tests.web.visiting import House, Visitor


@pytest.fixture(scope="module")
def good(sample: str) -> Iterator[Answer]:
    with Base(sample) as base:
        yield base.check("drover-good")


@pytest.fixture(scope="module")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visitor]:
    path = tmp_path_factory.mktemp("pictures") / "sample.db"
    init(path, sample=True)
    house = House(str(path))
    yield Visitor(house)
    house.close()


def found(answer: Answer, rule: str) -> Finding:
    return next(each for each in answer.findings if each.rule.id == rule)


def drawn(answer: Answer, rule: str, whole: bool = False) -> str:
    return pictures.of_finding(found(answer, rule), answer.build, "mm", "x", whole=whole)


@pytest.mark.parametrize(
    ("rule", "title"),
    [
        ("passage-sealing", "squeeze around the pan flange"),
        ("wheel-pattern", "against what the controller reads"),
        ("suction-hot", "Depression at the pump inlet"),
        ("suction-cold", "Depression at the pump inlet"),
    ],
)
def test_a_finding_has_the_drawing_of_what_it_judges(good: Answer, rule: str, title: str) -> None:
    svg = drawn(good, rule)
    assert title in svg
    assert 'id="x-title"' in svg


def test_stations_that_are_no_flange_have_no_map(good: Answer) -> None:
    others = [each for each in good.findings if each.rule.form == "stations" and "seal" not in each.rule.id]
    assert others
    for each in others:
        assert "Squeeze" not in pictures.seating(each, "mm", "x"), each.rule.id


@pytest.mark.parametrize(
    ("rule", "title"),
    [
        ("pickup-floor-gap", "Section through the sump"),
        ("hood-room", "Engine bay of"),
        ("steering-room", "Engine bay of"),
    ],
)
def test_a_rule_page_takes_the_drawing_of_the_build(good: Answer, rule: str, title: str) -> None:
    assert drawn(good, rule) == ""  # beside the drawings of the whole build it would stand there twice
    assert title in drawn(good, rule, whole=True)


def test_suction_tells_hot_from_cold(good: Answer) -> None:
    assert "hot:" in drawn(good, "suction-hot")
    assert "cold:" in drawn(good, "suction-cold")


def test_the_wheels_own_pattern_comes_first(good: Answer) -> None:
    svg = drawn(good, "wheel-pattern")
    assert svg.index("controller 60-2") < svg.index("controller 36-1")


def test_a_build_has_the_drawings_of_what_it_holds(good: Answer) -> None:
    names = [name for name, _, _ in pictures.of_build(good.build, "mm")]
    assert names[:2] == ["section", "bay"]
    bare = good.build._replace(parts={"block": good.build.parts["block"]})
    assert pictures.of_build(bare, "mm") == []


def test_a_long_circuit_comes_in_one_column_and_in_two(good: Answer) -> None:
    made = circuits(good.build)
    oil, air = (pictures.circuit(made[name], {}, {}) for name in ("oil", "air"))
    assert oil.count("<svg") == 2
    assert 'id="circuit-oil-title"' in oil
    assert 'id="circuit-oil-wide-title"' in oil
    assert air.count("<svg") == 1


def test_a_drawing_that_fails_leaves_the_words(
    good: Answer, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(*_: object, **__: object) -> str:
        raise ZeroDivisionError("no such luck")

    monkeypatch.setattr("kb.drawing.bay_envelope", fails)
    assert "the words below hold" in pictures.bay(good.build, "mm")
    assert "no such luck" in capsys.readouterr().err


def test_the_page_of_a_check_shows_them(sampled: Visitor) -> None:
    text = sampled.get("/fit?build=drover-good").text
    assert "Section through the sump of" in text
    assert "Engine bay of" in text
    assert "(k = 2)" not in text


def test_the_page_of_circuits_has_both_widths(sampled: Visitor) -> None:
    text = sampled.get("/build/drover-good/circuits").text
    assert text.count('<div class="narrow">') == text.count('<div class="wide">') >= 2
