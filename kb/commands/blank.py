"""A record sheet to fill in."""

from __future__ import annotations

import argparse

from kb.errors import Fault
from kb.terminal import say


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("kinds", nargs="*", metavar="KIND", help="kinds of part (pan pickup), or build, donor, reading")
    sub.add_argument("--role", action="append", default=[], help="the kind that fills this role (may be repeated)")
    sub.add_argument("--all", action="store_true", help="every kind by family, and a build: a whole car")
    sub.add_argument("--form", choices=("yaml", "csv"), default="yaml", help="a sheet, or the header of a table")
    sub.add_argument("--out", default="", metavar="FILE", help="write it to this new file")
    sub.set_defaults(run=run_blank, several="kinds")


def run_blank(given: argparse.Namespace) -> int:
    from kb import blank

    kinds = blank.kinds_asked(given.kinds, given.role, given.all)
    if given.form == "csv" and len(kinds) > 1:
        raise Fault("a table holds one kind", place="--form csv", step="name one kind")
    text = blank.header(kinds[0]) if given.form == "csv" else blank.sheets(kinds)
    if given.out:
        blank.write(given.out, text)
        what = "the header of a table" if given.form == "csv" else f"sheets of {', '.join(kinds[:3])}"
        more = f" and {len(kinds) - 3} more" if len(kinds) > 3 else ""
        say(f"made {given.out}: {what}{more}; fill it in, then: matchmark load {given.out}")
    else:
        say(text, end="")
    return 0
