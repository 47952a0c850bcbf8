"""What the belt drawing shows: pulleys in belt order, the belt's way where it follows, planes as sums of pieces."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any, NamedTuple

from kb.build import Build
from kb.measure import Dimension
from kb.roles import belt
from kb.rules import load_rules
from kb.rules.accessory._align import DRAWN
from kb.rules.accessory._drive import Drive, in_order
from kb.standards.belt_drive import span_ends

PIECES = ("mount_face", "bracket", "shim", "hub", "offset")
_CENTRE, _SWING = ("x", "y"), ("pivot_x", "pivot_y", "arm", "free", "wound")
_OTHER = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}


class Pulley(NamedTuple):
    """One pulley as recorded; None for what nobody recorded. Lengths in m, planes forward of the block's front face.

    x, y: its centre with the arm where the belt holds it, None where that is not known. way: how it turns; wants: how
    it must turn. pieces: what its plane is the sum of, by name. swing: pivot, arm and angles of a tensioner.
    """

    id: str
    drives: str
    side: str
    x: float | None
    y: float | None
    diameter: Dimension | None
    way: str
    wants: str
    pieces: Mapping[str, Dimension | None]
    swing: Mapping[str, float] | None
    wrap: float | None = None
    usual: float | None = None

    @property
    def plane(self) -> Dimension | None:
        """Middle of the belt on it, as one dimension; None when a piece is missing."""
        known = [each for each in self.pieces.values() if each is not None]
        if len(known) < len(self.pieces):
            return None
        return Dimension(sum(each.value for each in known), tuple(term for each in known for term in each.terms))

    @property
    def lacks(self) -> list[str]:
        """Names of the pieces of its plane that are not known."""
        return [name for name, each in self.pieces.items() if each is None]


class Way(NamedTuple):
    """The belt's line: points in m, lengths of the free spans. sure: nothing in it is assumed."""

    points: tuple[tuple[float, float], ...]
    spans: tuple[float, ...]
    sure: bool
    first: tuple[float, float, float, float]
    along: bool | None


class Layout(NamedTuple):
    """Everything that is drawn. trouble: why the belt's way is not drawn, in words. share: place of the arm, 0 to 1."""

    pulleys: tuple[Pulley, ...]
    way: Way | None
    trouble: str
    share: float | None
    assumed: tuple[str, ...]


def layout_of(build: Build) -> Layout:
    """The layout in the build's role `belt_layout`, with its belt and water pump where it has them."""
    facts = build.parts["belt_layout"].facts
    fixed, swung = list(facts.get("pulleys") or ()), list(facts.get("tensioners") or ())
    entries = [_entry(each) for each in fixed], [_entry(each, True) for each in swung]
    trouble = "" if fixed or swung else "no pulley is recorded"
    try:
        ordered = in_order(*entries)
    except ValueError as fault:
        ordered = [*entries[0], *entries[1]]
        trouble = trouble or str(fault)
    given = {each["id"]: each for each in (*fixed, *swung)}
    lacking = [f"{each.id} ({_words(each)})" for each in ordered if _words(each)]
    if lacking and not trouble:
        trouble = f"not known: {', '.join(lacking)}"
    drive: Drive | None = None
    way: Way | None = None
    assumed: list[str] = []
    if not trouble:
        try:
            drive, assumed = _drive(build, *entries)
            way = _way(drive, not assumed)
        except ValueError as fault:
            trouble = str(fault)
    places = _places(ordered, drive)
    wraps = _wraps(build, drive, entries, ordered)
    hub = build.parts["water_pump"].facts.get("hub_height") if "water_pump" in build.parts else DRAWN
    crank = next((each for each in ordered if each.drives == "crank"), None)
    pulleys = tuple(
        Pulley(
            each.id, each.drives or "", each.side or "", x, y, given[each.id].get("diameter"), _turning(each, crank),
            each.turns or "", _pieces(given[each.id], hub), _swing(each), *wraps.get(each.id, (None, None)),
        )
        for each, (x, y) in zip(ordered, places, strict=True)
    )  # fmt: skip
    share = drive.share if drive is not None and drive.arms and _fact(build, "effective_length") is not None else None
    return Layout(pulleys, way, trouble, share, tuple(assumed))


