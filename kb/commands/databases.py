"""Making, filling and writing out a database."""

from __future__ import annotations

import argparse
import os

from kb.commands._shared import Progress
from kb.terminal import complain, say, who


def demo(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", nargs="?", default="drover", help="build of the sample to check (default: drover)")
    sub.set_defaults(run=run_demo)


def run_demo(given: argparse.Namespace) -> int:
    from kb.report import as_text

    if not os.path.exists(given.db):
        from kb.store.load import init

        init(given.db, sample=True)
    from kb.base import Base

    with Base(given.db) as base:
        answer = base.check(given.build)
    say(as_text(answer))
    say(f"The sample is in {given.db}. Try next:")
    say("  matchmark check drover-good             the same engine with parts that fit")
    say("  matchmark serve                         browse it, then open the address that it prints")
    return 0


def init(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", nargs="?", help="the database to make (default: what --db says)")
    sub.add_argument("--sample", action="store_true", help="fill it with the invented sample scenario")
    sub.set_defaults(run=run_init)


def run_init(given: argparse.Namespace) -> int:
    from kb.store.load import init

    path = given.file or given.db
    with Progress() as progress:
        report = init(path, sample=given.sample, by=who(), progress=progress)
    say(f"made {path}" + (f": {report}" if given.sample else ", empty: fill it with matchmark load"))
    return 0


def load(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("paths", nargs="+", metavar="PATH", help="record files (YAML, JSON, CSV) or folders of them")
    sub.add_argument(
        "--keep-good", action="store_true", help="load the records without faults even if others have some"
    )
    sub.add_argument("--by", default="", help="who says so (default: your login name)")
    sub.set_defaults(run=run_load, several="paths")


def run_load(given: argparse.Namespace) -> int:
    from kb.store.load import load

    with Progress() as progress:
        report = load(given.db, given.paths, by=given.by or who(), keep_good=given.keep_good, progress=progress)
    for fault in report.faults:
        complain(str(fault))
    say(f"{given.db}: {report}")
    return 2 if report.faults else 0


def dump(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("folder", help="folder for the record files, one a record")
    sub.add_argument("--form", choices=("yaml", "json", "csv"), default="yaml", help="form of the files")
    sub.set_defaults(run=run_dump)


def run_dump(given: argparse.Namespace) -> int:
    from kb.store.dump import dump

    say(f"{given.folder}: {dump(given.db, given.folder, form=given.form)}")
    return 0
