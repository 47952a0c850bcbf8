"""What the command prints, and where it cannot: pipes, full disks, odd encodings, hostile records, help."""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kb.cli import COMMANDS, build_parser
from kb.roles import ROLES
from kb.rules import entries
from tests.cli.running import COMMAND, PATIENCE, Ran, environment, process

Run = Callable[..., Ran]
STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


# -- where output goes ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words", [("check", "drover"), ("check", "drover", "--json"), ("rules",), ("rules", "--roles")]
)
def test_a_reader_that_leaves_is_no_fault(sample: str, words: tuple[str, ...]) -> None:
    """As in `matchmark check drover | head -1`: the pipe is closed before anything is written."""
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*COMMAND, *words, "--db", sample] if words[0] == "check" else [*COMMAND, *words],
        stdout=writing, stderr=subprocess.PIPE, env=environment(), timeout=PATIENCE,
    )  # fmt: skip
    os.close(writing)
    assert done.stderr == b""
    assert done.returncode == (1 if words[0] == "check" else 0)  # the verdict stands


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no device that is always full")
@pytest.mark.parametrize("words", [("check", "drover"), ("rules",), ("--help",), ("check", "--help"), ("--version",)])
def test_output_that_cannot_be_written_is_told(sample: str, words: tuple[str, ...]) -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [*COMMAND, *words], stdout=full, stderr=subprocess.PIPE, env=environment(MATCHMARK_DB=sample),
            timeout=PATIENCE,
        )  # fmt: skip
    told = Ran(done.returncode, "", done.stderr.decode()).clean()
    assert told.status == 2
    assert "the output cannot be written: No space left on device" in told.err
    assert told.step == "make room, or send the output elsewhere"


def test_closed_outputs_leave_the_status(sample: str) -> None:
    for close, word, status in ((1, "drover", 1), (2, "drovr", 2), (2, "drover-good", 0)):
        done = subprocess.run(
            [*COMMAND, "check", "--db", sample, word], env=environment(), timeout=PATIENCE, stderr=subprocess.PIPE,
            preexec_fn=lambda close=close: os.close(close), stdout=subprocess.DEVNULL if close == 2 else None,
        )  # fmt: skip
        assert done.returncode == status
        assert b"Traceback" not in (done.stderr or b"")


@pytest.mark.parametrize("code", ["ascii", "latin-1", "cp1252", "cp437", "utf-8", "utf-16"])
def test_any_encoding_can_show_an_answer(sample: str, code: str) -> None:
    done = subprocess.run(
        [*COMMAND, "check", "--db", sample, "drover"], capture_output=True, timeout=PATIENCE,
        env=environment(PYTHONIOENCODING=code),
    )  # fmt: skip
    assert done.stderr == b""
    assert done.returncode == 1
    spread = "±" if code.startswith("utf") else "+/-"
    assert f" {spread} " in done.stdout.decode(code)


def test_a_plain_locale_is_enough(sample: str) -> None:
    plain = {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    assert process("check", "--db", sample, "drover", **plain).status == 1


def test_ctrl_c_stops_with_a_word(sample: str, monkeypatch: pytest.MonkeyPatch, run: Run) -> None:
    from kb.base import Base

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Base, "check", stopped)
    ran = run("check", "--db", sample, "drover")
    assert (ran.status, ran.out) == (130, "")
    assert ran.err == "stopped; the database is as it was before\n"


# -- hostile records --------------------------------------------------------------------------------------------------

LONG_NAME = "Ω" * 150 + " and no end to it " + "x" * 30
HOSTILE = "<script>alert('1')</script> x'); DROP TABLE part; -- %s {0} $(id) `id`"


@pytest.fixture
def hostile(own: str) -> str:
    """The sample with parts, a build and a clash whose texts are as bad as records may be."""
    from kb.store.write import write_record

    words = HOSTILE + " and on it goes" * 100 + "\n\tanother line\n" + "y" * 3000
    records: list[dict[str, Any]] = [
        {"kind": "pan", "id": "p" + "0123456789" * 7, "name": LONG_NAME, "based_on": "calder-38-pan", "notes": words},
        {"kind": "pickup", "id": "html", "name": HOSTILE, "based_on": "calder-38-pickup"},
        {
            "kind": "build",
            "id": "hostile",
            "name": LONG_NAME,
            "roles": {
                "pan": "p" + "0123456789" * 7, "pickup": "html", "block": "calder-38", "pan_gasket": "calder-38-gasket",
                "oil_pump": "calder-38-pump", "pickup_seal": "calder-38-ring", "flange_bolts": "calder-38-bolts",
            },
            "notes": words,
        },
        {
            "kind": "incompatibility",
            "id": "c" * 80,
            "title": LONG_NAME,
            "parties": [{"role": "pan", "part": "p" + "0123456789" * 7}, {"role": "pickup", "part": "html"}],
            "symptom": words, "cause": words, "remedy": words, "found": "build", "harm": "leaks", "milestone": "prime",
            "by": HOSTILE, "evidence": [{"text": words}],
        },
    ]  # fmt: skip
    for record in records:
        write_record(own, record, by=HOSTILE, origin=HOSTILE)
    return own


@pytest.mark.parametrize(
    "words",
    [
        ("check", "hostile"), ("check", "hostile", "--full"), ("check", "hostile", "--units", "in64", "--full"),
        ("incompat", "list"), ("incompat", "show", "c" * 80),
    ],
)  # fmt: skip
def test_hostile_records_stay_within_the_lines(run: Run, hostile: str, words: tuple[str, ...]) -> None:
    ran = run(*words, "--db", hostile)
    assert ran.status in (0, 1)
    assert [line for line in ran.out.splitlines() if len(line) > 80] == []
    assert not STEERING.search(ran.out)
    assert "Ω" * 60 in ran.out


