"""The unit words that people write: spellings, kind of quantity, what Pint calls the unit, and its factor to SI.

No text of a user reaches Pint. A spelling found here stands for an expression of ours, which Pint resolves and whose
dimension it checks. Units met in daily use carry their exact factor, so that they need no Pint at run time; a test
holds every factor and every dimension of the table against Pint. Factors: NIST SP 811, appendix B.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any, NamedTuple

from kb.errors import NotationFault, near

Ratio = tuple[int, int]


class Kind(NamedTuple):
    """A kind of quantity: how it is named in a sentence, its SI unit for Pint, the units shown in mm and inch shops."""

    phrase: str
    base: str
    metric: str
    inch: str
    example: str


class Unit(NamedTuple):
    """A unit: word shown, kind, Pint expression, exact factor to SI ("" = ask Pint), offset before the factor."""

    word: str
    kind: str
    pint: str
    factor: str
    offset: str = "0"


KINDS: dict[str, Kind] = {
    "length": Kind("a length", "meter", "mm", "in", "6.35 mm or 1/4 in"),
    "area": Kind("an area", "meter**2", "mm2", "in2", "50 mm2"),
    "volume": Kind("a volume", "meter**3", "L", "qt", "4.5 L or 50 cc"),
    "second_moment": Kind("a second moment of area", "meter**4", "mm4", "in4", "1200 mm4"),
    "angle": Kind("an angle", "radian", "deg", "deg", "10 deg"),
    "temperature": Kind("a temperature", "kelvin", "degC", "degF", "75 degC or 180 degF"),
    "temperature_difference": Kind("a temperature difference", "kelvin", "K", "degF difference", "10 K"),
    "pressure": Kind("a pressure", "pascal", "kPa", "psi", "3 bar or 43.5 psi"),
    "torque": Kind("a torque", "newton*meter", "N.m", "ft-lb", "34 N.m or 25 ft-lb"),
    "imbalance": Kind("an imbalance, mass times radius", "kilogram*meter", "g.mm", "oz-in", "720 g.mm or 1 oz-in"),
    "force": Kind("a force", "newton", "N", "lbf", "500 N or 110 lbf"),
    "mass": Kind("a mass", "kilogram", "kg", "lb", "1.2 kg or 2.6 lb"),
    "flow": Kind("a flow", "meter**3/second", "L/min", "gal/min", "255 L/h or 29 gph"),
    "mass_flow": Kind("a mass flow", "kilogram/second", "kg/h", "lb/h", "20 kg/h or 44 lb/h"),
    "density": Kind("a density", "kilogram/meter**3", "kg/m3", "lb/ft3", "745 kg/m3"),
    "viscosity": Kind("a kinematic viscosity", "meter**2/second", "cSt", "cSt", "0.7 cSt"),
    "dynamic_viscosity": Kind("a dynamic viscosity", "pascal*second", "mPa.s", "mPa.s", "3.7 mPa.s"),
    "speed": Kind("a speed of rotation", "revolution/second", "rpm", "rpm", "2000 rpm"),
    "velocity": Kind("a velocity", "meter/second", "m/s", "ft/s", "3 m/s or 10 ft/s"),
    "acceleration": Kind("an acceleration", "meter/second**2", "m/s2", "ft/s2", "9.8 m/s2"),
    "time": Kind("a time", "second", "s", "s", "2.5 ms or 3 h"),
    "frequency": Kind("a frequency", "hertz", "Hz", "Hz", "6 kHz"),
    "voltage": Kind("a voltage", "volt", "V", "V", "12.6 V"),
    "current": Kind("a current", "ampere", "A", "A", "150 A"),
    "resistance": Kind("a resistance", "ohm", "ohm", "ohm", "0.5 ohm"),
    "line_resistance": Kind("a resistance per length", "ohm/meter", "ohm/km", "ohm/kft", "3.3 ohm/km"),
    "inductance": Kind("an inductance", "henry", "mH", "mH", "6 mH"),
    "resistivity": Kind("a resistivity", "ohm*meter", "ohm.mm2/m", "ohm.mm2/m", "0.0172 ohm.mm2/m"),
    "charge": Kind("a charge", "coulomb", "A.h", "A.h", "60 A.h"),
    "power": Kind("a power", "watt", "kW", "hp", "150 kW or 200 hp"),
    "energy": Kind("an energy", "joule", "kJ", "Btu", "35 kJ"),
    "heating_value": Kind("an energy per mass", "joule/kilogram", "MJ/kg", "Btu/lb", "43 MJ/kg"),
    "specific_heat": Kind("a specific heat", "joule/kilogram/kelvin", "kJ/(kg.K)", "Btu/(lb.R)", "4.2 kJ/(kg.K)"),
    "consumption": Kind("a fuel mass per energy", "kilogram/joule", "g/kWh", "lb/hp.h", "280 g/kWh or 0.46 lb/hp.h"),
    "stiffness": Kind("a stiffness", "newton/meter", "N/mm", "lbf/in", "35 N/mm or 200 lbf/in"),
    "expansion": Kind("a thermal expansion", "1/kelvin", "ppm/K", "ppm/K", "12 ppm/K"),
    "per_length": Kind("a count per length", "1/meter", "/mm", "tpi", "18 tpi"),
    "number": Kind("a plain number", "dimensionless", "", "", "36"),
    "slope": Kind("a rise over a length", "dimensionless", "mm/m", "in/ft", "0.33 mm/m or 0.004 in/ft"),
    "percent": Kind("a percentage", "dimensionless", "%", "%", "58 %"),
}

NUMBER = Unit("", "number", "dimensionless", "1")

# kind, Pint expression, exact factor to SI, spellings; "~": only where this very kind is due, "!": case matters.
_TABLE: tuple[tuple[str, str, str, str], ...] = (
    ("length", "millimeter", "0.001", "mm millimetre millimetres millimeter millimeters"),
    ("length", "centimeter", "0.01", "cm centimetre centimetres centimeter centimeters"),
    ("length", "meter", "1", "!m metre metres meter meters"),
    ("length", "kilometer", "1000", "km kilometre kilometres"),
    ("length", "micrometer", "0.000001", "um micron microns"),
    ("length", "nanometer", "0.000000001", "nm"),
    ("length", "inch", "0.0254", "in inch inches"),
    ("length", "thou", "0.0000254", "thou mil mils"),
    ("length", "foot", "0.3048", "ft foot feet '"),
    ("length", "1000*foot", "304.8", "kft"),
    ("length", "yard", "0.9144", "yd yard yards"),
    ("length", "mile", "1609.344", "mi mile miles"),
    ("area", "millimeter**2", "0.000001", "mm2 sq.mm"),
    ("area", "centimeter**2", "0.0001", "cm2 sq.cm"),
    ("area", "meter**2", "1", "!m2 sq.m"),
    ("area", "inch**2", "0.00064516", "in2 sq.in"),
    ("area", "foot**2", "0.09290304", "ft2 sq.ft"),
    ("volume", "liter", "0.001", "L litre litres liter liters ltr dm3"),
    ("volume", "milliliter", "0.000001", "!mL !ml"),
    ("volume", "centimeter**3", "0.000001", "cc ccm cm3"),
    ("volume", "millimeter**3", "0.000000001", "mm3"),
    ("volume", "meter**3", "1", "!m3"),
    ("volume", "inch**3", "0.000016387064", "in3 cu.in cuin ci cid"),
    ("volume", "foot**3", "0.028316846592", "ft3 cu.ft cuft cf"),
    ("volume", "gallon", "0.003785411784", "gal gallon gallons US.gal US.gallon US.gallons"),
    ("volume", "quart", "0.000946352946", "qt qts quart quarts US.qt US.quart US.quarts"),
    ("volume", "pint", "0.000473176473", "pt pint pints US.pt US.pint US.pints"),
    ("volume", "US_fluid_ounce", "", "fl.oz floz fluid.oz fluid.ounce fluid.ounces US.fl.oz"),
    ("volume", "imperial_gallon", "0.00454609", "imp.gal imperial.gallon imperial.gallons UK.gal"),
    ("volume", "imperial_pint", "", "imp.pt imperial.pint imperial.pints UK.pt"),
    ("second_moment", "millimeter**4", "0.000000000001", "mm4"),
    ("second_moment", "centimeter**4", "0.00000001", "cm4"),
    ("second_moment", "meter**4", "1", "!m4"),
    ("second_moment", "inch**4", "0.0000004162314256", "in4"),
    ("angle", "degree", "3.14159265358979323846/180", "deg degree degrees °"),
    ("angle", "radian", "1", "rad radian radians"),
    ("temperature", "degree_Celsius", "1|273.15", "degC C °C °.C deg.C celsius centigrade degrees.C degrees.Celsius"),
    ("temperature", "degree_Fahrenheit", "5/9|459.67", "degF F °F °.F deg.F fahrenheit degrees.F degrees.Fahrenheit"),
    ("temperature", "kelvin", "1", "!K kelvin kelvins"),
    ("temperature_difference", "delta_degree_Celsius", "1",
     "!~K ~kelvin ~kelvins ~degC ~C ~°C ~°.C ~deg.C ~celsius K_difference degC_difference °C_difference delta.degC"),
    ("temperature_difference", "delta_degree_Fahrenheit", "5/9",
     "degF_difference °F_difference delta.degF ~degF ~F ~°F ~°.F ~deg.F ~fahrenheit"),
    ("pressure", "kilopascal", "1000", "kPa"),
    ("pressure", "pascal", "1", "!Pa pascal pascals"),
    ("pressure", "hectopascal", "100", "hPa"),
    ("pressure", "millipascal", "0.001", "!mPa"),
    ("pressure", "megapascal", "1000000", "!MPa N/mm2 !MN/m2"),
    ("pressure", "gigapascal", "1000000000", "!GPa"),
    ("pressure", "bar", "100000", "bar bars"),
    ("pressure", "millibar", "100", "!mbar"),
    ("pressure", "psi", "4.4482216152605/0.00064516", "psi lbf/in2 lb/in2 lbs/in2 lbf/sq.in lb/sq.in"),
    ("pressure", "1000*psi", "", "ksi"),
    ("pressure", "atmosphere", "101325", "atm"),
    ("pressure", "inch_Hg", "", "inHg in.Hg inches.Hg inch.Hg"),
    ("pressure", "millimeter_Hg", "", "mmHg mm.Hg torr"),
    ("pressure", "inch*kilogram/decimeter**3*standard_gravity", "", "inH2O in.H2O inches.H2O inWC in.WC"),
    ("pressure", "millimeter*kilogram/decimeter**3*standard_gravity", "", "mmH2O mm.H2O"),
    ("pressure", "kilogram_force/centimeter**2", "98066.5", "kgf/cm2 ~kg/cm2"),
    ("torque", "newton*meter", "1", "N.m !Nm nm"),
    ("torque", "newton*centimeter", "0.01", "N.cm Ncm"),
    ("torque", "newton*millimeter", "0.001", "N.mm Nmm"),
    ("torque", "kilonewton*meter", "1000", "kN.m kNm"),
    ("torque", "foot*force_pound", "1.3558179483314004",
     "ft-lb ft.lbf ft.lbs lb.ft lbf.ft lbs.ft ftlb lbft ftlbs foot.pound foot.pounds"),
    ("torque", "inch*force_pound", "0.1129848290276167", "in-lb in.lbf in.lbs lb.in lbf.in lbs.in inlb inch.pounds"),
    ("torque", "inch*force_ounce", "", "oz-in ozf.in in.oz in.ozf oz.inch"),
    ("torque", "kilogram_force*meter", "9.80665", "kgf.m kg.m kgm"),
    ("torque", "kilogram_force*centimeter", "0.0980665", "kgf.cm kg.cm"),
    ("imbalance", "gram*millimeter", "0.000001", "!g.mm !gmm"),
    ("imbalance", "gram*centimeter", "0.00001", "!g.cm !gcm"),
    ("imbalance", "kilogram*meter", "1", "~kg.m ~kgm"),
    ("imbalance", "ounce*inch", "0.000720077887375", "~oz-in ~in.oz"),
    ("force", "newton", "1", "!N newton newtons"),
    ("force", "kilonewton", "1000", "kN"),
    ("force", "meganewton", "1000000", "!MN"),
    ("force", "force_pound", "4.4482216152605", "lbf ~lb ~lbs ~pound ~pounds"),
    ("force", "force_ounce", "", "ozf ~oz"),
    ("force", "kilogram_force", "9.80665", "kgf kp"),
    ("mass", "kilogram", "1", "kg kilo kilos kilogram kilograms"),
    ("mass", "gram", "0.001", "!g gram grams"),
    ("mass", "milligram", "0.000001", "!mg"),
    ("mass", "metric_ton", "1000", "!t tonne tonnes"),
    ("mass", "pound", "0.45359237", "lb lbs lbm pound pounds"),
    ("mass", "ounce", "", "oz ounce ounces"),
    ("flow", "liter/minute", "0.001/60", "L/min lpm"),
    ("flow", "liter/hour", "0.001/3600", "L/h L/hr lph"),
    ("flow", "milliliter/minute", "0.000001/60", "cc/min !mL/min !ml/min cm3/min"),
    ("flow", "foot**3/minute", "0.028316846592/60", "cfm ft3/min"),
    ("flow", "gallon/minute", "0.003785411784/60", "gal/min gpm"),
    ("flow", "gallon/hour", "0.003785411784/3600", "gal/h gal/hr gph"),
    ("mass_flow", "kilogram/hour", "1/3600", "kg/h kg/hr"),
    ("mass_flow", "pound/hour", "0.45359237/3600", "lb/h lb/hr lbs/h lbs/hr pph"),
    ("density", "kilogram/meter**3", "1", "kg/m3"),
    ("density", "pound/foot**3", "0.45359237/0.028316846592", "lb/ft3"),
    ("viscosity", "centistokes", "0.000001", "cSt centistokes"),
    ("viscosity", "millimeter**2/second", "0.000001", "mm2/s"),
    ("viscosity", "stokes", "0.0001", "!St"),
    ("dynamic_viscosity", "millipascal*second", "0.001", "!mPa.s !mPas cP centipoise"),
    ("dynamic_viscosity", "pascal*second", "1", "!Pa.s !Pas"),
    ("speed", "revolution/minute", "1/60", "rpm rev/min r/min turns/min"),
    ("speed", "revolution/second", "1", "rev/s r/s rps turns/s"),
    ("speed", "radian/second", "", "rad/s"),
    ("velocity", "meter/second", "1", "!m/s"),
    ("velocity", "foot/second", "0.3048", "ft/s fps"),
    ("velocity", "kilometer/hour", "1/3.6", "km/h kph kmh km/hr"),
    ("velocity", "mile/hour", "0.44704", "mph"),
    ("acceleration", "meter/second**2", "1", "!m/s2"),
    ("acceleration", "foot/second**2", "0.3048", "ft/s2"),
    ("acceleration", "standard_gravity", "9.80665", "gn !~g"),
    ("time", "second", "1", "!s sec secs second seconds"),
    ("time", "millisecond", "0.001", "!ms msec"),
    ("time", "microsecond", "0.000001", "!us usec"),
    ("time", "minute", "60", "min mins minute minutes"),
    ("time", "hour", "3600", "h hr hrs hour hours"),
    ("frequency", "hertz", "1", "Hz hertz cps"),
    ("frequency", "kilohertz", "1000", "kHz"),
    ("frequency", "megahertz", "1000000", "!MHz"),
    ("voltage", "volt", "1", "V volt volts"),
    ("voltage", "millivolt", "0.001", "!mV"),
    ("voltage", "kilovolt", "1000", "kV"),
    ("current", "ampere", "1", "!A amp amps ampere amperes"),
    ("current", "milliampere", "0.001", "!mA"),
    ("resistance", "ohm", "1", "ohm ohms Ω"),
    ("resistance", "milliohm", "0.001", "!mohm !mohms !mΩ"),
    ("resistance", "kiloohm", "1000", "kohm kohms !kΩ"),
    ("resistance", "megaohm", "1000000", "!Mohm !Mohms !MΩ"),
    ("inductance", "henry", "1", "!H henry henries"),
    ("inductance", "millihenry", "0.001", "!mH"),
    ("inductance", "microhenry", "0.000001", "!uH"),
    ("line_resistance", "ohm/kilometer", "0.001", "ohm/km !mohm/m"),
    ("line_resistance", "ohm/(1000*foot)", "1/304.8", "ohm/kft"),
    ("resistivity", "ohm*millimeter**2/meter", "0.000001", "ohm.mm2/m"),
    ("charge", "ampere*hour", "3600", "A.h !Ah"),
    ("power", "kilowatt", "1000", "kW"),
    ("power", "watt", "1", "W watt watts"),
    ("power", "megawatt", "1000000", "!MW"),
    ("power", "horsepower", "745.69987158227022", "hp bhp horsepower"),
    ("power", "metric_horsepower", "735.49875", "!PS metric.hp"),
    ("energy", "kilojoule", "1000", "kJ"),
    ("energy", "joule", "1", "J joule joules"),
    ("energy", "megajoule", "1000000", "!MJ"),
    ("energy", "watt*hour", "3600", "W.h !Wh"),
    ("energy", "kilowatt*hour", "3600000", "kWh kW.h"),
    ("energy", "Btu_it", "1055.05585262", "Btu Btu_IT"),
    ("heating_value", "megajoule/kilogram", "1000000", "!MJ/kg"),
    ("heating_value", "Btu_it/pound", "2326", "Btu/lb Btu_IT/lb"),
    ("specific_heat", "kilojoule/kilogram/kelvin", "1000", "kJ/(kg.K) kJ/kg/K kJ/kg.K"),
    ("specific_heat", "Btu_it/pound/delta_degree_Fahrenheit", "4186.8", "Btu/(lb.R) Btu/lb.F Btu/(lb.F)"),
    ("consumption", "gram/kilowatt/hour", "0.001/3600000", "g/kWh g/(kW.h)"),
    ("consumption", "pound/horsepower/hour", "0.45359237/2684519.537696172792", "lb/hp.h lb/(hp.h) lb/hp.hr lb/hp/h"),
    ("stiffness", "newton/millimeter", "1000", "N/mm kN/m"),
    ("stiffness", "force_pound/inch", "4.4482216152605/0.0254", "lbf/in lb/in lbs/in"),
    ("expansion", "1/kelvin", "1", "/K"),
    ("expansion", "1e-6/kelvin", "0.000001", "ppm/K um/m/K ppm/°C ppm/degC"),
    ("per_length", "1/millimeter", "1000", "/mm"),
    ("per_length", "1/inch", "1/0.0254", "tpi /in ~DP"),
    ("number", "dimensionless", "1", ""),
    ("percent", "percent", "0.01", "% percent pct"),
    ("slope", "millimeter/meter", "0.001", "mm/m"),
    ("slope", "inch/foot", "1/12", "in/ft"),
)  # fmt: skip

# What cannot be one unit, and what to write in its place.
_GAUGE_STEP = "write psi, bar or kPa; the field says whether it is absolute or above atmosphere"
_HINTS = {
    **dict.fromkeys(("psig", "psia", "barg", "bara"), _GAUGE_STEP),
    **dict.fromkeys(("ton", "tons"), "write t for 1000 kg, or kg, or lb"),
    **dict.fromkeys(("ga", "gauge"), "write 10 AWG for a wire, a length in mm or in for a sheet"),
}
_SOME_UNITS = "use a unit such as mm, in, thou, kPa, psi, bar, N.m, ft-lb, L/h, degC"
# Pint counts a turn as 2 pi and a degree as pi/180 of nothing: joined to other units they would vanish into a factor.
_NOT_TO_JOIN = {"angle", "speed", "temperature", "temperature_difference", "number", "percent", "slope"}


def key(written: str) -> str:
    """The one spelling under which the table keeps `written`: "ft-lb", "ft lb" and "ft.lb" are all "ft.lb"."""
    if written.startswith(('"', "''")):
        written = "in" + written.lstrip("\"'")
    slashed = re.sub(r"\s*/\s*", "/", re.sub(r"\s+per\s+", "/", written.strip()))
    return re.sub(r"[\s.*_-]+", ".", slashed).replace("^", "")


@cache
def _words() -> tuple[dict[str, list[tuple[Unit, bool]]], dict[str, list[tuple[Unit, bool]]]]:
    exact: dict[str, list[tuple[Unit, bool]]] = {}
    folded: dict[str, list[tuple[Unit, bool]]] = {}
    for kind, expression, factor, spellings in _TABLE:
        names = spellings.split() or [""]
        scale, _, offset = factor.partition("|")
        unit = Unit(names[0].lstrip("!~").replace("_", " "), kind, expression, scale, offset or "0")
        for name in names:
            word, due_only = key(name.lstrip("!~")), "~" in name[:2]
            exact.setdefault(word, []).append((unit, due_only))
            if "!" not in name[:2] and unit not in [known for known, _ in folded.get(word.casefold(), [])]:
                folded.setdefault(word.casefold(), []).append((unit, due_only))
    return exact, folded


def decimal(text: str) -> Ratio:
    """The exact ratio that plain digits state: "1.25e-3" is (125, 100000)."""
    mantissa, _, exponent = text.lower().partition("e")
    whole, _, rest = mantissa.partition(".")
    power = int(exponent or 0) - len(rest)
    digits = int(whole + rest)
    return (digits * 10**power, 1) if power >= 0 else (digits, 10**-power)


@cache
def _registry() -> Any:
    from fractions import Fraction

    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def _dimensions() -> dict[str, Any]:
    registry = _registry()
    joinable = {name: kind.base for name, kind in KINDS.items() if name not in _NOT_TO_JOIN}
    return {name: registry.parse_expression(base).dimensionality for name, base in joinable.items()}


@cache
def factor(unit: Unit) -> Ratio:
    """Exact SI units in one `unit` (without offset), from the table or else from Pint."""
    if unit.factor:
        above, _, below = unit.factor.partition("/")
        (a, b), (c, d) = decimal(above), decimal(below or "1")
        return a * d, b * c
    registry = _registry()
    return _exact(registry.parse_expression(unit.pint), KINDS[unit.kind].base)


def _exact(quantity: Any, base: str) -> Ratio:
    from fractions import Fraction

    ratio = Fraction(_registry().Quantity(Fraction(1), quantity.units).to(base).magnitude) * Fraction(
        quantity.magnitude
    )
    return ratio.numerator, ratio.denominator


def resolve(written: str, kind: str | None = None, *, place: str = "") -> Unit:
    """The unit that `written` names, of `kind` if one is due.

    NotationFault: not a unit, a unit of another kind than is due, or one that may be two things.
    """
    word = key(written)
    exact, folded = _words()
    found = exact.get(word) or folded.get(word.casefold()) or []
    if kind is None:
        free = [unit for unit, due_only in found if not due_only] or [unit for unit, _ in found]
        if len(free) > 1:
            both = " or ".join(f"{KINDS[unit.kind].phrase} ({unit.pint})" for unit in free)
            step = "write " + " or ".join(unit.word if key(unit.word) != word else "um" for unit in reversed(free))
            raise NotationFault(f"{written!r} may be {both}", place=place, step=step)
        if free:
            return free[0]
    else:
        for unit, _ in found:
            if unit.kind == kind:
                return unit
        if found:
            raise _other_kind(written, found[0][0].kind, kind, place)
    return _compound(written, word, kind, place)


def _other_kind(written: str, is_kind: str, due: str, place: str) -> NotationFault:
    shown = f"({written}) " if written else ""
    return NotationFault(
        f"{KINDS[is_kind].phrase} {shown}where {KINDS[due].phrase} is due",
        place=place,
        step=f"write {KINDS[due].phrase}, for example {KINDS[due].example}",
    )


def _compound(written: str, word: str, kind: str | None, place: str) -> Unit:
    """A unit joined from words of the table by "." and "/", such as "cc/min": Pint tells its dimension and factor."""
    expression = "1"
    for index, segment in enumerate(re.split(r"/|\s+per\s+", written)):
        for name, power in _parts(segment.strip().removeprefix("(").removesuffix(")"), written, place):
            expression += f"{'/' if index else '*'}({name})**{power}"
    quantity = _registry().parse_expression(expression)
    same = [name for name, dimension in _dimensions().items() if dimension == quantity.dimensionality]
    if kind is not None and kind not in same:
        if same:
            raise _other_kind(written, same[0], kind, place)
        message = f"{written!r} is no unit of {KINDS[kind].phrase}"
        raise NotationFault(message, place=place, step=f"write for example {KINDS[kind].example}")
    if not same:
        raise NotationFault(f"{written!r} is a unit of no quantity known here", place=place, step=_SOME_UNITS)
    if kind is None and len(same) > 1:
        both = " or ".join(KINDS[name].phrase for name in same)
        raise NotationFault(f"{written!r} may be {both}", place=place, step=_SOME_UNITS)
    chosen = kind or same[0]
    above, below = _exact(quantity, KINDS[chosen].base)
    return Unit(" ".join(written.split()), chosen, expression, f"{above}/{below}")


def _parts(segment: str, written: str, place: str) -> list[tuple[str, int]]:
    """Pint expressions and powers of one run of words joined by points."""
    exact, folded = _words()
    parts = []
    joined = key(segment)
    blank = re.search(r"[\s-]", segment)
    for word in [joined] if joined in exact or blank else joined.split("."):
        name, power = (word, 1) if word in exact or word[-1:] not in ("2", "3", "4") else (word[:-1], int(word[-1]))
        units = [unit for unit, due_only in exact.get(name) or folded.get(name.casefold()) or [] if not due_only]
        known = [unit for unit in units if unit.kind not in _NOT_TO_JOIN or unit.word == "K"]
        if units and not known:
            message = f"{name!r} cannot be joined to other units as in {written[:60]!r}"
            raise NotationFault(message, place=place, step=_SOME_UNITS)
        if not known:
            raise _no_unit(name, written, place)
        parts.append((known[0].pint, power))
    return parts


def _no_unit(name: str, written: str, place: str) -> NotationFault:
    inside = f" (in {written[:60]!r})" if key(written) != name else ""
    twins = [word for word in _words()[0] if word.casefold() == name.casefold()]
    step = f"write {' or '.join(twins)}: here upper and lower case differ" if twins else ""
    step = step or _HINTS.get(name.casefold()) or near(name, [word for word in _words()[0] if word]) or _SOME_UNITS
    return NotationFault(f"{(name or written)[:60]!r}{inside} is not a unit known here", place=place, step=step)
