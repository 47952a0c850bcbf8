"""What is advised: single readings, what is read together, and the whole list."""

from __future__ import annotations

from typing import NamedTuple

from kb.build import Build, Leaf
from kb.finding import Finding
from kb.known import Clash
from kb.measure import Instrument
from kb.rules._rule import HARMS
from kb.worth.settle import Settling


class Measurement(NamedTuple):
    """One reading to take.

    role, path: where it belongs, so that `role.path` is what one enters. where: yard, bench or car. needed: the
    standard uncertainty that would settle a finding by itself if no value moves. supersedes: the old readings
    contradict each other, and this one sets them aside. settled: expected verdicts if it is the only one taken.
    rivals: the other instruments that would do, each with what it would settle. can_enter: a list as a whole cannot be
    read off an instrument.
    """

    key: str
    role: str
    path: str
    leaf: Leaf
    tool: Instrument
    where: str
    owned: bool
    supersedes: bool
    needed: float | None
    settled: float
    rivals: tuple[tuple[Instrument, float], ...] = ()
    can_enter: bool = True

    @property
    def name(self) -> str:
        return f"{self.role}.{self.path}"


class Item(NamedTuple):
    """One reading, or several that are needed together with the best single one first.

    settles: (finding, probabilities) when nothing else is taken. settled: their sum. added: the same once what stands
    before it in the list has been taken. minutes: for the readings that nothing before it brought.
    """

    readings: tuple[Measurement, ...]
    settles: tuple[tuple[Finding, Settling], ...]
    settled: float
    added: float
    minutes: float

    @property
    def by_harm(self) -> dict[str, float]:
        """Expected settled verdicts by the harm that is in question, the worst first."""
        found: dict[str, float] = {}
        for finding, one in self.settles:
            found[finding.limit.harm] = found.get(finding.limit.harm, 0.0) + one.settled
        return {harm: found[harm] for harm in HARMS if found.get(harm)}

    @property
    def error(self) -> float:
        """How far off `settled` may be."""
        return sum(one.error for _, one in self.settles)


class Advice(NamedTuple):
    """What to measure.

    undecided: the findings that are looked at. items: readings in order. idle: inputs that settle nothing by what can
    be foreseen. unforeseen: inputs of which nobody knows what a reading could say. deaf: undecided findings that no
    reading decides (outside the usual range, no figure). clashes: recorded incompatibilities of which nobody can tell
    whether they apply. expected: verdicts that all items together should settle.
    """

    build: Build
    undecided: tuple[Finding, ...]
    items: tuple[Item, ...]
    idle: tuple[Measurement, ...]
    unforeseen: tuple[Measurement, ...]
    deaf: tuple[Finding, ...]
    clashes: tuple[Clash, ...]
    order: str
    milestone: str = ""
    at: str = ""

    @property
    def expected(self) -> float:
        return sum(item.added for item in self.items)

    @property
    def minutes(self) -> float:
        return sum(item.minutes for item in self.items)

    @property
    def readings(self) -> tuple[Measurement, ...]:
        """Every reading of the list once, in order."""
        seen: dict[str, Measurement] = {}
        for item in self.items:
            for reading in item.readings:
                seen.setdefault(reading.key, reading)
        return tuple(seen.values())
