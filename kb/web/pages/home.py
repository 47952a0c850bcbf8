"""The first page: what is in the base, the builds with their verdicts, the newest clashes."""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.chance import OPEN
from kb.errors import Fault
from kb.records import KINDS
from kb.web import queries
from kb.web.asking import Ask, Page
from kb.web.checking import Question, checked

MOST_BUILDS = 12  # checked on this page; the others are listed
NEWEST = 5


class Board(NamedTuple):
    """A build with what its check says; trouble: why it cannot be checked."""

    id: str
    name: str
    verdict: str
    counts: dict[str, int]
    trouble: str = ""


def show(ask: Ask) -> Page:
    """The first page."""
    con = ask.con
    counts = queries.counts(con)
    families: dict[str, list[tuple[str, int]]] = {}
    for kind, declared in KINDS.items():
        if counts[kind]:
            families.setdefault(declared.family or "other", []).append((kind, counts[kind]))
    builds = queries.builds(con)
    values = {
        "counts": counts,
        "families": families,
        "total": sum(counts[kind] for kind in KINDS),
        "boards": [_board(ask, each) for each in builds[:MOST_BUILDS]],
        "more_builds": builds[MOST_BUILDS:],
        "clashes": queries.clashes(con, most=NEWEST),
    }
    return Page("matchmark/home.html", "Matchmark", values)


def _board(ask: Ask, build: queries.Named) -> Board:
    try:
        answer = checked(ask, Question(build.id))
    except Fault as fault:
        return Board(build.id, build.name, OPEN, {}, fault.message)
    return Board(build.id, build.name, answer.verdict, count_verdicts(answer))


def count_verdicts(answer: Any) -> dict[str, int]:
    """How many findings have each verdict."""
    found: dict[str, int] = {}
    for each in answer.findings:
        found[each.verdict] = found.get(each.verdict, 0) + 1
    return found
