"""Kinds of part that meter fuel and air: carburettor, jet sets, injectors, throttle, compressor."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, codes, count, dimension, length, many, text
from kb.standards.fuel_materials import NAMES as MATERIALS
from kb.standards.two_fuels import CIRCUITS


class Passage(Item):
    """One calibrated hole of a carburettor, or one jet of a set."""

    id = text("name of the hole, the same in the carburettor and in the set: main-left, idle, seat")
    circuit = choice("what it feeds", *CIRCUITS, measure="look where it sits", tools=("eye",))
    bore = length(
        "bore; a number on a jet is a size only in some makers' systems",
        measure="pin gauge or drill shank, never forced",
        tools=("drill-shanks",),
        plausible=(0.15, 6),
    )
    rod = length(
        "diameter of the metering rod where it meters at full load; 0 for none",
        measure="micrometer at the thin end",
        tools=("micrometer",),
        plausible=(0, 5),
        absent=0.0,
    )


class Carburettor(Kind):
    """Carburettor with the set of jets that runs right on its base fuel."""

    kind = "carburettor"
    family = "fuel"
    roles = {"carburettor": "carburettor"}
    rated_flow = dimension("air flow that it is rated at", "flow", measure="maker's list", plausible=(1000, 50000))
    rated_depression = dimension(
        "depression at which that is stated: 1.5 inHg for most four-barrels, 3 inHg for others",
        "pressure",
        measure="maker's list",
        plausible=(2, 15),
    )
    inlet_pressure_least = dimension(
        "lowest fuel pressure at its inlet", "pressure", measure="maker's sheet", plausible=(3, 50)
    )
    inlet_pressure_most = dimension(
        "highest fuel pressure at its inlet", "pressure", measure="maker's sheet", plausible=(8, 90)
    )
    float_force = dimension(
        "force with which the float holds the needle shut, bowl full",
        "force",
        measure="cover upside down, bowl's fuel level marked: spring scale at the needle, float lifted to the mark",
        tools=("scale",),
        plausible=(0.05, 5),
    )
    base_ethanol = dimension(
        "ethanol by volume of the fuel on which its own set runs right",
        "percent",
        measure="what it ran on when it last ran right",
        plausible=(0, 100),
    )
    passages = many(Passage, "its own set: the holes that fuel and bleed air pass, right on the base fuel")
    shot = dimension(
        "what the accelerator pump gives at one stroke",
        "volume",
        measure="ten strokes into a graduated tube, divide",
        tools=("jug",),
        plausible=(0.0001, 0.02),
    )
    materials = codes(
        "materials that fuel touches in it, float and gaskets counted in",
        *MATERIALS,
        measure="kit list, marking; unmarked rubber is not known",
        tools=("eye",),
    )


class JetSet(Kind):
    """Set of jets, restrictions and needle seats for a carburettor; it names only what it replaces."""

    kind = "jet_set"
    family = "fuel"
    roles = {
        "fitted_jets": "what is in the carburettor now in place of its own set",
        "second_jets": "set carried for the second fuel",
    }
    passages = many(Passage, "the jets of the set, named as the carburettor names them")


class Injector(Kind):
    """Set of like fuel injectors."""

    kind = "injector"
    family = "fuel"
    roles = {"injector": "fuel injectors, one set"}
    pieces = count("number of injectors", measure="count", tools=("eye",))
    flow = dimension(
        "flow of one, held open, at the rated pressure",
        "flow",
        measure="flow tag; or timed catch at a known pressure, outdoors",
        tools=("timed-catch",),
        plausible=(0.05, 5),
    )
    rated_pressure = dimension(
        "pressure across it at which the flow is stated", "pressure", measure="flow tag or list", plausible=(50, 700)
    )
    test_density = dimension(
        "density of the liquid it was flowed with (petrol 745, heptane 684 kg/m3)",
        "density",
        measure="list or test sheet",
        plausible=(680, 830),
    )


class Throttle(Kind):
    """Throttle body, or several alike."""

    kind = "throttle"
    family = "fuel"
    roles = {"throttle": "throttle body"}
    pieces = count("number of bores", measure="count", tools=("eye",))
    bore = length("bore at the plate", measure="caliper", tools=("caliper",), plausible=(20, 120))
    shaft = length(
        "thickness of shaft and plate, seen from the end, wide open",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 15),
    )


class Compressor(Kind):
    """Turbocharger or supercharger, with its intercooler if it has one."""

    kind = "compressor"
    family = "fuel"
    roles = {"compressor": "turbocharger or supercharger"}
    boost = dimension(
        "highest boost over the air outside",
        "pressure",
        measure="gauge on the manifold",
        tools=("pressure-gauge",),
        plausible=(0, 250),
    )
    efficiency = dimension("isentropic efficiency", "percent", measure="maker's map", plausible=(40, 82))
    intercooling = dimension(
        "share of the heating that the intercooler takes out again; 0 without one",
        "percent",
        measure="thermometer before and behind it, under load",
        tools=("thermometer",),
        plausible=(0, 95),
    )
    place = choice(
        "before: blows through the carburettor or throttle; after: draws through it",
        "before",
        "after",
        measure="look",
        tools=("eye",),
    )
