"""The wording of findings: each reason that a verdict can have, in every system of units, within the columns."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.explain import CAUTION, Told, probability, remedy_words, tell, tell_clash
from kb.finding import Finding
from kb.judge import Answer, judge
from kb.known import Clash, Incompatibility, Party
from kb.measure import Dimension, Reading, Term, combine
from kb.measuring_words import with_spread
from kb.records.part import Part
from kb.report import as_json, as_text, order
from kb.roles import ROLES, pan, pickup
from kb.rules import load_rules
from kb.rules._rule import HARMS, RULES, Limit, Rule, mm, rule

# Sentences about invented limits: the figures below follow from gap = depth - hang, the words are the module's own.
LEAST = Limit.at_least(
    2 * mm, why="nearer it chokes", harm="destroys", milestone="prime", fix="another pan", source="practice"
)
MOST = Limit.at_most(
    12 * mm, why="farther it sees air", harm="wears", milestone="drive", fix="a longer pickup", source="practice"
)
SOFT = Limit.at_most(
    8 * mm, why="more is seldom seen", harm="nuisance", milestone="drive", fix="ask around", source="memory"
)
ORIGIN = LEAST.source.title
MEMORY = SOFT.source.title
DEPTH = (
    "pan.sump_depth (rail face to inside floor under the pickup foot (not the deepest point)){share}: straight edge "
    "across the rail, depth gauge down to the floor where the foot will sit"
)  # as kb/records declares it


def gap_rule(*limits: Limit, form: str = "linear", quantity: str = "length", **more: Any) -> Rule:
    """A rule that no catalogue holds."""

    @rule("made-for-test", "oil", quantity, form, asks="Is the gap right?", limits=limits, cases=(), **more)
    def made(depth: Any = pan.sump_depth, hang: Any = pickup.hang) -> Any:
        """gap = depth - hang"""
        return depth - hang

    del RULES["made-for-test"]
    return made


def known(value: float, u: float = 0.0, **more: Any) -> Dimension:
    return Dimension(value, (Term("normal", u),) if u else (), "measured", **more)


def build(name: str = "b", own: Any = None, **facts: dict[str, Any]) -> Build:
    parts = {
        role: Part(f"a-{role}", ROLES[role].kind.kind, f"the {role}", facts=found) for role, found in facts.items()
    }
    return Build(name, name, parts, own_limits=own or {})


def found(depth: Dimension | None, *limits: Limit, hang: float = 0.18, own: Any = None) -> Finding:
    parts = {"pan": {"sump_depth": depth}, "pickup": {"hang": known(hang)}}
    return judge(gap_rule(*limits), build(own=own, **parts), Settings())


def detailed(detail: dict[str, Any]) -> Finding:
    """A finding that fits, of a rule with this to say beside its figure."""
    parts = build(pan={"sump_depth": known(0.19)}, pickup={"hang": known(0.18)})
    return judge(gap_rule(LEAST, detail=lambda depth, hang: detail), parts, Settings())


# -- one for each reason ----------------------------------------------------------------------------------------------


def test_it_fits() -> None:
    told = tell(found(known(0.19, 0.0001), LEAST, MOST))
    assert (told.verdict, told.headline) == (FITS, "10.00 mm ± 0.20 mm (allowed 2.00 mm to 12.00 mm)")
    assert told.reason == (
        f"2.00 mm inside the limit of at most 12.00 mm (limit: {ORIGIN}). Probability that it holds: over 99.9 %."
    )
    assert (told.fix, told.measure, told.notes) == ("", (), ())


def test_it_does_not_fit() -> None:
    told = tell(found(known(0.193, 0.0001), LEAST, MOST))
    assert (told.verdict, told.headline) == (NOT, "13.00 mm ± 0.20 mm (at most 12.00 mm)")
    assert told.reason == (
        f"Farther it sees air; 1.00 mm beyond the limit of at most 12.00 mm (limit: {ORIGIN}). Probability that it "
        "holds: under 0.1 %."
    )
    assert (told.fix, told.harm, told.milestone) == ("a longer pickup", HARMS["wears"], "drive")
    assert told.measure == ()
    below = tell(found(known(0.181, 0.0001), LEAST, MOST))
    assert below.headline == "1.00 mm ± 0.20 mm (at least 2.00 mm)"
    assert below.reason.startswith("Nearer it chokes; 1.00 mm beyond the limit of at least 2.00 mm ")
    assert (below.fix, below.harm) == ("another pan", HARMS["destroys"])


def test_the_spread_is_too_wide() -> None:
    told = tell(found(known(0.1915, 0.001), LEAST, MOST))
    assert (told.verdict, told.headline) == (OPEN, "11.50 mm ± 2.00 mm (at most 12.00 mm)")
    # derived: P(gap <= 12) with mean 11.5 and u 1 is Phi(0.5) = 0.6915
    assert told.reason == (
        f"The figures are too vague to decide against at most 12.00 mm (limit: {ORIGIN}). Probability that it holds: "
        "69.1 %."
    )
    assert told.fix == "measure first; if it then does not fit: a longer pickup"
    assert len(told.measure) == 1
    assert told.measure[0].startswith(DEPTH.format(share=" (100 % of the doubt)"))
    # derived: a rectangular reading settles it where its half width leaves 2.5 % beyond: 0.5 mm / 0.95 = 0.526 mm
    assert told.measure[0].endswith("; settles it if good to ± 0.526 mm")


def test_the_usual_range_alone_is_in_doubt() -> None:
    told = tell(found(known(0.1875, 0.0005), LEAST, MOST, SOFT))
    assert (told.verdict, told.headline) == (OPEN, "7.50 mm ± 1.00 mm (at most 8.00 mm)")
    # derived: P(gap <= 8) with mean 7.5 and u 0.5 is Phi(1) = 0.8413
    assert told.reason == (
        f"Inside what may not be broken, but perhaps outside the usual range (at most 8.00 mm, {MEMORY}): more is "
        "seldom seen. Probability that the usual range holds: 84.1 %."
    )
    assert told.fix == "measure first; if it then does not fit: ask around"


def test_it_is_outside_the_usual_range() -> None:
    told = tell(found(known(0.19, 0.0001), LEAST, MOST, SOFT))
    assert (told.verdict, told.headline) == (OPEN, "10.00 mm ± 0.20 mm (at most 8.00 mm)")
    assert told.reason == (
        f"Outside the usual range (at most 8.00 mm, {MEMORY}): more is seldom seen. Set your own limit 'usual_most' if "
        "you know better. Probability that the usual range holds: under 0.1 %."
    )
    assert told.fix == "ask around"
    assert told.measure == ()  # no better figure would change it


def test_a_value_is_missing() -> None:
    told = tell(found(None, LEAST, MOST))
    assert (told.verdict, told.headline) == (OPEN, "not recorded: the sump depth of the pan")
    assert told.reason == "Nothing is known that decides it, and what is plausible allows both answers."
    assert told.measure[0].startswith(DEPTH.format(share=""))
    assert "; settles it if good to ± " in told.measure[0]
    assert ("pan.sump_depth", "not recorded", "") in told.inputs


def test_nothing_can_save_it() -> None:
    told = tell(found(None, LEAST, MOST, hang=0.5))
    # derived: the deepest plausible sump is 320 mm, so at best 320 - 500 = -180 mm
    assert (told.verdict, told.headline) == (NOT, "at best -180.00 mm (at least 2.00 mm)")
    assert told.reason == "Whatever the sump depth of the pan turns out to be, it cannot fit: nearer it chokes."
    assert (told.fix, told.measure) == ("another pan", ())


def test_a_figure_that_cannot_be_worked_out_says_why() -> None:
    def root(depth: Any = pan.sump_depth) -> Any:
        """root = sqrt(depth - 1 m)"""
        if depth < 1.0:
            raise ValueError("no root")
        return math.sqrt(depth - 1.0)

    made = rule("made-for-test", "oil", "length", "rough", asks="Is there a root?", limits=(LEAST,), cases=())(root)
    del RULES["made-for-test"]
    told = tell(judge(made, build(pan={"sump_depth": known(0.2)}), Settings()))
    assert told.verdict == OPEN
    assert told.headline == "cannot be worked out"
    assert told.reason == "No root."


@pytest.mark.parametrize("limits", [(LEAST, MOST), (LEAST, MOST, SOFT)])
@pytest.mark.parametrize("depth", [None, *(0.181 + n / 2000 for n in range(28))])
def test_no_finding_is_without_a_headline_and_a_reason(depth: float | None, limits: tuple[Limit, ...]) -> None:
    for u in (0.0, 0.0003, 0.002):
        told = tell(found(None if depth is None else known(depth, u), *limits))
        assert told.headline
        assert told.reason.endswith(".")
        assert told.reason[0].isupper() or told.reason[0].isdigit()
        assert bool(told.fix or told.measure) == (told.verdict != FITS)
        assert "nan" not in f"{told.headline} {told.reason}".lower()


def test_on_the_very_limit_no_instrument_is_named() -> None:
    told = tell(found(known(0.192, 0.0005), LEAST, MOST))
    assert told.verdict == OPEN
    assert "± 0 mm" not in told.measure[0]
    assert told.measure[0].endswith("on its own it cannot settle it")


# -- limits of one's own, contradictions, forms -----------------------------------------------------------------------


def test_a_limit_of_ones_own_is_named_as_such() -> None:
    own = {("made-for-test", "most"): (0.005, "own limit of this build: the maker says so")}
    told = tell(found(known(0.19, 0.0001), LEAST, MOST, own=own))
    assert told.verdict == NOT
    assert "5.00 mm beyond the limit of at most 5.00 mm (own limit" not in told.reason
    assert "beyond the limit of at most 5.00 mm (limit: own limit of this build: the maker says so)" in told.reason


def test_readings_that_disagree_are_told_once() -> None:
    two = combine([Reading(0.1915, 0.0002, date="2024-01-01"), Reading(0.1935, 0.0002, date="2024-02-01")])
    told = tell(found(two, LEAST, MOST))
    assert told.verdict == OPEN
    again = [line for line in told.measure if "measure it again" in line]
    assert len(again) == 1
    assert "two readings disagree" in again[0]
    assert not any("disagree" in note for note in told.notes)
    wide = Limit.at_least(-1.0, why="w", harm="wears", milestone="drive", fix="f", source="practice")
    fine = tell(found(two, wide))
    assert fine.verdict == FITS
    assert any("two readings disagree" in note for note in fine.notes)


@pytest.mark.parametrize(
    ("value", "half", "quantity", "system", "words"),
    [  # two figures of the spread, and the value to the same place (JCGM 100, 7.2.6)
        (0.428088, 0.001935, "length", "mm", "428.1 mm ± 1.9 mm"),
        (0.188, 0.0012, "length", "mm", "188 mm ± 1.2 mm"),
        (0.047664, 0.000003, "length", "mm", "47.664 mm ± 0.003 mm"),
        (100e3, 9.238e3, "pressure", "mm", "100 kPa ± 9.2 kPa"),
        (0.188, 0.0, "length", "mm", "188 mm"),
        (0.0127, 0.0002, "length", "in", "0.500 in ± 0.008 in"),
    ],
)
def test_a_value_is_no_finer_than_its_spread(value: float, half: float, quantity: str, system: str, words: str) -> None:
    assert with_spread(value, half, quantity, system) == words


def test_choices_are_told_by_what_they_are() -> None:
    pattern = load_rules()["rail-pattern"]
    same = build(block={"rail_pattern": "early"}, pan={"rail_pattern": "early"})
    other = build(block={"rail_pattern": "early"}, pan={"rail_pattern": "late"})
    assert tell(judge(pattern, same, Settings())).headline == (
        "the rail pattern of the block: early, the rail pattern of the pan: early"
    )
    told = tell(judge(pattern, other, Settings()))
    assert told.verdict == NOT
    assert "the rail pattern of the pan: late" in told.headline
    assert told.reason.endswith(".")


def test_the_qualifier_is_part_of_the_name() -> None:
    finding = found(known(0.19), LEAST)._replace(qualifier="return")
    told = tell(finding)
    assert (told.rule, told.name) == ("made-for-test", "made-for-test:return")


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (None, "not computed"), (1.0, "over 99.9 %"), (0.9991, "over 99.9 %"), (0.975, "97.5 %"), (0.5, "50.0 %"),
        (0.0249, "2.5 %"), (0.001, "under 0.1 %"), (0.0, "under 0.1 %"),
    ],
)  # fmt: skip
def test_a_probability_promises_no_more_than_there_is(p: float | None, words: str) -> None:
    assert probability(p) == words


# -- units ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("system", "headline", "inside"),
    [
        # derived: 12.7 mm = 1/2 in, 25.4 mm = 1 in
        ("mm", "12.70 mm ± 0.20 mm (at most 25.40 mm)", "12.70 mm inside the limit of at most 25.40 mm"),
        ("in", "0.500 in ± 0.008 in (at most 1.000 in)", "0.500 in inside the limit of at most 1.000 in"),
        ("in64", "1/2 in ± 0.008 in (at most 1 in)", "1/2 in inside the limit of at most 1 in"),
    ],
)
def test_lengths_are_told_in_the_system_that_was_asked_for(system: str, headline: str, inside: str) -> None:
    most = MOST._replace(bound=25.4 * mm)
    finding = found(known(0.1927, 0.0001), most)
    told = tell(finding, system)
    assert told.headline == headline
    assert inside in told.reason
    assert (" mm" in " ".join([told.headline, told.reason])) is (system == "mm")
    row = next(row for row in told.inputs if row[0] == "pickup.hang")
    assert row[1] == {"mm": "180 mm", "in": "7.087 in", "in64": "7 3/32 in (-0.181 mm)"}[system]


@pytest.mark.parametrize(("system", "unit"), [("mm", " kPa"), ("in", " psi"), ("in64", " psi")])
def test_a_rule_s_details_follow_the_system(system: str, unit: str) -> None:
    more = {
        "detail": lambda depth, hang: {"parts": {"tube": 2000.0, "lift": 500.0}, "total": 2500.0, "reynolds": 900.0}
    }
    finding = judge(
        gap_rule(LEAST, **more), build(pan={"sump_depth": known(0.19)}, pickup={"hang": known(0.18)}), Settings()
    )
    note = tell(finding, system).notes[0]
    assert note.startswith("most of it is lost in the tube (")
    assert note.count(unit) == 2
    assert note.endswith("flow laminar (Re 900)")


UNSEALED = {
    "id": "P1", "passage": "feed", "clamped": True, "outside": 0.0, "gap": 0.0254, "missing": 0.00127,
    "closable": 0.000254, "gap_rigid": 0.0254,
}  # fmt: skip


@pytest.mark.parametrize(
    ("system", "row", "words"),
    [
        ("mm", {}, "P1 (passage feed) is not sealed: the gap is 25.40 mm, 1.27 mm more than the free gasket; the "
         "bolts could draw in 0.25 mm of a rigid gap of 25.40 mm"),
        ("in", {}, "P1 (passage feed) is not sealed: the gap is 1.000 in, 0.050 in more than the free gasket; the "
         "bolts could draw in 0.010 in of a rigid gap of 1.000 in"),
        ("mm", {"clamped": False, "outside": 0.012}, "P1 (passage feed) is not sealed: it lies 12.00 mm outside what "
         "the bolts clamp"),
        ("mm", {"passage": "", "id": "F0"}, "F0 is not sealed: the gap is 25.40 mm, 1.27 mm more than the free gasket; "
         "the bolts could draw in 0.25 mm of a rigid gap of 25.40 mm"),
    ],
)  # fmt: skip
def test_a_place_that_does_not_seal_is_told(system: str, row: dict[str, Any], words: str) -> None:
    finding = detailed({"unsealed": {**UNSEALED, **row}})
    assert tell(finding, system).notes == (words,)


@pytest.mark.parametrize(
    ("remedy", "words"),
    [
        ({"sort": "gasket", "amount": 0.0012, "station": "P1", "holds": True, "squeeze": 0.21},
         "a bead or gasket of at least 1.20 mm free height (re-checked: the worst station is then squeezed 21 %)"),
        ({"sort": "shim", "amount": 0.0012, "station": "P1", "holds": True, "squeeze": -0.1},
         "a shim of 1.20 mm at P1 closes P1 (re-checked), and leaves another station at -10 %"),
        ({"sort": "dress", "amount": 0.0005, "station": "P1", "holds": False, "squeeze": 0.05},
         "the places that stand proud dressed down by up to 0.50 mm, until P1 is reached is not enough: re-checked, "
         "the worst station is then at 5 %"),
        ({"sort": "none", "amount": 0.0, "station": "P1", "holds": False, "squeeze": 0.0},
         "neither gasket, shim nor dressing closes it: another pan, or a bolt beside the passage"),
    ],
)  # fmt: skip
def test_a_remedy_says_what_its_own_check_came_to(remedy: dict[str, Any], words: str) -> None:
    assert remedy_words(remedy) == words


# -- clashes ----------------------------------------------------------------------------------------------------------


def clash(*unknown: str, **more: Any) -> Clash:
    fields: dict[str, Any] = {
        "id": "hum", "title": "It hums", "status": "reported",
        "parties": (Party("pan", "deep", ()), Party("block", "", ())),
        "symptom": "a hum", "cause": "a rib", "remedy": "cut it", "harm": ("leaks", "wears"), "milestone": "drive",
        "by": "A. Brandt", "found_date": "2024-05-01", "evidence": ("a mark",), **more,
    }  # fmt: skip
    return Clash(Incompatibility(**fields), unknown)


def test_a_clash_is_told() -> None:
    told = tell_clash(clash())
    assert (told.id, told.headline, told.verdict, told.fix) == ("hum", "It hums", NOT, "cut it")
    assert told.reason == (
        "pan deep and block of this sort: a hum. Cause: a rib (found by A. Brandt on 2024-05-01; reported, not yet "
        "confirmed)"
    )
    assert told.harm == f"{HARMS['leaks']}, {HARMS['wears']}"
    assert tell_clash(clash(status="confirmed", by="", found_date="", cause="")).reason == (
        "pan deep and block of this sort: a hum (found; confirmed)"
    )


def test_a_clash_that_may_apply_says_on_what_it_hangs() -> None:
    told = tell_clash(clash("block.pattern"))
    assert told.verdict == OPEN
    assert "whether it applies hangs on block.pattern: not known, or not well enough" in told.reason


# -- pages of text ----------------------------------------------------------------------------------------------------


def page(name: str, part: str, clashes: tuple[Clash, ...] = (), depth: Dimension | None = None) -> Answer:
    parts = {
        "pan": Part("p" * 80, "pan", part, facts={"sump_depth": depth or known(0.1915, 0.001)}),
        "pickup": Part("q", "pickup", part, facts={"hang": known(0.18)}),
    }
    made = Build("b", name, parts)
    some = (judge(gap_rule(LEAST, MOST), made, Settings()), judge(gap_rule(LEAST), made, Settings()))
    return Answer(made, some, ((gap_rule(LEAST), "no " + "x" * 300),), clashes, Settings())


NAMES = [
    "plain",
    "x" * 200,
    "Ω" * 200,
    "a-b-" * 50,
    "two words " * 20,
    "\x1b[31mred\x1b[0m\x07\r\x9b2J\u202e" * 8,
    "",
    " ",
]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [40, 80, 100])
@pytest.mark.parametrize("system", ["mm", "in", "in64"])
def test_a_page_keeps_within_its_columns_and_steers_nothing(name: str, width: int, system: str) -> None:
    some = (clash(title=name or "t", symptom=name * 20, cause=name, remedy=name, evidence=(name * 30,)),)
    for full in (False, True):
        text = as_text(page(name, name, some), system=system, width=width, full=full)
        assert [line for line in text.splitlines() if len(line) > width] == []
        assert not any(char < " " or "\x7f" <= char <= "\x9f" or char == "\u202e" for char in text.replace("\n", ""))
        assert text.endswith("decide.\n")


def test_a_page_says_first_what_is_worst() -> None:
    text = as_text(page("A build", "a part"))
    lines = text.splitlines()
    assert lines[:2] == ["A build", "======="]
    assert lines[3] == "CANNOT TELL. Of 2 questions asked: 0 no, 1 cannot tell, 1 good."
    assert [line[:2] for line in lines if line.startswith(("?? ", "ok ", "NO "))] == ["??", "ok"]
    assert "Says 'fits' from 97.5 %, 'does not fit' up to 2.5 %" in text
    assert " ".join(CAUTION.split()) in " ".join(text.split())
    assert [each.verdict for each in order(page("n", "p"))] == [OPEN, FITS]


def test_ids_are_not_broken_at_their_hyphens() -> None:
    told = tell(found(known(0.19), LEAST))
    for width in range(40, 81):
        text = as_text(page("A build", "a part"), width=width, full=True)
        assert "made-\n" not in text
        assert "made-for-\n" not in text
        assert told.rule in text


def test_plain_data_is_json_without_nan() -> None:
    answer = page("n", "p", (clash(),))
    worst = answer.findings[0]._replace(quantity=math.inf, u=math.nan, probability=None)
    data = as_json(answer._replace(findings=(worst, answer.findings[1])))
    text = json.dumps(data, allow_nan=False)
    again = json.loads(text)
    assert again["findings"][0]["quantity"] is None
    assert again["findings"][0]["standard_uncertainty"] is None
    assert again["exit_status"] == 1  # a certain clash outranks what the rules say
    assert again["clashes"][0]["id"] == "hum"
    assert {"rule", "verdict", "because", "limits", "inputs", "drivers", "headline"} <= set(again["findings"][0])


def test_sets_come_out_in_one_order() -> None:
    finding = detailed({"families": frozenset({"c", "a", "b"})})
    answer = page("n", "p")._replace(findings=(finding,))
    assert as_json(answer)["findings"][0]["detail"] == {"families": ["a", "b", "c"]}


def test_told_is_what_pages_and_terminal_share() -> None:
    assert Told._fields[:4] == ("rule", "name", "asks", "verdict")
