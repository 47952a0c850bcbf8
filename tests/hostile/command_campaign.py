"""The command line: words drawn from each command's own declaration, good ones and hostile ones, in this process."""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import shutil
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from unittest import mock

from kb.cli import COMMANDS, build_parser, main
from kb.measure import instruments
from kb.records import gauge_places
from kb.roles import ROLES
from kb.rules import load_rules
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from kb.trace.trees import trees
from tests.hostile import words
from tests.hostile.campaign import Outcome
from tests.hostile.records_campaign import SAMPLES

FRESH = 250  # cases on one base
WAIT = "0.3"  # seconds that a search may take here: most plans need longer than there is for a case


def make(name: str) -> Command:
    return Command()


class Names:
    """Names that mean something in the sample."""

    def __init__(self) -> None:
        self.builds = [path.stem for path in (SAMPLES / "build").glob("*.yaml")]
        self.parts = [path.stem for path in SAMPLES.glob("*/*.yaml")]
        self.clashes = [path.stem for path in (SAMPLES / "incompatibility").glob("*.yaml")]
        self.rules = list(load_rules())
        self.roles = list(ROLES)
        self.features = [f"{role}.{name}" for role, each in ROLES.items() for name in each.kind.features]
        self.tools = list(instruments())
        self.symptoms = list(trees())
        self.kinds = [path.name for path in SAMPLES.iterdir()]
        self.places = list(gauge_places.places())
        self.limits = [f"{rule.id}.{limit.name}" for rule in load_rules().values() for limit in rule.limits]
        self.subsystems = sorted({rule.subsystem for rule in load_rules().values()})
        self.values = [
            "190 mm",
            "7 1/2 in",
            "0.5 mm",
            "4 bar",
            "12 V",
            "20 +/- 1 mm",
            "3",
            "85 degC",
            "800 rpm",
            "yes",
            "no",
        ]

    def pair(self, rnd: random.Random) -> str:
        left = rnd.choice((self.roles, self.features, self.places, self.limits, self.symptoms))
        right = rnd.choice((self.parts, self.values, self.builds))
        return f"{rnd.choice(left)}={rnd.choice(right)}"

    def good(self, rnd: random.Random, action: str) -> str:
        """A word that could stand for the argument called `action`, or for another one."""
        table = {
            "build": self.builds,
            "rule": self.rules,
            "role": self.roles,
            "more": self.roles,
            "keep": self.roles,
            "got": self.roles,
            "empty": self.roles,
            "avoid": self.parts,
            "tool": self.tools,
            "have": self.tools,
            "lack": self.tools,
            "symptom": self.symptoms,
            "subsystem": self.subsystems,
            "id": self.clashes,
            "kinds": self.kinds,
            "place": self.places,
            "date": ["2024-05-31", "2024-05"],
            "harm": ["leaks", "wears"],
            "milestone": ["prime", "drive"],
            "status": ["reported"],
            "speed": ["800 rpm"],
            "temperature": ["85 degC"],
            "state": ["idling", "cranking"],
            "to": ["e85", *self.parts[:3]],
            "found": ["bench"],
        }
        if action in ("values", "parts", "considering", "party", "reading", "limit", "answer"):
            return self.pair(rnd)
        if action == "what" and rnd.random() < 0.5:
            return rnd.choice(self.builds)
        if action in table:
            return rnd.choice(table[action])
        return rnd.choice((self.pair(rnd), rnd.choice(self.builds), rnd.choice(self.parts), rnd.choice(self.values)))


FILES = (
    "given.yaml",
    "half.yaml",
    "odd.csv",
    "trace.json",
    "bytes.json",
    "empty.yaml",
    "folder",
    "nothing.yaml",
    "new/file.yaml",
    "photo.jpg",
    "mine.db",
    "text.db",
    "",
    ".",
    "-",
    "/dev/null",
    "/nonexistent/x",
    "/proc/self/mem",
    "link.yaml",
)
PATHS = {"paths", "file", "folder", "out", "sheet", "blank", "enter", "draft", "traced", "photo", "db"}


