"""`matchmark check` on the sample: statuses, what is shown, values to try, limits of one's own."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from kb.chance import FITS, NOT, OPEN
from tests.cli.running import Ran, process

Run = Callable[..., Ran]
STATUS = {FITS: 0, NOT: 1, OPEN: 3}
# What sample_db/README.md promises of each build.
PROMISED = {
    "drover": NOT, "drover-good": FITS, "drover-low": NOT, "drover-stroker": NOT, "farm-33": FITS, "pair-arch": NOT,
    "pair-contradiction": OPEN, "pair-depth": NOT, "pair-fits": FITS, "pair-passage": NOT, "pair-squeeze": NOT,
    "pair-unknown": OPEN,
}  # fmt: skip
# The factory's parts of one engine, for combinations named on the line.
BENCH = (
    "block=bench-38-yard", "oil_pump=bench-38-pump", "pan=bench-38-pan", "pan_gasket=calder-38-gasket",
    "flange_bolts=calder-38-bolts", "pickup=bench-38-pickup", "pickup_seal=calder-38-ring",
)  # fmt: skip


def data(ran: Ran) -> dict[str, Any]:
    def refuse(word: str) -> float:
        raise AssertionError(f"{word} is no JSON")

    loaded: dict[str, Any] = json.loads(ran.out, parse_constant=refuse)
    return loaded


def found(answer: dict[str, Any], rule: str) -> dict[str, Any]:
    one: dict[str, Any] = next(each for each in answer["findings"] if each["rule"] == rule)
    return one


@pytest.mark.parametrize(("build", "verdict"), PROMISED.items())
def test_each_build_of_the_sample_ends_with_the_status_of_its_verdict(check: Run, build: str, verdict: str) -> None:
    ran = check(build)
    assert ran.status == STATUS[verdict]
    assert f"\n{verdict.upper()}. Of " in ran.out
    assert ran.err == ""


@pytest.mark.parametrize("build", PROMISED)
def test_json_and_text_say_the_same(check: Run, build: str) -> None:
    text, plain = check(build, "--full"), check(build, "--json")
    answer = data(plain)
    assert (plain.status, plain.err) == (text.status, "")
    assert answer["exit_status"] == text.status
    marks = {NOT: "NO", OPEN: "??", FITS: "ok"}
    lines = text.out.splitlines()
    for each in answer["findings"]:
        name = f"{each['rule']}:{each['qualifier']}" if each["qualifier"] else each["rule"]
        assert any(line.startswith(f"{marks[each['verdict']]} {name}: ") for line in lines), name
    said = [line for line in lines if line[:3] in ("NO ", "?? ", "ok ")]
    assert len(said) == len(answer["findings"]) + len(answer["clashes"])
    counts = {verdict: sum(each["verdict"] == verdict for each in answer["findings"]) for verdict in marks}
    whole = " ".join(text.out.split())
    assert f"{counts[NOT]} no, {counts[OPEN]} cannot tell, {counts[FITS]} good" in whole
    assert all(f"known clash {each['id']}:" in whole for each in answer["clashes"])


@pytest.mark.parametrize("build", PROMISED)
@pytest.mark.parametrize("units", ["mm", "in", "in64"])
def test_lines_fit_into_eighty_columns(check: Run, build: str, units: str) -> None:
    for more in ((), ("--full",)):
        long = [line for line in check(build, "--units", units, *more).out.splitlines() if len(line) > 80]
        assert long == []


def test_worst_comes_first(check: Run) -> None:
    marks = [line[:2] for line in check("drover").out.splitlines() if line[:3] in ("NO ", "?? ", "ok ")]
    assert marks == sorted(marks, key=("NO", "??", "ok").index)
    assert {"NO", "??", "ok"} == set(marks)


def test_a_refusal_shows_why_what_to_do_the_harm_and_the_caution(check: Run) -> None:
    out = " ".join(check("drover", "--full").out.split())
    assert "NO passage-sealing: at P1: " in out
    for label in ("asks:", "why:", "do:", "harm:", "note:", "measure:"):
        assert f" {label} " in out
    assert "A verdict is advice, never a certificate" in out


def test_full_shows_the_inputs_of_what_fits_too(check: Run) -> None:
    short, full = check("drover-good").out, check("drover-good", "--full").out
    assert "from: " not in short
    assert " ".join(full.split()).count("from: pickup.hang = ") >= 1
    assert len(full) > 2 * len(short)


# -- parts by role ----------------------------------------------------------------------------------------------------


def test_parts_named_by_role_are_a_combination(check: Run) -> None:
    assert check(*BENCH).status == STATUS[FITS]
    assert check(*BENCH).out.startswith("These parts together\n====================\n")


def test_a_part_named_by_role_replaces_that_of_the_build(check: Run) -> None:
    # sample_db/README.md, "Some swaps worth trying"
    assert check("drover-good", "pan=aldine-38-front-sump").status == STATUS[NOT]
    assert found(data(check("drover-good", "controller=hob-lane-spark", "--json")), "wheel-pattern")["verdict"] == NOT


def test_one_part_alone_is_no_fit(check: Run) -> None:
    ran = check("pickup_seal=calder-38-ring")
    assert ran.status == STATUS[OPEN]
    assert "Of 0 questions asked" in ran.out


# -- values to try ----------------------------------------------------------------------------------------------------


def test_a_value_on_the_line_changes_the_verdict_both_ways(check: Run) -> None:
    rule = ("--rule", "pickup-floor-gap")
    assert check(*BENCH, *rule).status == STATUS[FITS]
    # The pickup hangs about 184 mm below the rail: a floor at 170 mm is above its foot, one at 290 mm far under it.
    assert check(*BENCH, *rule, "pan.sump_depth=170 mm").status == STATUS[NOT]
    assert check(*BENCH, *rule, "pan.sump_depth=290 mm").status == STATUS[NOT]
    assert check(*BENCH, *rule, "pickup.hang=?").status == STATUS[OPEN]
    assert check("pair-unknown", *rule).status == STATUS[OPEN]
    assert check("pair-unknown", *rule, "pan.sump_depth=189 mm").status == STATUS[FITS]


def test_inches_and_a_tolerance_may_be_tried(check: Run) -> None:
    rule = ("--rule", "pickup-floor-gap", "--json")
    exact = found(data(check(*BENCH, *rule, "pan.sump_depth=7 1/2 in")), "pickup-floor-gap")
    wide = found(data(check(*BENCH, *rule, "pan.sump_depth=7.5 in +/- 0.5 in")), "pickup-floor-gap")
    # derived from the definition: 7 1/2 in is 190.5 mm either way it is written
    assert exact["quantity"] == pytest.approx(wide["quantity"], abs=1e-9)
    assert wide["standard_uncertainty"] > 2 * exact["standard_uncertainty"]
    assert wide["verdict"] == OPEN


def test_codes_flags_counts_and_entries_may_be_tried(check: Run) -> None:
    whole = ("drover-good", "--json")
    assert found(data(check(*whole, "pan.rail_pattern=calder-33")), "rail-pattern")["verdict"] == NOT
    assert found(data(check(*whole, "pickup.brace=no", "pickup.flange_bolts=1")), "pickup-brace")["verdict"] != FITS
    low = found(data(check(*whole, "pan.flange.P1.height=-4 mm")), "passage-sealing")
    assert (low["verdict"], low["station"]) == (NOT, "P1")


def test_a_tried_value_is_not_kept(check: Run) -> None:
    before = check("drover-good", "--json").out
    assert check("drover-good", "pan.sump_depth=170 mm").status == STATUS[NOT]
    assert check("drover-good", "--json").out == before


# -- settings and limits ----------------------------------------------------------------------------------------------


def test_a_limit_of_ones_own_changes_the_verdict(check: Run) -> None:
    rule = ("--rule", "pickup-floor-gap")
    ran = check(*BENCH, *rule, "--limit", "pickup-floor-gap.least=30 mm")
    assert ran.status == STATUS[NOT]
    assert "limit given with this check" in " ".join(ran.out.split())
    assert check("pair-depth", *rule).status == STATUS[NOT]
    assert check("pair-depth", *rule, "--limit", "pickup-floor-gap.most=100 mm").status == STATUS[FITS]


def test_thresholds_change_what_is_sure_enough(check: Run) -> None:
    rule = ("drover", "--rule", "pickup-floor-gap", "--json")
    chance = found(data(check(*rule)), "pickup-floor-gap")["probability"]
    assert 0.5 < chance < 0.975
    verdict = found(data(check(*rule, "--fits-at", "0.6")), "pickup-floor-gap")["verdict"]
    assert verdict == FITS
    assert data(check(*rule, "--fits-at", "0.6"))["settings"]["fits_at"] == 0.6


def test_a_seed_leaves_the_thresholds_of_the_build_alone(run: Run, own: str) -> None:
    from kb.store.write import write_record

    build = {"kind": "build", "id": "cautious", "name": "cautious", "roles": {"pan": "calder-38-pan"}, "fits_at": 0.999}
    write_record(own, build, by="test", origin="test")
    settings = [
        data(run("check", "--db", own, "cautious", "--json", *more))["settings"]
        for more in ((), ("--seed", "7"), ("--not-at", "0.01"))
    ]
    assert [(each["fits_at"], each["not_at"], each["seed"]) for each in settings] == [
        (0.999, 0.025, 1),
        (0.999, 0.025, 7),
        (0.999, 0.01, 1),
    ]


def test_rules_and_subsystems_can_be_chosen(check: Run) -> None:
    one = data(check("drover-good", "--rule", "pan-to-ground", "--rule", "pan-to-ground", "--json"))
    assert [each["rule"] for each in one["findings"]] == ["pan-to-ground"]
    some = data(check("drover-good", "--subsystem", "trigger", "--json"))
    assert {each["subsystem"] for each in some["findings"]} == {"trigger"}


def test_the_draws_are_the_same_for_the_same_seed(check: Run) -> None:
    words = ("drover", "--json", "--seed", "5")
    assert check(*words).out == check(*words).out


# -- the real process -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("build", "status"), [("drover", 1), ("drover-good", 0), ("pair-unknown", 3), ("none", 2)])
def test_the_process_ends_with_the_status(sample: str, build: str, status: int) -> None:
    ran = process("check", "--db", sample, build)
    assert ran.status == status
    assert (ran.out == "") == (status == 2)
    assert (ran.err == "") == (status != 2)


def test_the_database_may_come_from_the_environment(sample: str) -> None:
    assert process("check", "drover-good", MATCHMARK_DB=sample).status == 0


def test_the_demo_needs_nothing_else(tmp_path: Any) -> None:
    ran = process("demo", "--db", str(tmp_path / "demo.db"))
    assert ran.status == 0
    assert "DOES NOT FIT" in ran.out
    assert "matchmark serve" in ran.out
    again = process("demo", "--db", str(tmp_path / "demo.db"), "drover-good")
    assert again.status == 0
    assert "\nFITS. " in again.out


def test_a_whole_car_is_summed_up_on_about_one_screen(check: Run) -> None:
    out = check("drover-good").out
    assert len(out.splitlines()) <= 24
    assert "ok accessory " in out
    assert "More: --full, --subsystem NAME or --rule NAME" in out


def test_a_summary_tells_what_is_wrong_worst_first_with_what_to_do(check: Run) -> None:
    out = check("drover").out
    no, open_question, good = (
        out.index(mark) for mark in ("NO passage-sealing: at P1", "?? pickup-floor-gap: ", "ok ")
    )
    assert no < open_question < good
    assert " measure:  pan.sump_depth" in out
    assert len(out.splitlines()) <= 60


def test_one_subsystem_is_told_in_detail(check: Run) -> None:
    out = check("drover", "--subsystem", "sealing").out
    assert "asks:     Is the gasket squeezed at every open oil passage" in out
    assert "ok rail-pattern: " in out


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        (("pickup=calder-38-pickup",), "Only one part is named"),
        (("pan=brightwater-38-deep", "pickup=calder-38-pickup"), "pickup-floor-gap (no pan_gasket)"),
    ],
)
def test_parts_that_no_question_joins_are_not_said_to_fit(check: Run, parts: tuple[str, ...], said: str) -> None:
    """Each is good on its own, and nothing that was asked looks at them together."""
    ran = check(*parts)
    assert ran.status == STATUS[OPEN]
    assert said in " ".join(ran.out.split())
    assert data(check(*parts, "--json"))["apart"]


def test_parts_that_questions_join_may_fit(check: Run) -> None:
    ran = check("block=bench-38-yard", "pan=bench-38-pan", "pickup=bench-38-pickup", "pan_gasket=calder-38-gasket")
    assert ran.status == STATUS[FITS]
    assert "joints between the parts named here: " in " ".join(ran.out.split())
