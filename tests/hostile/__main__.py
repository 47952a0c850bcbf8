"""`python -m tests.hostile`: hostile input of every sort, in a process each, and a table of what it came to.

python -m tests.hostile                        10,000 cases each (an hour); --cases 500 for fewer
python -m tests.hostile pages --only 1234      one case again, with its traceback
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module

from tests.cli.running import TOP, environment
from tests.hostile.campaign import Campaign, Report, from_json, run

NAMES = ("records", "notation", "command", "processes", "pages", "forms", "tables")
FEWER = {"processes": 0.03}  # a process takes a hundred times as long as a call


def campaign(name: str) -> Campaign:
    """The campaign of this name, ready to run in a folder of its own."""
    module = {"forms": "pages", "tables": "pages"}.get(name, name)
    made: Campaign = import_module(f"tests.hostile.{module}_campaign").make(name)
    return made


def in_child(name: str, cases: int, seed: int) -> Report:
    """Run a campaign in a process of its own, so that its memory is its own."""
    words = [sys.executable, "-m", "tests.hostile", name, "--cases", str(cases), "--seed", str(seed), "--here"]
    done = subprocess.run(words, capture_output=True, text=True, cwd=TOP, env=environment(), check=False)
    if done.returncode:
        raise AssertionError(f"{name} broke off: {done.stderr[-3000:]}")
    return from_json(json.loads(done.stdout.splitlines()[-1]))


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.hostile", description=__doc__)
    parser.add_argument("names", nargs="*", choices=[*NAMES, []], help="sorts of input (default: all)")
    parser.add_argument("--cases", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, help="the number of one case to repeat")
    parser.add_argument("--here", action="store_true", help="in this process; prints one line of JSON")
    given = parser.parse_args()
    if given.here or given.only is not None:
        (name,) = given.names
        cases = range(given.cases) if given.only is None else [given.only]
        report = run(name, campaign(name), cases, given.seed)
        print(json.dumps(report._asdict()))
        return 0
    names = given.names or NAMES
    with ThreadPoolExecutor(2) as pool:
        counts = [max(1, round(given.cases * FEWER.get(name, 1.0))) for name in names]
        reports = list(pool.map(lambda pair: in_child(pair[0], pair[1], given.seed), zip(names, counts, strict=True)))
    print("| input | cases | accepted | refused | faults | over 1 s | slowest, s | memory, MB | in all, s |")
    print("|---|---|---|---|---|---|---|---|---|")
    for each in reports:
        accepted = each.sorts.get("accepted", 0)
        print(
            f"| {each.name} | {each.cases} | {accepted} | {each.cases - accepted} | {len(each.faults())} | "
            f"{len(each.slow)} | {each.slowest:.2f} | {each.memory:.0f} | {each.seconds:.0f} |"
        )
    for each in reports:
        for words in each.faults():
            print(words)
        for number, took, said in sorted(each.slow, key=lambda one: -one[1])[:20]:
            print(f"{each.name} {number}: {took} s: {said}")
    return 1 if any(each.faults() for each in reports) else 0


if __name__ == "__main__":
    sys.exit(main())
