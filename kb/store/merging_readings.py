"""Readings of one feature in two people's records: which are one measurement, which join, which stay set aside.

A reading is the same as another when value, instrument, person and date are (and, without an instrument, the source).
A reading that sets others aside goes on doing so only to those that its author knew: what one of the two set aside
stays so, whoever joins the other's. Where each set aside what the other believes, ours stays, and that is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

Record = dict[str, Any]


class Reading(NamedTuple):
    """A reading as given, and in normal form with all that is known of its origin."""

    raw: Any
    said: Mapping[str, Any]

    @property
    def key(self) -> tuple[Any, ...]:
        said = self.said
        tool = said.get("with", "")
        origin = "" if tool else said.get("source", "")
        return (f"{said['si']:.12g}", tool, said.get("by", ""), said.get("date", ""), origin)

    def alone(self) -> Any:
        """The reading with its origin in itself, so that it means the same in another record."""
        raw = dict(self.raw) if isinstance(self.raw, dict) else {"value": self.raw}
        for name in ("how", "source", "date", "by", "with"):
            if self.said.get(name) and name not in raw:
                raw[name] = self.said[name]
        if raw.get("with") and raw.get("how") == "measured":
            del raw["how"]  # what is said with an instrument is measured
        if not {"how", "with"} & set(raw):
            raw["how"] = "listing"  # what a figure without a word on its origin is taken to be
        return raw


def pairs(value: Any, facts: Iterable[Mapping[str, Any]]) -> list[tuple[Any, Mapping[str, Any]]]:
    if value is None:
        return []
    return list(zip(value if isinstance(value, list) else [value], facts, strict=True))


def explicit(entry: Mapping[str, Any], facts: Mapping[str, Any]) -> Record:
    """An entry of theirs with the origin of each of its readings in itself."""
    made = dict(entry)
    for name, said in facts.items():
        if isinstance(said, list) and said and isinstance(said[0], dict) and "si" in said[0]:
            several = [Reading(raw, one).alone() for raw, one in pairs(entry[name], said)]
            made[name] = several if isinstance(entry[name], list) else several[0]
    return made


def _live(readings: Sequence[Reading]) -> int:
    """Where the readings begin that are not set aside."""
    return max((at for at, each in enumerate(readings) if each.said.get("supersedes")), default=0)


class Both(NamedTuple):
    """Readings of both. raw: to be written, None for no change; told: whether an error was filled in that ours lacked;
    left: (ours, theirs) of what differs."""

    raw: Any = None
    new: tuple[Reading, ...] = ()
    told: bool = False
    left: tuple[tuple[str, str], ...] = ()


def joined(mine: Sequence[Reading], other: Sequence[Reading], take: str) -> Both:
    """The readings of both. One that is set aside by who knew it stays so."""
    mine, told, left = _with_errors(mine, other, take)
    known = {each.key for each in mine}
    new = {each.key: each for each in other if each.key not in known}
    at, there = _live(mine), _live(other)
    alive, alive_there = {each.key for each in mine[at:]}, {each.key for each in other[there:]}
    dead = ({each.key for each in mine[:at]} - alive) | ({each.key for each in other[:there]} - alive_there)
    if dead >= known | set(new):  # each set aside what the other believes
        believed = alive_there if take == "theirs" else alive
        dead = (known | set(new)) - believed
        if not take and alive != alive_there:
            left.append((_texts(mine[at:]), _texts(other[there:])))
    if not new and not told and alive - dead == alive and not (alive_there - alive - dead):
        return Both(left=tuple(left))
    aside = [each.raw for each in mine[:at] if each.key in dead or each.key in alive]
    back = [each for each in mine[:at] if each.key not in dead and each.key not in alive]
    aside += [each.raw for each in mine[at:] if each.key in dead]
    aside += [each.alone() for key, each in new.items() if key in dead]
    live = [each.raw for each in (*back, *mine[at:]) if each.key not in dead]
    live += [each.alone() for key, each in new.items() if key not in dead]
    plain = [
        {name: value for name, value in raw.items() if name != "supersedes"} if isinstance(raw, dict) else raw
        for raw in live
    ]
    if aside and plain:
        first = plain[0]
        plain[0] = {**(first if isinstance(first, dict) else {"value": first}), "supersedes": True}
    return Both([*aside, *plain], tuple(new.values()), told, tuple(left))


def _with_errors(
    mine: Sequence[Reading], other: Sequence[Reading], take: str
) -> tuple[list[Reading], bool, list[tuple[str, str]]]:
    """(ours, whether an error was filled in, what differs): the same measurement with another word on its error."""
    theirs = {each.key: each for each in other}
    out: list[Reading] = []
    told, left = False, []
    for each in mine:
        match = theirs.get(each.key)
        half, half_there = each.said.get("half"), match.said.get("half") if match else None
        if match is None or half_there is None or (half is not None and abs(half - half_there) <= 1e-12):
            out.append(each)
        elif half is None or take == "theirs":
            told = True
            raw = {name: value for name, value in match.alone().items() if name != "supersedes"}
            out.append(Reading({**raw, "supersedes": True} if each.said.get("supersedes") else raw, {
                **match.said, "supersedes": each.said.get("supersedes", False),
            }))  # fmt: skip
        else:
            out.append(each)
            if not take:
                left.append((_texts([each]), _texts([match])))
    return out, told, left


def _texts(readings: Sequence[Reading]) -> str:
    return ", ".join(str(each.said["text"]) for each in readings)
