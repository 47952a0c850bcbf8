"""One reading of a part, and what it changes: the part's figure, the builds that use it, what it mates with.

outcome = measure_part("matchmark.db", "deep-pan", "sump_depth", "188.4 mm", tool="depth-gauge", by="E. Marsh")
for id, found in outcome.builds:
    print(id, found.before.verdict, found.after.verdict)
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.base import Base
from kb.comparing import Comparison, compare
from kb.errors import Fault
from kb.mating import Neighbour
from kb.records import KINDS, Feature
from kb.records.part import Part
from kb.records.values import feature_at

MOST_BUILDS = 8  # checked before and after; the others are named only


class Turn(NamedTuple):
    """A neighbour whose verdict turns: role, part, verdict before and after (empty: nothing was asked)."""

    role: str
    part: Part
    before: str
    after: str


class Outcome(NamedTuple):
    """What a reading came to.

    before, after: the feature's value (as in `Part.facts`, None for not known). builds: (id, compared); more: ids of
    builds that use the part too and were not checked.
    """

    part: Part
    where: str
    before: Any
    after: Any
    builds: tuple[tuple[str, Comparison], ...]
    more: tuple[str, ...]
    turns: tuple[Turn, ...]


def measure_part(
    path: str,
    part: str,
    where: str,
    text: str,
    *,
    builds: Sequence[str] = (),
    tool: str = "",
    by: str,
    date: str = "",
    note: str = "",
    photo: str = "",
    supersedes: bool = False,
    origin: str = "command",
) -> Outcome:
    """Write a reading of a part (see `kb.store.part_reading`) and compare the builds that use it before and after."""
    from kb.store.part_reading import take_part_reading

    if not text.strip():
        raise Fault("the value is missing", place=where[:120], step="write it with its unit, for example 188.4 mm")
    chosen, more = tuple(builds[:MOST_BUILDS]), tuple(builds[MOST_BUILDS:])
    beside = chosen[0] if chosen else ""
    with Base(path) as base:
        if tool:
            tool = base.instrument(tool).id
        old_part, old_mates = base.part(part), base.mates(part, beside)
        feature_at(old_part.kind, where)
        old = {id: base.check(id) for id in chosen}
    take_part_reading(
        path, part, where, text, tool=tool, by=by, date=date, note=note, photo=photo, supersedes=supersedes,
        origin=origin,
    )  # fmt: skip
    with Base(path) as base:
        new_part, new_mates = base.part(part), base.mates(part, beside)
        compared = tuple((id, compare(old[id], base.check(id))) for id in chosen)
    before, after = value_at(old_part, where), value_at(new_part, where)
    return Outcome(new_part, where, before, after, compared, more, turns(old_mates, new_mates))


def value_at(part: Part, where: str) -> Any:
    """The value of `sump_depth` or `stations.R4.height` of a part; None where nobody recorded it."""
    head, _, inner = where.partition(".")
    value = part.facts.get(head)
    if not inner:
        return value
    entry, _, field = inner.rpartition(".")
    return next((each.get(field) for each in value or () if each["id"] == entry), None)


def turns(before: Sequence[Neighbour], after: Sequence[Neighbour]) -> tuple[Turn, ...]:
    """The neighbours whose verdict is another one; those that the time did not allow are left out."""
    old = {
        (each.own, each.role, mate.part.id): mate for each in before for mate in each.mates if not mate.uncomputed
    }  # fmt: skip
    found = []
    for each in after:
        for mate in each.mates:
            was = old.get((each.own, each.role, mate.part.id))
            if was is not None and not mate.uncomputed and was.verdict != mate.verdict:
                found.append(Turn(each.role, mate.part, was.verdict, mate.verdict))
    return tuple(found)


def measurable(part: Part) -> list[tuple[str, Feature]]:
    """(path, feature) of all that can be read off the part: its features, and fields of the entries that it has."""
    found: list[tuple[str, Feature]] = []
    for name, feature in KINDS[part.kind].features.items():
        if feature.item is None:
            found.append((name, feature))
            continue
        for entry in part.facts.get(name, ()):
            found += [
                (f"{name}.{entry['id']}.{inner}", deep)
                for inner, deep in feature.item.features.items()
                if inner != "id" and deep.sort != "text"
            ]
    return found


__all__ = ["MOST_BUILDS", "Outcome", "Turn", "measurable", "measure_part", "turns", "value_at"]