class Command:
    """Runs in a folder of its own, on a copy of the sample that is renewed now and then."""

    def __init__(self) -> None:
        self.names = Names()
        self.held = tempfile.TemporaryDirectory()
        self.home = os.path.join(self.held.name, "a", "b", "c", "d", "e")  # `../../../` stays inside
        os.makedirs(self.home)
        self.sample = os.path.join(self.held.name, "sample.db")
        init(self.sample, sample=True)
        self.count = 0
        self.before = os.getcwd()
        os.environ.pop("MATCHMARK_DB", None)
        self.fresh()

    def fresh(self) -> None:
        shutil.rmtree(self.home)
        os.makedirs(self.home)
        os.chdir(self.home)
        shutil.copyfile(self.sample, "mine.db")
        Path("given.yaml").write_bytes((SAMPLES / "pan").glob("*.yaml").__next__().read_bytes())
        Path("half.yaml").write_bytes(Path("given.yaml").read_bytes()[:150])
        Path("odd.csv").write_text("id,name\na,A\n")
        Path("trace.json").write_text('{"symptom": "no-spark", "answers": []}')
        Path("bytes.json").write_bytes(bytes(range(256)))
        Path("empty.yaml").touch()
        Path("folder").mkdir()
        Path("photo.jpg").write_bytes(b"\xff\xd8\xff\xe0 no picture")
        Path("text.db").write_text("no database")
        Path("link.yaml").symlink_to("link.yaml")

    def line(self, rnd: random.Random) -> list[str]:
        """A command line, mostly of the command's own sort."""
        command = rnd.choice([each for each in COMMANDS if each != "serve"])
        parser: Any = build_parser(command)
        line = [command]
        actions = _inner(parser, command)
        while any(isinstance(each, argparse._SubParsersAction) for each in actions):
            deeper = next(each for each in actions if isinstance(each, argparse._SubParsersAction))
            name = rnd.choice(list(deeper.choices))
            line.append(name)
            actions = deeper.choices[name]._actions
        hostile = rnd.choice((0.0, 0.0, 0.1, 0.5))
        for action in actions:
            if isinstance(action, argparse._HelpAction):
                continue
            if not action.option_strings:
                least, most = {"?": (0, 1), "*": (0, 4), "+": (1, 4)}.get(str(action.nargs), (1, 1))
                wanted = rnd.randint(least, most)
                line += [self.word(rnd, action, hostile) for _ in range(wanted)]
            elif action.dest == "db":
                if rnd.random() < 0.05:
                    line += ["--db", rnd.choice(FILES)]
            elif rnd.random() < (0.5 if action.required else 0.25):
                line.append(rnd.choice(action.option_strings))
                count = 0 if action.nargs == 0 else action.nargs if isinstance(action.nargs, int) else 1
                line += [self.word(rnd, action, hostile) for _ in range(count)]
        if command in ("plan", "why-not"):
            line += ["--limit", WAIT]
        if rnd.random() < 0.1:
            rnd.shuffle(line)
        if rnd.random() < 0.1:
            line.insert(rnd.randrange(len(line) + 1), words.text(rnd))
        if "--db" not in line and "init" not in line:
            line += ["--db", "mine.db"]
        return [each for each in line if each != "serve"]

    def word(self, rnd: random.Random, action: argparse.Action, hostile: float) -> str:
        if action.dest in PATHS:
            return rnd.choice(FILES)
        if rnd.random() < hostile:
            found = words.text(rnd, self.names.good(rnd, action.dest))
            return found.lstrip("/")  # no file anywhere else comes to harm
        if action.choices:
            return str(rnd.choice(list(action.choices)))
        if action.type in (int, float):
            return rnd.choice(("0", "1", "3", "0.5", "100", "-1", "nan"))
        return self.names.good(rnd, action.dest)

    def case(self, rnd: random.Random) -> Outcome:
        self.count += 1
        if self.count % FRESH == 0:
            self.fresh()
        line = self.line(rnd)
        out, err = io.StringIO(), io.StringIO()
        with (
            mock.patch.object(sys, "stdin", io.StringIO("")),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            try:
                status = main(line)
            except SystemExit as end:
                status = int(end.code or 0)
        return judged(line, status, out.getvalue(), err.getvalue())

    def close(self) -> Iterable[str]:
        """What the commands wrote into the base goes out and comes back."""
        try:
            dump("mine.db", "all.out")
            init("again.db")
            load("again.db", ["all.out"], by="tests")
            if content_hash("again.db") != content_hash("mine.db"):
                yield "a dump and a load do not give the same base"
        finally:
            os.chdir(self.before)
            self.held.cleanup()


def judged(line: list[str], status: int, out: str, err: str) -> Outcome:
    """What is wrong with the answer to a command line."""
    said = f"{line!r}"
    sort = "refused" if status == 2 else "accepted"
    for text in (out, err):
        for mark in ("Traceback", "fault in Matchmark itself", "Exception ignored", "Warning:"):
            if mark in text:
                return Outcome(sort, text[max(0, text.find(mark) - 100) :][:900], said)
    if status not in (0, 1, 2, 3):
        return Outcome(sort, f"ends with {status}", said)
    if status == 2 and "next: " not in err:
        return Outcome(sort, f"names no next step: {err[:300]!r}", said)
    if "\x1b" in out + err or "\x00" in out + err:
        return Outcome(sort, "prints what steers a terminal", said)
    return Outcome(sort, "", said)


def _inner(parser: Any, command: str) -> list[argparse.Action]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return list(action.choices[command]._actions)
    raise AssertionError("the command line has no commands")
