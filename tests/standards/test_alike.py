"""Every formula gives the same answer for floats, numpy arrays and Pint quantities, and imports nothing heavy."""

from __future__ import annotations

import inspect
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest

from kb.standards import fasteners, gaskets, geometry, hydraulics, oil, orings, patterns

REGISTRY = pint.UnitRegistry()
MODULES = (fasteners, gaskets, geometry, hydraulics, oil, orings, patterns)

# Arguments as (value in a workshop unit, that unit, its size in SI); plain values stay as they are.
MM, IN = ("mm", 1e-3), ("inch", 0.0254)
BEAM = ((70.0, "GPa", 1e9), (1666.67, "mm**4", 1e-12), (133.33, "MN/m**2", 1e6))
OIL = ((0.87, "g/cm**3", 1e3), (45.0, "mPa*s", 1e-3))
POINTS = ((32.0, "mm**2/s", 1e-6), (313.15, "K", 1.0), (5.4, "mm**2/s", 1e-6), (373.15, "K", 1.0))
KV40, KV100 = (73.3, "mm**2/s", 1e-6), (8.86, "mm**2/s", 1e-6)

CASES: list[tuple[Callable[..., Any], tuple[Any, ...]]] = [
    (fasteners.tensile_stress_area, ((8.0, *MM), (1.25, *MM))),
    (fasteners.inch_stress_area, ((0.3125, *IN), (0.0555, *IN))),
    (fasteners.proof_stress, ("8.8", (18.0, *MM))),
    (fasteners.proof_load, ("8.8", (8.0, *MM), (1.25, *MM))),
    (fasteners.preload, ("10.9", (8.0, *MM), (1.25, *MM), 0.75)),
    (fasteners.pitch_mismatch, ((0.05, *IN), (1.25, *MM))),
    (fasteners.grade_proof_stress, ("grade_2", (0.75, *IN))),
    (fasteners.grade_tensile_strength, ("class_8_8", (16.0, *MM))),
    (fasteners.engagement_rule, ("aluminium", (0.3125, *IN))),
    (fasteners.bolt_shear_area, ((0.375, *IN), (1.5, *MM), (0.321, *IN), (0.3287, *IN))),
    (fasteners.hole_shear_area, ((0.375, *IN), (1.5, *MM), (0.365, *IN), (0.3401, *IN))),
    (fasteners.least_engagement, ((58.0, "mm**2", 1e-6), (1.5, *MM), (0.321, *IN), (0.3287, *IN))),
    (gaskets.max_bolt_spacing, ((8.0, *MM), (6.0, *MM), 1.0)),
    (gaskets.moment_multiplier, ((60.0, *MM), (8.0, *MM), (6.0, *MM))),
    (gaskets.tightening_torque, ((15.9, "kN", 1e3), (8.0, *MM), 0.2)),
    (gaskets.preload_from_torque, ((25.0, "N*m", 1.0), (8.0, *MM), 0.2)),
    (gaskets.gasket_squeeze, ((0.2, *IN), (3.5, *MM))),
    (gaskets.rectangle_inertia, ((20.0, *MM), (0.4, *IN))),
    (gaskets.foundation_modulus, ((10.0, "MPa", 1e6), (20.0, *MM), (1.5, *MM))),
    (gaskets.beam_parameter, BEAM),
    (gaskets.single_load_deflection, ((2.0, "kN", 1e3), *BEAM, (30.0, *MM))),
    (gaskets.single_load_moment, ((2.0, "kN", 1e3), *BEAM, (30.0, *MM))),
    (gaskets.bolt_row_deflection, ((2.0, "kN", 1e3), (80.0, *MM), *BEAM)),
    (gaskets.bolt_row_midspan, ((2.0, "kN", 1e3), (80.0, *MM), *BEAM)),
    (gaskets.bolt_row_ratio, ((80.0, *MM), *BEAM)),
    (gaskets.bolt_row_moment, ((2.0, "kN", 1e3), (80.0, *MM), *BEAM)),
    (gaskets.stress_from_moment, ((20.0, "N*m", 1.0), (20.0, *MM), (10.0, *MM))),
    (gaskets.mean_compression, ((2.0, "kN", 1e3), (80.0, *MM), (133.33, "MN/m**2", 1e6))),
    (geometry.round_perimeter, ((3.0, *IN),)),
    (geometry.slot_perimeter, ((80.0, *MM), (1.0, *IN))),
    (geometry.curtain_area, ((200.0, *MM), (0.25, *IN))),
    (geometry.curtain_ratio, ((200.0, *MM), (0.25, *IN), (16.0, *MM))),
    (geometry.open_end_ratio, ((20.0, *MM), (0.25, *IN))),
    (geometry.curtain_gap, ((200.0, *MM), (16.0, *MM), 4.0)),
    (geometry.tilt_difference, ((400.0, *MM), (4.0, "deg", np.pi / 180))),
    (geometry.joint_fluctuation, ((16.0, "deg", np.pi / 180),)),
    (geometry.joint_angle, (0.083,)),
    (geometry.joint_speeds, ((1200.0, "1/min", 1 / 60), (16.0, "deg", np.pi / 180))),
    (geometry.converter_pullout, ((1.125, *IN), (24.0, *MM))),
    (hydraulics.tube_area, ((16.0, *MM),)),
    (hydraulics.velocity, ((8.0, "L/min", 1e-3 / 60), (16.0, *MM))),
    (hydraulics.reynolds, ((1.0, "m/s", 1.0), (16.0, *MM), *OIL)),
    (hydraulics.colebrook, (1e5, 1e-4)),
    (hydraulics.friction_factor, (3000.0, 1e-4)),
    (hydraulics.tube_drop, ((40.0, "L/min", 1e-3 / 60), (16.0, *MM), (0.3, "m", 1.0), *OIL, (1.5, "um", 1e-6))),
    (hydraulics.laminar_drop, ((8.0, "L/min", 1e-3 / 60), (16.0, *MM), (0.3, "m", 1.0), OIL[1])),
    (hydraulics.wall_shear, ((30.0, "kPa", 1e3), (16.0, *MM), (0.3, "m", 1.0))),
    (hydraulics.local_drop, (0.5, OIL[0], (2.0, "m/s", 1.0))),
    (hydraulics.entrance_loss, ("square-edged", 7.0)),
    (hydraulics.bend_loss, ("90 standard", 7.0, (16.0, *MM))),
    (hydraulics.expansion_loss, (0.4,)),
    (hydraulics.contraction_loss, (0.4, 7.0)),
    (hydraulics.screen_loss, (0.5, 0.3)),
    (
        hydraulics.screen_drop,
        ((40.0, "L/min", 1e-3 / 60), (45.0, "cm**2", 1e-4), 0.5, (0.3, *MM), *OIL),
    ),
    (hydraulics.orifice_flow, (0.62, (2.0, "cm**2", 1e-4), (30.0, "kPa", 1e3), OIL[0])),
    (hydraulics.orifice_drop, (0.62, (2.0, "cm**2", 1e-4), (8.0, "L/min", 1e-3 / 60), OIL[0])),
    (hydraulics.head_pressure, (OIL[0], (12.0, *IN))),
    (hydraulics.drain_velocity, ((2.1, "m", 1.0), (2.0, "m", 1.0), (10.0, *MM), *OIL)),
    (oil.viscosity_at, ((353.15, "K", 1.0), *POINTS)),
    (oil.temperature_at, ((8.5, "mm**2/s", 1e-6), *POINTS)),
    (oil.index_references, (KV100,)),
    (oil.viscosity_index, (KV40, KV100)),
    (oil.kv40_from_index, (KV100, 150.0)),
    (oil.dynamic_viscosity, (KV40, OIL[0])),
    (oil.density_at, ((373.15, "K", 1.0), OIL[0])),
    (oil.in_grade, (oil.grade("5W-30"), (11.0, "mm**2/s", 1e-6))),
    (orings.iso_3601_cord_tolerance, ((3.0, *MM),)),
    (orings.iso_3601_bore_tolerance, ((25.0, *MM),)),
    (orings.squeeze, ((0.139, *IN), (2.9, *MM))),
    (orings.squeeze_extremes, ((0.139, *IN), (0.1, *MM), (2.8, *MM), (2.95, *MM))),
    (orings.gland_depth, ((0.139, *IN), 0.2)),
    (orings.stretch, ((0.984, *IN), (25.7, *MM))),
    (orings.thinning_constant_volume, (0.04,)),
    (orings.thinning_empirical, (0.04,)),
    (orings.thinned_cord, ((0.139, *IN), 0.02)),
    (orings.fill, ((0.139, *IN), (2.9, *MM), (4.8, *MM), (25.0, *MM), (1.0, *IN))),
    (orings.cord_length, ((0.984, *IN), (3.53, *MM))),
    (orings.typical_radial_squeeze, ((0.139, *IN),)),
    (patterns.pitch_angle, (60.0,)),
    (patterns.gap_angle, (36.0, 1.0)),
    (patterns.pitch_frequency, (60.0, (3000.0, "1/min", 1 / 60))),
    (patterns.pulse_rate, (58.0, (3000.0, "1/min", 1 / 60))),
    (patterns.tooth_period, (60.0, (200.0, "1/min", 1 / 60))),
]
NAMES = [f"{function.__module__.rsplit('.', 1)[1]}.{function.__name__}" for function, _ in CASES]

