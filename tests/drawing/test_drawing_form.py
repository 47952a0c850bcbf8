"""What every picture must keep, whatever it shows: well formed, safe, named, readable, coloured by classes only."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import drawing
from kb.chance import Settings
from kb.drawing._svg import PALETTE, clean, figure, spread, wrap
from kb.judge import Finding, judge
from kb.rules import load_rules
from tests.drawing.bays import with_bay
from tests.drawing.drawn import SVG, all_text, box, build, having, read, size
from tests.drawing.drives import CRANK, IDLER, PUMP, STACK, SWING, wheel, with_belt, with_stack

HOSTILE = "</title><script>alert(1)</script>\"'&<b> onload=x \x00\x1b \ud800 ]]> &amp;"


def gap_finding(**facts: Any) -> Finding:
    return judge(load_rules()["pickup-floor-gap"], build(**facts), Settings())


def station(name: str, x: float, y: float, **more: Any) -> dict[str, Any]:
    return {
        "id": name, "x": x, "y": y, "bolt": True, "passage": "", "face": "rail", "gap": 1.6e-3, "squeeze": 0.3,
        "clamped": True, "sealed": True, "missing": 0.0, **more,
    }  # fmt: skip


def flange(**more: Any) -> dict[str, Any]:
    """Four bolts and a passage that lies in the middle of the rear edge."""
    places = [("R1", 0.0, 0.1), ("R2", 0.4, 0.1), ("L2", 0.4, -0.1), ("L1", 0.0, -0.1)]
    stations = [station(*place) for place in places]
    stations.insert(2, station("P1", 0.42, 0.0, bolt=False, passage="rear-feed", face="rear_cover", **more))
    return {"stations": stations}


RISING = {"curve": [(float(n), 500.0 * n) for n in range(101)]}

PICTURES: dict[str, Callable[..., str]] = {
    "section": lambda **more: drawing.sump_section(build(), **more),
    "bay": lambda **more: drawing.bay_envelope(with_bay(), **more),
    "bay that fits nowhere": lambda **more: drawing.bay_envelope(
        with_bay(fan_gap=size(9), hood_room=size(-150), steering_gap=size(-20), line_gap=None), **more
    ),
    "belt": lambda **more: drawing.belt_drawing(with_belt(CRANK, PUMP, IDLER, swung=(SWING,)), **more),
    "belt, little known": lambda **more: drawing.belt_drawing(
        with_belt({"id": "crank"}, wheel("pump " * 30, mount_face=None, hub=size(3000), x=size(-500)), PUMP), **more
    ),
    "belt of nothing": lambda **more: drawing.belt_drawing(with_belt(), **more),
    "stack": lambda **more: drawing.crank_stack(with_stack(crank_spacer={"thickness": size(60)}), **more),
    "stack, nothing known": lambda **more: drawing.crank_stack(
        with_stack(**{k: dict.fromkeys(v) for k, v in STACK.items()}), **more
    ),
    "stack of nothing": lambda **more: drawing.crank_stack(with_stack(*STACK), **more),
    "section of nothing": lambda **more: drawing.sump_section(build(*build().parts), **more),
    "section, nothing known": lambda **more: drawing.sump_section(
        build()._replace(parts={role: part._replace(facts={}) for role, part in build().parts.items()}), **more
    ),
    "curve": lambda **more: drawing.chance_curve(gap_finding(), **more),
    "curve of nothing": lambda **more: drawing.chance_curve(gap_finding(pickup={"hang": None}), **more),
    "map": lambda **more: drawing.seating_map(flange(sealed=False, clamped=False, missing=8e-4), **more),
    "map of nothing": lambda **more: drawing.seating_map({}, **more),
    "pattern": lambda **more: drawing.pattern_strip("36-1", ["36-1", "60-2", "?"], speed=50.0, **more),
    "suction": lambda **more: drawing.suction_graph(RISING, RISING, 30e3, **more),
    "suction of nothing": lambda **more: drawing.suction_graph(None, None, None, **more),
}


@pytest.fixture(params=PICTURES)
def picture(request: pytest.FixtureRequest) -> Callable[..., str]:
    return PICTURES[request.param]


@pytest.mark.parametrize("system", ["mm", "in", "in64"])
def test_well_formed_and_named(picture: Callable[..., str], system: str) -> None:
    root = read(picture(system=system, prefix="x7"))
    ids = [each.get("id") for each in having(root, "id")]
    assert len(ids) == len(set(ids))
    assert all(str(each).startswith("x7-") for each in ids)
    assert root.get("role") == "img"
    named = {each.get("id"): (each.text or "").strip() for each in root if each.tag in (f"{SVG}title", f"{SVG}desc")}
    assert str(root.get("aria-labelledby")).split() == list(named)
    assert len(named) == 2
    assert all(named.values())


def test_nothing_that_a_strict_policy_blocks(picture: Callable[..., str]) -> None:
    svg = picture()
    root = read(svg)
    tags = {each.tag.removeprefix(SVG) for each in root.iter()}
    harmless = "svg title desc defs pattern clipPath g line rect circle polyline polygon text"
    assert tags <= set(harmless.split())
    names = {name for each in root.iter() for name in each.attrib}
    assert not {name for name in names if name.startswith("on") or name in ("style", "href")}
    assert svg.count("http") == 1  # the namespace of SVG, which nobody fetches
    own = {each.get("id") for each in having(root, "id")}
    used = set(re.findall(r"url\((.*?)\)", svg))
    assert used <= {f"#{name}" for name in own}


def test_colour_never_comes_alone(picture: Callable[..., str]) -> None:
    """Each painted shape has a class for the page's variables and the same colour as an attribute for a bare file."""
    css = drawing.css()
    for each in read(picture()).iter():
        classes = (each.get("class") or "").split()
        for name in classes:
            assert f".{name} " in css
        for kind, attribute in (("f", "fill"), ("s", "stroke")):
            named = [name[5:] for name in classes if name.startswith(f"mm-{kind}-")]
            assert [PALETTE[name] for name in named] == [
                value for value in [each.get(attribute)] if value and value.startswith("#")
            ]


