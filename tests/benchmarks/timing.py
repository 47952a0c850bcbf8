"""What every benchmark shares: peers taken in turn, medians, a table, and the machine in words."""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version


def seconds(work: Callable[[], object]) -> float:
    """How long one call takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def medians(work: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median seconds of each piece of work, taken in turn so that none has the quiet half of the machine."""
    took: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, piece in work.items():
            took[name].append(seconds(piece))
    return {name: statistics.median(each) for name, each in took.items()}


def shown(took: float) -> str:
    """A time to three figures in a unit that suits it."""
    for unit, scale in (("s", 1.0), ("ms", 1e3), ("us", 1e6)):
        if took * scale >= 1.0:
            return f"{took * scale:.3g} {unit}"
    return f"{took * 1e9:.3g} ns"


def table(title: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print a table as Markdown, which docs/performance.md keeps."""
    print(f"\n### {title}\n")
    print("| " + " | ".join(head) + " |")
    print("|" + "|".join("---" for _ in head) + "|")
    for row in rows:
        print("| " + " | ".join(row) + " |")


def held(reached: float, wanted: float) -> str:
    """Whether a ratio reaches what is wanted."""
    return "reached" if reached >= wanted else "missed"


def machine(packages: Sequence[str] = ()) -> str:
    """Processor, cores, Python and the versions of what took part."""
    found = [f"{platform.machine()}, {os.cpu_count()} cores, {_processor()}, Python {platform.python_version()}"]
    for name in packages:
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            found.append(f"{name} not installed")
    return ", ".join(found)


def _processor() -> str:
    try:
        with open("/proc/cpuinfo", encoding="utf-8") as lines:
            return next(line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    except (OSError, StopIteration):
        return platform.processor() or "processor unknown"
