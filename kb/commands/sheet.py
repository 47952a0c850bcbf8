"""The sheet for the first start of a build, to print or to read at the car."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, print_json, targets
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what", nargs="+", metavar="WHAT", help="a build; role=part and values (pan.sump_depth='188 mm') to try on it"
    )
    sub.add_argument("--out", metavar="FILE", default="", help="write it to a file: .html for A4 and phone, else text")
    sub.add_argument("--text", action="store_true", help="text, whatever the file is called")
    answer_options(sub)
    sub.set_defaults(run=run_sheet, several="what")


def run_sheet(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.errors import Fault
    from kb.say.sheet import as_html, as_json, as_text

    build, roles, overrides = targets(given.what)
    if not build:
        raise Fault("no build is named", step="name one: matchmark sheet drover --out sheet.html")
    with Base(given.db) as base:
        found = base.sheet(build, roles, overrides)
    if given.json:
        print_json(as_json(found, given.units))
        return 0
    as_page = given.out.lower().endswith((".html", ".htm")) and not given.text
    text = as_html(found, system=given.units) if as_page else as_text(found, width=width(), system=given.units)
    if not given.out:
        say(text, end="")
        return 0
    try:
        with open(given.out, "w", encoding="utf-8") as file:
            file.write(text)
    except OSError as fault:
        words = fault.strerror or str(fault)
        raise Fault(f"cannot write it: {words}", place=given.out, step="name a file in a folder of yours") from None
    say(f"wrote {given.out}: {len(found.steps)} steps")
    return 0
