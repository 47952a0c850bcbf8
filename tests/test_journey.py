"""A newcomer takes the demo build from a pile of parts to ready to drive, typing only what the screen says.

Nothing here knows the commands: they are read off what was printed. What the newcomer brings is a look at the parts:
for each world a table of what a measurement would show there.
"""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest

from kb.cli import main

BUILD = "drover-pile"
STEPS = 60  # the way takes about twenty; a circle would be found long before
LABEL = re.compile(r"^ *(Next|next|Then): +(matchmark .*)$")
BOX = re.compile(r"^\[ \] (\S+) = _+ *(?:\([^)]*\)|\S+)? *(?=with|$)", re.MULTILINE)
TICK = re.compile(r"^  \[ \] ([a-z_]+): ", re.MULTILINE)

# What the corresponding parts of the sample's drover-good show, measured there: bench-38-yard, bench-38-pickup,
# drover-tank, drover-circuit, bench-drover-bay, bench-38-float, bench-38-readings.
GOOD = {
    "block.plugs.gallery-front.fitted": "yes",
    "block.plugs.gallery-rear.fitted": "yes",
    "block.plugs.valley.fitted": "yes",
    "block.bell_dowels": "2",
    "pickup.hang": "184.2 mm",
    "fuel_tank.pickup_clearance": "14 mm",
    "coolant_circuit.vent_rise": "65 mm",
    "engine_bay.steering_gap": "38 mm",
    "engine_bay.line_gap": "55 mm",
    "engine_bay.mount_sag": "1.0 mm",
    "crank_float.without_gearbox": "0.15 mm",
    "crank_float.with_gearbox": "0.15 mm",
    "oil_readings.hot_idle": "22 psi",
    "oil_readings.idle_speed": "760 rpm",
    "oil_readings.hot_running": "50 psi",
    "oil_readings.running_speed": "3000 rpm",
    "oil_readings.cold_highest": "70 psi",
}
WORLDS = {
    "all as it should be": GOOD,
    # Invented: the pickup was bent for good, and the mouth in the tank stands on its floor. Other parts must be got.
    "two parts are spoiled": GOOD | {"pickup.hang": "214 mm", "fuel_tank.pickup_clearance": "2 mm"},
}


class Newcomer:
    """Types commands, reads what they print, and checks after each that the advice was right."""

    def __init__(self, db: Path, world: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
        self.db, self.world, self._capsys = db, world, capsys
        self.typed: list[str] = []
        self.before = self.board()

    def run(self, command: str) -> tuple[int, str]:
        words = shlex.split(command)
        assert words[0] == "matchmark", command
        status = main([*words[1:], "--db", str(self.db)])
        out, err = self._capsys.readouterr()
        assert status in (0, 1, 3), f"{command}\n{err}"
        return status, out

    def type(self, command: str) -> tuple[int, str]:
        """A command of the way; the same one is not typed twice while the board stands still."""
        self.typed.append(command)
        return self.run(command)

    def json(self, command: str) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.run(f"{command} --json")[1])
        return found

    def board(self) -> dict[str, tuple[str, ...]]:
        """Names of what blocks each milestone."""
        told = self.json(f"matchmark ready {BUILD}")
        return {each["milestone"]: tuple(one["name"] for one in each["blockers"]) for each in told["milestones"]}

    def verdicts(self) -> dict[str, str]:
        told = self.json(f"matchmark check {BUILD}")
        return {each["rule"] + (f":{each['qualifier']}" if each.get("qualifier") else ""): each["verdict"]
                for each in told["findings"]}  # fmt: skip


def commands(out: str) -> list[str]:
    """The commands that a screen says to type: of `Next:` and `Then:` at its end, or else of the first `next:`."""
    found: list[tuple[str, str]] = []
    lines = out.splitlines()
    for number, line in enumerate(lines):
        match = LABEL.match(line)
        if match is None:
            continue
        label, words = match.groups()
        for more in lines[number + 1 :]:
            if not re.match(r" {6,}[^ (]", more):
                break
            words += " " + more.strip()
        found.append((label, words))
    said = [words for label, words in found if label != "next"]
    return said or [words for _, words in found[:1]]


def filled(sheet: Path, world: dict[str, str]) -> tuple[set[str], set[str]]:
    """Write what this world shows into the boxes of a sheet; (findings that must settle now, features left open)."""
    text = sheet.read_text(encoding="utf-8")
    due: set[str] = set()
    spared: set[str] = set()
    left: set[str] = set()
    for block in re.split(r"^(?=\[ \])", text, flags=re.MULTILINE)[1:]:
        name = block.split()[2]
        settles = " ".join(block.split()).partition("settles ")[2]
        names = set(re.findall(r"([a-z0-9:-]+) \(\d+ %", settles))
        if name in world:
            due |= names
        else:
            spared |= names
            left.add(name)

    def value(match: re.Match[str]) -> str:
        name = match.group(1)
        return f"[x] {name} = {world[name]}  " if name in world else match.group(0)

    sheet.write_text(BOX.sub(value, text), encoding="utf-8")
    return due - spared, left


