"""From quantity, uncertainty and limits to a verdict; every shortcut compared with drawing through the rule itself."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.build import Build, Question
from kb.chance import FITS, NOT, OPEN, Settings, normal_cdf
from kb.draws import draw
from kb.judge import answer, judge
from kb.measure import Dimension, Term
from kb.records.part import Part
from kb.roles import ROLES
from kb.rules import load_rules
from tests.rules.test_every_rule import build_of

RULES = load_rules()
GAP = RULES["pickup-floor-gap"]
SETTINGS = Settings()


def known(value: float, u: float = 0.0, shape: str = "normal") -> Dimension:
    return Dimension(value, (Term(shape, u),) if u else (), "measured")


def build(own_limits: Any = None, **facts: dict[str, Any]) -> Build:
    parts = {role: Part(f"a-{role}", ROLES[role].kind.kind, role, facts=found) for role, found in facts.items()}
    return Build("b", "b", parts, own_limits=own_limits or {})


def gap_build(gap: float, u: float = 0.0, shape: str = "normal", **more: Any) -> Build:
    return build(
        pan={"sump_depth": known(0.180 + gap, u, shape)},
        pan_gasket={"installed_thickness": known(0.001)},
        pickup={"hang": known(0.181)},
        **more,
    )


def test_probability_of_a_normal_margin() -> None:
    # unc-09 of the check values (scipy): margin 0.5 mm, sigma 0.25 mm -> 0.97725. The far limit is 35 sigma away.
    finding = judge(GAP, gap_build(0.0015 + 0.0005, 0.00025), SETTINGS)
    assert finding.probability == pytest.approx(0.97725, abs=1e-4)  # the nanometre of slack moves the fifth digit
    assert finding.verdict == FITS
    assert finding.u == pytest.approx(0.00025)


@pytest.mark.parametrize(
    ("gap", "verdict"), [(0.0035, FITS), (0.0018, OPEN), (0.0012, OPEN), (0.0005, NOT), (0.0135, NOT), (0.0123, OPEN)]
)
def test_thresholds_of_the_decision_rule(gap: float, verdict: str) -> None:
    # JCGM 106: fits from 97.5 %, does not fit up to 2.5 %; limits 1.5 and 12.7 mm, u = 0.3 mm (from the definition).
    u = 0.0003
    finding = judge(GAP, gap_build(gap, u), SETTINGS)
    due = normal_cdf((0.0127 - gap) / u) - normal_cdf((0.0015 - gap) / u)
    assert finding.probability == pytest.approx(due, abs=1e-5)
    assert finding.verdict == verdict


def test_limits_are_inclusive_with_a_nanometre_of_slack() -> None:
    assert judge(GAP, gap_build(0.0015), SETTINGS).verdict == FITS
    assert judge(GAP, gap_build(0.0015 - 0.9e-9), SETTINGS).verdict == FITS
    assert judge(GAP, gap_build(0.0015 - 2e-9), SETTINGS).verdict == NOT


def test_rectangular_taken_as_normal_would_flip_the_verdict() -> None:
    # +/- 1 mm rectangular at a margin of 0.97 mm: exactly 0.985 holds; a normal of the same u says 0.9535.
    finding = judge(GAP, gap_build(0.0015 + 0.00097, 0.001 / math.sqrt(3), "rectangular"), SETTINGS)
    assert finding.probability == pytest.approx((0.001 + 0.00097) / 0.002, abs=1e-5)
    assert finding.verdict == FITS
    as_normal = normal_cdf(0.00097 / (0.001 / math.sqrt(3)))
    assert as_normal < SETTINGS.fits_at


def test_cannot_tell_names_the_driver_and_the_accuracy() -> None:
    finding = judge(
        GAP,
        build(
            pan={"sump_depth": known(0.1825, 0.0006)},
            pan_gasket={"installed_thickness": known(0.001, 0.00005)},
            pickup={"hang": known(0.181, 0.0002)},
        ),
        SETTINGS,
    )
    assert finding.verdict == OPEN
    assert finding.because == "spread"
    first = finding.drivers[0]
    assert first.leaf.name == "pan.sump_depth"
    assert first.share == pytest.approx(0.36 / (0.36 + 0.0025 + 0.04), rel=1e-6)  # from the definition
    assert first.needed is not None
    better = judge(
        GAP,
        build(
            pan={"sump_depth": Dimension(0.1825, (Term("rectangular", first.needed * 0.999),), "measured")},
            pan_gasket={"installed_thickness": known(0.001, 0.00005)},
            pickup={"hang": known(0.181, 0.0002)},
        ),
        SETTINGS,
    )
    assert better.verdict == FITS, "a reading as good as asked for settles it"


def test_a_missing_value_may_condemn_but_never_clears() -> None:
    # A gasket is at most 7 mm thick, so a foot 20 mm through the floor cannot be saved by any.
    hopeless = judge(
        GAP, build(pan={"sump_depth": known(0.160)}, pan_gasket={}, pickup={"hang": known(0.181)}), SETTINGS
    )
    assert hopeless.verdict == NOT
    assert hopeless.because == "hopeless"
    open_case = judge(
        GAP, build(pan={"sump_depth": known(0.188)}, pan_gasket={}, pickup={"hang": known(0.181)}), SETTINGS
    )
    assert open_case.verdict == OPEN
    assert open_case.because == "missing"
    assert [driver.leaf.name for driver in open_case.drivers] == ["pan_gasket.installed_thickness"]


def test_a_missing_value_whose_window_is_narrower_than_the_grid_does_not_condemn() -> None:
    # Plausible hang is 30 to 320 mm, tried every 7.25 mm; the window that fits is 11.2 mm wide but may lie anywhere.
    for depth in (0.150, 0.1535, 0.1577, 0.161):
        finding = judge(
            GAP,
            build(pan={"sump_depth": known(depth)}, pan_gasket={"installed_thickness": known(0.001)}, pickup={}),
            SETTINGS,
        )
        assert finding.verdict == OPEN


def test_a_limit_from_memory_only_holds_back() -> None:
    rule = RULES["pump-drive-overlap"]
    facts = {
        "pump_drive": {"shaft_length": known(0.142), "upper_socket_depth": known(0.012)},
        "oil_pump": {"drive": "shaft", "socket_depth": known(0.012)},
        "block": {"pump_floor_distance": known(0.151)},
    }
    finding = judge(rule, build(**facts), SETTINGS)  # 3 mm: positive, but less than the 6 mm from memory
    assert finding.verdict == OPEN
    assert finding.because == "outside_usual"
    own = judge(rule, build({(rule.id, "usual_least"): (0.002, "my own figure")}, **facts), SETTINGS)
    assert own.verdict == FITS
    stricter = judge(rule, build({(rule.id, "usual_least"): (0.005, "my own figure")}, **facts), SETTINGS)
    assert stricter.verdict == NOT, "a limit of one's own condemns"


def test_an_empty_optional_role_counts_as_declared() -> None:
    without = judge(GAP, gap_build(0.005), SETTINGS)
    assert without.question.assumed == [("windage_tray", 0.0)]
    tray = judge(GAP, gap_build(0.005, windage_tray={"rim_thickness": known(0.002)}), SETTINGS)
    assert tray.quantity == pytest.approx(without.quantity + 0.002)


def test_rules_are_not_asked_without_their_roles() -> None:
    told = answer(build(pan={"sump_depth": known(0.18)}), list(RULES.values()), SETTINGS)
    assert told.findings == ()
    assert told.verdict == OPEN
    assert ("pickup-floor-gap", "no pan_gasket, no pickup") in [(rule.id, why) for rule, why in told.not_asked]


def test_a_derived_thickness_keeps_the_spread_of_what_it_is_from() -> None:
    made = build(
        pan={"sump_depth": known(0.188)},
        pan_gasket={"style": "molded", "stop_thickness": known(0.0012, 0.0001)},
        pickup={"hang": known(0.181)},
    )
    finding = judge(GAP, made, SETTINGS)
    assert finding.quantity == pytest.approx(0.0082)
    assert finding.u == pytest.approx(0.0001)
    assert finding.question.derived[0][0] == "pan_gasket.installed_thickness"


SCALAR = [
    (rule, case)
    for rule in RULES.values()
    for case in rule.cases
    if rule.form in ("linear", "smooth", "rough") and not any(isinstance(value, list) for value in case.given.values())
]


@pytest.mark.parametrize(("rule", "case"), SCALAR, ids=lambda value: getattr(value, "id", ""))
@pytest.mark.parametrize("spread", [0.002, 0.02])
def test_shortcuts_agree_with_drawing(rule: Any, case: Any, spread: float) -> None:
    """Probability by the short way against 200,000 draws through the very rule function."""
    numpy = pytest.importorskip("numpy")
    made = build_of(rule, case, spread=spread)
    finding = judge(rule, made, SETTINGS)
    question = Question(rule, made)
    if not question.spread:
        assert finding.method == "exact"
        return
    drawn = draw(
        {leaf.key: leaf.dimension for leaf in question.leaves if leaf.dimension is not None}, draws=200_000, seed=7
    )
    values = [
        drawn[leaf.key] if leaf.dimension is not None else nominal
        for leaf, nominal in zip(question.leaves, question.nominal, strict=True)
    ]
    with numpy.errstate(all="ignore"):
        quantity = question.quantity(values)
    held = numpy.ones(200_000, dtype=bool)
    for index, limit in enumerate(rule.limits):
        if limit.may_condemn:
            bound = question.bound(index, values)
            held &= (quantity - bound if limit.side == "least" else bound - quantity) >= -1e-12
    # Four standard errors of 200,000 draws are at most 0.0045; the shortcuts promise 0.005.
    assert finding.probability == pytest.approx(float(held.mean()), abs=0.0095)


@settings(max_examples=60, deadline=None)
@given(depth=st.floats(0.17, 0.2), more=st.floats(0.0, 0.02), u=st.floats(1e-5, 2e-3))
def test_a_deeper_pan_never_reduces_the_gap(depth: float, more: float, u: float) -> None:
    here = judge(GAP, gap_build(depth - 0.18, u), SETTINGS)
    deeper = judge(GAP, gap_build(depth + more - 0.18, u), SETTINGS)
    assert here.quantity is not None
    assert deeper.quantity is not None
    assert deeper.quantity >= here.quantity


def test_same_seed_same_answer() -> None:
    rule = RULES["crank-to-pan"]
    made = build_of(rule, rule.cases[1], spread=0.02)
    assert judge(rule, made, SETTINGS).method == "monte carlo"
    assert judge(rule, made, SETTINGS).probability == judge(rule, made, SETTINGS).probability


def test_station_rule_against_drawing() -> None:
    """Linearised stations against 3,000 whole seats, for flanges read with errors of hundredths of a millimetre."""
    rule = RULES["passage-sealing"]
    tight = Settings(draws=3000)
    for case in rule.cases:
        for spread in (0.00002, 0.0002):
            made = build_of(rule, case, spread=spread)
            finding = judge(rule, made, tight)
            question = Question(rule, made)
            drawn = draw(
                {leaf.key: leaf.dimension for leaf in question.leaves if leaf.dimension is not None},
                draws=3000,
                seed=11,
            )
            columns = [drawn[leaf.key].tolist() for leaf in question.leaves]
            held = sum(
                all(squeeze >= 0.0 for _, squeeze in question.quantity([column[run] for column in columns]))
                for run in range(3000)
            )
            assert finding.probability == pytest.approx(held / 3000, abs=0.04)