# These take text, records or plain points: one at a time by design. box_separation has its own test below.
ONE_AT_A_TIME = {
    "orings.as568",
    "orings.as568_numbers",
    "oil.grade",
    "oil.vg_window",
    "patterns.parse_pattern",
    "patterns.canonical",
    "patterns.mirrored",
    "patterns.same_pattern",
    "patterns.spelt_out",
    "geometry.convex_hull",
    "geometry.segment_distance",
    "geometry.contains",
    "geometry.boundary_distance",
    "geometry.box_separation",
}


def _plain(argument: Any) -> bool:
    return not (isinstance(argument, float | int) or type(argument) is tuple)


def _si(argument: Any, factor: float = 1.0) -> Any:
    if _plain(argument):
        return argument
    return argument[0] * argument[2] * factor if isinstance(argument, tuple) else argument * factor


def _parts(answer: Any) -> tuple[Any, ...]:
    return answer if isinstance(answer, tuple) else (answer,)


@pytest.mark.parametrize(("function", "arguments"), CASES, ids=NAMES)
def test_floats_and_arrays_agree(function: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    factors = (0.97, 1.0, 1.04)
    # Only the first value varies, so that no combination leaves its range.
    first = next(index for index, argument in enumerate(arguments) if not _plain(argument))
    rows = [[_si(a, f if i == first else 1.0) for i, a in enumerate(arguments)] for f in factors]
    singles = [_parts(function(*row)) for row in rows]
    columns = [rows[0][i] if _plain(a) else np.array([row[i] for row in rows]) for i, a in enumerate(arguments)]
    together = _parts(function(*columns))
    assert len(together) == len(singles[0])
    for part, column in enumerate(together):
        assert np.shape(column) == (len(factors),)
        assert list(column) == pytest.approx([single[part] for single in singles], rel=1e-12)
    assert all(type(value) in {float, bool} for single in singles for value in single)


@pytest.mark.parametrize(("function", "arguments"), CASES, ids=NAMES)
def test_quantities_agree(function: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    quantities = [a if _plain(a) or not isinstance(a, tuple) else REGISTRY.Quantity(a[0], a[1]) for a in arguments]
    bare = _parts(function(*(_si(argument) for argument in arguments)))
    found = _parts(function(*quantities))
    for expected, answer in zip(bare, found, strict=True):
        value = answer.to_base_units().magnitude if hasattr(answer, "magnitude") else answer
        if function in {oil.index_references}:
            value = answer.to("").magnitude  # the standard tabulates mm2/s as plain numbers
        assert float(value) == pytest.approx(float(expected), rel=1e-9)


def test_a_wrong_unit_is_caught() -> None:
    kelvin, pressure = REGISTRY.Quantity(350.0, "K"), REGISTRY.Quantity(2.0, "bar")
    with pytest.raises(pint.DimensionalityError):
        oil.viscosity_at(kelvin, pressure, kelvin, pressure, kelvin)
    with pytest.raises(pint.DimensionalityError):
        hydraulics.bend_loss("90 standard", 7.0, pressure)
    with pytest.raises(pint.DimensionalityError):
        orings.typical_radial_squeeze(pressure)


def test_boxes_and_arrays_agree() -> None:
    box = (0.0, 2.0, 0.0, 2.0, 0.0, 2.0)
    starts = np.array([-5.0, 1.0, 2.0, 3.5])
    found = geometry.box_separation(box, (starts, starts + 1, 1.0, 4.0, 0.5, 1.0))
    singles = [geometry.box_separation(box, (x, x + 1, 1.0, 4.0, 0.5, 1.0)) for x in starts.tolist()]
    assert list(found) == pytest.approx(singles)


def test_every_public_function_is_covered() -> None:
    public = {
        f"{module.__name__.rsplit('.', 1)[1]}.{name}"
        for module in MODULES
        for name, thing in vars(module).items()
        if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_")
    }
    assert public == set(NAMES) | ONE_AT_A_TIME


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_public_docstrings(module: Any) -> None:
    for name, thing in vars(module).items():
        if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_"):
            assert thing.__doc__, name


def test_nothing_heavy_is_imported() -> None:
    code = (
        "import sys; import kb.standards.orings, kb.standards.oil, kb.standards.hydraulics, kb.standards.gaskets, "
        "kb.standards.patterns, kb.standards.geometry, kb.standards.fasteners as f; f.proof_load('8.8', 8e-3, 1e-3); "
        "heavy = {'numpy', 'pint', 'pydantic', 'dataclasses', 'inspect', 'datetime', 'pathlib', 'hashlib', 'difflib'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
