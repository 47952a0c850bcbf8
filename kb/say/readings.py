"""Readings that were taken on a build, in words: what gauges showed, what was measured on its parts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kb import units
from kb.build import Build
from kb.explain import known_as
from kb.gauges import CODE, GaugeReading, places
from kb.measure import Dimension
from kb.roles import role
from kb.say.ready import wrap


class ToldReading(NamedTuple):
    """What a gauge showed. value: in words; when: state, speed and temperature of the engine."""

    id: str
    place: str
    meaning: str
    value: str
    when: str
    start: int | None
    date: str
    by: str
    tool: str
    note: str


class Measured(NamedTuple):
    """A dimension of a part that somebody measured. known: with what, by whom, when."""

    name: str
    part: str
    value: str
    known: str


def rows(readings: Iterable[GaugeReading], system: str = "mm") -> list[ToldReading]:
    """The readings in words, in the order in which they were given."""
    meanings = {each.id: each.meaning for each in places().values()}
    made = []
    for each in readings:
        if isinstance(each.value, str):
            value = each.value.replace("_", " ")
        else:
            value = units.show(each.value, each.quantity, system) if each.quantity != CODE else f"{each.value:g}"
        state = [each.state.replace("_", " ")] if each.state else []
        state += [f"{60 * each.speed:.0f} rpm"] if each.speed is not None else []
        state += [units.show(each.temperature, "temperature", system)] if each.temperature is not None else []
        made.append(
            ToldReading(each.id, each.place, meanings.get(each.place, ""), value, ", ".join(state), each.start,
                        each.date, each.by, each.tool.replace("-", " "), each.note)
        )  # fmt: skip
    return made


def measured(build: Build, system: str = "mm") -> list[Measured]:
    """What somebody measured on the parts of the build, entries of lists left out."""
    made = []
    for name, part in build.parts.items():
        for feature in role(name).kind.features.values():
            value = part.facts.get(feature.name)
            if isinstance(value, Dimension) and value.how in ("measured", "combined"):
                shown = units.show(value.value, feature.quantity, system)
                made.append(Measured(f"{name}.{feature.name}", part.id, shown, known_as(value)))
    return made


def text(gauges: Sequence[ToldReading], parts: Sequence[Measured], build: str, width: int = 80) -> str:
    """Both lists as lines."""
    lines = ["What gauges showed:"] if gauges else ["No gauge has been read yet."]
    for each in gauges:
        start = f"start {each.start}, " if each.start is not None else ""
        note = f"; {each.note}" if each.note else ""
        line = f"{each.place}: {each.value} ({start}{', '.join(filter(None, (each.when, each.date, each.by)))}{note})"
        lines += wrap(line, width, "      ", "  ")
    lines += ["", "Measured on its parts:" if parts else "Nothing is measured on its parts yet."]
    for one in parts:
        lines += wrap(f"{one.name} = {one.value} ({one.known})", width, "      ", "  ")
    step = f"Take one: matchmark reading {build} pan.sump_depth='188 mm' --with depth-gauge"
    return "\n".join([*lines, "", *wrap(step, width)]) + "\n"
