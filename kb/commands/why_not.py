"""Why nothing fits a role, or why a build has no plan."""

from __future__ import annotations

import argparse

from kb.commands._shared import Progress, answer_options, print_json, targets
from kb.errors import Fault
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="a build; or a role and what is given: pickup pan=deep-pan ...; or a role and a build: pickup drover",
    )
    sub.add_argument("--for", dest="milestone", choices=("prime", "crank", "fire", "drive"), default="drive",
                     help="milestone by which everything must be right (default: drive)")  # fmt: skip
    sub.add_argument("--keep", action="append", default=[], metavar="ROLE", help="leave this role as it is")
    sub.add_argument("--avoid", action="append", default=[], metavar="PART", help="do not use this part")
    sub.add_argument("--limit", type=float, default=20.0, metavar="SECONDS", help="time for the search (default 20)")
    answer_options(sub)
    sub.set_defaults(run=run_why_not, several="what")


def run_why_not(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.roles import ROLES, base_role
    from kb.say.why_not import as_json, as_text, exit_status
    from kb.search.plan import Wish

    if not 0 < given.limit <= 3600:
        raise Fault(f"{given.limit:g} s", place="--limit", step="give 1 to 3600 seconds")
    wish = Wish(given.milestone, keep=frozenset(given.keep), avoid=frozenset(given.avoid), limit_s=given.limit)
    with Base(given.db) as base, Progress() as progress:
        recorded = base.ids("build")
        wanted = [word for word in given.what if "=" not in word and word not in recorded and base_role(word) in ROLES]
        build, roles, overrides = targets(word for word in given.what if word not in wanted)
        found = base.why_not(build, wanted, roles, overrides, wish=wish, progress=progress)
    if given.json:
        print_json(as_json(found, system=given.units))
    else:
        say(as_text(found, width=width(), system=given.units), end="")
    return exit_status(found)