def test_letters_are_large_enough(picture: Callable[..., str]) -> None:
    root = read(picture())
    assert float(str(root.get("viewBox")).split()[2]) <= 360  # a page 360 px wide shows it at least at full size
    assert min(float(each.get("font-size", "0")) for each in root.iter(f"{SVG}text")) >= 11


@pytest.mark.parametrize("system", ["mm", "in"])
def test_words_stay_inside_the_picture(picture: Callable[..., str], system: str) -> None:
    root = read(picture(system=system))
    tall = float(str(root.get("viewBox")).split()[3])
    for each in root.iter(f"{SVG}text"):
        wide = len(each.text or "") * float(each.get("font-size", "11")) * 0.56  # 0.56: average letter, from memory
        x = float(each.get("x", "0"))
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[each.get("text-anchor", "start")]
        assert left >= 0, each.text
        assert left + wide <= 360, each.text
        assert 0 < float(each.get("y", "0")) <= tall, each.text


def test_the_style_sheet_tells_light_dark_and_print() -> None:
    css = drawing.css()
    for name in PALETTE:
        assert css.count(f"--mm-{name}:") == 3  # light, dark, print
        assert f".mm-f-{name} {{ fill: var(--mm-{name}, {PALETTE[name]})" in css
        assert f".mm-s-{name} {{ stroke: var(--mm-{name}, {PALETTE[name]})" in css
    assert "prefers-color-scheme: dark" in css
    assert "@media print" in css


