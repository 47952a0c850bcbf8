"""The belt's way as the rules see it: pulleys of a layout in belt order, and the tensioner where the belt holds it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from kb.standards.belt_drive import Arm, Route, arm_share, orientation, span_ends, tangent_route

_OTHER = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}
_STEP = 1e-4  # of the tensioner's travel, for slopes


class Drive:
    """One belt laid round one layout.

    pulleys, tensioners: entries of a belt_layout; back_offset: m, from the effective line to the belt's back;
    belt: its effective length, m. near: a drive with nearly the same figures, whose arm is a good first guess that one
    step improves enough. ValueError where the layout as recorded makes no belt drive.
    """

    def __init__(
        self, pulleys: Sequence[Any], tensioners: Sequence[Any], back_offset: float, belt: float,
        near: Drive | None = None,
    ) -> None:  # fmt: skip
        self.entries = in_order(pulleys, tensioners)
        self.backs = [each.side == "back" for each in self.entries]
        self.radii = [
            each.diameter / 2 + (back_offset if back else 0.0)
            for each, back in zip(self.entries, self.backs, strict=True)
        ]
        self.arms = [
            Arm(at, each.pivot_x, each.pivot_y, each.arm, each.free, each.wound)
            for at, each in enumerate(self.entries)
            if hasattr(each, "arm")
        ]
        self.back_offset = back_offset
        self.belt = belt
        self.sense: float = near.sense if near else self._sense()
        self.slope: float = 0.0
        self.slack: float = 0.0
        self.share = self._share(near) if self.arms else 0.0
        # An arm at its stop stays there, however much too long or short the belt is.
        self.at = min(max(self.share, 0.0), 1.0)
        if self.arms:
            self.slope = near.slope if near else self._slope()
            self.slack = 0.0 if near else self.length_at(self.at) - belt
        self.xs, self.ys = self.centres(self.at)
        self.route = self.route_at(self.at)

    def near(self, pulleys: Sequence[Any], tensioners: Sequence[Any], back_offset: float, belt: float) -> Drive:
        """The drive with figures that differ a little from these."""
        return Drive(pulleys, tensioners, back_offset, belt, near=self)

    def centres(self, share: float) -> tuple[list[float], list[float]]:
        """Centres of all pulleys with the tensioner at this share of its travel."""
        xs = [getattr(each, "x", 0.0) for each in self.entries]
        ys = [getattr(each, "y", 0.0) for each in self.entries]
        for arm in self.arms:
            xs[arm.at], ys[arm.at] = arm.place(share)
        return xs, ys

    def route_at(self, share: float) -> Route:
        """The belt line with the tensioner at this share of its travel."""
        return tangent_route(*self.centres(share), self.radii, self.backs, self.sense)

    def length_at(self, share: float) -> float:
        """Effective length, m, of the way round with the tensioner at this share of its travel.

        Where a tensioning idler does not reach the belt, the belt takes the way past it.
        """
        route = self.route_at(share)
        missed = [arm.at for arm in self.arms if route.wraps[arm.at] < 0.0 and self.entries[arm.at].drives == "idler"]
        if not missed or len(self.entries) - len(missed) < 2:
            return float(route.length)
        xs, ys = self.centres(share)
        kept = [at for at in range(len(xs)) if at not in missed]
        xs, ys, radii = ([row[at] for at in kept] for row in (xs, ys, self.radii))
        return float(tangent_route(xs, ys, radii, [self.backs[at] for at in kept], self.sense).length)

    def _sense(self) -> float:
        xs, ys = self.centres(0.5)
        first = float(orientation(xs, ys))
        for sense in (first, -first):
            if tangent_route(xs, ys, self.radii, self.backs, sense).closes:
                return sense
        raise ValueError("as listed the belt crosses itself: check the order of the pulleys and their sides")

    def _share(self, near: Drive | None) -> float:
        if near is not None:
            # What is too much at the nominal figures (beyond a stop) stays so; only the change moves the arm.
            return near.share - (self.length_at(near.at) - self.belt - near.slack) / near.slope
        if self.length_at(0.0) <= self.length_at(1.0):
            raise ValueError("the way round is no longer at the free stop than at the wound one: check the two angles")
        return arm_share(self.length_at, self.belt)

    def _slope(self) -> float:
        """Change of the way round, m, over the whole travel, as it is where the arm stands."""
        if self.share != self.at:
            return (self.length_at(self.at) - self.belt) / (self.at - self.share)
        up, down = self.length_at(self.share + _STEP), self.length_at(self.share - _STEP)
        return (up - down) / (2 * _STEP) or self.length_at(1.0) - self.length_at(0.0)

    # -- what the rules ask --------------------------------------------------------------------------------------

    @property
    def span_names(self) -> list[str]:
        """ "crank to alternator" for each span."""
        names = [each.id for each in self.entries]
        return [f"{here} to {there}" for here, there in zip(names, [*names[1:], names[0]], strict=True)]

    def travels_along(self) -> bool:
        """Whether the belt travels in list order, from the way that the crank turns."""
        crank = self.entries[crank_of(self.entries)]
        if crank.turns not in _OTHER:
            raise ValueError("which way the crank turns is not recorded")
        against = (crank.turns == "anticlockwise") != (crank.side == "back")
        return bool(against == (self.sense > 0))

    def pitch_radii(self, pitch_offset: float) -> list[float]:
        """Radius, m, of the cords on each pulley: outside the effective line on the ribs, inside it on the back."""
        return [
            radius + (-pitch_offset if back else pitch_offset)
            for radius, back in zip(self.radii, self.backs, strict=True)
        ]

    def clearances(self) -> list[float]:
        """For each pulley the least distance, m, to another's rim, or to a piece of belt that does not run on it."""
        ends = span_ends(self.route, self.xs, self.ys, self.radii, self.backs)
        rims = [each.diameter / 2 for each in self.entries]
        count = len(rims)
        found = []
        for i in range(count):
            x, y = self.xs[i], self.ys[i]
            near = [math.hypot(self.xs[j] - x, self.ys[j] - y) - rims[i] - rims[j] for j in range(count) if j != i]
            near += [
                _to_segment(x, y, *ends[j]) - rims[i] - self.back_offset
                for j in range(count)
                if j != i and (j + 1) % count != i
            ]
            found.append(min(near))
        return found

    def drawn(self) -> dict[str, Any]:
        """`pulleys` and `spans` as figures, for a drawing or a table."""
        ends = span_ends(self.route, self.xs, self.ys, self.radii, self.backs)
        return {
            "pulleys": [
                {"id": each.id, "x": x, "y": y, "radius": radius, "side": each.side, "wrap": wrap}
                for each, x, y, radius, wrap in zip(
                    self.entries, self.xs, self.ys, self.radii, self.route.wraps, strict=True
                )
            ],
            "spans": [
                {"id": name, "length": span, "ends": list(end)}
                for name, span, end in zip(self.span_names, self.route.spans, ends, strict=True)
            ],
        }


