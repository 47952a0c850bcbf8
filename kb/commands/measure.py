"""What to measure, in order of what each reading settles; a sheet to print, and the readings entered back."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kb.commands._shared import Progress, answer_options, print_json, targets
from kb.errors import Fault
from kb.terminal import say, who, width

if TYPE_CHECKING:
    from kb.worth import Advice


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what", nargs="+", metavar="WHAT", help="a build, or role=part pairs; values to try (pan.sump_depth=?) go too"
    )
    sub.add_argument(
        "--for", dest="milestone", choices=("prime", "crank", "fire", "drive"), default="",
        help="only what stands open before this milestone",
    )  # fmt: skip
    sub.add_argument("--at", choices=("yard", "bench", "car"), default="", help="only what can be read there")
    sub.add_argument(
        "--tool", action="append", default=[], metavar="TOOL", help="only with this instrument (may be repeated)"
    )
    sub.add_argument("--by-tool", action="store_true", help="tool by tool, instead of by what is settled in a minute")
    sub.add_argument("--sheet", metavar="FILE", help="write the sheet to print: .html for A4, else text; - prints it")
    sub.add_argument("--blank", metavar="FILE.yaml", help="write records to fill in, for matchmark load")
    sub.add_argument("--enter", metavar="FILE", help="read a filled sheet (or its records) back, and say what changes")
    sub.add_argument("--by", default="", help="who reads (default: your login name)")
    sub.add_argument("--date", default="", help="when, as 2024-05-01 (default: today)")
    answer_options(sub)
    sub.set_defaults(run=run_measure, several="what")


def run_measure(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.say.measure import as_json, as_text

    build, roles, overrides = targets(given.what)
    if given.enter:
        return _enter(given, build, bool(roles or overrides))
    if given.blank and (roles or overrides or not build):
        raise Fault("records to fill in are of one recorded build", place="--blank", step="name the build alone")
    with Base(given.db) as base, Progress() as progress:
        advice = base.measure(
            build, roles, overrides, milestone=given.milestone, at=given.at, tools=given.tool,
            order="tool" if given.by_tool else "minutes", by=given.by or who(), progress=progress,
        )  # fmt: skip
    written = _written(given, build, advice)
    if given.json:
        print_json({**as_json(advice, system=given.units), "written": written})
        return 0
    if given.sheet == "-":
        return 0
    for each in written:
        say(f"written: {each}")
        for line in _after_writing(given, build, each):
            say(line)
    if not written:
        say(as_text(advice, width=width(), system=given.units, sheet=_free_name()), end="")
    return 0


def _written(given: argparse.Namespace, build: str, advice: Advice) -> list[str]:
    """The files that were asked for, written; the sheet goes to the screen for `-`."""
    from kb.blank import write
    from kb.reading_sheet import blank
    from kb.say.measure_sheet import as_html, as_sheet

    written = []
    if given.sheet:
        html = given.sheet.lower().endswith((".html", ".htm"))
        sheet = as_html(advice, system=given.units) if html else as_sheet(advice, system=given.units)
        if given.sheet == "-":
            if not given.json:
                say(sheet, end="")
        else:
            write(given.sheet, sheet)
            written.append(given.sheet)
    if given.blank:
        write(given.blank, blank(given.db, build, advice, by=given.by or who(), date=given.date or _today()))
        written.append(given.blank)
    return written


def _free_name() -> str:
    """A name for the sheet that is not taken in this folder."""
    from os.path import exists

    names = ("readings.txt", *(f"readings-{number}.txt" for number in range(2, 100)))
    return next((each for each in names if not exists(each)), "readings-100.txt")


def _after_writing(given: argparse.Namespace, build: str, path: str) -> list[str]:
    """What to type once the file is filled in; a sheet on paper is typed off by hand."""
    if not build or path.lower().endswith((".html", ".htm")):
        return []
    return [
        f"Next: matchmark measure {build} --enter {path}",
        "      (once it is filled in; what cannot be read yet stays empty)",
    ]


def _today() -> str:
    from kb.store.write import now

    return now()[:10]


def _enter(given: argparse.Namespace, build: str, more: bool) -> int:
    from kb.reading_files import SUFFIXES
    from kb.say.compare import as_json, changes

    if not build or more:
        raise Fault("readings belong to one recorded build", place="--enter", step="name the build alone")
    by = given.by or who()
    if any(given.enter.lower().endswith(suffix) for suffix in SUFFIXES):
        from kb.reading_sheet import load_records

        count, found = load_records(given.db, build, given.enter, by=by)
        said = [f"{count} record{'s' if count != 1 else ''} changed"]
    else:
        from kb.reading_sheet import enter, read_file
        from kb.say.measure import INSTEAD

        outcome = enter(given.db, build, read_file(given.enter), by=by, date=given.date)
        found = outcome.comparison
        said = [f"{each.where} = {each.text}" for each in outcome.entries]
        said += [f"made {each.part} for this build" for each in outcome.done if each.made]
        said += [f"{where}: {words}; behind its figure write: {INSTEAD}" for where, words in outcome.against]
    if given.json:
        print_json({"entered": said, **as_json(found, system=given.units)})
    else:
        from kb.commands._after import board_of
        from kb.say.ready import next_lines

        for line in said:
            say(line)
        say(changes(found, width=width(), system=given.units), end="")
        say("\n" + "\n".join(next_lines(board_of(given, build), width(), given.units)))
    return 0