def hostile_pictures() -> list[str]:
    bad = build(
        name=HOSTILE, car={"obstacles": (box(HOSTILE, (0.06, 0.16), sort="fixed", top=size(95)),)},
        pan={"floor": (box(HOSTILE, (0.0, 0.4), depth=size(188, tool=HOSTILE)),)},
    )  # fmt: skip
    finding = gap_finding()
    rule = finding.rule._replace(asks=HOSTILE)
    checks = tuple(each._replace(own=HOSTILE) for each in finding.checks)
    stations = flange(sealed=False)["stations"]
    stations[2] |= {"id": HOSTILE, "passage": HOSTILE, "face": HOSTILE}
    return [
        drawing.sump_section(bad, prefix=HOSTILE),
        drawing.belt_drawing(with_belt(CRANK, wheel(HOSTILE), PUMP), prefix=HOSTILE, name=HOSTILE),
        drawing.crank_stack(with_stack()._replace(name=HOSTILE), prefix=HOSTILE),
        drawing.bay_envelope(with_bay(mount_rubber=HOSTILE)._replace(name=HOSTILE), prefix=HOSTILE),
        drawing.chance_curve(finding._replace(rule=rule, checks=checks, station=HOSTILE), prefix=HOSTILE),
        drawing.seating_map({"stations": stations}, prefix=HOSTILE),
        drawing.pattern_strip(HOSTILE, [HOSTILE], prefix=HOSTILE),
    ]


@pytest.mark.parametrize("at", range(7))
def test_hostile_names_stay_words(at: int) -> None:
    svg = hostile_pictures()[at]
    root = read(svg)
    assert "<script" not in svg
    assert not list(root.iter("script"))
    assert not list(root.iter(f"{SVG}b"))
    assert "&lt;/title&gt;&lt;script&gt;" in svg  # there as words
    assert re.fullmatch(r"[A-Za-z][A-Za-z0-9_-]*-title", str(root[0].get("id")))


def test_ten_thousand_letters_make_no_huge_picture() -> None:
    usual = len(drawing.sump_section(build()))
    car = {"obstacles": (box("x" * 10_000, (0.06, 0.16), sort="fixed", top=size(95)),)}
    assert len(drawing.sump_section(build(name="y" * 10_000, car=car))) < usual + 1000


@given(st.text())
def test_clean_text_comes_back(words: str) -> None:
    kept = "".join(c if c in "\t\n" or c >= " " else "�" for c in words.replace("\r", " "))
    kept = re.sub("[\ufffe\uffff\ud800-\udfff]", "�", kept)
    assert read(f"<a>{clean(words.replace(chr(13), ' '))}</a>").text in (kept, kept or None)


@given(st.lists(st.floats(0, 300), max_size=30), st.floats(1, 20), st.floats(-50, 350))
def test_spread_rows_never_touch(wanted: list[float], apart: float, least: float) -> None:
    placed = spread(wanted, apart, least)
    ordered = sorted(placed)
    assert all(b - a >= apart - 1e-6 for a, b in pairwise(ordered))
    assert all(each >= least - 1e-6 for each in placed)
    order = sorted(range(len(wanted)), key=lambda at: wanted[at])
    assert [placed[at] for at in order] == ordered


@given(st.text(max_size=300), st.floats(40, 400))
@settings(max_examples=60)
def test_wrapped_words_lose_nothing(words: str, width: float) -> None:
    assert "".join(wrap(words, width)).replace(" ", "") == "".join(words.split()).replace(" ", "")


def test_a_place_must_be_a_number() -> None:
    with pytest.raises(ValueError, match="cannot be drawn"):
        figure(float("nan"))
    assert figure(-0.00001) == "0"
    assert all_text(read(PICTURES["map of nothing"]())).endswith("No stations are recorded.")


def test_quotes_in_a_name_end_no_attribute() -> None:
    car = {"obstacles": (box('a" b="', (0.06, 0.16), sort="fixed", top=size(95)),)}
    root = read(drawing.sump_section(build(car=car)))
    assert not having(root, "b")
    assert len(having(root, "data-mark", 'a" b="')) == 1
