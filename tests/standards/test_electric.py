"""Every expected number names its origin; ids such as ele-04 are those of the shared check values."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kb.standards import electric as el
from kb.standards.electric import Link


def test_rise_of_a_coils_current() -> None:
    # Trade rules 45, computed there: 6 mH, 0.7 ohm, 6 A take 3.2 ms at 13.5 V and 6.4 ms at 8 V.
    assert el.rise_time(6e-3, 0.7, 6, 13.5) * 1e3 == pytest.approx(3.2, abs=0.05)
    assert el.rise_time(6e-3, 0.7, 6, 8) * 1e3 == pytest.approx(6.4, abs=0.05)


@pytest.mark.parametrize("volts", [6.0, 9.0, 13.8])
def test_rise_solves_the_circuit(volts: float) -> None:
    """Independent: the differential equation V = R i + L di/dt, integrated."""
    inductance, ohms, amperes = 5e-3, 0.5, 7.0
    time = el.rise_time(inductance, ohms, amperes, volts)
    path = solve_ivp(lambda t, i: (volts - ohms * i) / inductance, (0, time), [0.0], rtol=1e-10, atol=1e-12)
    assert path.y[0][-1] == pytest.approx(amperes, rel=1e-6)


def test_a_current_that_the_voltage_cannot_drive_takes_very_long() -> None:
    # From the definition: 4 V through 0.7 ohm end at 5.7 A, short of 6 A.
    assert el.rise_time(6e-3, 0.7, 6, 4) > 20 * 6e-3 / 0.7


def test_period_of_one_coil() -> None:
    # Trade rules 45, computed there: one coil of an eight has 2.5 ms at 6000 rpm; 120/(rpm x cylinders).
    assert el.spark_period(6000 / 60, el.sparks_a_cycle(8, "distributor")) * 1e3 == pytest.approx(2.5)
    # From the definition: a wasted-spark coil fires once a turn, a coil of its own once in two.
    assert el.spark_period(6000 / 60, el.sparks_a_cycle(6, "wasted")) * 1e3 == pytest.approx(10.0)
    assert el.spark_period(6000 / 60, el.sparks_a_cycle(6, "sequential")) * 1e3 == pytest.approx(20.0)


def test_ohms_law() -> None:
    # ele-04: 0.01 ohm at 200 A lose 2.0 V, here as a network of one link.
    loss = el.network_resistance([Link("strap", "engine", "battery", 0.01)], "engine", "battery")
    assert loss is not None
    assert loss * 200 == pytest.approx(2.0, abs=1e-9)


def test_ballast_shares_the_voltage() -> None:
    # From the definition: 1.5 ohm of coil behind 1.5 ohm of ballast have half.
    assert 14 * el.series_share(1.5, 1.5) == pytest.approx(7.0)
    assert el.series_share(1.5, 0.0) == 1.0


def test_a_battery_has_its_cold_amperes_at_seven_volts_two() -> None:
    # SAE J537 (from memory): 7.2 V at the cold cranking current.
    inner = el.inner_resistance(12.6, 540)
    assert 12.6 - 540 * inner == pytest.approx(7.2)
    assert el.crank_current_left(12.6, 540, 0.0) == pytest.approx(540)
    left = el.crank_current_left(12.6, 540, 0.005)
    assert 12.6 - left * (inner + 0.005) == pytest.approx(7.2)  # derived: Ohm's law over the loop


def test_cold_amperes_needed() -> None:
    # Trade page: 1.0 A a cubic inch of an eight, 1.5 of a six, 2.0 of a four.
    for cylinders, factor in ((8, 1.0), (6, 1.5), (4, 2.0)):
        assert el.cold_amperes_needed(200 * 0.0254**3, cylinders) == pytest.approx(200 * factor)
    assert el.cold_amperes_needed(200 * 0.0254**3, numpy.array([4, 5, 6, 8, 12])) == pytest.approx(
        [400, 300, 300, 200, 200]
    )


# -- networks ----------------------------------------------------------------------------------------------------------


def test_series_and_parallel() -> None:
    # From the definition: 2 + 3 in series, beside 5: 2.5.
    links = [Link("a", "engine", "body", 2), Link("b", "body", "battery", 3), Link("c", "engine", "battery", 5)]
    assert el.network_resistance(links, "engine", "battery") == pytest.approx(2.5)


def test_a_bridge() -> None:
    # Balanced Wheatstone bridge of ones: 1 ohm whatever the middle is.
    links = [Link("1", "a", "b", 1), Link("2", "a", "c", 1), Link("3", "b", "d", 1), Link("4", "c", "d", 1),
             Link("5", "b", "c", 7)]  # fmt: skip
    assert el.network_resistance(links, "a", "d") == pytest.approx(1.0)


def test_nothing_joins_them() -> None:
    assert el.network_resistance([Link("a", "engine", "gearbox", 1)], "engine", "battery") is None
    assert el.widest_path([Link("a", "engine", "gearbox", 1)], "engine", "battery") == []
    assert el.reached([Link("a", "engine", "gearbox", 1)], "battery") == {"battery"}


PLACES = "abcdef"
NETWORKS = st.lists(
    st.tuples(st.sampled_from(PLACES), st.sampled_from(PLACES), st.floats(0.01, 100), st.floats(1, 99)), max_size=12
).map(lambda rows: [Link(str(at), one, other, ohms, area) for at, (one, other, ohms, area) in enumerate(rows)])


@given(NETWORKS)
def test_network_agrees_with_the_pseudo_inverse_of_its_laplacian(links: list[Link]) -> None:
    """Independent: effective resistance from the Moore-Penrose inverse of the graph's Laplacian."""
    found = el.network_resistance(links, "a", "f")
    joined = el.reached(links, "f")
    assert (found is None) == ("a" not in joined)
    if found is None:
        return
    places = sorted(joined)
    matrix = numpy.zeros((len(places), len(places)))
    for link in links:
        if link.one in joined and link.one != link.other:
            i, j = places.index(link.one), places.index(link.other)
            matrix[i, i] += 1 / link.resistance
            matrix[j, j] += 1 / link.resistance
            matrix[i, j] -= 1 / link.resistance
            matrix[j, i] -= 1 / link.resistance
    inverse = numpy.linalg.pinv(matrix)
    a, f = places.index("a"), places.index("f")
    assert found == pytest.approx(inverse[a, a] + inverse[f, f] - 2 * inverse[a, f], rel=1e-6)


@given(NETWORKS)
def test_widest_path_is_the_widest(links: list[Link]) -> None:
    """Independent: the widest path has the greatest area at which the thicker links alone still join both places."""
    path = el.widest_path(links, "a", "f")
    areas = [
        area for area in {link.area for link in links}
        if "f" in el.reached([link for link in links if link.area >= area], "a")
    ]  # fmt: skip
    assert bool(path) == bool(areas)
    if path:
        assert min(link.area for link in path) == max(areas)
        assert "a" in (path[0].one, path[0].other)
        assert "f" in (path[-1].one, path[-1].other)
        assert all({one.one, one.other} & {two.one, two.other} for one, two in pairwise(path))
        assert math.isfinite(max(areas))
