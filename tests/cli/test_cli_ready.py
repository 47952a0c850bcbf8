"""The commands ready, done, reading and fill: what they print, write, refuse, and with which exit status they end."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from kb.base import Base
from tests.cli.running import Ran

Run = Callable[..., Ran]


# -- ready ---------------------------------------------------------------------------------------------------------


def test_ready_says_what_stands_before_the_first_milestone(run: Run, sample: str) -> None:
    ran = run("ready", "drover", "--db", sample)
    assert ran.status == 1
    assert "NO prime  not ready" in ran.out
    assert "Before prime" in ran.out
    assert "known clash aldine-pan-on-calder-38" in ran.out
    assert "NO passage-sealing" in ran.out
    assert "next:     matchmark plan drover --change" in ran.out
    assert "pickup-floor-gap" not in ran.out, "its open limit counts from driving on"
    assert "never a certificate" in " ".join(ran.out.split())


def test_ready_for_a_milestone(run: Run, sample: str) -> None:
    ran = run("ready", "drover", "--for", "drive", "--db", sample)
    assert ran.status == 1
    assert "?? pickup-floor-gap" in ran.out
    assert "matchmark reading drover pan.sump_depth=... --with steel-rule" in ran.out


def test_ready_when_everything_is(run: Run, sample: str) -> None:
    ran = run("ready", "drover-good", "--db", sample)
    assert ran.status == 0
    assert "READY TO DRIVE" in ran.out
    assert "over 99.9 %" in ran.out


def test_ready_cannot_tell(run: Run, sample: str) -> None:
    ran = run("ready", "drover-good", "pan.sump_depth=190 +/- 30 mm", "--for", "prime", "--db", sample)
    assert ran.status == 3
    assert "?? prime  cannot tell" in ran.out
    tried = run("ready", "drover-good", "pan=bench-first-pan", "--db", sample)
    assert tried.status == 1


def test_ready_as_data(run: Run, sample: str) -> None:
    ran = run("ready", "drover", "--json", "--db", sample)
    data = json.loads(ran.out)
    assert (data["asked"], data["state"], data["exit_status"], data["next"]) == ("prime", "not ready", 1, "prime")
    assert [each["milestone"] for each in data["milestones"]] == ["prime", "crank", "fire", "drive"]
    blocker = data["milestones"][0]["blockers"][0]
    assert {"sort", "name", "why", "harm", "milestone", "step", "roles"} <= set(blocker)
    assert data["milestones"][0]["rules_counted"] == data["milestones"][0]["rules"]


def test_ready_folds_many_blockers_unless_all_are_asked_for(run: Run, sample: str) -> None:
    some = run("ready", "drover-manual", "--for", "drive", "--db", sample).out
    every = run("ready", "drover-manual", "--for", "drive", "--all", "--db", sample).out
    assert "more of these: --all" in some
    assert "more of these" not in every
    assert "no alternator" in every
    assert "[ ] turned_by_hand" in some


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_the_terminal(
    run: Run, sample: str, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kb.commands.ready.width", lambda: columns)
    text = run("ready", "drover-manual", "--for", "drive", "--all", "--db", sample).out
    # Only a word that cannot be broken (a command's argument) may stand out.
    assert [line for line in text.splitlines() if len(line) > columns and " " in line.strip()] == []


@pytest.mark.parametrize(
    ("words", "said", "step"),
    [
        (("ready", "drovr"), "drovr", "did you mean drover"),
        (("ready", "pan=bench-38-pan"), "no build is named", "name one"),
        (("ready", "drover", "--for", "sail"), "--for cannot be 'sail'", "prime"),
        (("done", "drovr", "turned_by_hand"), "drovr", "did you mean drover"),
        (("done", "drover", "turned_by_foot"), "turned_by_foot", "did you mean turned_by_hand"),
        (("reading", "drover", "pan.sump_dept=188 mm"), "sump_dept", "did you mean sump_depth"),
        (("reading", "drover", "oil-galery=2 bar"), "oil-galery", "oil-gallery"),
        (("reading", "drover", "pan.sump_depth=188 mm", "--state", "cranking"), "--state says nothing", "gauge"),
        (("reading", "drover", "oil-gallery=2 bar", "--supersedes"), "for measurements of a part", "leave it out"),
        (("reading", "drover", "clutch.finger_depth=30 mm"), "no part fills the role clutch", "fill it first"),
        (("fill", "drover"), "nothing is to be changed", "name a role"),
        (("fill", "drover", "pan=bench-38-pan", "--empty", "pan"), "filled and emptied at once", "one of them"),
        (("fill", "drover", "pan=bench-38-pickup"), "pickup", ""),
        (("fill", "drover", "pann=bench-38-pan"), "pann", "did you mean pan"),
        (("fill", "drover", "pan=nothing-such"), "nothing-such", ""),
        (("fill", "drover", "--new", "Again"), "taken", "another id"),
    ],
)
def test_bad_input_names_the_next_step(run: Run, own: str, words: tuple[str, ...], said: str, step: str) -> None:
    ran = run(*words, "--db", own)
    assert ran.status == 2
    assert said in ran.err
    assert step in ran.err
    assert ran.step


# -- done ----------------------------------------------------------------------------------------------------------


def test_done_ticks_with_date_and_name(run: Run, own: str) -> None:
    before = run("ready", "farm-33", "--for", "prime", "--db", own)
    assert "[ ] oil_counted" in before.out
    assert before.status == 1
    ran = run(
        "done", "farm-33", "oil_counted", "--by", "E. Marsh", "--date", "2024-05-01", "--note", "4 l", "--db", own
    )
    assert ran.status == 0
    assert "done: oil counted" in ran.out
    assert "made farm-33-first-start for this build" in ran.out
    assert "Before crank" in ran.out, "the next blocker"
    assert run("ready", "farm-33", "--for", "prime", "--db", own).status == 0
    listed = run("done", "farm-33", "--db", own).out
    assert "[x] oil_counted" in listed
    assert "2024-05-01, by E. Marsh, 4 l" in " ".join(listed.split())
    assert "[ ] turned_by_hand" in listed


def test_done_can_be_taken_back(run: Run, own: str) -> None:
    taken = run("done", "drover-good", "--not", "fuel_joints_dry", "extinguisher", "--db", own)
    assert taken.status == 0
    assert "fire-guard: fits -> does not fit" in taken.out
    assert run("ready", "drover-good", "--for", "fire", "--db", own).status == 1
    assert run("ready", "drover-good", "--for", "crank", "--db", own).status == 0
    run("done", "drover-good", "fuel_joints_dry", "extinguisher", "--db", own)
    assert run("ready", "drover-good", "--db", own).status == 0
    # What other builds share is left as it was: this build has a list of its own now.
    with Base(own) as base:
        assert base.record_of("drover").roles["first_start"].part == "drover-first-start"


def test_a_misspelt_item_stops_them_all(run: Run, own: str) -> None:
    ran = run("done", "farm-33", "oil_counted", "turned_by_foot", "--db", own)
    assert ran.status == 2
    assert "[x]" not in run("done", "farm-33", "--db", own).out


def test_done_lists_as_data(run: Run, sample: str) -> None:
    rows = {each["id"]: each for each in json.loads(run("done", "drover-good", "--json", "--db", sample).out)["items"]}
    assert rows["turned_by_hand"]["state"] == "ticked"
    assert rows["pilot_bearing"]["state"] == "not needed"  # an automatic gearbox


# -- reading -------------------------------------------------------------------------------------------------------


def test_a_reading_settles_what_it_was_asked_for(run: Run, own: str) -> None:
    # The first pan read 8 mm shallower than its floor is (sample); 186 + 1.9 - 184.2 = 3.7 mm under the foot.
    ran = run("reading", "drover", "pan.sump_depth=186 mm", "--with", "depth-gauge", "--supersedes", "--db", own)
    assert ran.status == 0
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out
    assert "Before prime" in ran.out
    listed = run("reading", "drover", "--db", own).out
    assert "pan.sump_depth = 186 mm (measured with the depth gauge" in " ".join(listed.split())


def test_a_reading_of_a_shared_part_makes_one_of_the_build(run: Run, own: str) -> None:
    ran = run("reading", "pair-unknown", "pan.sump_depth=190 mm", "--with", "depth-gauge", "--db", own)
    assert "made pair-unknown-pan for this build, based on the model" in ran.out
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out  # 190 + 1.9 - 184.2 = 7.7 mm under the foot
    with Base(own) as base:
        assert base.build("pair-unknown").parts["pan"].id == "pair-unknown-pan"


def test_a_gauge_that_shows_nothing_blocks_cranking(run: Run, own: str) -> None:
    words = ("oil-gallery=none", "--state", "cranking", "--speed", "200rpm", "--start", "90", "--by", "E. Marsh")
    ran = run("reading", "drover-good", *words, "--date", "2025-05-01", "--db", own)
    assert ran.status == 0
    assert "crank: not ready" in ran.out
    assert "matchmark reading drover-good oil-gallery=..." in ran.out
    assert "matchmark trace drover-good" in " ".join(ran.out.split())
    listed = " ".join(run("reading", "drover-good", "--db", own).out.split())
    assert "oil-gallery: none (start 90, cranking, 200 rpm, 2025-05-01, E. Marsh)" in listed
    run("reading", "drover-good", "oil-gallery=2.5 bar", "--with", "pressure-gauge", "--state", "cranking", "--start",
        "91", "--db", own)  # fmt: skip
    assert run("ready", "drover-good", "--db", own).status == 0


def test_readings_as_data(run: Run, sample: str) -> None:
    data = json.loads(run("reading", "drover", "--json", "--db", sample).out)
    assert "pan.sump_depth" in {each["name"] for each in data["parts"]}
    assert isinstance(data["gauges"], list)


# -- fill ----------------------------------------------------------------------------------------------------------


def test_another_pan_changes_the_verdicts(run: Run, own: str) -> None:
    ran = run("fill", "drover", "pan=bench-38-pan", "--owned", "--db", own)
    assert ran.status == 0
    assert "passage-sealing: does not fit -> fits" in ran.out
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out
    assert "known clash aldine-pan-on-calder-38: gone" in ran.out
    assert "prime: ready" in ran.out
    # The gauge showed nothing with the first pan (sample): it has to be read again.
    assert "a gauge shows none" in ran.out
    last = run("reading", "drover", "oil-gallery=3.5 bar", "--with", "pressure-gauge", "--state", "primed", "--db", own)
    assert "Ready to drive" in last.out
    with Base(own) as base:
        record = base.record_of("drover")
    assert (record.roles["pan"].part, record.roles["pan"].owned) == ("bench-38-pan", True)
    assert "bench-first-pan" in [each.part for each in record.alternatives["pan"]]


def test_emptying_a_role_makes_it_a_need(run: Run, own: str) -> None:
    ran = run("fill", "drover-good", "--empty", "starter", "--db", own)
    assert ran.status == 0
    assert "no starter" in ran.out
    assert "no longer asked" in ran.out
    assert "matchmark find starter drover-good" in ran.out


def test_a_new_build_from_nothing(run: Run, own: str) -> None:
    made = run("fill", "pile", "--new", "A pile of parts", "--db", own)
    assert made.status == 0
    assert "no block" in made.out
    assert run("ready", "pile", "--db", own).status == 1
    ran = run("fill", "pile", "block=bench-38-yard", "--owned", "--db", own)
    assert "block: bench-38-yard, at hand" in ran.out
    more = run("fill", "pile2", "--new", "Another", "block=bench-38-yard", "--json", "--db", own)
    assert json.loads(more.out)["board"]["build"] == "pile2"


def test_a_part_under_consideration_is_not_put_in(run: Run, own: str) -> None:
    ran = run("fill", "drover-low", "--considering", "pan=bench-38-pan", "--owned", "--db", own)
    assert ran.status == 0
    assert "no verdict changed" in ran.out
    with Base(own) as base:
        record = base.record_of("drover-low")
    assert record.roles["pan"].part == "brightwater-38-drag"
    assert [(each.part, each.owned) for each in record.alternatives["pan"]] == [("bench-38-pan", True)]
    assert run("fill", "drover-low", "--considering", "pan=nothing-such", "--db", own).status == 2


# -- following what it prints --------------------------------------------------------------------------------------

# What somebody at the car would answer (sample: an automatic, a one-piece gasket, a pad for a pump).
SEEN = {
    "small_parts.gearbox": "automatic",
    "small_parts.pan_seal": "one_piece_gasket",
    "small_parts.fuel_pump_pad": "yes",
}
PARTS = {"starter": "calder-38-starter", "transmission": "calder-automatic"}


def test_following_the_steps_leads_to_the_road(run: Run, own: str) -> None:
    """Every printed step can be done as it stands, and each changes what stands in the way."""
    empty = (word for role in ("small_parts", *PARTS) for word in ("--empty", role))
    run("fill", "drover-good", "first_start=drover-half-ticked", *empty, "--db", own)
    before: list[tuple[str, str]] = []
    for _ in range(30):
        ran = run("ready", "drover-good", "--json", "--db", own)
        data = json.loads(ran.out)
        if ran.status == 0:
            break
        asked = next(each for each in data["milestones"] if each["milestone"] == data["asked"])
        now = [(each["name"], each["step"]) for each in asked["blockers"]]
        assert now != before, "the last step changed nothing"
        before = now
        words = asked["blockers"][0]["step"].split()[1:]
        if words[0] == "find":
            words = ["fill", words[2], f"{words[1]}={PARTS[words[1]]}"]
        elif words[0] == "reading":
            name = words[2].partition("=")[0]
            words[2] = f"{name}={SEEN[name]}"
        else:
            assert words[0] == "done", words
            words[2:] = [each["item"] for each in asked["blockers"] if each["item"]]
        assert run(*words, "--db", own).status == 0, words
    assert data["next"] is None
