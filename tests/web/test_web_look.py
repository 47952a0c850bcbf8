"""The palette: contrast as WCAG 2.2 asks, in light, in dark and on paper."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

STYLE = (Path(__file__).parents[2] / "kb" / "web" / "static" / "style.css").read_text(encoding="utf-8")
TEXT, SHAPE = 4.5, 3.0  # least contrasts: WCAG 2.2, 1.4.3 (AA) and 1.4.11
# What is written in a colour, on each of the two grounds; and the lines by which a control is known.
INKS = ("ink", "soft", "blue", "good", "bad", "open")
LINES = ("edge", "blue")
GROUNDS = ("paper", "sheet")


def palettes() -> dict[str, dict[str, str]]:
    """Colours by name in light, dark and print; the later ones change some of the first."""
    found = [
        dict(re.findall(r"--([a-z-]+): (#[0-9a-f]+)", block)) for block in re.findall(r":root \{(.*?)\}", STYLE, re.S)
    ]
    assert len(found) == 3
    return {"light": found[0], "dark": {**found[0], **found[1]}, "print": {**found[0], **found[2]}}


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definitions)."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * each for each in colour[1:])
    shares = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definitions)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21)  # WCAG 2.2, definition of contrast ratio: from 1 to 21
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("name", ["light", "dark", "print"])
def test_what_is_written_can_be_read(name: str) -> None:
    colours = palettes()[name]
    for ground in GROUNDS:
        for ink in INKS:
            assert contrast(colours[ink], colours[ground]) >= TEXT, (ink, ground)
        for line in LINES:
            assert contrast(colours[line], colours[ground]) >= SHAPE, (line, ground)
    if name != "print":  # buttons are not printed
        assert contrast(colours["on-blue"], colours["blue"]) >= TEXT


def test_no_colour_stands_outside_the_palette() -> None:
    rules = re.sub(r":root \{.*?\}", "", STYLE, flags=re.S)
    assert re.findall(r"#[0-9a-f]{3,8}\b(?=[;\s])", rules) == []
    assert not re.search(r"\b(?:rgba?|hsla?)\(", rules)
