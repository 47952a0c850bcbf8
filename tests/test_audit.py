"""The audit: what counts as known before buying, which rules bear on a clash, and the sample's cases."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from kb.audit import FORESEEN, UNDECIDED, UNFORESEEN, Audit, Case, Shelf, Told, audit, known_before, reads
from kb.base import Base
from kb.build import Build
from kb.chance import NOT, OPEN, Settings
from kb.errors import UnknownName
from kb.known import Condition, Incompatibility, Party
from kb.rules import rule_named
from kb.say.audit import as_json, as_text, told
from kb.store.load import init

SAMPLE = Path(__file__).parent.parent / "sample_db"
ONCE = yaml.safe_load((SAMPLE / "foreseen.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Base]:
    path = tmp_path_factory.mktemp("audit") / "sample.db"
    init(path, sample=True)
    with Base(str(path)) as opened:
        yield opened


@pytest.fixture(scope="module")
def found(base: Base) -> Audit:
    return base.audit(reported=True)


@pytest.fixture(scope="module")
def cases(found: Audit) -> dict[str, Case]:
    return {each.clash.id: each for each in found.cases}


# -- the sample -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("id", ONCE)
def test_what_was_once_foreseen_still_is(cases: dict[str, Case], id: str) -> None:
    assert cases[id].outcome == FORESEEN, f"no rule says no any more; {ONCE[id]} did"


@pytest.mark.parametrize("id", ONCE)
def test_the_rule_that_said_so_still_does(cases: dict[str, Case], id: str) -> None:
    """Also where another rule goes on foreseeing the case: a rule that grew blind would be missed for the next one."""
    by = cases[id].by
    assert by is not None
    assert by.rule.id == ONCE[id]


def test_the_list_of_foreseen_cases_is_whole(found: Audit) -> None:
    assert {each.clash.id for each in found.of(FORESEEN)} == set(ONCE)


def test_there_are_cases_of_every_outcome_and_the_share_is_theirs(base: Base) -> None:
    confirmed = base.audit()
    counts = {outcome: len(confirmed.of(outcome)) for outcome in (FORESEEN, UNDECIDED, UNFORESEEN)}
    assert sum(counts.values()) == len(confirmed.cases) >= 30
    assert counts[UNDECIDED] >= 3
    assert counts[UNFORESEEN] >= 4
    assert confirmed.share == counts[FORESEEN] / len(confirmed.cases)
    assert {each.clash.status for each in confirmed.cases} == {"confirmed"}


def test_the_first_pan_could_not_be_told_from_its_list(cases: dict[str, Case]) -> None:
    """Aldine's list gives no heights, so only a feeler at P1 would have shown it: the story of sample_db/README.md."""
    case = cases["aldine-pan-on-calder-38"]
    assert case.outcome == UNDECIDED
    assert case.parts["pan"] == "aldine-33-38-pan"
    sealing = next(each for each in case.findings if each.rule.id == "passage-sealing")
    assert sealing.verdict == OPEN
    assert "pan.flange.P1.height" in [driver.leaf.name for driver in sealing.drivers]


def test_a_reading_of_the_very_part_comes_too_late(cases: dict[str, Case]) -> None:
    """The bush in the bore was found by the reading that is the evidence; the drawing's bore says that all is well."""
    case = cases["old-bush-behind-converter"]
    assert case.outcome == UNFORESEEN
    assert "crank.pilot_depth" in case.set_aside
    assert case.gap is not None
    assert (case.gap.sort, case.gap.features) == ("read too late", ("crank.pilot_depth",))


def test_roles_that_no_rule_joins_are_said_to_be_so(cases: dict[str, Case]) -> None:
    gap = cases["header-cooks-the-starter"].gap
    assert gap is not None
    assert gap.sort == "no joint"
    assert set(gap.roles) == {"starter", "engine_bay"}


