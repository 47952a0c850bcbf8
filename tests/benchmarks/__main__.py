"""How long a check takes, and what the shortcuts of the judge save against drawing.

    python -m tests.benchmarks [--rounds N]

Peers are interleaved in one run, answers are compared before anything is timed, medians are printed.
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable

from kb import Settings
from kb.base import Base
from kb.build import Question
from kb.draws import draw
from kb.judge import judge
from kb.rules import load_rules
from kb.store.load import init
from tests.rules.test_every_rule import build_of

ONE = ("block=calder-38", "pan=calder-38-pan", "pickup=calder-38-pickup", "pan_gasket=calder-38-gasket")


def median_ms(work: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median milliseconds of each piece of work, taken in turn so that none has the quiet half of the machine."""
    took: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, piece in work.items():
            start = time.perf_counter()
            piece()
            took[name].append(1000 * (time.perf_counter() - start))
    return {name: statistics.median(each) for name, each in took.items()}


def whole_commands(database: str, rounds: int) -> None:
    def command(*words: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=False)

    code = "from kb.cli import run; run()"
    took = median_ms(
        {
            "python -c pass": command("-c", "pass"),
            "check, four parts": command("-c", code, "check", "--db", database, *ONE),
            "check, whole build": command("-c", code, "check", "--db", database, "drover-good"),
        },
        rounds,
    )
    bare = took["python -c pass"]
    print("\nwhole command                 ms   x bare Python")
    for name, each in took.items():
        print(f"{name:24} {each:7.1f} {each / bare:8.1f}")


def shortcuts(rounds: int) -> None:
    print("\nprobability of one finding    shortcut ms   draws ms     ratio   difference   way")
    for name, spread in (("pickup-floor-gap", 0.004), ("pickup-seal-squeeze", 0.02), ("suction-hot", 0.03)):
        rule = load_rules()[name]
        made = build_of(rule, rule.cases[0], spread=spread)
        finding = judge(rule, made, Settings())
        question = Question(rule, made)
        leaves = {leaf.key: leaf.dimension for leaf in question.leaves if leaf.dimension is not None}

        def drawn(question: Question = question, leaves: object = leaves) -> float:
            values = draw(leaves, draws=100_000, seed=1)  # type: ignore[arg-type]
            given = [
                values[leaf.key] if leaf.dimension is not None else nominal
                for leaf, nominal in zip(question.leaves, question.nominal, strict=True)
            ]
            quantity = question.quantity(given)
            held = quantity == quantity
            for index, limit in enumerate(question.rule.limits):
                if limit.may_condemn:
                    bound = question.bound(index, given)
                    held &= (quantity - bound if limit.side == "least" else bound - quantity) >= 0
            return float(held.mean())

        difference = abs(drawn() - (finding.probability or 0.0))
        if difference > 0.01:
            raise SystemExit(f"{name}: shortcut and draws differ by {difference:.4f}; nothing is timed")
        took = median_ms({"short": lambda rule=rule, made=made: judge(rule, made, Settings()), "draws": drawn}, rounds)
        ratio = took["draws"] / took["short"]
        print(
            f"{name:28} {took['short']:10.3f} {took['draws']:10.2f} {ratio:9.0f} {difference:12.5f}   {finding.method}"
        )


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--rounds", type=int, default=11)
    rounds = parser.parse_args().rounds
    print(
        f"{platform.python_implementation()} {platform.python_version()}, {os.cpu_count()} cores, {platform.machine()}"
    )
    with tempfile.TemporaryDirectory() as folder:
        database = os.path.join(folder, "sample.db")
        init(database, sample=True)
        with Base(database) as base:
            answers = base.check("drover-good")
        print(f"the good build is said to {answers.verdict.replace('fits', 'fit')}: {len(answers.findings)} findings")
        whole_commands(database, rounds)
        shortcuts(rounds)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
