"""What the picture of the engine bay shows: the gaps round the engine, the room that the rules want, and the mounts."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.build import Build
from kb.drawing._scene import float_of
from kb.drawing._values import Known, ask
from kb.measure import Dimension
from kb.roles import engine_bay
from kb.rules import load_rules

# Sizes drawn for show where no record gives one, m (from memory, a small V engine in a light pickup).
CORE_HEIGHT, FAN_HEIGHT = 0.43, 0.40
_FAN_RULES = {"four": "fan-room-four", "light_v": "fan-room-light-v", "small_v8": "fan-room-small-v8",
              "big_v8": "fan-room-big-v8"}  # fmt: skip
_TO_CORE, _TO_FAN = "fan blades to radiator core", "front of the engine to the electric fan"


class Wanted(NamedTuple):
    """Room that a rule wants, m. firm: its limit may condemn; else it only says what is usual."""

    room: float
    firm: bool
    own: bool = False


class Gap(NamedTuple):
    """One gap of the bay. words: what it lies between, the moving thing first; `letter` names it in the picture."""

    letter: str
    words: str
    room: Known
    wanted: tuple[Wanted, ...]


class Bay(NamedTuple):
    """All that is drawn, lengths in m. electric: None where nobody recorded what turns the fan.

    rock: how far the rule for an engine of this size lets its front swing forward; None where its size is not known.
    """

    gaps: tuple[Gap, ...]
    electric: bool | None
    core_height: float
    fan_height: float
    sizes_known: bool
    rock: float | None
    sag: Known | None
    rubber: str
    held: bool | None

    def gap(self, letter: str) -> Gap:
        return next(each for each in self.gaps if each.letter == letter)


def bay_of(build: Build) -> Bay:
    """Read the build, whose role `engine_bay` is filled."""
    drive = _fact(build, "fan", "drive")
    electric = None if drive is None else drive == "electric"
    words = {True: _TO_FAN, False: _TO_CORE, None: "fan to what it would reach"}[electric]
    fan_rule = _FAN_RULES.get(str(_fact(build, "engine_bay", "cylinders")), "")
    listed: tuple[tuple[str, str, Any, str], ...] = (
        ("A", words, engine_bay.fan_gap, fan_rule),
        ("B", "air cleaner to hood", engine_bay.hood_room, "hood-room"),
        ("C", "accessory or exhaust to wing or frame", engine_bay.side_gap, "side-room"),
        ("D", "engine, mount or exhaust to steering", engine_bay.steering_gap, "steering-room"),
        ("E", "exhaust to brake or fuel line", engine_bay.line_gap, "line-room"),
    )
    gaps = []
    for letter, between, feature, rule in listed:
        room = ask(build, float_of, feature)
        if room is not None:
            gaps.append(Gap(letter, between, room, _wanted(build, rule)))
    sag = ask(build, float_of, engine_bay.mount_sag)
    core, cover = (_size(build, "fan", each) for each in ("core_height", "cover_height"))
    rock = max((each.room for each in _wanted(build, fan_rule)), default=None)
    held = _fact(build, "engine_bay", "mounts_hold")
    return Bay(
        tuple(gaps), electric, core or CORE_HEIGHT, cover or FAN_HEIGHT, bool(core and cover), rock,
        sag if sag is not None and sag.sure else None, str(_fact(build, "engine_bay", "mount_rubber") or ""),
        held if isinstance(held, bool) else None,
    )  # fmt: skip


def _fact(build: Build, role: str, feature: str) -> Any:
    part = build.parts.get(role)
    return part.facts.get(feature) if part is not None else None


def _size(build: Build, role: str, feature: str) -> float | None:
    value = _fact(build, role, feature)
    return value.value if isinstance(value, Dimension) and math.isfinite(value.value) else None


def _wanted(build: Build, rule: str) -> tuple[Wanted, ...]:
    """The lower limits of a rule that leave more than touching, with the build's own in their place."""
    found = load_rules().get(rule)
    made = []
    for limit in found.limits if found is not None else ():
        own = build.own_limits.get((rule, limit.name))
        bound = own[0] if own else limit.bound
        if limit.side == "least" and isinstance(bound, int | float) and bound > 0:
            made.append(Wanted(float(bound), bool(own) or limit.may_condemn, bool(own)))
    return tuple(sorted(made))
