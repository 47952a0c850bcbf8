"""What still stands before each milestone."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, print_json, targets
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what", nargs="+", metavar="WHAT", help="a build; role=part and values (pan.sump_depth='188 mm') to try on it"
    )
    sub.add_argument(
        "--for",
        dest="milestone",
        choices=("prime", "crank", "fire", "drive"),
        default="",
        help="the milestone to look at (default: the first that is not ready)",
    )
    sub.add_argument("--all", action="store_true", help="every blocker, however many there are")
    answer_options(sub)
    sub.set_defaults(run=run_ready, several="what")


def run_ready(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.errors import Fault
    from kb.say.ready import EXIT, as_json, as_text, asked

    build, roles, overrides = targets(given.what)
    if not build:
        raise Fault("no build is named", step="name one: matchmark ready drover; parts to try come behind it")
    with Base(given.db) as base:
        board = base.ready(build, roles, overrides)
    if given.json:
        print_json(as_json(board, milestone=given.milestone, system=given.units))
    else:
        text = as_text(board, milestone=given.milestone, width=width(), system=given.units, every=given.all)
        say(text, end="")
    return EXIT[asked(board, given.milestone).state]
