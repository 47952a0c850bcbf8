"""What closes a station of the pan flange that does not seal: each remedy is found by seating the flange again.

- bead: a gasket or bead at least this high everywhere. The stop stays where it is and the material and width too, so
  the stiffness of a raised station falls as 1/height.
- shim: a shim of this thickness under the pan's flange at this station only.
- dress: so much off the highest places of the pan's flange, parallel to the plane on which it now seats; every
  station that stands above the new plane is cut down to it.
- none: nothing of these. A passage outside the clamped polygon needs a bolt or another pan, whatever its gap.

Not imported by a check that finds everything sealed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from kb.standards.seating import (
    PLACE_SLACK,
    FlangeResult,
    Sealing,
    Station,
    bare_seat,
    flange_seat,
    sealing,
)

RESOLUTION = 1e-6  # m: amounts are found to a micrometre, from the side that seals
_TALLEST = 3.0  # times the present free height: a taller bead is no longer this gasket


class Remedy(NamedTuple):
    """One way to close `station` (its id). `kind`: bead, shim, dress or none; `amount` in m.

    `holds`: computed again with it, this station reaches the squeeze and none that had it loses it.
    `worst_squeeze_after` is the least counted squeeze of all stations then. `changed` pairs each station that is
    shimmed or cut, by its index, with how much (m). `why` of a none: "unclamped" (`amount` is the distance outside
    the clamped polygon) or "beyond" (more than bead, shim and dressing can do, as with too little bolt load).
    """

    kind: str
    station: str
    amount: float
    worst_squeeze_after: float
    holds: bool
    changed: tuple[tuple[int, float], ...] = ()
    why: str = ""


def remedies(
    stations: Sequence[Station],
    station_index: int,
    *,
    squeeze_min: float,
    stiffness_ei: float,
    stiffness_gj: float | None = None,
    closed: bool = True,
    place_slack: float = PLACE_SLACK,
) -> tuple[Remedy, ...]:
    """Remedies for the station at `station_index`, in the order bead, shim, dress; none last. Empty if it seals.

    Arguments as for flange_seat and sealing; those raise ValueError, an index out of range IndexError.
    """

    def seat(changed: Sequence[Station]) -> tuple[FlangeResult, Sealing]:
        result = flange_seat(
            changed, stiffness_ei=stiffness_ei, stiffness_gj=stiffness_gj, closed=closed, place_slack=place_slack
        )
        return result, sealing(changed, result, squeeze_min=squeeze_min)

    def lacks(changed: Sequence[Station]) -> list[float]:
        result, _ = seat(changed)
        return [r.gap - (1.0 - squeeze_min) * s.free for s, r in zip(changed, result.stations, strict=True)]

    def worst(changed: Sequence[Station], result: FlangeResult) -> float:
        return min(r.counted for s, r in zip(changed, result.stations, strict=True) if s.stiffness > 0.0)

    now, before = seat(stations)
    target = stations[station_index]
    if before.sealed[station_index]:
        return ()
    here = now.stations[station_index]
    if target.passage and not here.clamped:
        return (Remedy("none", target.id, here.outside, worst(stations, now), False, why="unclamped"),)

    def remedy(kind: str, amount: float, changed: Sequence[Station], cuts: Sequence[tuple[int, float]] = ()) -> Remedy:
        result, after = seat(changed)
        kept = all(new or not old for new, old in zip(after.sealed, before.sealed, strict=True))
        return Remedy(
            kind, target.id, amount, worst(changed, result), after.sealed[station_index] and kept, tuple(cuts)
        )

    judged = [
        i
        for i, (s, r) in enumerate(zip(stations, now.stations, strict=True))
        if s.stiffness > 0.0 and (r.clamped or not s.passage)
    ]
    watched = [i for i in judged if before.sealed[i]] + [station_index]
    found = []

    lowest = min(stations[i].free for i in judged)
    tallest = _TALLEST * max(s.free for s in stations)
    more = _smallest(lambda d: _most(lacks(_bead(stations, lowest + d)), judged), tallest - lowest)
    if more is not None:
        found.append(remedy("bead", lowest + more, _bead(stations, lowest + more)))

    shim = _smallest(lambda d: lacks(_shim(stations, station_index, d))[station_index], here.gap + target.free)
    if shim is not None:
        found.append(remedy("shim", shim, _shim(stations, station_index, shim), [(station_index, shim)]))

    solid = bare_seat([s._replace(block=s.block + s.stop) for s in stations])
    cut = _smallest(lambda d: _most(lacks(_dress(stations, solid.gaps, d)), watched), max(solid.gaps))
    if cut is not None:
        cuts = [(i, cut - gap) for i, gap in enumerate(solid.gaps) if gap < cut]
        found.append(remedy("dress", cut, _dress(stations, solid.gaps, cut), cuts))

    if not any(one.holds for one in found):
        found.append(Remedy("none", target.id, 0.0, worst(stations, now), False, why="beyond"))
    return tuple(found)


def _bead(stations: Sequence[Station], height: float) -> list[Station]:
    return [
        s._replace(free=height, stiffness=s.stiffness * s.free / height) if s.free < height else s for s in stations
    ]


def _shim(stations: Sequence[Station], index: int, amount: float) -> list[Station]:
    return [s._replace(pan=s.pan + amount) if i == index else s for i, s in enumerate(stations)]


def _dress(stations: Sequence[Station], gaps: Sequence[float], depth: float) -> list[Station]:
    return [s._replace(pan=s.pan - max(0.0, depth - gap)) for s, gap in zip(stations, gaps, strict=True)]


def _most(values: Sequence[float], indices: Sequence[int]) -> float:
    return max(values[i] for i in indices)


def _smallest(lack: Callable[[float], float], top: float) -> float | None:
    """The smallest amount in (0, top] found at which `lack` (m) is not above zero; None when there is none.

    A metre of remedy closes about a metre of lack at best, so steps of the lack itself creep up from below; the
    secant lengthens them. `lack` is piecewise linear, so few steps do.
    """
    low, low_lack = 0.0, lack(0.0)
    high = low_lack
    while True:
        high = min(max(high, low + RESOLUTION), top)
        if high <= low:
            return None
        high_lack = lack(high)
        if high_lack <= 0.0:
            break
        gain = (low_lack - high_lack) / (high - low)
        stride = high_lack / gain if gain > 0.0 else 2.0 * (high - low)
        low, low_lack, high = high, high_lack, high + min(max(high_lack, stride), max(top / 8.0, high_lack))
    low_weight, high_weight = low_lack, high_lack
    while high - low > RESOLUTION:
        share = low_weight / (low_weight - high_weight)
        middle = low + min(max(share, 0.02), 0.98) * (high - low)
        # land just on the good side, so that the end which is kept closes in
        middle = min(middle + 0.25 * RESOLUTION, 0.5 * (middle + high))
        here = lack(middle)
        if here <= 0.0:
            high, high_weight, low_weight = middle, here, low_weight / 2.0
        else:
            low, low_weight, high_weight = middle, here, high_weight / 2.0
    return high
