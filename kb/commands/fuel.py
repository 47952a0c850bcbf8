"""A second fuel."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, print_json, targets
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("what", nargs="+", metavar="WHAT", help="a build, or carburettor=part second_fuel=part, or both")
    sub.add_argument("--to", default="second_fuel", help="role of the fuel to change to (default: second_fuel)")
    answer_options(sub)
    sub.set_defaults(run=run_fuel)


def run_fuel(given: argparse.Namespace) -> int:
    import textwrap

    from kb.base import Base
    from kb.fuel_change import as_lines, fuel_change

    build, roles, overrides = targets(given.what)
    with Base(given.db) as base:
        found = fuel_change(base.build(build, roles, overrides), given.to)
    if given.json:
        from kb.report import plain

        print_json(plain(found))
        return 0
    for line in as_lines(found, given.units):
        indent = " " * (len(line) - len(line.lstrip()) + 3)
        say("\n".join(textwrap.wrap(line, width(), subsequent_indent=indent if line.startswith(" ") else "") or [""]))
    return 0
