"""Write down what was measured on a part, or what a gauge showed."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from kb.commands._after import board_of, changed
from kb.commands._shared import answer_options, once, pair, print_json
from kb.terminal import say, who, width

if TYPE_CHECKING:
    from kb.ready.board import Board


def declare(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("build", metavar="BUILD", help="the build")
    sub.add_argument(
        "values",
        nargs="*",
        metavar="WHERE=VALUE",
        help="a feature of a part (pan.sump_depth='188 mm'), or a place of a gauge (oil-gallery='3.2 bar'); none: list",
    )
    sub.add_argument("--with", dest="tool", default="", metavar="TOOL", help="the instrument (depth-gauge, eye)")
    sub.add_argument("--by", default="", help="who read it (default: your login name)")
    sub.add_argument("--date", default="", help="when, as 2024-05-01 (default: today)")
    sub.add_argument("--note", default="", help="anything worth knowing about it")
    sub.add_argument("--supersedes", action="store_true", help="set earlier readings of this feature aside")
    gauge = sub.add_argument_group("for a gauge")
    gauge.add_argument("--state", default="", help="what the engine did: at_rest, primed, cranking, idling, running")
    gauge.add_argument("--speed", default="", help="speed of the crank (200rpm)")
    gauge.add_argument("--temperature", default="", help="temperature of the engine (80 C)")
    gauge.add_argument("--start", type=int, default=None, help="number of the start that it belongs to")
    answer_options(sub)
    sub.set_defaults(run=run_reading, several="values")


def run_reading(given: argparse.Namespace) -> int:
    values: dict[str, str] = {}
    for word in given.values:
        once(values, *pair(word, "WHERE=VALUE"))
    before = board_of(given, given.build)
    if not values:
        return _listed(given, before)
    _refuse(given, values)
    said = [
        _gauge(given, place, text) if _is_place(place) else _part(given, place, text) for place, text in values.items()
    ]
    return changed(given, before, given.build, said)


def _is_place(name: str) -> bool:
    """Whether the word names a place of a gauge: by its id, or as a node of a circuit."""
    from kb.gauges import CIRCUITS, places

    return name in places() or name.partition(".")[0] in CIRCUITS or "." not in name


def _refuse(given: argparse.Namespace, values: dict[str, str]) -> None:
    """Fault for a flag that belongs to the other sort of reading: it would be lost unseen."""
    from kb.errors import Fault
    from kb.gauges import STATES, circuit_of

    parts = [name for name in values if not _is_place(name)]
    flags = [name for name in ("state", "speed", "temperature", "start") if getattr(given, name) not in ("", None)]
    if parts and flags:
        step = "give them with the reading of a gauge, and measure the part in a command of its own"
        raise Fault(f"{parts[0][:60]} is measured on a part: --{flags[0]} says nothing about it", step=step)
    if given.supersedes and len(parts) < len(values):
        raise Fault(
            "--supersedes is for measurements of a part", step="leave it out: a gauge's readings stand in a row"
        )
    if len(parts) < len(values) and not given.state:
        for name in values:
            if _is_place(name):
                circuit_of(name)  # a misspelt place is the first thing to say
        raise Fault("what the engine did then is not said", step=f"add --state with one of: {', '.join(STATES)}")


def _part(given: argparse.Namespace, where: str, text: str) -> str:
    from kb.ready.needs import read_only
    from kb.store.change import take_reading

    done = take_reading(
        given.db, given.build, where, text, tool=given.tool, by=given.by or who(), date=given.date, note=given.note,
        supersedes=given.supersedes,
    )  # fmt: skip
    began = where.partition(".")[0] in read_only()
    made = f"; made {done.part} for this build" if done.made else f" of {done.part}"
    made += ", based on the model" if done.made and not began else ""
    return f"read: {where} = {text}{made}"


def _gauge(given: argparse.Namespace, place: str, text: str) -> str:
    from kb.store.change import add_gauge_reading

    record: dict[str, Any] = {"build": given.build, "place": place, "value": text, "with": given.tool}
    record |= {"state": given.state, "speed": given.speed, "temperature": given.temperature, "start": given.start}
    record |= {"date": given.date, "by": given.by or who(), "note": given.note}
    change = add_gauge_reading(given.db, {name: each for name, each in record.items() if each not in ("", None)})
    return f"read: {place} shows {text} ({change.id})"


def _listed(given: argparse.Namespace, before: Board) -> int:
    from kb.base import Base
    from kb.report import plain
    from kb.say.readings import measured, rows, text

    with Base(given.db) as base:
        gauges = base.readings(given.build)
    found = measured(before.answer.build, given.units)
    if given.json:
        data = {"build": given.build, "gauges": rows(gauges, given.units), "parts": found}
        print_json(plain(data))
    else:
        say(text(rows(gauges, given.units), found, given.build, width()), end="")
    return 0