def test_hostile_records_are_plain_data(run: Run, hostile: str) -> None:
    answer = json.loads(run("check", "hostile", "--json", "--db", hostile).out)
    assert answer["name"] == LONG_NAME
    assert answer["clashes"][0]["headline"] == LONG_NAME
    assert HOSTILE in answer["clashes"][0]["reason"]


def test_what_got_into_a_database_otherwise_cannot_steer_the_terminal(run: Run, own: str) -> None:
    """Records are refused with control characters; this one was put there behind the program's back."""
    import sqlite3

    con = sqlite3.connect(own)
    con.execute('UPDATE part SET facts = replace(facts, \'"name":\', \'"maker":"\\u001b]0;m\\u0007","name":\')')
    facts = con.execute("SELECT facts FROM part WHERE id = 'calder-38-pan'").fetchone()[0]
    changed = {**json.loads(facts), "name": "\x1b[2J\x9b31mpan\x07\u202e"}
    con.execute("UPDATE part SET facts = ? WHERE id = 'calder-38-pan'", [json.dumps(changed)])
    build = json.loads(con.execute("SELECT facts FROM build WHERE id = 'drover-good'").fetchone()[0])
    build["name"] = "\x1b[31mgood\r\x08\x9b2J\u202e"
    con.execute("UPDATE build SET facts = ? WHERE id = 'drover-good'", [json.dumps(build)])
    con.commit()
    con.close()
    for more in ((), ("--full",), ("--json",)):
        ran = run("check", "drover-good", "pan=calder-38-pan", "--db", own, *more)
        assert not STEERING.search(ran.out)
        assert "\\u001b[31mgood" in ran.out
    data = json.loads(run("check", "drover-good", "--json", "--db", own).out)
    assert data["name"] == "\x1b[31mgood\r\x08\x9b2J\u202e"  # in plain data it is itself again


# -- help, lists ------------------------------------------------------------------------------------------------------


def subcommands() -> list[tuple[str, ...]]:
    import argparse

    found: list[tuple[str, ...]] = [()]
    for name, command in build_parser()._subparsers._group_actions[0].choices.items():  # type: ignore[union-attr]
        found.append((name,))
        if command._subparsers:
            inner = command._subparsers._group_actions[0]
            assert isinstance(inner, argparse._SubParsersAction)
            found += [(name, action) for action in inner.choices]
    return found


@pytest.mark.parametrize("words", subcommands(), ids=" ".join)
def test_every_command_helps(run: Run, words: tuple[str, ...]) -> None:
    ran = run(*words, "--help")
    assert ran.status == 0
    assert ran.err == ""
    assert "usage: matchmark" in ran.out
    assert [line for line in ran.out.splitlines() if len(line) > 80] == []


def test_every_command_is_one_of_the_table() -> None:
    assert {words[0] for words in subcommands() if words} == set(COMMANDS)


def test_the_rules_are_listed_and_shown(run: Run) -> None:
    listed = run("rules")
    assert listed.status == 0
    for each in entries():
        assert re.search(rf"^  {each.id} ", listed.out, re.MULTILINE)
    assert [line for line in listed.out.splitlines() if len(line) > 80] == []
    data = json.loads(run("rules", "--json").out)
    assert [each["id"] for each in data] == [each.id for each in entries()]


@pytest.mark.parametrize("units", ["mm", "in", "in64"])
def test_each_rule_is_shown_whole(run: Run, units: str) -> None:
    for each in entries():
        shown = run("rules", each.id, "--units", units)
        assert [line for line in shown.out.splitlines() if len(line) > 80] == [], each.id
        data = json.loads(run("rules", each.id, "--json").out)
        words = " ".join(shown.out.split())
        for limit in data["limits"]:
            for piece in (f"limit {limit['name']}: at ", limit["why"], limit["fix"], limit["source"]):
                assert " ".join(piece.split()) in words, (each.id, piece)
        assert data["asks"] in words


def test_a_rule_is_shown_in_inches(run: Run) -> None:
    # derived from the definition: 12.7 mm = 1/2 in
    assert "limit most: at most 12.7 mm" in run("rules", "pickup-floor-gap").out
    assert "limit most: at most 0.500 in" in run("rules", "pickup-floor-gap", "--units", "in").out
    assert "limit most: at most 1/2 in" in run("rules", "pickup-floor-gap", "--units", "in64").out


def test_the_rules_of_one_subsystem(run: Run) -> None:
    some = json.loads(run("rules", "--subsystem", "trigger", "--json").out)
    assert {each["subsystem"] for each in some} == {"trigger"}


def test_the_roles_are_listed_with_their_features(run: Run) -> None:
    out = run("rules", "--roles").out
    assert [line for line in out.splitlines() if len(line) > 80] == []
    data = json.loads(run("rules", "--roles", "--json").out)
    assert list(data) == list(ROLES)
    for name, role in data.items():
        assert re.search(rf"^{name}:", out, re.MULTILINE)
        for feature in role["features"]:
            assert re.search(rf"^  {name}.{feature}:", out, re.MULTILINE)


def test_the_version(run: Run, tmp_path: Path) -> None:
    import kb

    assert process("--version", cwd=tmp_path).out == f"matchmark {kb.__version__}\n"