def _to_segment(x: float, y: float, x1: float, y1: float, x2: float, y2: float) -> float:
    dx, dy = x2 - x1, y2 - y1
    square = dx * dx + dy * dy
    along = min(1.0, max(0.0, ((x - x1) * dx + (y - y1) * dy) / square)) if square else 0.0
    return math.hypot(x - x1 - along * dx, y - y1 - along * dy)


def in_order(pulleys: Sequence[Any], tensioners: Sequence[Any]) -> list[Any]:
    """All pulleys in belt order: each tensioner stands after the one that it names. ValueError where none has that name."""
    entries, waiting = list(pulleys), list(tensioners)
    while waiting:
        placed = next(
            ((each, at) for each in waiting for at, other in enumerate(entries) if other.id == each.after), None
        )
        if placed is None:
            raise ValueError(f"no pulley is called {waiting[0].after!r}, after which {waiting[0].id} should come")
        entries.insert(placed[1] + 1, placed[0])
        waiting.remove(placed[0])
    if len(entries) < 2:
        raise ValueError("a belt needs two pulleys: list them in belt order")
    return entries


def crank_of(entries: Sequence[Any]) -> int:
    """Place of the crank's pulley in the list; ValueError without one."""
    found = [at for at, each in enumerate(entries) if each.drives == "crank"]
    if len(found) != 1:
        raise ValueError("the layout needs one pulley that is the crank's")
    return found[0]


def ways(entries: Sequence[Any]) -> list[str]:
    """The way that each pulley turns, seen from the front: with the crank on the same side of the belt, else against."""
    crank = entries[crank_of(entries)]
    if crank.turns not in _OTHER:
        raise ValueError("which way the crank turns is not recorded")
    return [crank.turns if each.side == crank.side else _OTHER[crank.turns] for each in entries]


def plane_of(entry: Any) -> float:
    """Middle of the belt on this pulley, m forward of the block's front face."""
    return float(entry.mount_face + entry.bracket + entry.shim + entry.hub + entry.offset)


class Wheel:
    """A pulley for worked cases; give `arm` and its angles for one that swings."""

    def __init__(
        self, id: str, x: float = 0.0, y: float = 0.0, diameter: float = 0.1, side: str = "rib", plane: float = 0.0,
        drives: str = "idler", turns: str = "either", profile: str = "pk", grooves: int = 6, torque: float = 0.0,
        speed_least: float = 0.0, speed_most: float = 200.0, hub: float = 0.0, **swing: Any,
    ) -> None:  # fmt: skip
        self.id, self.diameter, self.side, self.drives, self.turns = id, diameter, side, drives, turns
        self.profile, self.grooves, self.load_torque = profile, grooves, torque
        self.speed_least, self.speed_most, self.hub = speed_least, speed_most, hub
        self.mount_face, self.bracket, self.shim, self.offset = plane - hub, 0.0, 0.0, 0.0
        if swing:
            self.__dict__.update(swing)
        else:
            self.x, self.y = x, y


__all__ = ["Drive", "Wheel", "crank_of", "in_order", "plane_of", "ways"]