def follow(one: Newcomer, command: str, out: str) -> None:
    """Do what the screen `out` said to type, and whatever that says to type next, until something has been written."""
    words = shlex.split(command)
    name = words[1]
    count = len(one.before["drive"])
    if name == "done":  # the screen says that several may follow
        command = f"matchmark done {BUILD} {' '.join(dict.fromkeys([words[3], *TICK.findall(out)]))}"
    elif name == "reading":
        where = re.findall(r" ([a-z_.:0-9-]+)=\.\.\.", command)
        assert where, command
        for each in where:
            command = command.replace(f"{each}=...", f"'{each}={one.world[each]}'")
    if name in ("done", "reading", "fill"):
        assert command not in one.typed, f"circular: {command}"
    if "--enter" in words:
        due, left = filled(Path(words[words.index("--enter") + 1]), one.world)
        open_before = {each for each, verdict in one.verdicts().items() if verdict == "cannot tell"}
        assert due & open_before, "the sheet promised to settle what was open"
    printed = one.type(command)[1]
    wrote = name in ("reading", "done", "fill") or "--enter" in words or "--take" in words
    after = one.board() if wrote else one.before
    verdicts = one.verdicts() if "--enter" in words or "--take" in words else {}
    read = name == "reading" or "--enter" in words
    if "--enter" in words:
        still = {each for each in due if verdicts[each] == "cannot tell"}
        assert not still, f"readings of {command} should have settled {still}"
        assert left <= {"second_fuel.ethanol", "carburettor.base_ethanol"}, "nobody could read these"
    if "--take" in words:
        told = {each for each, verdict in verdicts.items() if verdict != "fits"}
        assert told <= {"small-parts"}, "what the plan put in fits together"
        assert "box of small parts to get and to tick" in " ".join(printed.split()), "and what is left was said before"
        assert "circuit" not in " ".join(after["drive"]), after["drive"]
    assert len(after["drive"]) <= count or read, (command, set(after["drive"]) - set(one.before["drive"]))
    if wrote:
        # A plan asks for readings that only what it buys will raise; that it does not ask twice is seen above.
        for_plan = name == "reading" and ": plan for " in out
        assert after != one.before or name == "fill" or for_plan, f"{command} changed nothing on the board"
    one.before = after
    if wrote:
        return
    if name == "buy":
        got = re.search(r"^  (matchmark fill \S+ --got) \S+ \(--got all", printed, re.MULTILINE)
        assert got, printed
        follow(one, f"{got.group(1)} all", printed)
        return
    more = commands(printed)
    assert more, f"a dead end: {command}\n{printed}"
    since = len(one.typed)
    for each in more:
        if each not in one.typed[since:]:  # what came before may have led to it already
            follow(one, each, printed)


@pytest.mark.parametrize("name", WORLDS)
def test_a_newcomer_gets_from_a_pile_of_parts_to_the_first_drive(
    name: str, own: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    one = Newcomer(Path(own), WORLDS[name], capsys)
    for _ in range(STEPS):
        status, out = one.type(f"matchmark ready {BUILD}")
        if status == 0:
            break
        first, *_ = commands(out)
        follow(one, first, out)
    assert "READY TO DRIVE" in out, one.typed
    assert one.run(f"matchmark ready {BUILD} --for drive")[0] == 0
    assert "not at hand" not in out
    status, out = one.run(f"matchmark check {BUILD}")
    assert status == 0, out
    assert not any(one.before.values()), one.before


def test_a_part_that_cannot_do_what_the_role_is_for_is_left_out(own: str, capsys: pytest.CaptureFixture[str]) -> None:
    # bench-suction-narrow serves the suction side, by its record.
    main(["find", "fuel_line:supply", BUILD, "--json", "--all", "--db", own])
    found = json.loads(capsys.readouterr().out)
    listed = {
        part["part"] for sort in ("fits", "cannot_tell", "does_not_fit") for row in found[sort] for part in row["parts"]
    }
    assert "bench-supply-narrow" in listed
    assert "bench-suction-narrow" not in listed
    said = next(each for each in found["remarks"] if each.startswith("Left out"))
    assert "serves supply" in said
    assert "bench-suction-narrow" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--got", "pann"], "filled role"),
        (["pan=calder-38-pan", "--got", "pickup", "--got", "pan"], "filled role"),
        (["pickup=calder-38-pickup", "--got", "pickup"], "at once"),
    ],
)
def test_what_is_not_there_cannot_be_at_hand(
    words: list[str], said: str, own: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["fill", BUILD, *words, "--db", own]) == 2
    assert said in capsys.readouterr().err


def test_ticks_wait_for_parts_that_are_not_at_hand(own: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["done", "drover-good", "oil_counted", "--not", "--db", own]) == 0
    capsys.readouterr()
    main(["ready", "drover-good", "--db", own])
    out = capsys.readouterr().out
    assert commands(out) == ["matchmark buy drover-good", "matchmark done drover-good oil_counted"]
    main(["fill", "drover-good", "--got", "all", "--db", own])
    capsys.readouterr()
    main(["ready", "drover-good", "--db", own])
    out = capsys.readouterr().out
    assert "not at hand" not in out
    assert commands(out) == ["matchmark done drover-good oil_counted"]
