"""Tick what is done at the car, or take it back."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kb.commands._after import board_of, changed
from kb.commands._shared import answer_options, print_json
from kb.terminal import say, who, width

if TYPE_CHECKING:
    from kb.ready.board import Board


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", metavar="BUILD", help="the build")
    sub.add_argument("items", nargs="*", metavar="ITEM", help="what is done (turned_by_hand); none: list them all")
    sub.add_argument("--not", dest="undo", action="store_true", help="say that it is not done")
    sub.add_argument("--by", default="", help="who saw it (default: your login name)")
    sub.add_argument("--date", default="", help="when, as 2024-05-01 (default: today)")
    sub.add_argument("--note", default="", help="what was seen")
    answer_options(sub)
    sub.set_defaults(run=run_done, several="items")


def run_done(given: argparse.Namespace) -> int:
    from kb.ready.needs import list_of

    before = board_of(given, given.build)
    if not given.items:
        return _listed(given, before)
    from kb.store.change import tick

    names = [item.partition(".")[2] if "." in item else item for item in dict.fromkeys(given.items)]
    for name in names:
        list_of(name)  # a misspelt one stops them all, before any is written
    by = given.by or who()
    written = [
        tick(given.db, given.build, name, not given.undo, by=by, date=given.date, note=given.note) for name in names
    ]
    said = [f"{'not done' if given.undo else 'done'}: {name.replace('_', ' ')}" for name in names]
    said += [f"made {each.part} for this build" for each in written if each.made]
    return changed(given, before, given.build, said)


def _listed(given: argparse.Namespace, before: Board) -> int:
    from kb.ready.needs import needs
    from kb.report import plain
    from kb.say.ticks import items_text, told_items

    rows = told_items(before.answer, needs(before.answer.build, "drive"))
    if given.json:
        print_json(plain({"build": given.build, "items": [each._asdict() for each in rows]}))
    else:
        say(items_text(rows, given.build, width()), end="")
    return 0
