"""The first page: the way in, one search, the builds with their milestones, the newest clashes, what is in the base."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from typing import Any, NamedTuple

from kb.errors import Fault
from kb.records import KINDS
from kb.web import queries
from kb.web.asking import Ask, Page
from kb.web.checking import Question, checked

MOST_BUILDS = 6  # with a board on this page; the others are listed by name
MOST_NAMED = 60  # builds that are listed by name
NEWEST = 5
PATIENCE_S = 0.8  # after which no further board is worked out for this request; the next one goes on from there
KEPT = 256


class Small(NamedTuple):
    """One milestone on a small board: its state in words and how much stands before it."""

    name: str
    state: str
    blockers: int


class Card(NamedTuple):
    """A build with its small board. waiting: it is not worked out yet; trouble: why it cannot be."""

    id: str
    name: str
    milestones: tuple[Small, ...] = ()
    waiting: bool = False
    trouble: str = ""


class Family(NamedTuple):
    """The kinds of one family that have parts: (kind, how many)."""

    name: str
    total: int
    kinds: tuple[tuple[str, int], ...]


def show(ask: Ask) -> Page:
    """The first page."""
    con = ask.con
    counts = queries.counts(con)
    families: dict[str, list[tuple[str, int]]] = {}
    for kind, declared in KINDS.items():
        if counts[kind]:
            families.setdefault(declared.family or "other", []).append((kind, counts[kind]))
    builds = queries.fullest_builds(con, MOST_BUILDS + MOST_NAMED)
    values = {
        "counts": counts,
        "families": [Family(name, sum(n for _, n in kinds), tuple(kinds)) for name, kinds in families.items()],
        "total": sum(counts[kind] for kind in KINDS),
        "cards": _cards(ask, builds[:MOST_BUILDS]),
        "more_builds": builds[MOST_BUILDS:],
        "unnamed": max(counts["build"] - len(builds), 0),
        "clashes": queries.clashes(con, most=NEWEST),
    }
    return Page("matchmark/home.html", "Matchmark", values)


_CARDS: OrderedDict[tuple[str, int, str], Card] = OrderedDict()
_LOCK = threading.Lock()


def _cards(ask: Ask, builds: list[queries.Named]) -> list[Card]:
    """The boards, each kept until the base changes; past PATIENCE_S those that are not known yet have to wait."""
    stamp, began = queries.stamp(ask.con), time.monotonic()
    found = []
    for each in builds:
        key = (ask.site.path, stamp, each.id)
        with _LOCK:
            card = _CARDS.get(key)
        if card is None and time.monotonic() - began > PATIENCE_S:
            found.append(Card(each.id, each.name, waiting=True))
            continue
        if card is None:
            card = _card(ask, each)
            with _LOCK:
                _CARDS[key] = card
                while len(_CARDS) > KEPT:
                    _CARDS.popitem(last=False)
        found.append(card)
    return found


def _card(ask: Ask, build: queries.Named) -> Card:
    try:
        filled = bool(queries.roles_of(ask.con, build.id))
        board = ask.base.ready(build.id, answer=checked(ask, Question(build.id)) if filled else None)
    except Fault as fault:
        return Card(build.id, build.name, trouble=fault.message)
    return Card(
        build.id, build.name, tuple(Small(each.name, each.state, len(each.blockers)) for each in board.milestones)
    )


def count_verdicts(answer: Any) -> dict[str, int]:
    """How many findings have each verdict."""
    found: dict[str, int] = {}
    for each in answer.findings:
        found[each.verdict] = found.get(each.verdict, 0) + 1
    return found
