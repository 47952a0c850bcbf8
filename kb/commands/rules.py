"""The rule catalogue."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("rule", nargs="?", help="show this rule whole; without it, list all")
    sub.add_argument("--subsystem", default="", help="list the rules of one subsystem")
    sub.add_argument("--roles", action="store_true", help="list the roles and the features that each has")
    answer_options(sub)
    sub.set_defaults(run=run_rules)


def run_rules(given: argparse.Namespace) -> int:
    from kb import catalogue

    if given.roles:
        say(catalogue.roles_text(given.json, width()), end="")
    elif given.rule:
        say(catalogue.rule_text(given.rule, given.json, given.units, width()), end="")
    else:
        say(catalogue.rules_text(given.subsystem, given.json, width()), end="")
    return 0
