"""Trigger wheels: tooth patterns as cyclic sequences of intervals.

Angles are in degrees of the wheel, because the codes and every drawing are; speeds in revolutions per second,
frequencies in hertz, times in seconds. The formulas at the top take floats, numpy arrays or Pint quantities, the rest
works on one `Pattern` at a time.

Codes: `36-1` is 36 positions with one tooth missing; `36-2-2-2` has several gaps, placed evenly unless `@` gives the
position of the first missing tooth (`36-2@0-2@16-2@19`, positions counted from 0); `24` is even; `12+1` has an
extra tooth halfway between two others; `10,50,60,60,60,60,60` lists the intervals in degrees.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from kb.errors import NotationFault

MOST_POSITIONS = 720
_CLOSING = 0.05
_QUANTUM = 1e-4
_STEP = "write it as 36-1, 60-2, 24, 36-2@0-2@16-2@19, or list the intervals in degrees: 10,50,60,60,60,60,60"


def pitch_angle(positions: Any) -> Any:
    """Angle between neighbouring tooth positions, degrees: 360 / N. Also what the crank turns in one tooth period."""
    return 360 / positions


def gap_angle(positions: Any, missing: Any) -> Any:
    """Angle from tooth to tooth across a gap, degrees: (missing + 1) 360 / N."""
    return (missing + 1) * 360 / positions


def pitch_frequency(positions: Any, speed: Any) -> Any:
    """Tooth frequency between the gaps, Hz, at `speed`, rev/s: N n. Missing teeth do not lower it."""
    return positions * speed


def pulse_rate(pulses: Any, speed: Any) -> Any:
    """Pulses counted per second at `speed`, rev/s, of a wheel with `pulses` teeth a turn."""
    return pulses * speed


def tooth_period(positions: Any, speed: Any) -> Any:
    """Time from tooth to tooth between the gaps, s, at `speed`, rev/s: 1 / (N n)."""
    return 1 / (positions * speed)


class Pattern(NamedTuple):
    """A tooth pattern: `intervals` in degrees from each tooth to the next, the first tooth at `start` degrees.

    `positions` is N of a code such as N-m, 0 for a list of intervals. `placed` is False when the code has
    several gaps and does not say where: the even placing is then a guess and such a pattern compares as one.
    """

    code: str
    intervals: tuple[float, ...]
    start: float = 0.0
    positions: int = 0
    placed: bool = True

    @property
    def angles(self) -> tuple[float, ...]:
        """Angle of each tooth, degrees, beginning with the first; not wrapped at 360."""
        angle, found = self.start, []
        for interval in self.intervals:
            found.append(angle)
            angle += interval
        return tuple(found)

    @property
    def pulses(self) -> int:
        """Pulses a turn."""
        return len(self.intervals)

    @property
    def largest_gap(self) -> float:
        """Largest angle from tooth to tooth, degrees."""
        return max(self.intervals)

    @property
    def pitch(self) -> float:
        """Angle between neighbouring positions, degrees; the shortest interval of a listed pattern."""
        return 360 / self.positions if self.positions else min(self.intervals)

    @property
    def gaps(self) -> tuple[float, ...]:
        """The intervals longer than the pitch, degrees, in order of the teeth."""
        return tuple(interval for interval in self.intervals if interval > self.pitch + _QUANTUM)

    @property
    def ratio(self) -> float:
        """Longest over shortest interval, pure: 1 for an even wheel, m + 1 for N-m."""
        return max(self.intervals) / min(self.intervals)

    @property
    def even(self) -> bool:
        """True if every tooth looks like every other: speed can be read from it, position cannot."""
        return max(self.intervals) - min(self.intervals) < _QUANTUM


def _fault(code: str, why: str) -> NotationFault:
    shown = code if len(code) <= 40 else code[:37] + "..."
    return NotationFault(f"{shown!r} is not a tooth pattern: {why}", step=_STEP)


def _listed(code: str, words: list[str]) -> Pattern:
    try:
        values = [float(word) for word in words]
    except ValueError:
        raise _fault(code, "it has something that is not a number") from None
    if len(values) > MOST_POSITIONS:
        raise _fault(code, f"it has more than {MOST_POSITIONS} intervals")
    if not all(0 < value <= 360 for value in values):
        raise _fault(code, "every interval must be above 0 and at most 360 degrees")
    turn = sum(values)
    if abs(turn - 360) > _CLOSING:
        raise _fault(code, f"the intervals add up to {turn:g} degrees, not 360")
    return Pattern(code, tuple(value * 360 / turn for value in values) if turn != 360 else tuple(values))


def _missing(code: str, positions: int, groups: list[tuple[int, int | None]]) -> set[int]:
    """The positions without a tooth; gaps without a place end at even shares of the turn."""
    missing: set[int] = set()
    for turn, (count, first) in enumerate(groups, start=1):
        if first is None:
            if len(groups) > 1 and positions % len(groups):
                raise _fault(code, f"{len(groups)} gaps cannot be even on {positions} positions: place each with @")
            first = positions * turn // len(groups) - count
        if count < 1 or first >= positions:
            raise _fault(code, "a gap needs at least one missing tooth and a position below the number of positions")
        here = {(first + step) % positions for step in range(min(count, positions + 1))}
        if count >= positions or missing & here:
            raise _fault(code, "the gaps overlap or leave no tooth")
        missing |= here
    return missing


def parse_pattern(code: str, start: float = 0.0) -> Pattern:
    """The pattern that `code` stands for (forms: see the module), its first tooth at `start` degrees.

    The first tooth is the one after the gap that ends the turn, or the first listed. Raises NotationFault.
    """
    text = code.strip()
    found = re.fullmatch(r"([0-9]{1,4})((?:-[0-9]{1,4}(?:@[0-9]{1,4})?)*)(\+1)?", text)
    if not found:
        words = [word for word in re.split(r"[,;\s]+", text) if word]
        if len(words) < 2:
            raise _fault(code, "it has none of the known forms")
        return _listed(text, words)._replace(start=start)
    positions = int(found[1])
    if not 1 <= positions <= MOST_POSITIONS:
        raise _fault(code, f"a wheel has 1 to {MOST_POSITIONS} positions")
    pairs = re.findall(r"-([0-9]+)(?:@([0-9]+))?", found[2])
    groups = [(int(count), int(first) if first else None) for count, first in pairs]
    if len({first is None for _, first in groups}) > 1:
        raise _fault(code, "either every gap or none is placed with @")
    missing = _missing(code, positions, groups)
    teeth: list[float] = [position for position in range(positions) if position not in missing]
    if not teeth:
        raise _fault(code, "the gaps overlap or leave no tooth")
    if found[3]:
        teeth.insert(1, teeth[0] + 0.5)
    steps = [later - earlier for earlier, later in zip(teeth, [*teeth[1:], teeth[0] + positions], strict=True)]
    return Pattern(
        text,
        tuple(step * 360 / positions for step in steps),
        start + teeth[0] * 360 / positions,
        positions,
        len(groups) < 2 or groups[0][1] is not None,
    )


def _least_rotation(items: tuple[int, ...]) -> int:
    """Where the smallest rotation of a cyclic sequence begins (Booth's problem, two-pointer solution)."""
    count = len(items)
    left, right, same = 0, 1, 0
    while left < count and right < count and same < count:
        a, b = items[(left + same) % count], items[(right + same) % count]
        if a == b:
            same += 1
            continue
        if a > b:
            left += same + 1
        else:
            right += same + 1
        if left == right:
            right += 1
        same = 0
    return min(left, right)


def canonical(pattern: Pattern) -> tuple[int, ...]:
    """The intervals in units of 0.0001 degree, rotated to the smallest sequence: equal for clocked wheels.

    A key for look-up; a wheel and its mirror image have different keys. For measured intervals use
    `same_pattern`, which takes a tolerance.
    """
    items = tuple(round(interval / _QUANTUM) for interval in pattern.intervals)
    begin = _least_rotation(items)
    return items[begin:] + items[:begin]


def mirrored(pattern: Pattern) -> Pattern:
    """The wheel fitted back to front: the teeth pass in the opposite order, the first tooth keeps its angle."""
    return pattern._replace(intervals=tuple(reversed(pattern.intervals)))


class Match(NamedTuple):
    """How two patterns compare. `sort` is same, clocked, mirrored or different; `angle` in degrees if clocked."""

    sort: str
    angle: float = 0.0

    def __str__(self) -> str:
        return f"clocked by {self.angle:g} deg" if self.sort == "clocked" else self.sort


def _turned(a: Pattern, b: Pattern, tolerance: float) -> float | None:
    """The least angle to turn `a` forwards so that it lies on `b`, degrees; None if it never does."""
    count = a.pulses
    if count != b.pulses:
        return None
    angles = a.angles
    turns = (
        (b.start - angles[shift]) % 360
        for shift in range(count)
        if all(abs(a.intervals[(shift + i) % count] - b.intervals[i]) <= tolerance for i in range(count))
    )
    # A turn just short of 360 is none, within the tolerance.
    return min((0.0 if turn >= 360 - tolerance else turn for turn in turns), default=None)


def same_pattern(a: Pattern, b: Pattern, tolerance: float = 0.01) -> Match:
    """Compare two wheels: the same, the same clocked by an angle, mirrored (fitted back to front), or different.

    Clocked: turning `a` forwards by `angle`, the least that does it, lays it on `b`. `tolerance` is for each interval,
    degrees: widen it for measured wheels. A wheel that is its own mirror image is never called mirrored.
    """
    turn = _turned(a, b, tolerance)
    if turn is not None:
        return Match("same") if turn <= tolerance else Match("clocked", turn)
    return Match("different" if _turned(mirrored(a), b, tolerance) is None else "mirrored")


def spelt_out(code: str) -> str:
    """`code` itself if it says where every tooth stands; ValueError if it is no pattern or leaves its gaps unplaced."""
    try:
        found = parse_pattern(code)
    except NotationFault as fault:
        raise ValueError(str(fault)) from None
    if not found.placed:
        raise ValueError(f"{code} does not say where its gaps lie")
    return code
