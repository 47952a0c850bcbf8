"""The drawing of one part: every kind draws, known figures stand with their spread, unknown ones as a question."""

from __future__ import annotations

import math
import re

import pytest

from kb.drawing._outlines import OUTLINES
from kb.drawing.part import part_drawing
from kb.measure import Dimension
from kb.records import KINDS
from kb.records.part import Part
from tests.drawing.drawn import FACTS, SVG, all_text, having, number, read, size, view

HOSTILE = "</title><script>alert(1)</script>\"'&<b> onload=x \x00\x1b \ud800 ]]> &amp;"
WANTED = (  # the kinds that have an outline of their own; pulleys are those of the layout and of the damper
    "block", "pan", "pickup", "pan_gasket", "trigger_wheel", "damper", "belt_layout", "drive_plate", "converter",
    "coolant_hose", "fan", "position_sensor",
)  # fmt: skip


def middle(kind: str, share: float = 0.5) -> Part:
    """A part whose every dimension stands at a share of its plausible range."""
    facts = {}
    for name, feature in KINDS[kind].features.items():
        if feature.sort == "dimension" and feature.plausible:
            low, high = feature.plausible
            facts[name] = Dimension(low + share * (high - low), how="drawing")
    return Part(f"some-{kind}".replace("_", "-"), kind, f"Some {kind}", facts=facts)


def test_the_outlines_are_of_kinds_that_there_are() -> None:
    assert set(OUTLINES) == set(WANTED)
    assert set(OUTLINES) <= set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("system", ["mm", "in", "in64"])
def test_every_kind_draws_with_nothing_and_with_all_known(kind: str, system: str) -> None:
    for part in (Part("x", kind, HOSTILE), middle(kind), middle(kind, 0.0), middle(kind, 1.0)):
        root = read(part_drawing(part, system=system, prefix="x7"))
        ids = [each.get("id", "") for each in having(root, "id")]
        assert len(ids) == len(set(ids))
        assert all(each.startswith("x7-") for each in ids)
        title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert desc is not None
        assert (title.text or "").strip()
        assert (desc.text or "").strip()
        tall = float(str(root.get("viewBox")).split()[3])
        for text in root.iter(f"{SVG}text"):
            assert number(text, "font-size") >= 11  # WCAG has no least size; 11 px is common practice, no source
            assert 0 <= number(text, "x") <= 360
            assert 0 < number(text, "y") <= tall


@pytest.mark.parametrize("kind", KINDS)
def test_each_dimension_of_a_kind_is_drawn_or_counted(kind: str) -> None:
    wanted = [name for name, each in KINDS[kind].features.items() if each.sort == "dimension"]
    desc = read(part_drawing(Part("x", kind, "X"))).find(f"{SVG}desc")
    assert desc is not None
    said = desc.text or ""
    named = sum(f"{name.replace('_', ' ')}: ? (not known)" in said for name in wanted)
    more = re.search(r"(\d+) more stand in the list only", said)
    assert named + (int(more.group(1)) if more else 0) >= len(wanted)


@pytest.mark.parametrize("kind", WANTED)
def test_an_outline_is_to_scale(kind: str) -> None:
    part = middle(kind)
    group, scale = view(read(part_drawing(part)), "part") if kind != "belt_layout" else (None, 0.0)
    if group is None:  # its places are entries of a list, of which this part has none
        assert 'data-view="part"' not in part_drawing(part)
        return
    lines = having(group, "data-name")
    assert lines
    for line in lines:
        value = part.facts[str(line.get("data-name"))].value
        drawn = number(line, "data-to") - number(line, "data-from")
        assert abs(drawn) == pytest.approx(abs(value) * 1e3 * scale, abs=2e-3)


def test_known_values_stand_with_their_spread_and_the_band_is_to_scale() -> None:
    # 2 u of 0.5 mm is 1 mm to either side: derived from the definition (k = 2).
    part = Part("p", "pan", "The pan", facts={"sump_depth": size(188, 0.5)})
    root = read(part_drawing(part))
    assert "sump depth: 188 mm \N{PLUS-MINUS SIGN}1 mm" in all_text(root)
    group, scale = view(root, "part")
    (band,) = having(group, "data-band")
    assert number(band, "data-band") == pytest.approx(1e-3)
    assert number(band, "height") == pytest.approx(max(1.0, 2 * scale), abs=1e-3)


def test_what_is_not_known_is_dashed_and_asked() -> None:
    root = read(part_drawing(Part("p", "pickup", "The pickup", facts={"hang": size(180)})))
    text = all_text(root)
    assert "top depth: ? (not known)" in text
    assert "hang: 180 mm" in text
    unsure = {each.get("data-name") for each in having(root, "data-name") if each.get("stroke-dasharray")}
    assert unsure == {"top_depth", "tube_bore", "foot_length"}
    assert "?" in [(each.text or "") for each in root.iter(f"{SVG}text")]


def test_a_contradiction_is_said() -> None:
    told = Dimension(0.185, contradiction="two readings disagree", how="combined")
    assert "readings disagree" in all_text(read(part_drawing(Part("p", "pan", "P", facts={"sump_depth": told}))))


def test_a_wheel_has_the_teeth_of_its_pattern() -> None:
    part = Part("w", "trigger_wheel", "W", facts={"pattern": "36-1", "radius": size(80)})
    root = read(part_drawing(part))
    rim = next(each for each in root.iter(f"{SVG}polygon") if str(each.get("points")).count(" ") > 100)
    assert len(str(rim.get("points")).split()) == 4 * 35  # 36 places less one, four corners a tooth
    strange = read(part_drawing(Part("w", "trigger_wheel", "W", facts={"pattern": "no pattern"})))
    assert "teeth: ?" in all_text(strange)


def test_a_pan_is_drawn_by_its_zones() -> None:
    part = Part("p", "pan", "The pan", facts=FACTS["pan"])
    group, scale = view(read(part_drawing(part)), "part")
    outline = next(each for each in group.iter(f"{SVG}polyline"))
    heights = [float(each.split(",")[1]) for each in str(outline.get("points")).split()]
    assert max(heights) - min(heights) == pytest.approx(188 * scale, abs=1e-3)
    assert len(heights) == 6  # two zones: two ends each, and the two feet of the walls


def test_a_value_beyond_the_plausible_range_stays_on_its_bar() -> None:
    far = KINDS["belt"].features["effective_length"]
    assert far.plausible is not None
    part = Part("b", "belt", "B", facts={"effective_length": Dimension(2 * far.plausible[1])})
    for line in read(part_drawing(part)).iter(f"{SVG}line"):
        assert all(0 <= number(line, name) <= 360 for name in ("x1", "x2"))
        assert math.isfinite(number(line, "y1"))


@pytest.mark.parametrize("kind", ["pan", "belt", "trigger_wheel"])
def test_nothing_that_a_strict_policy_blocks(kind: str) -> None:
    svg = part_drawing(middle(kind)._replace(name=HOSTILE))
    root = read(svg)
    harmless = "svg title desc defs pattern clipPath g line rect circle polyline polygon text"
    assert {each.tag.removeprefix(SVG) for each in root.iter()} <= set(harmless.split())
    assert not [name for each in root.iter() for name in each.attrib if name.startswith("on") or name == "style"]
    assert svg.count("http") == 1  # the namespace of SVG, which nobody fetches
