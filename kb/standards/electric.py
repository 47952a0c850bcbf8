"""Coil, battery and ground circuits as formulas. SI: ohms, henrys, volts, amperes, seconds, revolutions per second.

`rise_time` to `cold_amperes_needed` take floats, numpy arrays or Pint quantities; the network of grounds takes floats.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.maths import constant, least, log, where

# SAE J537: a battery gives its cold cranking amperes for 30 s at -18 degC and still has 7.2 V (from memory).
COLD_VOLTAGE = 7.2
CUBIC_INCH = 0.0254**3
_ALMOST = 1 - 1e-9


def rise_time(inductance: Any, resistance: Any, current: Any, voltage: Any) -> Any:
    """Time for a coil's current to rise to `current`, s: t = -L/R ln(1 - I R/V).

    Where the voltage can never drive that current, the time is that of a current a billionth short of V/R: very long.
    """
    share = least(current * resistance / voltage, _ALMOST)
    return -inductance / resistance * log(1 - share)


def spark_period(speed: Any, sparks: Any) -> Any:
    """Time from spark to spark of one coil, s, that gives `sparks` in two turns of the crank: 2/(n sparks).

    With one coil for all cylinders this is 120/(rpm x cylinders).
    """
    return 2 / (speed * sparks)


def sparks_a_cycle(cylinders: Any, mode: str) -> Any:
    """Sparks that one coil gives in two turns: all cylinders' by a distributor, two as a wasted pair, else one."""
    return {"distributor": cylinders, "wasted": 2, "sequential": 1}[mode]


def series_share(resistance: Any, before: Any) -> Any:
    """Share of the voltage that is left for `resistance` behind the resistance `before`: R/(R + Rb)."""
    return resistance / (resistance + before)


def inner_resistance(rest: Any, cold_amperes: Any) -> Any:
    """Inner resistance of a battery, ohm, that falls from `rest` to 7.2 V at its cold cranking amperes (SAE J537)."""
    return (rest - constant(COLD_VOLTAGE, "volt", rest)) / cold_amperes


def crank_current_left(rest: Any, cold_amperes: Any, outside: Any) -> Any:
    """Cold cranking amperes left behind `outside` ohms of cable: the current at which the starter has 7.2 V."""
    inner = inner_resistance(rest, cold_amperes)
    return (rest - constant(COLD_VOLTAGE, "volt", rest)) / (inner + outside)


def cold_amperes_needed(displacement: Any, cylinders: Any) -> Any:
    """Cold cranking amperes for an engine: 1.0 A a cubic inch with eight cylinders, 1.5 with six, 2.0 with four.

    Trade page; other numbers of cylinders count as the next of these below seven and below five.
    """
    factor = where(cylinders < 5, 2.0, where(cylinders < 7, 1.5, 1.0))
    inches = displacement / constant(CUBIC_INCH, "meter**3", displacement)
    return constant(1.0, "ampere", displacement) * factor * inches


class Link(NamedTuple):
    """A conductor between two places. resistance: ohm; area: of copper, m2, infinite for sheet metal."""

    name: str
    one: str
    other: str
    resistance: float
    area: float = float("inf")


def reached(links: Iterable[Link], start: str) -> set[str]:
    """The places that a chain of links joins to `start`, itself included."""
    known, pending, joined = {start}, [start], list(links)
    while pending:
        here = pending.pop()
        for link in joined:
            if here in (link.one, link.other):
                there = link.other if here == link.one else link.one
                if there not in known:
                    known.add(there)
                    pending.append(there)
    return known


def network_resistance(links: Sequence[Link], one: str, other: str) -> float | None:
    """Resistance between two places of a network, ohm; None if nothing joins them.

    One ampere in at `one` and out at `other`: Kirchhoff's current law at every place, `other` at zero volts.
    """
    places = sorted(reached(links, other))
    if one not in places:
        return None
    if one == other:
        return 0.0
    order = [place for place in places if place != other]
    at = {place: index for index, place in enumerate(order)}
    rows = [[0.0] * (len(order) + 1) for _ in order]
    rows[at[one]][-1] = 1.0
    for link in links:
        if link.one == link.other or link.one not in places:
            continue
        conductance = 1 / max(link.resistance, 1e-9)
        for here, there in ((link.one, link.other), (link.other, link.one)):
            if here in at:
                rows[at[here]][at[here]] += conductance
                if there in at:
                    rows[at[here]][at[there]] -= conductance
    return _solved(rows)[at[one]]


def _solved(rows: list[list[float]]) -> list[float]:
    """Gaussian elimination with pivoting of the augmented rows."""
    count = len(rows)
    for column in range(count):
        pivot = max(range(column, count), key=lambda row: abs(rows[row][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for row in range(count):
            if row != column and rows[row][column]:
                factor = rows[row][column] / rows[column][column]
                for place in range(column, count + 1):
                    rows[row][place] -= factor * rows[column][place]
    return [rows[row][-1] / rows[row][row] for row in range(count)]


def widest_path(links: Sequence[Link], one: str, other: str) -> list[Link]:
    """The chain of links from `one` to `other` whose thinnest link is thickest; [] if nothing joins them."""
    best: dict[str, tuple[float, list[Link]]] = {one: (float("inf"), [])}
    pending = {one}
    while pending:
        here = max(pending, key=lambda place: best[place][0])
        pending.discard(here)
        if here == other:
            break
        for link in links:
            if here not in (link.one, link.other):
                continue
            there = link.other if here == link.one else link.one
            width = min(best[here][0], link.area)
            if there not in best or width > best[there][0]:
                best[there] = (width, [*best[here][1], link])
                pending.add(there)
    return best.get(other, (0.0, []))[1]
