"""Fuels against values from outside: ids are those of the check values, with the source that each names."""

from __future__ import annotations

import pytest

from kb.errors import Fault, UnknownName
from kb.standards.fuels import (
    BEST_CONSUMPTION,
    ETHANOL,
    FUELS,
    PETROL,
    PUMP_E85,
    blend,
    energy_ratio,
    ethanol_blend,
    fuel_mass_flow,
    fuel_named,
    fuel_volume_flow,
    jet_area_ratio,
    lower_heating_value,
    mass_ratio,
    stoichiometric_ratio,
    stoichiometric_ratio_by_mass,
    volume_ratio,
)

G_KWH = 1e-3 / 3.6e6
L_H = 1e-3 / 3600


@pytest.mark.parametrize(
    ("atoms", "due", "rel", "origin"),
    [
        ((8, 18, 0), 15.13, 0.004, "fue-01: elemental balance, computed with chemicals 1.5.2"),
        ((2, 6, 1), 9.0034, 0.004, "fue-02: elemental balance, computed with chemicals 1.5.2"),
        ((1, 4, 1), 6.47, 0.01, "methanol, handbooks on alcohol fuels, from memory"),
        ((1, 4, 0), 17.2, 0.005, "methane, handbooks on gas engines, from memory"),
        ((7, 8, 0), 13.5, 0.005, "toluene, from memory"),
        ((0, 2, 0), 34.3, 0.005, "hydrogen, textbooks, from memory"),
        ((1, 0, 0), 11.5, 0.005, "carbon, textbooks, from memory"),
    ],
)
def test_air_by_atoms(atoms: tuple[int, int, int], due: float, rel: float, origin: str) -> None:
    assert stoichiometric_ratio(*atoms) == pytest.approx(due, rel=rel), origin


def test_nitrogen_is_carried_and_sulphur_burns() -> None:
    """Nitromethane CH3NO2 takes 1.69 (textbooks, from memory); sulphur one oxygen an atom (definition)."""
    assert stoichiometric_ratio(1, 3, 2, nitrogen=1) == pytest.approx(1.69, rel=0.01)
    assert stoichiometric_ratio(0, 0, 0, sulphur=1) == pytest.approx(28.9647 / 0.2095 / 32.06)


def test_a_fuel_needs_atoms() -> None:
    with pytest.raises(Fault, match="atoms"):
        stoichiometric_ratio(0, 0)


def test_air_by_mass() -> None:
    """fue-05: elemental balance on the US DOE composition of ethanol; both ways of writing shares."""
    assert stoichiometric_ratio_by_mass(52.2, 13.1, 34.7) == pytest.approx(9.0017, rel=0.005)
    assert stoichiometric_ratio_by_mass(0.522, 0.131, 0.347) == pytest.approx(9.0017, rel=0.005)
    # CH1.87 by its shares is CH1.87 by its atoms (definition).
    mass = 12.011 + 1.87 * 1.008
    assert stoichiometric_ratio_by_mass(12.011 / mass, 1.87 * 1.008 / mass) == pytest.approx(PETROL.ratio)


def test_blend_of_e85_weighs_by_mass() -> None:
    """fue-06: mass-weighted mean, CoolProp 8.0.0 and chemicals 1.5.2; volume weighting would give 9.843."""
    petrol = PETROL._replace(ratio=14.6013141, density=745.0)
    ethanol = ETHANOL._replace(ratio=9.0034147, density=789.421481)
    mixed = ethanol_blend(0.85, petrol, ethanol)
    assert mixed.ratio == pytest.approx(9.8026, rel=0.0003)
    assert abs(mixed.ratio - 9.843) > 0.03
    assert mixed.density == pytest.approx(782.758259, rel=1e-6)  # fue-17 states this density
    assert mixed.ethanol == pytest.approx(0.85)


def test_petrol_is_that_of_the_check_values() -> None:
    assert PETROL.ratio == pytest.approx(14.6013141, rel=1e-3)  # fue-06, fue-17
    assert ETHANOL.ratio == pytest.approx(9.0034147, rel=1e-3)


