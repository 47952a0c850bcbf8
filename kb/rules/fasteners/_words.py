"""How a wrong screw behaves in a hole, in words, and the screws of one flange for worked cases."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from kb.standards.pipes import hand_turns, mates, pipe_thread
from kb.standards.threads import run, thread


def run_words(screw: str, tapped: str) -> str:
    """What happens when the screw is turned into the hole by hand."""
    found = run(thread(screw), thread(tapped))
    if found.sort == "match":
        return f"{screw} is the thread of the hole"
    head = f"{screw} in a hole {tapped}: "
    if found.sort == "no_start":
        return head + "does not start"
    low, high = found.overlap
    if found.sort == "drops":
        return head + "drops in, the threads do not meet"
    holds = f"the flanks overlap {100 * max(0.0, low):.0f} to {100 * high:.0f} %"
    if found.sort == "loose":
        return head + f"runs all the way in and strips under load, {holds}"
    least, most = found.turns
    turns = f"{least:.1f} to {most:.1f} turns" if least > 0 else f"none to {most:.1f} turns"
    return head + f"runs {turns}, then locks; forced on, it strips ({holds})"


def mixed(places: Sequence[Any]) -> list[str]:
    """Screws of the flange that start in a hole of it which is not of their thread, in words, each pair of threads once."""
    screws = dict.fromkeys(each.screw_thread for each in places)
    holes = dict.fromkeys(each.hole_thread for each in places)
    return [
        run_words(screw, tapped)
        for screw in screws
        for tapped in holes
        if (found := run(thread(screw), thread(tapped))).sort != "match" and found.starts
    ]


def wrong(places: Sequence[Any]) -> list[str]:
    """Words for every hole of the flange whose screw is of another thread."""
    return [
        f"{each.id}: {run_words(each.screw_thread, each.hole_thread)}"
        for each in places
        if run(thread(each.screw_thread), thread(each.hole_thread)).sort != "match"
    ]


def pipe_words(male: str, female: str) -> str:
    """What happens when the fitting is turned into the port by hand."""
    outer, inner = pipe_thread(male), pipe_thread(female)
    if mates(outer, inner):
        return ""
    turns = hand_turns(outer, inner)
    angles = ""
    if abs(outer.flank - inner.flank) > 1e-6:
        angles = f"; flanks of {2 * math.degrees(outer.flank):.0f} and {2 * math.degrees(inner.flank):.0f} degrees"
    pitches = ""
    if abs(outer.pitch - inner.pitch) > 1e-9:
        pitches = f"; pitches {outer.pitch * 1000:.3f} and {inner.pitch * 1000:.3f} mm"
    seats = ""
    if outer.seat != inner.seat:
        seats = f"; seats of {math.degrees(outer.seat):.0f} and {math.degrees(inner.seat):.0f} degrees"
    if math.isinf(turns):
        starts = "turns in without a stop"
    else:
        starts = f"starts and jams after about {turns:.1f} turns by hand" if turns else "does not start"
    return starts + pitches + angles + seats


class Place:
    """A hole and its screw, for worked cases."""

    def __init__(
        self, id: str, hole_thread: str = "M8x1.25", screw_thread: str = "M8x1.25", screw_length: float = 0.03,
        stack: float = 0.015, thread_depth: float = 0.02, through: bool = False,
    ) -> None:  # fmt: skip
        self.id, self.hole_thread, self.screw_thread = id, hole_thread, screw_thread
        self.screw_length, self.stack, self.thread_depth, self.through = screw_length, stack, thread_depth, through
