"""How long a check takes: in process against plain functions, as a whole command, and what the shortcuts save.

    python -m tests.benchmarks.check [--rounds 15]

The plain functions are the rules' own bodies on figures that are already at hand. The lean peer compares the nominal
figure with the limits and knows no uncertainty. The fair peer also finds how far the figure spreads (two more calls
for each uncertain value) and the chance that a normal one of that spread lies within the limits; it finds no words, no
exact sums, no driver and nothing to measure. Its verdicts are compared with ours first.
"""

from __future__ import annotations

import argparse
import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from typing import Any

from kb import Settings
from kb.base import Base
from kb.build import Build, Question
from kb.chance import verdict_of
from kb.draws import draw
from kb.finding import Finding
from kb.judge import answer, judge
from kb.rules import load_rules
from kb.store.load import init
from kb.sums import normal_cdf
from tests.benchmarks.timing import held, machine, medians, seconds, shown, table
from tests.rules.test_every_rule import build_of

ONE = {"block": "calder-38", "pan": "calder-38-pan", "pickup": "calder-38-pickup", "pan_gasket": "calder-38-gasket"}
WANTED_PLAIN, WANTED_BARE = 5.0, 6.0


class Plain:
    """One rule with its figures: a list of arguments for the nominal case and for each step of an uncertain value."""

    def __init__(self, finding: Finding) -> None:
        question = finding.question
        self.function = finding.rule.function
        self.stations = finding.rule.form == "stations"
        self.limits = [
            (1.0 if limit.side == "least" else -1.0, float(question.bound(at, question.nominal)))
            for at, limit in enumerate(finding.rule.limits)
        ]
        self.nominal = question.arguments(question.nominal)
        self.steps = []
        for index in question.spread:
            dimension = question.leaves[index].dimension
            assert dimension is not None
            ends = []
            for sign in (1.0, -1.0):
                values = list(question.nominal)
                values[index] += sign * dimension.u
                ends.append(question.arguments(values))
            self.steps.append(ends)

    def lean(self) -> bool:
        """Whether the nominal figure lies within the limits."""
        found = self.function(*self.nominal)
        figures = [each for _, each in found] if self.stations else [found]
        return all(sign * figure >= sign * bound - 1e-9 for figure in figures for sign, bound in self.limits)

    def fair(self) -> float:
        """The chance that it does, as if every figure were normal; of several stations the least."""
        found = self.function(*self.nominal)
        figures = [each for _, each in found] if self.stations else [found]
        variance = [0.0] * len(figures)
        for up, down in self.steps:
            high, low = self.function(*up), self.function(*down)
            rows = zip(high, low, strict=True) if self.stations else [((0, high), (0, low))]
            for at, ((_, more), (_, less)) in enumerate(rows):
                variance[at] += (0.5 * (more - less)) ** 2
        least = 1.0
        for figure, square in zip(figures, variance, strict=True):
            u = math.sqrt(square)
            outside = 0.0
            for sign, bound in self.limits:
                margin = sign * (figure - bound)
                outside += (margin < -1e-9) if u == 0.0 else normal_cdf(-margin / u)
            least = min(least, 1.0 - outside)
        return least


def in_process(base: Base, rounds: int) -> None:
    """Our answer for one combination against the plain functions."""
    found = base.check(roles=ONE)
    build, asked = found.build, [each.rule for each in found.findings]
    plain = [Plain(each) for each in found.findings if each.quantity is not None]
    told = {each.rule.id: each for each in found.findings}
    agree = 0
    for each, finding in zip(plain, (f for f in found.findings if f.quantity is not None), strict=True):
        agree += verdict_of(each.fair()) == told[finding.rule.id].verdict
    assert agree == len(plain), f"{len(plain) - agree} verdicts differ from the fair peer's"

    def ours(build: Build = build, asked: Sequence[Any] = asked) -> None:
        answer(build, asked, Settings())

    took = medians(
        {
            "ours": ours,
            "fair": lambda: [each.fair() for each in plain],
            "lean": lambda: [each.lean() for each in plain],
        },
        10 * rounds,
    )
    ratio = took["ours"] / took["fair"]
    most = f"at most {WANTED_PLAIN:.0f}"
    rows = (
        ("Matchmark: probability, margin, drivers", shown(took["ours"]), "1", "", ""),
        (
            "plain functions with spread and chance",
            shown(took["fair"]),
            f"{ratio:.1f}",
            most,
            held(WANTED_PLAIN, ratio),
        ),
        ("plain functions, nominal alone", shown(took["lean"]), f"{took['ours'] / took['lean']:.0f}", "", ""),
    )
    title = f"One combination, {len(asked)} rules, in process ({len(plain)} of them have all their figures)"
    table(title, ("", "time", "Matchmark : it", "wanted", ""), rows)


def whole_commands(database: str, rounds: int) -> None:
    """The command from start to end, against a Python that does nothing."""

    def command(*words: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=False)

    code = "from kb.cli import run; run()"
    four = [f"{role}={part}" for role, part in ONE.items()]
    took = medians(
        {
            "python -c pass": command("-c", "pass"),
            "check, four parts": command("-c", code, "check", "--db", database, *four),
            "check, whole build": command("-c", code, "check", "--db", database, "drover-good"),
        },
        rounds,
    )
    bare = took["python -c pass"]
    rows = []
    for name, each in took.items():
        goal = name == "check, four parts"
        wanted = (f"at most {WANTED_BARE:.0f}", held(WANTED_BARE, each / bare)) if goal else ("", "")
        rows.append((name, shown(each), f"{each / bare:.1f}", *wanted))
    table("Whole command, from start to end", ("", "time", ": bare Python", "wanted", ""), rows)


def shortcuts(rounds: int) -> None:
    """Single findings: the judge's way against a hundred thousand draws."""
    rows = []
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
            inside = quantity == quantity
            for index, limit in enumerate(question.rule.limits):
                if limit.may_condemn:
                    bound = question.bound(index, given)
                    inside &= (quantity - bound if limit.side == "least" else bound - quantity) >= 0
            return float(inside.mean())

        difference = abs(drawn() - (finding.probability or 0.0))
        if difference > 0.01:
            raise SystemExit(f"{name}: shortcut and draws differ by {difference:.4f}; nothing is timed")
        took = medians({"short": lambda rule=rule, made=made: judge(rule, made, Settings()), "draws": drawn}, rounds)
        ratio = f"{took['draws'] / took['short']:.0f}"
        rows.append((name, shown(took["short"]), shown(took["draws"]), ratio, f"{difference:.5f}", finding.method))
    head = ("one finding", "judge", "100,000 draws", "ratio", "difference", "way")
    table("What the judge's shortcuts save", head, rows)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=15)
    rounds = parser.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        database = os.path.join(folder, "sample.db")
        init(database, sample=True)
        with Base(database) as base:
            in_process(base, rounds)
            whole = seconds(lambda: base.check("drover-good"))
            print(f"\nA whole car in process ({len(base.check('drover-good').findings)} findings): {shown(whole)}")
        whole_commands(database, rounds)
        shortcuts(rounds)
    print(f"\n{machine(['numpy'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