def test_blend_takes_any_parts_and_any_scale() -> None:
    """By the definition: one part is itself, and litres do as well as shares."""
    assert blend((PETROL, 1.0))[1:4] == pytest.approx(PETROL[1:4])
    assert blend((PETROL, 3.0), (ETHANOL, 17.0))[1:] == pytest.approx(ethanol_blend(0.85)[1:])
    three = blend((fuel_named("toluene"), 20), (fuel_named("isooctane"), 60), (fuel_named("heptane"), 20))
    low, high = FUELS["toluene"].ratio, FUELS["isooctane"].ratio
    assert low < three.ratio < high + 0.1


def test_pump_e85_spans_what_the_standard_allows() -> None:
    assert PUMP_E85 == (0.51, 0.83)  # ASTM D5798, as the check values' read-me states


def test_heat() -> None:
    assert ETHANOL.heating_value == pytest.approx(26.816e6, rel=0.008)  # fue-09: heats of formation
    assert PETROL.heating_value == pytest.approx(43.44e6, rel=0.0005)  # fue-11: US DOE, 2326 J/kg a Btu/lb
    assert FUELS["isooctane"].heating_value == pytest.approx(44.3e6, rel=0.01)  # textbooks, from memory
    assert FUELS["methanol"].heating_value == pytest.approx(19.9e6, rel=0.01)  # textbooks, from memory
    # Burning CO (gas, -110.53 kJ/mol) gives 283.0 kJ/mol: heats of formation, textbooks.
    assert lower_heating_value(1, 0, 1, -110.53e3) * 28.01e-3 == pytest.approx(282.98e3, rel=1e-3)


def test_flows() -> None:
    assert fuel_volume_flow(150e3, 300 * G_KWH, 745.0) == pytest.approx(60.4027 * L_H, rel=0.001)  # fue-13
    # 350 hp at 0.5 lb/hp.h is 175 lb/h: trade page, and the definition.
    hp, lb = 745.69987, 0.45359237
    assert fuel_mass_flow(350 * hp, 0.5 * lb / (hp * 3600)) == pytest.approx(175 * lb / 3600, rel=1e-6)


def test_ratios_of_two_fuels() -> None:
    # fue-17: (AFR1/AFR2) sqrt(rho1/rho2), derived from the definition.
    assert jet_area_ratio(14.6013141, 745.0, 9.80259535, 782.758259) == pytest.approx(1.45317, rel=1e-5)
    assert mass_ratio(14.7, 9.85) == pytest.approx(1.49, abs=0.005)  # trade page
    # Computed in the trade rules from 14.7 to 9.85 and 0.745 to 0.782: volume 1.42.
    assert volume_ratio(14.7, 745.0, 9.85, 782.0) == pytest.approx(1.42, abs=0.005)
    # 116 090 against about 82 300 Btu/gal: US DOE fuel table, from memory.
    assert energy_ratio(PETROL, ethanol_blend(0.85)) == pytest.approx(116090 / 82300, abs=0.02)


def test_best_consumption_is_a_range() -> None:
    """fue-16: Heywood, about 270 g/kWh at best; the range is from memory."""
    low, high = (each / G_KWH for each in BEST_CONSUMPTION)
    assert (low, high) == pytest.approx((250.0, 300.0))


def test_another_fuel_is_named_as_unknown() -> None:
    with pytest.raises(UnknownName, match="fuel"):
        fuel_named("petroll")


def test_arrays_and_quantities() -> None:
    import numpy
    import pint

    shares = numpy.array([0.0, 0.51, 0.83, 1.0])
    mixed = ethanol_blend(shares)
    for place, share in enumerate(shares):
        assert mixed.ratio[place] == pytest.approx(ethanol_blend(float(share)).ratio)
        assert mixed.viscosity[place] == pytest.approx(ethanol_blend(float(share)).viscosity)
    unit = pint.UnitRegistry()
    flow = fuel_volume_flow(unit.Quantity(150, "kW"), unit.Quantity(300, "g/kW/hour"), unit.Quantity(0.745, "g/cm**3"))
    assert flow.to("l/h").magnitude == pytest.approx(60.4027, rel=1e-5)  # fue-13
