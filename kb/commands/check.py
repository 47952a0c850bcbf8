"""Does it fit: the main command."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kb.commands._shared import answer_options, once, pair, print_json, targets
from kb.terminal import say, width

if TYPE_CHECKING:
    from kb.chance import Settings


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "what",
        nargs="+",
        metavar="WHAT",
        help="a build, or role=part pairs (pan=deep-pan pickup=short-tube), or values to try (pan.sump_depth='188 mm')",
    )
    sub.add_argument("--rule", action="append", default=[], help="ask this rule only (may be repeated)")
    sub.add_argument(
        "--subsystem", default="", help="ask the rules of one subsystem only: oil, sealing, clearance, trigger"
    )
    sub.add_argument("--limit", action="append", default=[], metavar="RULE.LIMIT=VALUE", help="a limit of your own")
    sub.add_argument("--fits-at", type=float, help="probability from which it says fits (default 0.975)")
    sub.add_argument("--not-at", type=float, help="probability up to which it says does not fit (default 0.025)")
    sub.add_argument("--seed", type=int, default=1, help="seed of the random draws")
    sub.add_argument("--full", action="store_true", help="show inputs and reasons of what fits, too")
    answer_options(sub)
    sub.set_defaults(run=run_check, several="what")


def run_check(given: argparse.Namespace) -> int:
    from kb.base import Base
    from kb.report import EXIT, as_json, as_text

    build, roles, overrides = targets(given.what)
    limits: dict[str, str] = {}
    for text in given.limit:
        once(limits, *pair(text, "--limit"))
    with Base(given.db) as base:
        settings = _settings(given, base.settings(build))
        answer = base.check(
            build, roles, overrides, limits, rules=given.rule, subsystem=given.subsystem, settings=settings
        )
    if given.json:
        print_json(as_json(answer, system=given.units))
    else:
        brief = False if given.rule or given.subsystem else None  # who asks for a part of it wants the details
        say(as_text(answer, system=given.units, width=width(), full=given.full, brief=brief), end="")
    return EXIT[answer.verdict]


def _settings(given: argparse.Namespace, usual: Settings) -> Settings:
    """Settings from flags; where there is none, that of the build counts."""
    from kb.chance import Settings

    fits_at = usual.fits_at if given.fits_at is None else given.fits_at
    not_at = usual.not_at if given.not_at is None else given.not_at
    return Settings(fits_at, not_at, seed=given.seed)
