"""The first page: the way in, one search, the builds with their milestones, the newest clashes, what is in the base."""

from __future__ import annotations

import sys
import threading
from collections import OrderedDict
from typing import Any, NamedTuple

from kb.errors import Fault
from kb.records import KINDS
from kb.store.read import open_readonly
from kb.web import queries
from kb.web.asking import Ask, Page, Site
from kb.web.checking import Question, checked

MOST_BUILDS = 6  # with a board on this page; the others are listed by name
MOST_NAMED = 60  # builds that are listed by name
NEWEST = 5
PATIENCE_S = 0.8  # that a request waits for boards; they are worked out beside it, and the next one finds them
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
_AT_WORK: set[tuple[str, int]] = set()  # (path, stamp) of the bases whose boards are being worked out
_NEWS = threading.Condition()  # over both


def _cards(ask: Ask, builds: list[queries.Named]) -> list[Card]:
    """The boards, each kept until the base changes; past PATIENCE_S those that are not known yet have to wait."""
    base = ask.site.path, queries.stamp(ask.con)

    def known() -> bool:
        return base not in _AT_WORK or all((*base, each.id) in _CARDS for each in builds)

    with _NEWS:
        if not all((*base, each.id) in _CARDS for each in builds):
            _begin(ask.site, base)
        _NEWS.wait_for(known, PATIENCE_S)
        return [_CARDS.get((*base, each.id)) or Card(each.id, each.name, waiting=True) for each in builds]


def look_ahead(site: Site) -> None:
    """Begin with the boards before anybody asks for them, so that the first visitor finds them."""
    con = open_readonly(site.path)
    try:
        base = site.path, queries.stamp(con)
    finally:
        con.close()
    with _NEWS:
        _begin(site, base)


def _begin(site: Site, base: tuple[str, int]) -> None:
    """Have the boards worked out beside the requests, unless that is going on; _NEWS is held."""
    if base in _AT_WORK:
        return
    _AT_WORK.add(base)
    threading.Thread(target=_work_out, args=(site, base), name="boards", daemon=True).start()


def _work_out(site: Site, base: tuple[str, int]) -> None:
    ask = Ask(site, {}, {})
    try:
        for each in queries.fullest_builds(ask.con, MOST_BUILDS):
            if (*base, each.id) in _CARDS:
                continue
            card = _card(ask, each)
            with _NEWS:
                if queries.stamp(ask.con) != base[1]:  # the base has moved on: this board is of no known state
                    return
                _CARDS[*base, each.id] = card
                while len(_CARDS) > KEPT:
                    _CARDS.popitem(last=False)
                _NEWS.notify_all()
    except Exception as error:  # nobody hears a thread: the page of the build meets the same and words it
        print(f"the boards of the first page were not worked out: {error}", file=sys.stderr)
    finally:
        ask.close()
        with _NEWS:
            _AT_WORK.discard(base)
            _NEWS.notify_all()


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
