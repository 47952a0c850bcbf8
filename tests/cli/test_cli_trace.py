"""`matchmark trace`: by flags, asked on a terminal, and from the cause to a record."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.trace.trees import trees
from tests.cli.running import Ran, talk

Run = Callable[..., Ran]
CLEAR, OPEN, WRONG = 0, 3, 2
LEAK = ("--answer", "pad-jet=none", "--answer", "mechanical-gauge=fades", "--answer", "suction-vacuum=leaks")


@pytest.fixture
def trace(run: Run, sample: str) -> Run:
    return lambda *words: run("trace", "--db", sample, *words)


def flat(text: str) -> str:
    return " ".join(text.split())


# -- by flags ----------------------------------------------------------------------------------------------------------


def test_the_symptoms_are_listed(trace: Run) -> None:
    ran = trace("--list")
    assert (ran.status, ran.err) == (0, "")
    assert all(id in ran.out for id in trees())
    assert [each["id"] for each in json.loads(trace("--list", "--json").out)] == list(trees())


def test_the_tests_of_a_symptom_are_listed(trace: Run) -> None:
    ran = trace("drover-good", "--symptom", "no-spark", "--list")
    assert ran.status == 0
    for piece in (
        "live-speed:",
        "zero (zero)",
        "unknown",
        "Causes:",
        "gap-wide:",
        "Left out:",
        "style of the distributor: stub",
    ):
        assert piece in flat(ran.out), piece
    data = json.loads(trace("drover-good", "--symptom", "no-spark", "--list", "--json").out)
    assert data["symptom"] == "no-spark"
    assert {"live-speed", "coil-lamp"} <= {each["id"] for each in data["tests"]}
    assert all(0 < each["prior"] < 1 for each in data["causes"])


def test_nothing_stands_clear_at_first_and_a_test_is_proposed(trace: Run) -> None:
    ran = trace("drover-good", "--symptom", "oil-prime")
    assert ran.status == OPEN
    words = flat(ran.out)
    for piece in (
        "Nothing stands clear yet.", "Next:", "How:", "Cost: about", "bits are expected", "none of these",
        "Go on with: matchmark trace drover-good --symptom oil-prime", "Stop after 30 seconds without pressure",
        "A verdict is advice, never a certificate", "(common practice, no source)",
    ):  # fmt: skip
        assert piece in words, piece


def test_free_words_and_answers_lead_to_the_cause(trace: Run) -> None:
    ran = trace(
        "drover-good", "--symptom", "12.4 V at the battery, 8.1 V at the starter while cranking",
        "--answer", "ground-drop=large", "--answer", "strap-seen=there",
    )  # fmt: skip
    assert ran.status == CLEAR
    words = flat(ran.out)
    for piece in (
        "It is almost certain: the ground from engine to battery is thin or poor.",
        "Do: a cable as thick as the feed", "matchmark check drover-good --rule ground-return",
        "--draft found.yaml", "A battery can burst",
    ):  # fmt: skip
        assert piece in words, piece


def test_the_build_with_the_bad_pan_is_known_before_the_first_question(trace: Run) -> None:
    ran = trace("drover", "--symptom", "no oil pressure when priming")
    assert ran.status == CLEAR
    words = flat(ran.out)
    assert "an oil passage through the pan's corner is not clamped" in words
    assert "recorded as an incompatibility that matches these parts: “Aldine 33/38 pan leaves the rear feed" in words
    assert "(aldine-pan-on-calder-38)" in words


def test_the_data_say_what_the_text_says(trace: Run) -> None:
    data = json.loads(trace("drover-good", "--symptom", "oil-prime", *LEAK, "--json").out)
    assert data["state"] == "clear"
    lead = data["suspects"][0]
    assert (lead["cause"], lead["clear"]) == ("suction-leak", True)
    assert {"pickup", "oil_pump"} <= set(lead["roles"])
    assert "pickup-seal-squeeze" in lead["rules"]
    assert lead["joints"] == ["oil.pickup-pump"]
    assert [each["outcome"] for each in data["answers"]] == ["none", "fades", "leaks"]
    chances = [round(each["probability"], 9) for each in data["suspects"]]
    assert chances == sorted(chances, reverse=True)
    assert all(0 < each < 1 for each in chances)
    assert data["next"]["id"] not in ("pad-jet", "mechanical-gauge", "suction-vacuum")


def test_an_unknown_answer_is_taken(trace: Run) -> None:
    first = json.loads(trace("drover-good", "--symptom", "belt", "--json").out)
    after = json.loads(
        trace("drover-good", "--symptom", "belt", "--answer", f"{first['next']['id']}=?", "--json").out
    )  # fmt: skip
    chances = [[each["probability"] for each in found["suspects"]] for found in (after, first)]
    assert chances[0] == pytest.approx(chances[1], rel=1e-9)
    assert after["next"]["id"] != first["next"]["id"]
    assert after["answers"][0]["outcome"] == "unknown"


def test_a_contradicting_reading_is_said_to(trace: Run) -> None:
    ran = trace(
        "drover-good", "--symptom", "oil-prime", "--answer", "drill-feel=free", "--answer", "slot-turning=still",
        "--answer", "pad-jet=jets",
    )  # fmt: skip
    assert "this contradicts every cause that was left" in flat(ran.out)


def test_a_part_can_be_tried_in_a_role(trace: Run) -> None:
    ran = trace("drover-good", "pan=aldine-33-38-pan", "--symptom", "oil-prime", "--json")
    assert json.loads(ran.out)["suspects"][0]["cause"] == "passage-open"


def test_tools_change_what_is_proposed(trace: Run) -> None:
    lacking = json.loads(trace("drover-good", "--symptom", "oil-prime", "--lack", "drill", "--json").out)
    assert "a drill with the priming tip" not in lacking["next"]["tools"]
    assert trace("drover-good", "--symptom", "oil-prime", "--have", "scope", "--json").status == OPEN


@pytest.mark.parametrize(
    ("words", "what", "step"),
    [
        ((), "no build is named", "matchmark trace drover"),
        (("drover-good",), "no symptom is named", "matchmark trace --list"),
        (("drover-god", "--symptom", "belt"), "no build named 'drover-god'", "did you mean drover-good"),
        (("drover-good", "--symptom", "purple smell"), "no symptom is known", "oil-prime: no oil pressure"),
        (("drover-good", "--symptom", "belt", "--answer", "sond=chirp"), "no test for belt named 'sond'", "sound"),
        (("drover-good", "--symptom", "belt", "--answer", "sound=bang"), "no outcome of sound named", "chirp"),
        (("drover-good", "--symptom", "belt", "--answer", "sound"), "is no name=value", "pan=deep-pan"),
        (("drover-good", "--symptom", "belt", "--have", "hammer"), "no tool named 'hammer'", "multimeter"),
    ],
)
def test_what_is_wrong_is_told_with_the_next_step(trace: Run, words: tuple[str, ...], what: str, step: str) -> None:
    ran = trace(*words)
    assert ran.status == WRONG
    assert what in ran.err
    assert step in ran.step


# -- on a terminal -----------------------------------------------------------------------------------------------------


def test_asked_step_by_step(sample: str, tmp_path: Path) -> None:
    answers = [
        ("your own words", "nothing of the kind\r"),
        ("your own words", "1\r"),
        ("> ", "9\r"),  # no such outcome
        ("type a number", "?\r"),
        ("> ", "u\r"),
        ("> ", "2\r"),
        ("> ", "q\r"),
    ]
    ran = talk(("trace", "drover-good", "--db", sample), answers, tmp_path)
    assert ran.status == OPEN
    words = flat(ran.out)
    assert "no symptom is known by these words" in words
    assert "Stop after 30 seconds without pressure" in words
    assert words.rstrip().endswith("--answer drill-feel=drags")
    assert "Go on with: matchmark trace drover-good --symptom oil-prime --db" in words


def test_a_clear_cause_ends_it_and_can_be_taken_back(sample: str, tmp_path: Path) -> None:
    answers = [
        ("Enter ends", "c\r"),  # on all the same
        ("> ", "1\r"),
        ("Enter ends", "u\r"),
        ("Enter ends", "\r"),
    ]
    ran = talk(("trace", "drover", "--symptom", "oil-prime", "--db", sample), answers, tmp_path)
    assert ran.status == CLEAR
    assert "an oil passage through the pan's corner is not clamped" in flat(ran.out)


# -- from cause to record ----------------------------------------------------------------------------------------------


def test_a_draft_becomes_a_record(run: Run, own: str, tmp_path: Path) -> None:
    file = tmp_path / "found.yaml"
    drafted = run("trace", "drover-good", "--db", own, "--symptom", "oil-prime", *LEAK, "--draft", str(file))
    assert drafted.status == CLEAR
    assert f"matchmark incompat add --from-trace {file}" in drafted.err
    added = run("incompat", "add", "--from-trace", str(file), "--db", own)
    assert (added.status, added.err) == (0, "")
    shown = json.loads(run("incompat", "show", "drover-good-suction-leak", "--json", "--db", own).out)
    parties = {each["role"]: each["part"] for each in shown["parties"]}
    assert parties == {"oil_pump": "bench-38-pump", "pickup": "bench-38-pickup", "pickup_seal": "calder-38-ring"}
    assert shown["symptom"].startswith("No oil pressure when priming")
    assert shown["cause"].startswith("The suction draws air")
    assert (shown["milestone"], shown["harm"], shown.get("status", "reported")) == ("prime", ["destroys"], "reported")
    assert len(shown["evidence"]) == 3
    assert "it leaks" in shown["evidence"][2]["text"]
    # it counts from now on: in a check, and in the next trace
    assert "drover-good-suction-leak" in run("check", "drover-good", "--db", own).out
    again = json.loads(run("trace", "drover-good", "--db", own, "--symptom", "oil-prime", "--json").out)
    assert again["suspects"][0]["cause"] == "suction-leak"
    assert any("drover-good-suction-leak" in each for each in again["suspects"][0]["why"])


def test_a_draft_of_what_is_not_clear_says_so_and_overwrites_nothing(trace: Run, tmp_path: Path) -> None:
    file = tmp_path / "found.yaml"
    ran = trace("drover-good", "--symptom", "belt", "--draft", str(file))
    assert ran.status == OPEN
    assert "nothing stands clear yet" in ran.err
    again = trace("drover-good", "--symptom", "belt", "--draft", str(file))
    assert again.status == WRONG
    assert "there is such a file already" in again.err
    assert trace("drover-good", "--symptom", "belt", "--draft", str(tmp_path / "no" / "x.yaml")).status == WRONG


def test_two_files_are_refused(run: Run, own: str) -> None:
    ran = run("incompat", "add", "a.yaml", "--from-trace", "b.yaml", "--db", own)
    assert ran.status == WRONG
    assert "two files are given" in ran.err


def test_a_recorded_reading_answers_for_itself(run: Run, own: str, tmp_path: Path) -> None:
    record = tmp_path / "r.yaml"
    record.write_text(
        "kind: reading\nid: weak-battery\nbuild: drover-good\nplace: start-battery-posts\nvalue: 8.7 V\n"
        "with: multimeter\nstate: cranking\n"
    )
    assert run("load", str(record), "--db", own).status == 0
    data = json.loads(run("trace", "drover-good", "--db", own, "--symptom", "hard-crank", "--json").out)
    assert [(each["test"], each["outcome"], each["reading"]) for each in data["answers"]] == [
        ("crank-volts", "falls", "weak-battery")
    ]
    assert data["suspects"][0]["cause"] == "battery-weak"
