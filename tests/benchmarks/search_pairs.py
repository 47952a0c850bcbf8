"""How long a search of a big catalogue takes, and what it is worth over judging every combination.

    python -m tests.benchmarks.search_pairs [--parts N] [--rounds N] [--bare]

The catalogue is that of `tests.benchmarks.catalogue`, seed 1. On a small one the counts are compared with those of the
judge before anything is timed. Triples are timed once. --bare: also the triple with a pump alone and with nothing
fixed, which takes minutes.
"""

from __future__ import annotations

import argparse
import math
import os
import platform
import statistics
import tempfile
import time
from collections.abc import Mapping, Sequence

from kb.base import Base
from kb.build import Build
from kb.chance import Settings
from kb.search.candidates import Candidate, candidates_for
from kb.search.find import Found, find
from kb.store.load import init
from tests.benchmarks.catalogue import parts
from tests.search.brute import combinations

FIXED = {
    "block": "calder-38", "oil_pump": "calder-38-pump", "pan_gasket": "calder-38-gasket", "car": "bench-drover",
}  # fmt: skip
SEARCHES = (("pan",), ("pan", "pickup"), ("pickup", "pickup_seal"), ("pan", "pickup", "pan_gasket"))
Domains = Mapping[str, Sequence[Candidate]]


def compared(fixed: Build, roles: Sequence[str], seed: int) -> None:
    """A small catalogue, searched and judged: the same counts, and how much sooner."""
    made = parts(60, seed)
    domains = {role: candidates_for(role, made[role][:6]) for role in roles}
    start = time.perf_counter()
    found = find(domains, fixed, Settings())
    middle = time.perf_counter()
    verdicts = [each.verdict for each in combinations(domains, fixed, Settings())]
    end = time.perf_counter()
    assert (found.fitting, found.unknown) == (verdicts.count("fits"), verdicts.count("cannot tell")), roles
    one, other = 1000 * (middle - start), 1000 * (end - middle)
    print(f"{' + '.join(roles):28} {len(verdicts):10,} {one:8.0f} {other:10.0f} {other / one:7.1f}")


def timed(domains: Domains, fixed: Build, rounds: int) -> tuple[float, Found]:
    took, found = [], None
    for _ in range(rounds):
        start = time.perf_counter()
        found = find(domains, fixed, Settings())
        took.append(time.perf_counter() - start)
    assert found is not None
    return statistics.median(took), found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--bare", action="store_true")
    given = parser.parse_args()
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "sample.db")
        init(path, sample=True)
        with Base(path) as base:
            engine, drover = base.build("", FIXED), base.build("drover-good")
            pump = base.build("", {"oil_pump": FIXED["oil_pump"]})
    print("\nsmall, against the judge     combinations  find ms   judge ms   ratio")
    for roles in SEARCHES:
        compared(engine, roles, seed=2)
    start = time.perf_counter()
    made = parts(given.parts)
    print(f"\n{given.parts:,} parts drawn in {time.perf_counter() - start:.1f} s")
    print("\nfixed            searched                       combinations        fit   cannot tell  median s")
    cases = [("block and others", engine, roles) for roles in SEARCHES]
    cases += [("whole build", drover, SEARCHES[1]), ("pump", pump, SEARCHES[2])]
    if given.bare:
        cases.append(("pump", pump, SEARCHES[-1]))
        cases.append(("nothing", Build("parts", "parts", {}, loose=True), SEARCHES[-1]))
    for name, fixed, roles in cases:
        domains = {role: candidates_for(role, made[role]) for role in roles}
        took, found = timed(domains, fixed, given.rounds if len(roles) < 3 else 1)
        total = math.prod(found.candidates.values())
        print(f"{name:16} {' + '.join(roles):28} {total:15,} {found.fitting:10,} {found.unknown:13,} {took:9.2f}")


if __name__ == "__main__":
    main()
