"""A reading over several starts as a picture: every figure at its place, bands with their edges, verdicts by shape."""

from __future__ import annotations

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.drawing.trend import trend
from kb.gauges import GaugeReading
from kb.ready.bands import judge_readings, series
from tests.drawing.drawn import SVG, all_text, having, number, read

PSI = 6894.757293168361  # exact by definition
HOSTILE = "</title><script>alert(1)</script>\"'&<b> ]]>"


def drawn(psi: list[float], half: float | None = 1.0, text: str = "", state: str = "idling") -> str:
    readings = [
        GaugeReading(f"r{start}", "it", "oil-gallery", value * PSI, half and half * PSI, "", state, 760 / 60, 361.15,
                     start, text=text, quantity="pressure")
        for start, value in enumerate(psi, 1)
    ]  # fmt: skip
    (found,) = series(judge_readings(Build("it", "It", {}), readings))
    return trend(found)


def test_each_verdict_has_its_shape() -> None:
    root = read(drawn([24, 18, 5]))
    marks = {each.get("data-verdict"): each.tag.removeprefix(SVG) for each in having(root, "data-verdict")}
    assert marks == {FITS: "circle", OPEN: "polygon", NOT: "rect"}


def test_higher_figures_stand_higher_and_starts_run_to_the_right() -> None:
    circles = having(read(drawn([24, 22, 28])), "data-verdict")
    x = [number(each, "cx") for each in circles]
    y = [number(each, "cy") for each in circles]
    assert x == sorted(x)
    assert y[2] < y[0] < y[1]


def test_a_bound_lies_between_figures_on_both_sides_of_it() -> None:
    """The usual band begins at 20 psi (trade page), the floor for 760 rpm is 7.6 psi."""
    root = read(drawn([24, 18]))
    edges = {each.get("data-band"): number(each, "y1") for each in having(root, "data-band")}
    above = number(having(root, "data-verdict")[0], "cy")
    lows = [number(each, "y1") for each in having(root, "data-band") if each.get("data-band") == "oil-hot-idle"]
    assert above < max(lows) < edges["oil-floor"]
    (first, _) = having(root, "data-low")
    assert float(first.get("data-low") or 0) == pytest.approx(20 * PSI)
    assert float(first.get("data-high") or 0) == pytest.approx(35 * PSI)


def test_edges_that_cannot_condemn_are_dotted() -> None:
    for each in having(read(drawn([24, 18])), "data-band"):
        assert (each.get("stroke-dasharray") is not None) == (each.get("data-band") != "oil-floor")


def test_title_and_description_say_what_is_seen() -> None:
    root = read(drawn([24, 18]))
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert "main gallery" in (title.text or "")
    assert "start 2: 124.1 kPa, cannot tell" in (desc.text or "")  # 18 psi
    assert "Diamond" in all_text(root)


@pytest.mark.parametrize("psi", [[24.0, 24.0], [0.0, 0.0], [1e-3, 140.0], [float(each) for each in range(20, 60)]])
@pytest.mark.parametrize("half", [None, 0.0, 3.0])
def test_odd_courses_are_drawn_whole(psi: list[float], half: float | None) -> None:
    root = read(drawn(psi, half))
    assert len(having(root, "data-verdict")) == len(psi)


def test_hostile_words_stay_words() -> None:
    root = read(drawn([24, 23], text=HOSTILE))
    assert HOSTILE.partition(" ")[0][:8] in (root.find(f"{SVG}desc").text or "")  # type: ignore[union-attr]
    assert root.findall(f".//{SVG}script") == []
