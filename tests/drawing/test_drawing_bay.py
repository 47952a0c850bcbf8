"""The engine bay: every gap to one scale with its band, the room that a rule wants, rock and sag, states in words."""

from __future__ import annotations

from typing import Any

import pytest

from kb import drawing
from tests.drawing.bays import FAN, with_bay
from tests.drawing.drawn import all_text, build, having, number, read, size, view


def spans(root: Any, name: str) -> tuple[float, float]:
    line = having(root, "data-name", name)[0]
    return number(line, "data-from"), number(line, "data-to")


def test_every_gap_stands_in_one_scale() -> None:
    group, scale = view(read(drawing.bay_envelope(with_bay(FAN))), "gaps")
    for name, due in (("A", 41), ("D", 38), ("E", 55)):  # as given above, mm
        left, right = spans(group, name)
        assert (right - left) / scale == pytest.approx(due, abs=0.01)
    bands = {number(each, "data-band") for each in having(group, "data-band")}
    assert 1.0 in bands  # twice the standard uncertainty of the fan's gap, 0.5 mm


def test_the_side_view_is_to_scale_where_sizes_are_known() -> None:
    group, scale = view(read(drawing.bay_envelope(with_bay(FAN))), "side")
    left, right = spans(group, "fan")
    assert (right - left) / scale == pytest.approx(41, abs=0.01)
    top, low = spans(group, "hood")
    assert (low - top) / scale == pytest.approx(26, abs=0.01)
    core, fan = (number(having(group, "data-part", each)[0], "height") / scale for each in ("core", "fan"))
    assert core == pytest.approx(430, abs=0.01)
    assert fan == pytest.approx(410, abs=0.01)


@pytest.mark.parametrize(
    ("engine", "room"),
    # what the rules fan-room-* declare, mm
    [("four", 20), ("light_v", 25), ("small_v8", 30), ("big_v8", 40)],
)
def test_rock_and_room_wanted_follow_the_size_of_the_engine(engine: str, room: float) -> None:
    root = read(drawing.bay_envelope(with_bay(FAN, cylinders=engine)))
    assert number(having(root, "data-rock")[0], "data-rock") == pytest.approx(room)
    group, scale = view(root, "gaps")
    mark = having(group, "data-wanted")[0]
    left, _ = spans(group, "A")
    assert (number(mark, "x1") - left) / scale == pytest.approx(room, abs=0.01)


def test_an_own_limit_takes_the_place_of_the_rules() -> None:
    made = with_bay(FAN)._replace(own_limits={("hood-room", "least"): (0.03, "mine")})
    root = read(drawing.bay_envelope(made))
    assert number(having(root, "data-wanted")[1], "data-wanted") == pytest.approx(30)


def test_a_limit_that_cannot_condemn_is_dotted_and_called_usual() -> None:
    root = read(drawing.bay_envelope(with_bay(FAN)))
    dashes = [each.get("stroke-dasharray") for each in having(root, "data-wanted")]
    # fan, hood, side: builders' guide; steering, lines: from memory, as the rules declare
    assert dashes == [None, None, None, "2 3", "2 3"]
    assert all_text(root).count("usually at least") == 2


def test_what_the_fan_meets_depends_on_its_drive() -> None:
    assert "fan blades to radiator core" in all_text(read(drawing.bay_envelope(with_bay(FAN))))
    electric = read(drawing.bay_envelope(with_bay({**FAN, "drive": "electric"})))
    assert "front of the engine to the electric fan" in all_text(electric)
    bare = all_text(read(drawing.bay_envelope(with_bay())))
    assert "fan to what it would reach" in bare
    assert "drawn for show" in bare


def test_what_overlaps_is_said_in_words_and_hatched() -> None:
    root = read(drawing.bay_envelope(with_bay(FAN, steering_gap=size(-4), hood_room=size(-8))))
    text = all_text(root)
    assert "4 mm too far in" in text
    assert "8 mm too far in" in text
    assert "\N{MINUS SIGN}8.0" in text
    group, _ = view(root, "gaps")
    assert len([each for each in group.iter() if "over" in (each.get("fill") or "")]) == 2


def test_what_is_not_known_is_dashed_and_says_measure() -> None:
    root = read(drawing.bay_envelope(with_bay(FAN, line_gap=None, cylinders=None)))
    group, _ = view(root, "gaps")
    dashes = {each.get("data-gap"): each.get("stroke-dasharray") for each in having(group, "data-gap")}
    assert dashes == {"A": None, "B": None, "C": None, "D": None, "E": "5 3"}
    assert "not known: measure" in all_text(root)
    assert not having(root, "data-rock")
    assert "How far the engine rocks forward is not known" in all_text(root)


def test_mounts_in_words_and_their_sag_at_the_steering() -> None:
    root = read(drawing.bay_envelope(with_bay(FAN)))
    group, scale = view(root, "gaps")
    _, edge = spans(group, "D")
    assert (edge - number(having(group, "data-sag")[0], "x1")) / scale == pytest.approx(3, abs=0.01)
    assert "Mounts new; the engine is held down should one shear; sagged 3 mm." in all_text(root)
    bad = all_text(read(drawing.bay_envelope(with_bay(FAN, mount_rubber="soaked", mounts_hold=False, mount_sag=None))))
    assert "Mounts soaked: the engine moves farther" in bad
    assert "nothing holds the engine down" in bad
    none = all_text(read(drawing.bay_envelope(with_bay(FAN, mount_rubber=None, mounts_hold=None, mount_sag=None))))
    assert "not known: look" in none


def test_the_caution_stands_on_the_picture() -> None:
    text = all_text(read(drawing.bay_envelope(with_bay(FAN))))
    for words in ("plane of the fan", "stands", "chocked", "battery off"):
        assert words in text


def test_the_description_gives_every_value_and_what_is_wanted() -> None:
    said = str(read(drawing.bay_envelope(with_bay(FAN)))[1].text)
    assert "A, fan blades to radiator core: 41 mm" in said
    assert "wanted: at least 25 mm" in said
    assert "E, exhaust to brake or fuel line: 55 mm" in said


def test_a_build_without_a_bay_has_no_picture() -> None:
    with pytest.raises(ValueError, match="no engine bay"):
        drawing.bay_envelope(build())
