"""Which recorded incompatibilities the rules foresee from what could be known before buying."""

from __future__ import annotations

import argparse

from kb.commands._shared import Progress, answer_options, print_json
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "id", nargs="*", metavar="INCOMPATIBILITY", help="replay these only; without one, every confirmed one"
    )
    sub.add_argument("--reported", action="store_true", help="replay those that are merely reported, too")
    answer_options(sub)
    sub.set_defaults(run=run_audit, several="id")


def run_audit(given: argparse.Namespace) -> int:
    """Exit status 0 whatever it finds: the audit judges the rules, not the parts."""
    from kb.base import Base
    from kb.say.audit import as_json, as_text

    with Base(given.db) as base, Progress() as progress:
        found = base.audit(given.id, reported=given.reported, progress=progress)
    if given.json:
        print_json(as_json(found, given.units))
    else:
        say(as_text(found, width=width(), system=given.units))
    return 0
