"""Many hostile cases one after another, each repeatable by its number, and what they came to."""

from __future__ import annotations

import random
import resource
import time
import traceback
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from typing import Any, NamedTuple, Protocol

SLOW = 1.0  # seconds of computing of one answer that are told; time on the clock says more of what else was going on
HANG = 20.0  # seconds that fail a run: no slow machine explains them
MOST_MEMORY = 300.0  # MB


class Outcome(NamedTuple):
    """How a case ended. sort: accepted, refused, or another word; wrong: what broke a promise, else nothing."""

    sort: str
    wrong: str = ""
    said: str = ""


class Campaign(Protocol):
    """A sort of input. `close` looks at what all cases together left behind, and tells what is wrong with it."""

    def case(self, rnd: random.Random) -> Outcome: ...

    def close(self) -> Iterable[str]: ...


class Report(NamedTuple):
    """What a campaign came to. wrong: (case, words); slow: (case, seconds, words); seconds: of the clock, in all.

    slowest: computing time of one case, in seconds; memory: the most that there was at once, in MB.
    """

    name: str
    cases: int
    sorts: dict[str, int]
    wrong: list[tuple[int, str]]
    slow: list[tuple[int, float, str]]
    seconds: float
    slowest: float
    memory: float

    def faults(self) -> list[str]:
        """Everything that breaks what is promised of hostile input."""
        found = [f"{self.name} {number}: {words}" for number, words in self.wrong]
        if self.slowest > HANG:
            found.append(f"{self.name}: an answer took {self.slowest:.1f} s of computing: {self.slow}")
        if self.memory > MOST_MEMORY:
            found.append(f"{self.name}: took {self.memory:.0f} MB, at most {MOST_MEMORY:.0f} are promised")
        return found


def memory() -> float:
    """The most memory that this process has had, in MB.

    Linux counts what the parent had at the fork into ru_maxrss; VmHWM begins anew with the program.
    """
    with suppress(OSError), open("/proc/self/status", encoding="ascii") as lines:
        for line in lines:
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def computed() -> float:
    """Seconds that this process and its children have computed."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def run(name: str, campaign: Campaign, cases: Iterable[int], seed: int) -> Report:
    """Put every numbered case to the campaign; a case depends on name, seed and its number only."""
    sorts: Counter[str] = Counter()
    wrong: list[tuple[int, str]] = []
    slow: list[tuple[int, float, str]] = []
    slowest = 0.0
    began = time.perf_counter()
    count = 0
    for number in cases:
        start = computed()
        try:
            outcome = campaign.case(random.Random(f"{name} {seed} {number}"))
        except Exception:
            outcome = Outcome("broken", traceback.format_exc()[-1500:])
        took = computed() - start
        count += 1
        sorts[outcome.sort] += 1
        slowest = max(slowest, took)
        if outcome.wrong:
            wrong.append((number, f"{outcome.said[:300]}: {outcome.wrong}"))
        if took > SLOW:
            slow.append((number, round(took, 2), outcome.said[:200]))
    wrong += [(-1, words) for words in campaign.close()]
    spent = time.perf_counter() - began
    return Report(name, count, dict(sorts), wrong, slow, spent, slowest, memory())


def from_json(given: dict[str, Any]) -> Report:
    """A report back from what a child printed."""
    return Report(**given)
