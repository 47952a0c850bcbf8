"""What gauges showed, held against the accepted bands, and how it moved over several starts."""

from __future__ import annotations

import argparse

from kb.commands._shared import answer_options, print_json
from kb.terminal import say, width


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", metavar="BUILD", help="the build")
    sub.add_argument("--place", default="", help="only readings of this place (oil-gallery)")
    answer_options(sub)
    sub.set_defaults(run=run_readings)


def run_readings(given: argparse.Namespace) -> int:
    """Exit status 0 all as it should be, 1 one is not, 3 something cannot be told."""
    from kb.base import Base
    from kb.gauges import circuit_of
    from kb.say.bands import as_json, as_text, status

    if given.place:
        circuit_of(given.place)
    with Base(given.db) as base:
        build = base.build(given.build)
        found = [each for each in base.judged_readings(given.build) if given.place in ("", each.reading.place)]
    if given.json:
        print_json(as_json(build, found, given.units))
    else:
        say(as_text(build, found, width=width(), system=given.units))
    return status(found)
