"""Every expected number names its origin; ids such as thr-01 are those of the shared check values."""

from __future__ import annotations

import pytest

from kb.errors import UnknownName
from kb.standards import fasteners as fas

MM, INCH = 1e-3, 0.0254


def test_stress_areas() -> None:
    assert fas.tensile_stress_area(8 * MM, 1.25 * MM) * 1e6 == pytest.approx(36.6085, rel=0.002)  # thr-01: ISO 898-1
    found = fas.inch_stress_area(0.3125 * INCH, INCH / 18) / INCH**2
    assert found == pytest.approx(0.0524, rel=0.003)  # thr-08: ASME B1.1


def test_proof_loads() -> None:
    assert fas.proof_load("8.8", 8 * MM, 1.25 * MM) == pytest.approx(21200, rel=0.004)  # thr-04: ISO 898-1
    assert fas.proof_load("10.9", 6 * MM, 1.0 * MM) == pytest.approx(16700, rel=0.004)  # thr-06: ISO 898-1
    # gas-05 takes 15900 N as 75 % of the proof load of M8 8.8
    assert fas.preload("8.8", 8 * MM, 1.25 * MM) == pytest.approx(15900, rel=0.004)


def test_proof_stress_steps_at_m16() -> None:
    assert fas.proof_stress("8.8", 16 * MM) == 580e6  # thr-04, note: ISO 898-1
    assert fas.proof_stress("8.8", 18 * MM) == 600e6  # thr-04, note: ISO 898-1
    assert fas.proof_stress("12.9", 18 * MM) == 970e6  # ISO 898-1, from memory
    with pytest.raises(UnknownName, match="property class"):
        fas.proof_stress("8.9", 8 * MM)


@pytest.mark.parametrize(
    ("major", "tpi", "metric", "pitch", "mismatch", "difference"),
    [  # thr-11, thr-12, thr-15: ISO 261 / ASME B1.1 nominal sizes
        (0.3125, 18, 8.0, 1.25, 12.889, -0.0625),
        (0.375, 16, 10.0, 1.5, 5.8333, -0.475),
        (0.5, 13, 12.0, 1.75, 11.648, 0.7),
    ],
)
def test_near_misses(major: float, tpi: float, metric: float, pitch: float, mismatch: float, difference: float) -> None:
    assert 100 * fas.pitch_mismatch(INCH / tpi, pitch * MM) == pytest.approx(mismatch, abs=0.01)
    assert major * 25.4 - metric == pytest.approx(difference, abs=0.01)


def test_pitches() -> None:
    assert fas.COARSE_PITCH["M8"] == 1.25 * MM  # ISO 261
    assert all(max(fine) < fas.COARSE_PITCH[size] for size, fine in fas.FINE_PITCHES.items())  # definition
