"""A copy of the whole base, putting one back, and saving what can be saved of a damaged database."""

from __future__ import annotations

import argparse


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--to", default="", metavar="FILE", help="file of the copy (default: name and time, beside it)")
    sub.set_defaults(run=run)


def run(given: argparse.Namespace) -> int:
    from kb.store.backup import backup
    from kb.terminal import say

    found = backup(given.db, given.to)
    say(str(found))
    return 1 if found.missing else 0


def declare_restore(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", help="the copy, as matchmark backup made it")
    sub.add_argument("--over", action="store_true", help="put it in the place of a database, which is kept beside")
    sub.set_defaults(run=run_restore)


def run_restore(given: argparse.Namespace) -> int:
    from kb.store.backup import restore
    from kb.terminal import say, who

    found = restore(given.file, given.db, over=given.over, by=who())
    say(str(found))
    return 1 if found.missing else 0


def declare_rescue(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="DAMAGED", help="the damaged database; it is only read")
    sub.add_argument("--to", required=True, metavar="NEW.db", help="the new database, which must not exist")
    sub.set_defaults(run=run_rescue)


def run_rescue(given: argparse.Namespace) -> int:
    """0 when all was saved, 1 when something was lost."""
    from kb.store.rescue import rescue
    from kb.terminal import say, who

    found = rescue(given.file, given.to, by=who())
    say(str(found))
    return 1 if found.lost else 0
