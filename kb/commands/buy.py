"""What is still to be got for a build, where, and what to look at before paying."""

from __future__ import annotations

import argparse


def declare(sub: argparse.ArgumentParser) -> None:
    from kb.commands._shared import answer_options
    from kb.rules._rule import MILESTONES

    sub.add_argument("build", metavar="BUILD", help="the build")
    sub.add_argument("--for", dest="milestone", choices=MILESTONES, default="drive", help="what it must be able to do")
    sub.add_argument("--phone", action="store_true", help="lines of 40 columns, for a phone or a till roll")
    sub.add_argument("--all", dest="every", action="store_true", help="every check of every part")
    answer_options(sub)
    sub.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.commands._shared import print_json
    from kb.say.buy import PHONE, as_json, as_text
    from kb.terminal import say, width

    with Base(given.db) as base:
        found = base.buy(given.build, given.milestone)
        if given.json:
            print_json(as_json(found, given.units))
        else:
            columns = PHONE if given.phone else width()
            say(as_text(found, width=columns, system=given.units, every=given.every), end="")
    return 0
