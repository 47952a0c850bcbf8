"""`matchmark incompat draft`: what a check found, as an incompatibility to read, mend and record."""

from __future__ import annotations

import argparse
from typing import Any

from kb.errors import Fault


def declare_draft(actions: Any) -> None:
    sub = actions.add_parser("draft", help="write what a check found as an incompatibility to mend")
    sub.add_argument("file", metavar="FILE", help="the file to write; then: incompat add FILE")
    sub.add_argument(
        "what", nargs="+", metavar="WHAT", help="as for check: a build, role=part, pan.sump_depth='188 mm'"
    )
    sub.add_argument("--rule", required=True, help="the rule that says no")
    sub.add_argument("--by", default="", help="who found it (default: your login name)")


def draft(given: argparse.Namespace) -> None:
    """Write the file; an existing one is not overwritten."""
    from datetime import date

    from kb.base import Base
    from kb.chance import FITS
    from kb.commands._shared import print_json, targets
    from kb.reading_files._yaml import yaml_text
    from kb.say.check_record import draft as drafted
    from kb.terminal import complain, who

    build, roles, overrides = targets(given.what)
    with Base(given.db) as base:
        answer = base.check(build, roles, overrides, {}, rules=[given.rule], settings=base.settings(build))
    found = [each for each in answer.findings if each.verdict != FITS]
    if not found:
        step = "name a rule that says no: matchmark check shows them"
        raise Fault(f"{given.rule} has nothing against these parts", place="--rule", step=step)
    record = drafted(found[0], answer.build, date=date.today().isoformat(), by=given.by or who())
    try:
        with open(given.file, "x", encoding="utf-8") as file:
            file.write(yaml_text(record))
    except FileExistsError:
        raise Fault("there is such a file already", place=given.file, step="name another one") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Fault(f"cannot be written: {reason}", place=given.file, step="name a file in a folder of yours") from None
    if given.json:
        print_json(record)
    complain(f"drafted {given.file}: read it, mend it, then: matchmark incompat add {given.file}")
