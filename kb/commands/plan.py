"""The cheapest purchases that make a build good, or the smallest change to it."""

from __future__ import annotations

import argparse

from kb.commands._shared import Progress, answer_options, print_json
from kb.errors import Fault
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", metavar="BUILD", help="a recorded build, with or without missing roles")
    sub.add_argument("--for", dest="milestone", choices=("prime", "crank", "fire", "drive"), default="drive",
                     help="milestone by which everything must be right (default: drive)")  # fmt: skip
    sub.add_argument("--change", nargs="?", const="fewest", choices=("fewest", "cheapest"), default="",
                     help="the smallest change to what is there: fewest roles, or least money")  # fmt: skip
    sub.add_argument("--budget", type=float, metavar="AMOUNT", help="most that the plan may cost")
    sub.add_argument("--keep", action="append", default=[], metavar="ROLE", help="leave this role as it is")
    sub.add_argument("--avoid", action="append", default=[], metavar="PART", help="do not use this part")
    sub.add_argument("--allow-unknown", action="store_true",
                     help="allow what nobody has measured; the plan with the fewest open questions")  # fmt: skip
    sub.add_argument("--considered", action="store_true",
                     help="only parts at hand or under consideration, where a role has any")  # fmt: skip
    sub.add_argument("--unknown-price", type=float, metavar="COST", help="what a part without a price is taken to cost")
    sub.add_argument("--alternatives", type=int, default=3, metavar="N", help="how many next best plans (default 3)")
    sub.add_argument("--limit", type=float, default=20.0, metavar="SECONDS", help="time for the search (default 20)")
    sub.add_argument("--take", action="store_true", help="write the plan into the build")
    sub.add_argument("--by", default="", metavar="NAME", help="who takes it, for the history")
    answer_options(sub)
    sub.set_defaults(run=run_plan)


def run_plan(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.say.plan import as_json, as_text, exit_status
    from kb.search.plan import Wish

    if not 0 <= given.alternatives <= 20:
        raise Fault(f"{given.alternatives} next best plans", place="--alternatives", step="ask for 0 to 20")
    if not 0 < given.limit <= 3600:
        raise Fault(f"{given.limit:g} s", place="--limit", step="give 1 to 3600 seconds")
    wish = Wish(
        given.milestone, given.change, given.budget, frozenset(given.keep), frozenset(given.avoid), given.allow_unknown,
        given.considered, given.unknown_price, 0 if given.take else given.alternatives, given.limit,
        costs=not given.take,  # what else there is was told before it is taken
    )  # fmt: skip
    with Base(given.db) as base, Progress() as progress:
        found = base.plan(given.build, wish, progress=progress)
    taken = given.take and bool(found.planned) and found.status != "impossible"
    if taken:
        from kb.store.change import fill

        fill(given.db, given.build, {role: part or None for role, part in found.planned.items()}, by=given.by)
    if given.json:
        print_json({**as_json(found), "taken": taken})
        return exit_status(found)
    say(as_text(found, width=width(), taken=taken), end="")
    if taken:
        from kb.commands._after import board_of
        from kb.say.ready import next_lines

        count = len(found.planned)
        say(f"\nwritten into {given.build}: {count} role{'s' * (count != 1)}\n")
        say("\n".join(next_lines(board_of(given, given.build), width(), given.units)))
    elif given.take:
        say("\nnothing was written")
    return exit_status(found)
