"""The tilted surface against a count over a fine grid, and the milled valley against its geometry drawn out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kb.standards.tilt import Strip, strips, tilted_level, tilted_volume
from kb.standards.valley import end_cut_for_gap, manifold_lift, port_offset, side_cut_for_ports

PAN = [Strip(0.010, 0.175, 0.17, 0.104), Strip(0.175, 0.345, 0.22, 0.189)]


@pytest.mark.parametrize("slope", [-1.2, -0.5, 0.0, 0.3, 1.0])
@pytest.mark.parametrize("level", [0.05, 0.118, 0.16])
def test_volume_by_counting(level: float, slope: float) -> None:
    """Independent: slices of a hundredth of a millimetre, summed."""
    total = 0.0
    for strip in PAN:
        edges = np.linspace(strip.start, strip.end, 20001)
        middles = (edges[1:] + edges[:-1]) / 2
        depth = np.maximum(0.0, strip.depth - level - slope * middles)
        total += float(depth.sum()) * strip.width * (strip.end - strip.start) / 20000
    assert tilted_volume(PAN, level, slope) == pytest.approx(total, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("slope", [-1.5, -0.7, 0.0, 0.2, 1.0])
@pytest.mark.parametrize("volume", [0.0002, 0.0026, 0.006])
def test_level_holds_the_volume(volume: float, slope: float) -> None:
    level = tilted_level(PAN, volume, slope)
    assert tilted_volume(PAN, level, slope) == pytest.approx(volume, rel=1e-9)


def test_a_box_turns_about_its_middle() -> None:
    box = [Strip(0.0, 0.2, 0.2, 0.2)]
    volume = tilted_volume(box, 0.1, 0.0)
    assert volume == pytest.approx(0.2 * 0.2 * 0.1)
    # Derived from the definition: while the surface meets both walls its middle stays where it was.
    assert tilted_level(box, volume, 0.5) + 0.5 * 0.1 == pytest.approx(0.1)
    with pytest.raises(ValueError, match="floor is empty"):
        tilted_level([], volume, 0.5)


def test_strips_are_the_floor_from_the_side() -> None:
    class Zone:
        x_from, x_to, y_from, y_to, depth = 0.1, 0.3, -0.05, 0.07, 0.19

    assert strips([Zone()], "x") == [Strip(0.1, 0.3, pytest.approx(0.12), 0.19)]
    assert strips([Zone()], "y") == [Strip(-0.05, 0.07, pytest.approx(0.2), 0.19)]


@pytest.mark.parametrize(("bank", "face", "cut", "side"), [(90, 110, 0.8, 0.0), (90, 90, 0.5, 0.3), (60, 75, 1.1, 0.4)])
def test_valley_drawn_out(bank: float, face: float, cut: float, side: float) -> None:
    """Independent: a point of the head's flange and one of the manifold's, moved as vectors."""
    lean, half = math.radians(face / 2), math.radians(bank / 2)
    normal = np.array([-math.cos(lean), math.sin(lean)])  # out of the right-hand head's face, into the valley
    along = np.array([math.sin(lean), math.cos(lean)])  # up the face
    head = -cut * np.array([math.sin(half), math.cos(half)])  # down the cylinder
    lift = manifold_lift(cut, side, math.radians(bank), math.radians(face))
    manifold = np.array([0.0, lift])
    # The faces touch again: what the head came nearer, less what was milled off the manifold, is what it rose.
    assert float(head @ normal) - side == pytest.approx(float(manifold @ normal))
    offset = float((manifold - head) @ along)
    assert port_offset(cut, side, math.radians(bank), math.radians(face)) == pytest.approx(offset)


def test_the_trades_factors() -> None:
    bank, face = math.radians(90), math.radians(110)
    side, end = side_cut_for_ports(1.0, bank, face), end_cut_for_gap(1.0, bank, face)
    # 1.23 off the sides and 1.71 off the ends for each unit off the heads: trade's table, from memory
    assert side == pytest.approx(1.23, abs=0.005)
    assert end == pytest.approx(1.71, abs=0.01)
    assert port_offset(1.0, side, bank, face) == pytest.approx(0.0, abs=1e-12)
    assert manifold_lift(1.0, side, bank, face) == pytest.approx(-end)
