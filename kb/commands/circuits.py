"""The circuits of a build: what is joined to what, and where the chain is broken."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, print_json, targets
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="a build, then the circuit to look at alone (oil, coolant, fuel, air, start, signal, charge); "
        "role=part and values (pan.sump_depth='188 mm') to try on it",
    )
    answer_options(sub)
    sub.set_defaults(run=run_circuits, several="what")


def run_circuits(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.errors import Fault
    from kb.say.circuits import EXIT, as_json, as_text, refuse_circuit, state_of

    names = [word for word in given.what if "=" not in word]
    if len(names) > 2:
        raise Fault(f"{names[2][:60]} is one name too many", step="name a build and at most one of its circuits")
    only = names[1] if len(names) == 2 else ""
    _, roles, overrides = targets(word for word in given.what if "=" in word)
    with Base(given.db) as base:
        found = base.circuits(names[0] if names else "", roles, overrides)
    refuse_circuit(only, found)
    if given.json:
        print_json(as_json(found, given.units, only=only))
    else:
        say(as_text(found, only=only, width=width(), system=given.units), end="")
    return EXIT[state_of(found, only)]
