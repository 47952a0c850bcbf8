"""The pages of a check, a build and a finding show the belt and the crank's rear end where the build holds them."""

from __future__ import annotations

import pytest

from kb.build import Build
from kb.chance import Settings
from kb.judge import judge
from kb.rules import load_rules
from kb.web import pictures
from tests.drawing.drives import CRANK, PUMP, with_belt, with_stack


def names(build: Build) -> list[str]:
    return [name for name, _, drawing in pictures.of_build(build, "mm") if "<svg" in drawing]


def test_each_build_shows_what_it_holds() -> None:
    assert names(with_belt(CRANK, PUMP)) == ["belt"]
    assert names(with_stack()) == ["stack"]
    assert names(with_stack("converter", "drive_plate")) == []


def test_every_belt_has_its_picture() -> None:
    build = with_belt(CRANK, PUMP)
    parts = {f"{role}:{name}": part for name in ("inner", "outer") for role, part in build.parts.items()}
    drawn = pictures.belts(build._replace(parts=parts), "mm")
    assert drawn.count("<svg") == 2
    assert "Belt layout, inner: The front" in drawn
    assert "Belt layout, outer: The front" in drawn


@pytest.mark.parametrize(
    ("rule", "build", "title"),
    [
        ("pulley-plane-alignment", with_belt(CRANK, PUMP), "Belt layout"),
        ("belt-wrap-angle", with_belt(CRANK, PUMP), "Belt layout"),
        ("converter-pull-forward-gap", with_stack(), "Crank to converter"),
        ("converter-hub-engagement", with_stack(), "Crank to converter"),
    ],
)
def test_a_rule_about_them_has_a_drawing(rule: str, build: Build, title: str) -> None:
    finding = judge(load_rules()[rule], build, Settings())
    drawn = pictures.of_finding(finding, build, "mm", "x", whole=True)
    assert f'<title id="x-title">{title}' in drawn  # two examples on a page keep their names apart
    assert pictures.of_finding(finding, build, "mm", "x") == ""  # the page of a check draws the build once


def test_a_drawing_that_cannot_be_made_leaves_the_words() -> None:
    build = with_belt(CRANK, PUMP)
    broken = build._replace(
        parts={**build.parts, "belt_layout": build.parts["belt_layout"]._replace(facts={"pulleys": 3})}
    )
    assert "cannot be made" in pictures.belts(broken, "mm")
