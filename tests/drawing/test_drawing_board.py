"""The milestone board as a picture: four places in a row, each state told by shape, words and colour."""

from __future__ import annotations

import pytest

from kb.build import Build
from kb.chance import Settings
from kb.drawing import milestone_board
from kb.judge import Answer
from kb.ready.board import CANNOT_TELL, NOT_READY, READY, Board, Milestone, board
from kb.ready.joint import Joint
from kb.rules._rule import MILESTONES
from tests.drawing.drawn import SVG, all_text, having, number, read

HOSTILE = "</title><script>alert(1)</script>\"'&<b> onload=x \x00\x1b ]]> &amp;"


def shown(states: tuple[str, ...], name: str = "Drover on trial") -> Board:
    bare = board(Answer(Build("drover", name, {}), (), (), (), Settings()))
    blockers = bare.milestones[0].blockers
    made = [
        Milestone(milestone, state, () if state == READY else blockers[: 1 + place], Joint(None, 0, 0, ()), 0)
        for place, (milestone, state) in enumerate(zip(MILESTONES, states, strict=True))
    ]
    return Board(bare.answer, tuple(made))


MIXED = (READY, READY, CANNOT_TELL, NOT_READY)


def test_four_places_in_a_row_with_their_states() -> None:
    root = read(milestone_board(shown(MIXED), prefix="x7"))
    places = having(root, "data-milestone")
    assert [each.get("data-milestone") for each in places] == list(MILESTONES)
    assert [each.get("data-state") for each in places] == list(MIXED)
    lefts = [number(each, "x") for each in places]
    widths = [number(each, "width") for each in places]
    assert lefts == sorted(lefts)
    assert all(left + width <= after for left, width, after in zip(lefts, widths, lefts[1:], strict=False))
    assert lefts[0] >= 0
    assert lefts[-1] + widths[-1] <= 360  # the width of every picture
    assert len({number(each, "y") for each in places}) == 1


def test_states_are_told_without_colour() -> None:
    words = all_text(read(milestone_board(shown(MIXED))))
    for each in (*MILESTONES, *MIXED, "no blocker", "3 blockers", "4 blockers", "?"):
        assert each in words
    shapes = {}
    for state in (READY, NOT_READY, CANNOT_TELL):
        root = read(milestone_board(shown((state,) * 4)))
        shapes[state] = tuple(len(list(root.iter(f"{SVG}{tag}"))) for tag in ("circle", "rect", "polygon"))
    assert len(set(shapes.values())) == 3


def test_the_description_says_the_same() -> None:
    root = read(milestone_board(shown(MIXED)))
    said = next(root.iter(f"{SVG}desc")).text or ""
    assert "prime: ready, no blocker" in said
    assert "fire: cannot tell, 3 blockers" in said


@pytest.mark.parametrize("name", [HOSTILE, "x" * 500, "a word " * 60])
def test_any_name_is_drawn_as_text(name: str) -> None:
    root = read(milestone_board(shown(MIXED, name)))
    assert not list(root.iter(f"{SVG}script"))
    assert root.get("role") == "img"
    height = float((root.get("viewBox") or "").split()[3])
    assert all(number(each, "y") < height for each in root.iter(f"{SVG}text"))
