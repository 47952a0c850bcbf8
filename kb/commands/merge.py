"""Join another person's records to one's own base."""

from __future__ import annotations

import argparse


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("paths", nargs="+", metavar="PATH", help="their record files, a folder of them, or their database")
    sub.add_argument("--by", default="", help="who merges (default: your login name)")
    sub.add_argument(
        "--take",
        nargs=2,
        action="append",
        default=[],
        metavar=("WHOSE", "RECORD"),
        help="whose word holds where a record differs: --take theirs pan/deep-pan, or ours; repeat",
    )
    sub.add_argument("--try", dest="try_only", action="store_true", help="write nothing, say what would be")
    sub.add_argument("--json", action="store_true", help="print plain data for a script")
    sub.set_defaults(run=run, several="paths")


def run(given: argparse.Namespace) -> int:
    """0 when everything joined, 1 when records differ and were left."""
    from kb.commands._shared import Progress, once, print_json
    from kb.say.merge import as_json, as_text
    from kb.store.merge import merge
    from kb.terminal import say, who, width

    take: dict[str, str] = {}
    for whose, record in given.take:
        once(take, record, whose)
    by = given.by or who()
    with Progress() as progress:
        found = merge(given.db, given.paths, by=by, take=take, try_only=given.try_only, progress=progress)
    if given.json:
        print_json(as_json(found))
    else:
        say(as_text(found, width=width()), end="")
    return 1 if found.left else 0
