"""What fits a role: every recorded part, or pair or triple of parts, with a build or with named parts."""

from __future__ import annotations

import argparse

from kb.commands._shared import Progress, answer_options, print_json, targets
from kb.errors import Fault
from kb.terminal import say, width

ALL = 1000  # rows that --all lists at most


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("role", metavar="ROLE", help="the role to fill, for example pan, or fuel_line:supply")
    sub.add_argument(
        "what", nargs="*", metavar="WHAT", default=[],
        help="what is fixed: a build, or role=part pairs, or values to try (block.rail_step='2 mm')",
    )  # fmt: skip
    sub.add_argument(
        "--and", dest="more", action="append", default=[], metavar="ROLE", help="a second and third role, together"
    )
    sub.add_argument(
        "--sort", choices=("margin", "price"), default="margin", help="what goes first among those that fit"
    )
    sub.add_argument("--limit", type=int, metavar="N", help="rows of each sort (default 10)")
    sub.add_argument("--all", action="store_true", help=f"all rows, {ALL} of each sort at most")
    sub.add_argument("--count", action="store_true", help="only how many fit, cannot be told, and do not fit")
    sub.add_argument(
        "--under",
        "--max-price",
        dest="under",
        type=float,
        metavar="PRICE",
        help="list only what costs no more together",
    )
    sub.add_argument("--maker", action="append", default=[], help="only parts of this maker (may be repeated)")
    sub.add_argument("--owned", action="store_true", help="only parts that the build has at hand")
    answer_options(sub)
    sub.set_defaults(run=run_find, several="what")


def run_find(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.say.find import EXIT, as_json, as_text, count_text, verdict_of

    build, roles, overrides = targets(given.what)
    if given.limit is not None and given.all:
        raise Fault("--limit and --all contradict each other", step="give one of them")
    if given.count and (given.limit is not None or given.all):
        raise Fault("--count lists no rows, and --limit and --all ask for some", step="give one of them")
    if given.limit is not None and not 1 <= given.limit <= ALL:
        raise Fault(f"{given.limit} rows cannot be listed", place="--limit", step=f"give 1 to {ALL}")
    if given.under is not None and not 0.0 <= given.under < float("inf"):
        raise Fault(f"{given.under!r} is no price", place="--under", step="give a number, zero or above")
    limit = 0 if given.count else ALL if given.all else given.limit or 10
    with Base(given.db) as base, Progress() as progress:
        found = base.find(
            [given.role, *given.more], build, roles, overrides, limit=limit, order=given.sort, under=given.under,
            makers=given.maker, owned=given.owned, progress=progress,
        )  # fmt: skip
    if given.json:
        print_json(as_json(found, system=given.units))
    elif given.count:
        say(count_text(found), end="")
    else:
        say(as_text(found, width=width(), system=given.units), end="")
    return EXIT[verdict_of(found)]
