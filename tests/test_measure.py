"""Dimensions, instruments and the combination of readings."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import Fault, UnknownName
from kb.measure import (
    HOWS,
    SHAPES,
    Dimension,
    Reading,
    Term,
    combine,
    combine_linear,
    default_uncertainty,
    defaults,
    find_instrument,
    instruments,
    instruments_for,
    stack,
    standard_uncertainty,
)
from kb.sources import SOURCES

MM = 1e-3


def plus_minus(value: float, half_width: float, **more: object) -> Reading:
    return Reading(value, half_width, **more)  # type: ignore[arg-type]


def exactly_within(value: float, half_width: float) -> Dimension:
    return Dimension(value, (Term("rectangular", standard_uncertainty(half_width)),), "drawing")


# --- shapes ---------------------------------------------------------------------------------------------------


def test_standard_uncertainty_of_each_shape() -> None:
    # unc-12, JCGM 100 4.3.7 and 4.3.9; derived from the definition
    assert standard_uncertainty(0.05, "rectangular") == pytest.approx(0.0288675, abs=1e-5)
    assert standard_uncertainty(0.05, "triangular") == pytest.approx(0.0204124, abs=1e-5)
    assert standard_uncertainty(0.05, "arcsine") == pytest.approx(0.05 / math.sqrt(2), abs=1e-9)
    # expanded uncertainty with k = 2: derived from the definition
    assert standard_uncertainty(0.05, "normal") == 0.025


@given(st.floats(0, 1e6), st.sampled_from(["rectangular", "triangular"]))
def test_half_width_round_trips_through_u(half: float, shape: str) -> None:
    assert Term(shape, standard_uncertainty(half, shape)).half_width == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_an_impossible_tolerance_is_refused_with_its_place(bad: float) -> None:
    with pytest.raises(Fault, match="tolerance") as caught:
        standard_uncertainty(bad, "rectangular", place="pan.yaml: sump_depth")
    assert caught.value.place == "pan.yaml: sump_depth"
    assert caught.value.step


def test_an_unknown_shape_is_refused() -> None:
    with pytest.raises(Fault, match="shape 'gaussian'"):
        standard_uncertainty(0.1, "gaussian")
    with pytest.raises(Fault, match="shape 'arcsine'"):
        Reading(1.0, u=0.1, shape="arcsine").term()


def test_support_of_a_dimension() -> None:
    bounded = Dimension(10.0, (Term("rectangular", 1 / math.sqrt(3)), Term("triangular", 1 / math.sqrt(6))))
    assert (bounded.low, bounded.high) == (pytest.approx(8.0), pytest.approx(12.0))
    assert bounded.u == pytest.approx(math.sqrt(1 / 3 + 1 / 6))  # variances add
    endless = Dimension(10.0, (Term("normal", 1.0),))
    assert math.isinf(endless.half_width)
    assert endless.low is None
    assert endless.high is None
    assert Dimension(3.0).half_width == 0.0


# --- linear stacks --------------------------------------------------------------------------------------------


def test_worst_case_of_a_linear_stack() -> None:
    # unc-04, published stack-up example data; derived from the definition
    parts = [
        exactly_within(40.0, 0.1),
        exactly_within(25.0, 0.05),
        exactly_within(2.0, 0.03),
        exactly_within(10.0, 0.05),
    ]
    gap = stack([1, -1, -1, -1], parts)
    assert gap.value == pytest.approx(3.0, abs=1e-6)
    assert gap.half_width == pytest.approx(0.23, abs=1e-6)


@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(-100, 100), st.floats(0, 5)), min_size=1, max_size=6))
def test_worst_case_is_met_at_a_corner(rows: list[tuple[float, float, float]]) -> None:
    whole = stack([c for c, _, _ in rows], [exactly_within(v, h) for _, v, h in rows])
    corner = sum(c * (v + math.copysign(h, c)) for c, v, h in rows)  # derived from the definition
    assert whole.value + whole.half_width == pytest.approx(corner, rel=1e-9, abs=1e-9)


def test_one_caliper_twice() -> None:
    # unc-13, JCGM 100 5.2.2 with r = +1; derived from the definition
    assert combine_linear([1, 1], [0.02, 0.02], 1.0) == pytest.approx(0.04, abs=1e-9)
    assert combine_linear([1, -1], [0.02, 0.02], 1.0) == pytest.approx(0.0, abs=1e-9)
    # the note of unc-13: taken as independent, both come out near 0.028
    assert combine_linear([1, -1], [0.02, 0.02]) == pytest.approx(0.0282843, abs=1e-6)


def test_correlation_as_number_matrix_and_mapping_agree() -> None:
    coeffs, us = [2.0, -1.0, 0.5], [0.1, 0.3, 0.2]
    matrix = [[1.0, 0.4, 0.4], [0.4, 1.0, 0.4], [0.4, 0.4, 1.0]]
    mapping = {(0, 1): 0.4, (2, 0): 0.4, (1, 2): 0.4}
    # JCGM 100 5.2.2 written out: variances .04 .09 .01, cross terms 2*.4*(-.06 +.02 -.03)
    expected = math.sqrt(0.04 + 0.09 + 0.01 + 0.8 * (-0.06 + 0.02 - 0.03))
    for given_as in (0.4, matrix, mapping):
        assert combine_linear(coeffs, us, given_as) == pytest.approx(expected, rel=1e-12)


def test_impossible_correlations_are_refused() -> None:
    with pytest.raises(ValueError, match="between -1 and 1"):
        combine_linear([1, 1], [1, 1], 1.5)
    with pytest.raises(ValueError, match="contradict"):
        combine_linear([1, 1, 1], [1, 1, 1], -1.0)
    with pytest.raises(ValueError, match="zip"):
        combine_linear([1, 1], [1])


# --- instruments ----------------------------------------------------------------------------------------------


def test_every_row_of_the_table_is_usable() -> None:
    assert len(instruments()) >= 20
    for row in instruments().values():
        assert row.shape in SHAPES
        assert row.origin in SOURCES
        assert row.half_width >= 0
        assert row.relative >= 0
        assert row.minutes > 0
        assert row.measures
        assert set(row.where) <= {"yard", "bench", "car"}
        assert row.hold.endswith(".")
        assert math.isfinite(row.u_at(0.19))
    for how, default in defaults().items():
        assert how in HOWS
        assert default.origin in SOURCES


def test_defaults_grow_from_definition_to_guess() -> None:
    us = [default_uncertainty(how, "", 0.19).u for how in ("definition", "drawing", "measured", "listing", "estimated")]
    assert us == sorted(us)
    assert us[0] == 0.0


def test_an_instrument_goes_before_how_it_is_known() -> None:
    caliper = find_instrument("caliper")
    assert default_uncertainty("listing", "caliper", 0.19).u == caliper.u_at(0.19)
    assert find_instrument("steel rule").id == "steel-rule"


def test_fixed_part_of_a_default_is_for_lengths_only() -> None:
    assert default_uncertainty("listing", "", 3e5, quantity="pressure").u == pytest.approx(
        defaults()["listing"].relative * 3e5 / math.sqrt(3)
    )


def test_unknown_instrument_says_what_is_near() -> None:
    with pytest.raises(UnknownName, match="caliper"):
        find_instrument("calliper")
    with pytest.raises(UnknownName, match="way of knowing"):
        default_uncertainty("hearsay", "", 1.0)


def test_instruments_for_a_needed_accuracy() -> None:
    names = [row.id for row in instruments_for("depth", 0.19, 1e-4)]
    assert "depth-gauge" in names
    assert "steel-rule" not in names
    assert all("car" in row.where for row in instruments_for("depth", 0.19, where="car"))
    minutes = [row.minutes for row in instruments_for("length", 0.05)]
    assert minutes == sorted(minutes)


# --- combination ----------------------------------------------------------------------------------------------


def test_two_readings_are_weighted_by_inverse_variance() -> None:
    both = combine([Reading(10.0, u=0.1, shape="normal"), Reading(10.2, u=0.2, shape="normal")])
    # derived from the definition: weights 100 : 25, variance 1 / 125
    assert both.value == pytest.approx(10.04)
    assert both.u == pytest.approx(1 / math.sqrt(125))
    assert both.how == "combined"
    assert not both.contradiction
    assert len(both.readings) == 2


def test_shapes_survive_a_combination() -> None:
    both = combine(
        [plus_minus(10.0, 0.2), Reading(10.1, u=0.1, shape="normal"), plus_minus(10.05, 0.3, shape="triangular")]
    )
    assert sorted(term.shape for term in both.terms) == ["normal", "rectangular", "triangular"]


@given(
    st.lists(st.tuples(st.floats(-0.05, 0.05), st.floats(0.05, 1.0), st.sampled_from(SHAPES)), min_size=2, max_size=6)
)
def test_a_combination_is_finer_than_its_finest_reading(rows: list[tuple[float, float, str]]) -> None:
    readings = [Reading(10.0 + v, u=u, shape=shape) for v, u, shape in rows]
    both = combine(readings)
    assert not both.contradiction
    assert both.u <= min(u for _, u, _ in rows) * (1 + 1e-12)
    assert min(r.value for r in readings) - 1e-9 <= both.value <= max(r.value for r in readings) + 1e-9
    assert combine(reversed(readings)).value == pytest.approx(both.value, rel=1e-12)


def test_repeating_a_reading_does_not_narrow_its_instrument() -> None:
    # JCGM 100 5.2.2 with r = +1: the bias of one caliper stays whole in the mean
    once = Reading(10.0, 0.05, instrument="caliper", by="Ann")
    assert combine([once, once, once]).u == pytest.approx(standard_uncertainty(0.05))
    other = once._replace(by="Ben")
    assert combine([once, other]).u == pytest.approx(standard_uncertainty(0.05) / math.sqrt(2))


def test_an_exact_figure_outweighs_all_others() -> None:
    counted = combine([Reading(36, u=0.0, instrument="eye"), Reading(36.2, u=0.3)])
    assert counted.value == 36
    assert counted.terms == ()


def test_contradicting_readings_are_spanned_not_averaged() -> None:
    listing = Reading(190 * MM, 1 * MM, how="listing", source="yard list", text="190 mm")
    caliper = Reading(183 * MM, u=0.1 * MM, shape="normal", instrument="depth gauge", by="Ann", date="2024-05-01")
    both = combine([listing, caliper], measures="depth", show=lambda metres: f"{metres / MM:.2f} mm")
    # derived from the definition: 183 mm - 2 u .. 190 mm + 1 mm, middle 186.9 mm
    assert both.low == pytest.approx(182.8 * MM)
    assert both.high == pytest.approx(191 * MM)
    assert both.value == pytest.approx(186.9 * MM)
    assert [term.shape for term in both.terms] == ["rectangular"]
    for words in ("190 mm", "183.00 mm", "yard list", "Ann", "7.00 mm", "measure again with a", "superseding"):
        assert words in both.contradiction


def test_supports_that_do_not_touch_contradict_below_the_threshold() -> None:
    # 0.21 mm apart, half widths 0.1 mm: 2.57 u at threshold 3, but no value can satisfy both
    apart = [plus_minus(10.0, 0.1), plus_minus(10.21, 0.1)]
    assert combine(apart, threshold=3.0).contradiction
    touching = [plus_minus(10.0, 0.1), plus_minus(10.2, 0.1)]
    assert not combine(touching).contradiction


def test_every_pair_is_tested_and_the_worst_is_told() -> None:
    told = combine([plus_minus(1.0, 0.1, text="A"), plus_minus(1.05, 0.1, text="B"), plus_minus(2.0, 0.1, text="C")])
    assert "A" in told.contradiction
    assert "C" in told.contradiction
    assert "1 further pair" in told.contradiction


def test_a_superseding_reading_sets_earlier_ones_aside() -> None:
    after = combine(
        [plus_minus(1.0, 0.1), plus_minus(2.0, 0.1), plus_minus(1.9, 0.1, supersedes=True), plus_minus(1.92, 0.1)]
    )
    assert not after.contradiction
    assert len(after.readings) == 2
    assert after.value == pytest.approx(1.91)


def test_one_reading_keeps_its_own_words() -> None:
    one = combine([Reading(0.19, 1e-3, how="listing", source="s", date="2024-01-02", text="190 mm")])
    assert (one.how, one.source, one.date, one.text, one.contradiction) == ("listing", "s", "2024-01-02", "190 mm", "")


def test_no_reading_and_no_number_are_refused() -> None:
    with pytest.raises(Fault, match="no reading"):
        combine([])
    with pytest.raises(Fault, match="nan"):
        combine([Reading(math.nan, 0.1)])


HEAVY = ("numpy", "pint", "pydantic", "sqlite_utils", "datasette", "click", "yaml", "dataclasses", "inspect", "hashlib",
         "datetime", "pathlib", "random", "json", "statistics", "importlib.metadata")  # fmt: skip


def test_nothing_heavy_is_imported() -> None:
    code = f"import sys, kb.chance; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