def test_trouble_that_the_host_had_before_is_not_laid_on_the_clash(cases: dict[str, Case]) -> None:
    """In `drover-stroker` the crank meets the pan as well; the clash is of crank and tray."""
    case = cases["stroker-meets-plain-tray"]
    assert case.build == "drover-stroker"
    assert [each.rule.id for each in case.findings if each.verdict == NOT] == ["crank-to-tray"]


def test_a_class_is_stood_for_by_the_host_s_own_part_where_that_is_such(cases: dict[str, Case]) -> None:
    case = cases["controller-run-alternator-idles"]
    assert case.parts == {"alternator": "brightwater-run-alternator", "car_loom": "drover-loom"}
    assert set(case.stand_ins) == {"alternator", "car_loom"}


def test_a_part_goes_into_the_role_that_it_names(cases: dict[str, Case]) -> None:
    assert set(cases["brake-tube-return-floods"].parts) == {"fuel_line:return", "fuel_regulator"}


def test_gaps_are_grouped_by_sort_and_harm_most_numerous_first(found: Audit) -> None:
    sizes = [len(each) for each in found.gaps.values()]
    assert sizes == sorted(sizes, reverse=True)
    assert sum(sizes) == len(found.of(UNFORESEEN))
    for (sort, harm), some in found.gaps.items():
        assert all(each.gap is not None and each.gap.sort == sort and each.clash.harm[0] == harm for each in some)


def test_one_is_replayed_by_name_and_a_wrong_name_is_told(base: Base) -> None:
    (case,) = base.audit(["coil-on-magnet-ring"]).cases
    assert case.by is not None
    assert case.by.rule.id == "sensor-target"
    with pytest.raises(UnknownName, match="coil-on-magnet-rng"):
        base.audit(["coil-on-magnet-rng"])


def test_a_replay_is_the_same_every_time(base: Base, found: Audit) -> None:
    again = base.audit(reported=True)
    assert as_json(again) == as_json(found)


# -- words ------------------------------------------------------------------------------------------------------------


def test_the_text_names_every_case_with_its_reason(found: Audit) -> None:
    text = as_text(found, width=100)
    for each in found.cases:
        assert each.clash.id in text
    for line in text.splitlines():
        assert len(line) <= 100
    assert f"{100 * (found.share or 0):.0f} %" in text
    for each in told(found).undecided:
        assert each.measure or each.by


def test_without_any_clash_there_is_nothing_to_say() -> None:
    nothing = Audit(())
    assert nothing.share is None
    assert "nothing to replay" in as_text(nothing)
    assert as_json(nothing)["share"] is None


# -- what was known before --------------------------------------------------------------------------------------------

DRAWN = {"si": 0.188, "how": "drawing", "date": "2024-05-02", "by": "Sam"}


def read(**more: Any) -> dict[str, Any]:
    return {"si": 0.190, "with": "depth-gauge", "how": "measured", "by": "Sam", "date": "2024-05-01", **more}


@pytest.mark.parametrize(
    ("reading", "kept"),
    [
        (DRAWN, True),
        ({**DRAWN, "how": "listing"}, True),
        ({**DRAWN, "how": "estimated"}, True),
        (read(), False),
        (read(date="2024-04-30"), True),  # the day before it was found
        (read(date=""), False),  # no day: it may be the evidence itself
        (read(by="Kim"), True),  # somebody else, whom one could have asked
        (read(by=""), False),
        ({"si": 0.19, "with": "depth-gauge"}, False),  # a tool alone means measured
        ({"si": 0.19}, True),  # nothing said counts as a listing
    ],
)
def test_readings_known_before(reading: dict[str, Any], kept: bool) -> None:
    left, gone = known_before({"kind": "pan", "sump_depth": [reading]}, "Sam", "2024-05-01")
    assert ("sump_depth" in left) == kept
    assert gone == (() if kept else ("sump_depth",))


