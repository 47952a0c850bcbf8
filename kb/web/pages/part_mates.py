"""What stands around a part on its page: what it mates with beside a build, and who carries it."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.chance import FITS, NOT, OPEN
from kb.mating import Mate, Neighbour
from kb.web import queries
from kb.web.addresses import query
from kb.web.asking import Ask

MOST = 24  # parts that are listed of one role
KEPT = 32
_KEPT: OrderedDict[tuple[str, int, str, str], tuple[Neighbour, ...]] = OrderedDict()
_LOCK = threading.Lock()


class Row(NamedTuple):
    """A part beside this one. check: the address of the check of the pair, with the parts that stand in."""

    mate: Mate
    check: str


class Around(NamedTuple):
    """One neighbouring role in words."""

    neighbour: Neighbour
    counts: tuple[tuple[str, int], ...]
    rows: tuple[Row, ...]
    more: int
    find: str


def mates_of(ask: Ask, part: str, beside: str) -> tuple[Neighbour, ...]:
    """What the part mates with beside a build, kept until the base changes."""
    key = (ask.site.path, queries.stamp(ask.con), part, beside)
    with _LOCK:
        if key in _KEPT:
            _KEPT.move_to_end(key)
            return _KEPT[key]
    found = ask.base.mates(part, beside)
    with _LOCK:
        _KEPT[key] = found
        while len(_KEPT) > KEPT:
            _KEPT.popitem(last=False)
    return found


def around(neighbours: Sequence[Neighbour], part: str) -> list[Around]:
    """The roles as the page lists them."""
    made = []
    for each in neighbours:
        counts = tuple((verdict, each.count(verdict)) for verdict in (FITS, OPEN, NOT))
        fixed = {each.own: part, **each.beside}
        rows = tuple(
            Row(mate, f"/fit?{query({each.own: part, each.role: mate.part.id, **each.beside})}")
            for mate in each.mates[:MOST]
        )
        find = f"/find?{query({'role': each.role, **fixed})}"
        made.append(Around(each, counts, rows, each.recorded - len(rows), find))
    return made


def as_json(neighbours: Sequence[Neighbour]) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [
        {
            "as": each.own,
            "role": each.role,
            "recorded": each.recorded,
            "beside": dict(each.beside),
            "waiting": {rule: list(roles) for rule, roles in each.waiting},
            "parts": [
                {
                    "id": mate.part.id,
                    "verdict": mate.verdict or None,
                    "because": list(mate.because),
                    "incompatibilities": [clash.id for clash in mate.clashes],
                    "not_computed": list(mate.uncomputed),
                }
                for mate in each.mates
            ],
        }
        for each in neighbours
    ]


def carriers(ask: Ask, line: Sequence[str]) -> list[dict[str, Any]]:
    """The donors that carry the part, or what it is based on."""
    return [
        {
            "id": donor.id,
            "name": donor.name,
            "sort": donor.sort,
            "car": donor.car,
            "years": donor.years,
            "place": donor.place,
            "seen": donor.seen,
            "part": each.part,
            "price": each.price,
            "currency": each.currency,
            "note": each.note,
        }
        for donor in ask.base.donors()
        for each in donor.carries
        if each.part in line
    ]


__all__ = ["Around", "Row", "around", "as_json", "carriers", "mates_of"]