def _entry(given: Mapping[str, Any], swings: bool = False) -> SimpleNamespace:
    """An entry as the rules see it, None for what is missing."""
    names = ("drives", "side", "turns", "diameter", *(("after", *_SWING) if swings else _CENTRE))
    values = {name: given.get(name) for name in names}
    plain = {name: each.value if isinstance(each, Dimension) else each for name, each in values.items()}
    return SimpleNamespace(id=given["id"], **plain)


def _words(entry: SimpleNamespace) -> str:
    """What is lacking of a pulley for the belt's way."""
    wanted = {"diameter": "diameter", "side": "side of the belt"}
    wanted |= dict.fromkeys(_SWING, "swing of its arm") if hasattr(entry, "arm") else dict.fromkeys(_CENTRE, "centre")
    return ", ".join(dict.fromkeys(word for name, word in wanted.items() if getattr(entry, name) is None))


def _fact(build: Build, name: str) -> Any:
    part = build.parts.get("belt")
    return part.facts.get(name) if part is not None else None


def _drive(build: Build, fixed: Sequence[Any], swung: Sequence[Any]) -> tuple[Drive, list[str]]:
    """The drive, and what had to be assumed for it."""
    assumed = []
    back, length = _fact(build, "back_offset"), _fact(build, "effective_length")
    offset = back.value if back is not None else 0.0
    if back is None and any(each.side == "back" for each in (*fixed, *swung)):
        assumed.append(f"the {belt.back_offset.feature.meaning} is not known: counted as nothing")
    if length is None and swung:
        assumed.append("the belt's length is not known: the arm is shown in the middle of its travel")
        drive = Drive(fixed, swung, offset, 1.0)
        return Drive(fixed, swung, offset, drive.length_at(0.5)), assumed
    return Drive(fixed, swung, offset, length.value if length is not None else 1.0), assumed


def _way(drive: Drive, sure: bool) -> Way:
    ends = span_ends(drive.route, drive.xs, drive.ys, drive.radii, drive.backs)
    points: list[tuple[float, float]] = []
    for at, wrap in enumerate(drive.route.wraps):
        turn = drive.sense * (-1.0 if drive.backs[at] else 1.0) * max(wrap, 0.0)
        x, y, radius = drive.xs[at], drive.ys[at], drive.radii[at]
        begin = math.atan2(ends[at - 1][3] - y, ends[at - 1][2] - x)
        steps = max(2, int(abs(turn) / math.radians(5)))
        for step in range(steps + 1):
            angle = begin + turn * step / steps
            points.append((x + radius * math.cos(angle), y + radius * math.sin(angle)))
    try:
        along: bool | None = drive.travels_along()
    except ValueError:
        along = None
    first = max(range(len(ends)), key=lambda at: drive.route.spans[at])
    return Way(tuple(points), tuple(float(each) for each in drive.route.spans), sure, ends[first], along)


def _places(ordered: Sequence[Any], drive: Drive | None) -> list[tuple[float | None, float | None]]:
    if drive is not None:
        return list(zip(drive.xs, drive.ys, strict=True))
    return [(getattr(each, "x", None), getattr(each, "y", None)) for each in ordered]


def _wraps(
    build: Build, drive: Drive | None, entries: tuple[Sequence[Any], Sequence[Any]], ordered: Sequence[Any]
) -> dict[str, tuple[float, float]]:
    """Angle of contact and the usual least one, rad, by the pulley's name."""
    if drive is None:
        return {}
    detail = load_rules()["belt-wrap-angle"].detail
    assert detail is not None
    rows = detail(*entries, drive.back_offset, drive.belt)["wraps"]
    return {each["id"]: (float(each["wrap"]), float(each["usual"])) for each in rows}


def _turning(entry: Any, crank: Any) -> str:
    if crank is None or crank.turns not in _OTHER or not crank.side or not entry.side:
        return ""
    return str(crank.turns if entry.side == crank.side else _OTHER[crank.turns])


def _pieces(given: Mapping[str, Any], hub: Any) -> dict[str, Dimension | None]:
    found = {name: given.get(name) for name in PIECES}
    if given.get("drives") == "water_pump" and hub != DRAWN:
        found["hub"] = hub
    return found


def _swing(entry: Any) -> dict[str, float] | None:
    if not hasattr(entry, "arm") or any(getattr(entry, name) is None for name in _SWING):
        return None
    return {name: float(getattr(entry, name)) for name in _SWING}