def test_entries_lose_their_late_readings_and_keep_the_rest() -> None:
    facts = {
        "kind": "pan",
        "rear_seal": "one_piece",
        "flange": [{"id": "P1", "bolt": True, "height": [read()]}, {"id": "P2", "height": [DRAWN, read()]}],
        "holes": [],
    }
    left, gone = known_before(facts, "Sam", "2024-05-01")
    assert left["flange"] == [{"id": "P1", "bolt": True}, {"id": "P2", "height": [DRAWN]}]
    assert left["holes"] == []
    assert left["rear_seal"] == "one_piece"
    assert gone == ("flange.P1.height", "flange.P2.height")


def test_a_clash_without_a_day_lets_go_of_every_reading_of_its_finder() -> None:
    left, _ = known_before({"sump_depth": [read(date="1999")]}, "Sam", "")
    assert "sump_depth" not in left


# -- a replay without a database --------------------------------------------------------------------------------------

PAN = {"kind": "pan", "name": "Deep pan", "sump_depth": [{"si": 0.188, "half": 1e-4, "how": "drawing"}]}
LONG = {"kind": "pickup", "name": "Long tube", "hang": [{"si": 0.1880, "half": 1e-4, "how": "drawing"}]}
SHORT = {"kind": "pickup", "name": "Short tube", "hang": [{"si": 0.178, "half": 1e-4, "how": "drawing"}]}
GASKET = {
    "kind": "pan_gasket", "name": "Gasket", "installed_thickness": [{"si": 0.001, "half": 1e-5, "how": "drawing"}],
}  # fmt: skip
CHAINS = {"deep": [PAN], "long": [LONG], "short": [SHORT], "gasket": [GASKET]}


def clash(*parties: Party, **more: Any) -> Incompatibility:
    fixed = {"status": "confirmed", "symptom": "", "cause": "", "remedy": "", "harm": ("destroys",), "evidence": ()}
    given = {"milestone": "prime", "by": "Sam", "found_date": "2024-05-01", **fixed, **more}
    return Incompatibility(id="it", title="It", parties=parties, **given)


def replayed(told_: Told, builds: tuple[Build, ...] = ()) -> Case:
    kinds = {"pan": ["deep"], "pickup": ["long", "short"], "pan_gasket": ["gasket"]}
    shelf = Shelf(lambda id: CHAINS.get(id, []), lambda kind: kinds.get(kind, []), builds, {})
    (case,) = audit([told_], shelf, Settings()).cases
    return case


def side(role: str, part: str = "", *where: Condition) -> Party:
    return Party(role, part, where)


def test_named_parts_alone_are_asked_what_they_can_be_asked() -> None:
    """gap = 188 + 1 - 188 = 1 mm under the foot, against at least 1.5 mm: hand sum with the rule's own limit."""
    case = replayed(Told(clash(side("pan", "deep"), side("pickup", "long"), side("pan_gasket", "gasket")), ()))
    assert case.outcome == FORESEEN
    assert case.by is not None
    assert case.by.rule.id == "pickup-floor-gap"
    assert case.build == ""


def test_a_role_that_nobody_fills_leaves_the_question_unasked() -> None:
    case = replayed(Told(clash(side("pan", "deep"), side("pickup", "long")), (("pickup", "hang"),)))
    assert "pickup-floor-gap" not in [each.rule.id for each in case.findings]


def test_a_class_that_no_part_meets_cannot_be_replayed() -> None:
    met = side("pickup", "", Condition("hang", ">", 0.3))
    case = replayed(Told(clash(side("pan", "deep"), met), ()))
    assert case.gap is not None
    assert case.gap.sort == "no part"


def test_a_class_is_stood_for_by_the_first_part_that_is_such() -> None:
    shorter = side("pickup", "", Condition("hang", "<", 0.180))
    case = replayed(Told(clash(side("pan", "deep"), shorter, side("pan_gasket", "gasket")), ()))
    assert case.parts["pickup"] == "short"
    assert case.stand_ins == ("pickup",)


def test_a_rule_reads_what_its_derivations_read() -> None:
    """pan_gasket.installed_thickness follows from free and stop thickness where nobody measured it (kb/derive)."""
    assert {"pan.sump_depth", "pickup.hang", "pan_gasket.free_thickness"} <= reads(rule_named("pickup-floor-gap"))
