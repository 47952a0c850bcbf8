"""Threads of pipes and ports: NPT, BSP, 37 degree flare and straight-thread ports by dash size (see tubes.py).

Lengths in metres. One pipe thread is a `PipeThread`; its `code` is the name used in records (`npt_1_8`, `bspt_1_4`,
`flare37_6`). Tables from memory, held against published values in the tests.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from kb.errors import unknown
from kb.standards.threads import thread

_INCH = 0.0254
TAPER = 1 / 16
"""Taper of the diameter over the length, NPT and BSP alike. Source: ASME B1.20.1, ISO 7-1."""

TAPER_HALF_ANGLE = math.atan(TAPER / 2)
"""Half angle of that taper, rad. Follows from the definition."""

# Nominal size: outside diameter in, threads per inch, hand-tight engagement L1 in, effective length L2 in.
_NPT: dict[str, tuple[float, float, float, float]] = {
    "1/16": (0.3125, 27, 0.160, 0.2611),
    "1/8": (0.405, 27, 0.1615, 0.2639),
    "1/4": (0.540, 18, 0.2278, 0.4018),
    "3/8": (0.675, 18, 0.240, 0.4078),
    "1/2": (0.840, 14, 0.320, 0.5337),
    "3/4": (1.050, 14, 0.339, 0.5457),
    "1": (1.315, 11.5, 0.400, 0.6828),
    "1 1/4": (1.660, 11.5, 0.420, 0.7068),
    "1 1/2": (1.900, 11.5, 0.420, 0.7235),
    "2": (2.375, 11.5, 0.436, 0.7565),
}
"""Source: ASME B1.20.1."""

# Nominal size: major diameter mm, threads per inch, gauge length mm, useful thread mm.
_BSP: dict[str, tuple[float, float, float, float]] = {
    "1/16": (7.723, 28, 4.0, 6.5),
    "1/8": (9.728, 28, 4.0, 6.5),
    "1/4": (13.157, 19, 6.0, 9.7),
    "3/8": (16.662, 19, 6.4, 10.1),
    "1/2": (20.955, 14, 8.2, 13.2),
    "3/4": (26.441, 14, 9.5, 14.5),
    "1": (33.249, 11, 10.4, 16.8),
    "1 1/4": (41.910, 11, 12.7, 19.1),
    "1 1/2": (47.803, 11, 12.7, 19.1),
    "2": (59.614, 11, 15.9, 23.4),
}
"""Source: ISO 7-1 and ISO 228-1."""

FLARE_THREADS: dict[int, str] = {
    2: "5/16-24", 3: "3/8-24", 4: "7/16-20", 5: "1/2-20", 6: "9/16-18", 8: "3/4-16", 10: "7/8-14", 12: "1 1/16-12",
    14: "1 3/16-12", 16: "1 5/16-12", 20: "1 5/8-12", 24: "1 7/8-12", 32: "2 1/2-12",
}  # fmt: skip
"""Straight thread by dash size: of a 37 degree flare, and of a port with an O-ring. Source: SAE J514, SAE J1926."""

FLARE_45_THREADS: dict[int, str] = {
    2: "5/16-24", 3: "3/8-24", 4: "7/16-20", 5: "1/2-20", 6: "5/8-18", 8: "3/4-16", 10: "7/8-14", 12: "1 1/16-14",
}  # fmt: skip
"""Thread of a 45 degree flare by tube size in sixteenths: alike but for -6 and -12. Source: SAE J512, from memory."""

_METRIC_PORTS = ("M10x1", "M12x1.5", "M14x1.5", "M16x1.5", "M18x1.5", "M20x1.5", "M22x1.5")


class PipeThread(NamedTuple):
    """family: npt, bspt (taper), bspp (parallel), metric, flare37, flare45, port; lengths in m, angle in rad.

    diameter: over the crests, for a taper thread at its gauge plane (NPT: of the pipe). hand_tight, effective: of a
    taper thread, else 0. seat: half angle of the flare, else 0.
    """

    code: str
    family: str
    size: str
    diameter: float
    pitch: float
    flank: float
    hand_tight: float = 0.0
    effective: float = 0.0
    seat: float = 0.0

    @property
    def taper(self) -> bool:
        return self.family in ("npt", "bspt")

    @property
    def end_pitch_diameter(self) -> float:
        """Pitch diameter at the small end of the male thread, m.

        NPT: E0 = D - (0.05 D + 1.1) P in inches (ASME B1.20.1). BSP taper: that of the gauge plane less the taper of
        the gauge length (ISO 7-1). Straight threads: everywhere the same.
        """
        if self.family == "npt":
            inches = self.diameter / _INCH
            return (inches - (0.05 * inches + 1.1) * self.pitch / _INCH) * _INCH
        return self.face_pitch_diameter - (self.hand_tight * TAPER if self.taper else 0.0)

    @property
    def face_pitch_diameter(self) -> float:
        """Pitch diameter at the face of the hole, m. NPT: E1 = E0 + L1 / 16 (ASME B1.20.1)."""
        if self.family == "npt":
            return self.end_pitch_diameter + self.hand_tight * TAPER
        # Depth of the basic form to the pitch line: 0.640327 P of the 55 degree form, 0.649519 P of the 60 degree one.
        return self.diameter - (0.640327 if self.family in ("bspt", "bspp") else 0.649519) * self.pitch


def _all() -> dict[str, PipeThread]:
    made: dict[str, PipeThread] = {}

    def add(family: str, name: str, *more: float) -> None:
        code = f"{family}_{name.lower().replace(' ', '_').replace('/', '_').replace('.', '_')}"
        made[code] = PipeThread(code, family, name, *more)

    whitworth, sharp = math.radians(27.5), math.radians(30)
    for size, (outside, per_inch, hand, effective) in _NPT.items():
        add("npt", size, outside * _INCH, _INCH / per_inch, sharp, hand * _INCH, effective * _INCH)
    for size, (major, per_inch, gauge, useful) in _BSP.items():
        add("bspt", size, major / 1000, _INCH / per_inch, whitworth, gauge / 1000, useful / 1000)
    for size, (major, per_inch, _, _) in _BSP.items():
        add("bspp", size, major / 1000, _INCH / per_inch, whitworth)
    for name in _METRIC_PORTS:
        straight = thread(name)
        add("metric", name, straight.diameter, straight.pitch, sharp)
    for family, table, seat in (
        ("flare37", FLARE_THREADS, 37.0),
        ("flare45", FLARE_45_THREADS, 45.0),
        ("port", FLARE_THREADS, 0.0),
    ):
        for dash, name in table.items():
            straight = thread(name + " UNS")
            add(family, str(dash), straight.diameter, straight.pitch, sharp, 0.0, 0.0, math.radians(seat))
    return made


PIPE_THREADS: dict[str, PipeThread] = _all()


def pipe_thread(code: str) -> PipeThread:
    """The pipe thread of a code such as `npt_1_8`; UnknownName says what is near."""
    try:
        return PIPE_THREADS[code]
    except KeyError:
        raise unknown("pipe thread", code, PIPE_THREADS) from None


def npt(size: str) -> PipeThread:
    """The American taper pipe thread of a nominal size such as "1/8". Source: ASME B1.20.1."""
    return pipe_thread(f"npt_{size.replace(' ', '_').replace('/', '_')}")


def bsp(size: str, taper: bool = False) -> PipeThread:
    """The British pipe thread of a nominal size, parallel (G, Rp) or taper (R, Rc). Source: ISO 228-1, ISO 7-1."""
    return pipe_thread(f"{'bspt' if taper else 'bspp'}_{size.replace(' ', '_').replace('/', '_')}")


def threads_per_inch(pipe: PipeThread) -> float:
    """Threads per inch: one inch over the pitch."""
    return round(_INCH / pipe.pitch, 9)


def flare_thread(dash: float) -> str:
    """Designation of the straight thread of a 37 degree flare fitting by dash size. Source: SAE J514."""
    if dash not in FLARE_THREADS:
        raise unknown("dash size", f"-{dash:g}", [f"-{each}" for each in FLARE_THREADS])
    return FLARE_THREADS[int(dash)]


def mates(male: PipeThread, female: PipeThread) -> bool:
    """Whether the standards mean these two for each other.

    Equal family and size; besides, a British taper male may enter a British parallel female of its size (ISO 7-1).
    """
    if male.code == female.code:
        return True
    return (male.family, female.family) == ("bspt", "bspp") and male.size == female.size


@lru_cache(maxsize=4096)
def hand_turns(male: PipeThread, female: PipeThread) -> float:
    """Turns by hand of nominal parts before they jam; 0 where the male is too large to enter.

    Play at the start is that of the pitch diameters at the face; each turn takes off the taper of one pitch and adds
    the difference of the pitches: turns = (play tan(flank) + drift) / (drift + taper pitch tan(flank)) with a taper, as
    for screws without. Infinite for straight threads of one pitch. Follows from geometry.
    """
    drift = abs(male.pitch - female.pitch)
    slope = math.tan((male.flank + female.flank) / 2)
    play = (female.face_pitch_diameter - male.end_pitch_diameter) * slope
    if play < -1e-9:
        return 0.0
    closing = TAPER * male.pitch * slope if male.taper or female.taper else 0.0
    if drift < 1e-9:
        return play / closing if closing else math.inf
    return (play + drift) / (drift + closing)
