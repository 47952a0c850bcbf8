"""What differs between two builds, or before and after a change."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, once, pair, print_json
from kb.errors import Fault
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="two builds, or a build and what to change: role=part, or a value to try (pan.sump_depth='188 mm')",
    )
    answer_options(sub)
    sub.set_defaults(run=run_compare, several="what")


def run_compare(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.say.compare import as_json, as_text

    builds: list[str] = []
    roles: dict[str, str] = {}
    overrides: dict[str, str] = {}
    for word in given.what:
        if "=" not in word:
            builds.append(word)
            continue
        name, value = pair(word, "WHAT")
        once(overrides if "." in name else roles, name, value)
    if len(builds) not in (1, 2):
        step = "name two builds, or one and what to change in it"
        raise Fault(f"{len(builds) or 'no'} builds are named", place="WHAT", step=step)
    if len(builds) == 1 and not roles and not overrides:
        raise Fault("nothing is named to compare it with", place=builds[0][:60],
                    step="name a second build, or a change: role=part, role.feature=value")  # fmt: skip
    with Base(given.db) as base:
        found = base.compare(builds[0], builds[-1] if len(builds) == 2 else "", roles, overrides)
    if given.json:
        print_json(as_json(found, system=given.units))
    else:
        say(as_text(found, width=width(), system=given.units), end="")
    return found.status
