"""Kinds of part of the fuel system: the fuel itself, tank, lines, pump, filter and regulator."""

from __future__ import annotations

from kb.records._kind import Kind, choice, codes, count, dimension, flag, length
from kb.standards.fuel_materials import NAMES as MATERIALS

_WETTED = (
    "read the marking or the maker's sheet; unmarked rubber is not known: leave it out, or soak a cut piece for 48 h"
)


class Fuel(Kind):
    """A fuel that goes into the tank."""

    kind = "fuel"
    family = "fuel"
    roles = {"fuel": "the fuel in use", "second_fuel": "the other fuel that the build is to run on"}
    ethanol = dimension(
        "ethanol by volume",
        "percent",
        measure="shake test: one part of water to ten of fuel in a graduated tube; what the water gains is ethanol",
        tools=("jug",),
        plausible=(0, 100),
    )
    density = dimension(
        "density at about 20 degC; worked out from the ethanol where nobody weighed it",
        "density",
        measure="record the ethanol instead, by the shake test; or weigh a counted litre, outdoors",
        tools=("scale",),
        plausible=(680, 880),
    )
    stoichiometric_ratio = dimension(
        "mass of air that burns one of fuel just completely; worked out from the ethanol where no sheet says",
        "number",
        measure="record the ethanol instead, by the shake test; or the maker's data sheet",
        plausible=(5, 16),
    )
    viscosity = dimension(
        "kinematic viscosity at about 20 degC; worked out from the ethanol where no sheet says",
        "viscosity",
        measure="record the ethanol instead, by the shake test; or the maker's data sheet",
        plausible=(0.35, 3),
    )


class FuelTank(Kind):
    """Fuel tank with its cap, vent and pickup."""

    kind = "fuel_tank"
    family = "fuel"
    roles = {"fuel_tank": "fuel tank with cap, vent and pickup"}
    vent_bore = length(
        "narrowest bore on the vent's way from the open air, cap or valve counted in",
        measure="drill shanks in the vent hole; cold tank, no lamp, no sparks",
        tools=("drill-shanks", "caliper"),
        plausible=(0.5, 30),
    )
    vent_opening = dimension(
        "pressure at which the vent's valve lets air in; 0 without a valve",
        "pressure",
        measure="hand vacuum pump at the vent, or the maker's sheet",
        tools=("pressure-gauge",),
        plausible=(0, 20),
    )
    rollover_valve = flag(
        "the vent closes when the car lies on its roof",
        measure="blow through it, turn it over, blow again",
        tools=("eye",),
    )
    pickup_bore = length(
        "bore of the pickup tube at its mouth", measure="drill shanks", tools=("drill-shanks",), plausible=(3, 30)
    )
    pickup_clearance = length(
        "mouth of the pickup to the nearest wall, floor or foam",
        measure="tank empty and aired: reach in and feel, or clay under the mouth",
        tools=("clay", "steel-rule"),
        plausible=(0, 100),
    )
    materials = codes("materials that fuel touches in it", *MATERIALS, measure=_WETTED, tools=("eye",))


class FuelLine(Kind):
    """Tube or hose for fuel, with its fittings, cut to length; one for each run."""

    kind = "fuel_line"
    family = "fuel"
    roles = {"fuel_line": "a run of fuel line: fuel_line:suction, fuel_line:supply, fuel_line:return"}
    serves = choice(
        "which run it is: tank to pump, pump to carburettor or rail, or back to the tank",
        "suction",
        "supply",
        "return",
        measure="follow it",
        tools=("eye",),
    )
    bore = length(
        "inside diameter; not the thread, not the dash",
        measure="drill shank or caliper in the cut end",
        tools=("drill-shanks", "caliper"),
        plausible=(3, 30),
    )
    run_length = length("length of the run", measure="tape along it", tools=("tape",), plausible=(50, 9000))
    bends = count("sweeping bends of about 90 degrees", measure="count", tools=("eye",))
    elbows = count("tight 90 degree fittings", measure="count", tools=("eye",))
    fittings = count("straight unions, ends and adapters", measure="count", tools=("eye",))
    fitting_bore = length(
        "bore of the narrowest fitting", measure="drill shanks", tools=("drill-shanks",), plausible=(2, 30)
    )
    rise = dimension(
        "height of its outlet over its inlet; negative where it falls",
        "length",
        measure="tape from the ground to both ends; for the suction run from the level of a nearly empty tank",
        tools=("tape",),
        plausible=(-1500, 1500),
    )
    material = choice(
        "what its inside is made of",
        *MATERIALS,
        measure=_WETTED,
        tools=("eye",),
    )
    proved_tight = flag(
        "no air leak: capped, blown with a little air under liquid, no bubbles",
        measure="cap one end, blow at the other, ends and joints under water; off the car",
        tools=("eye",),
    )


class FuelPump(Kind):
    """Fuel pump."""

    kind = "fuel_pump"
    family = "fuel"
    roles = {"fuel_pump": "fuel pump"}
    drive = choice("what drives it", "electric", "mechanical", measure="look", tools=("eye",))
    free_flow = dimension(
        "flow at no pressure, at the rated voltage",
        "flow",
        measure="maker's curve; or into a can for 30 s with the outlet open: outdoors, bonded metal can",
        tools=("timed-catch",),
        plausible=(0.2, 20),
    )
    rated_flow = dimension(
        "flow at the rated pressure and the rated voltage",
        "flow",
        measure="maker's curve; or into a can for 30 s at that pressure",
        tools=("timed-catch",),
        plausible=(0.1, 20),
    )
    rated_pressure = dimension(
        "pressure at which the rated flow is stated", "pressure", measure="maker's curve", plausible=(5, 800)
    )
    dead_head = dimension(
        "pressure with the outlet shut: where its own relief opens or its flow ends",
        "pressure",
        measure="gauge on the outlet, outlet shut for a moment",
        tools=("pressure-gauge",),
        plausible=(10, 1200),
    )
    rated_voltage = dimension(
        "voltage at which the flows are stated", "voltage", measure="maker's curve", plausible=(5, 30)
    )
    plug_voltage = dimension(
        "volts at its plug, as wired in this car, pump running at pressure",
        "voltage",
        measure="meter across the two pins of the plug, engine running",
        tools=("multimeter",),
        plausible=(4, 30),
    )
    materials = codes("materials that fuel touches in it", *MATERIALS, measure=_WETTED, tools=("eye",))
    reach_at_rest = length(
        "mechanical: pump flange to the arm's tip, arm free",
        measure="depth gauge from the flange",
        tools=("depth-gauge",),
        plausible=(5, 120),
    )
    reach_pressed = length(
        "mechanical: pump flange to the arm's tip, arm pressed as far as it goes",
        measure="depth gauge from the flange",
        tools=("depth-gauge",),
        plausible=(0, 120),
    )
    spacer = length(
        "mechanical: spacer and gaskets under the flange; 0 for none",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 40),
    )


class FuelFilter(Kind):
    """Fuel filter."""

    kind = "fuel_filter"
    family = "fuel"
    roles = {"fuel_filter": "a fuel filter: fuel_filter:suction before the pump, fuel_filter:supply behind it"}
    serves = choice(
        "where it sits: before the pump or behind it", "suction", "supply", measure="follow the line", tools=("eye",)
    )
    arrow = choice(
        "its arrow, or the flow for which the element is held",
        "with_flow",
        "against_flow",
        "either_way",
        measure="find the arrow and blow through: free one way",
        tools=("eye",),
    )
    rating = dimension(
        "highest pressure that it is made for",
        "pressure",
        measure="printed on it or in its sheet",
        plausible=(10, 3000),
    )
    mesh = length("size of what it stops", measure="printed on it", plausible=(0.002, 0.5))
    drop = dimension(
        "pressure that it takes, clean, at the flow below",
        "pressure",
        measure="gauge before and behind it",
        tools=("pressure-gauge",),
        plausible=(0, 60),
    )
    drop_flow = dimension(
        "flow at which the drop is stated", "flow", measure="timed catch", tools=("timed-catch",), plausible=(0.2, 20)
    )
    materials = codes("materials that fuel touches in it", *MATERIALS, measure=_WETTED, tools=("eye",))


class FuelRegulator(Kind):
    """Fuel pressure regulator."""

    kind = "fuel_regulator"
    family = "fuel"
    roles = {"fuel_regulator": "fuel pressure regulator"}
    style = choice(
        "bypass spills back through a return line, dead_end throttles on the way, in_tank spills at the pump",
        "bypass",
        "dead_end",
        "in_tank",
        measure="count its ports and follow them",
        tools=("eye",),
    )
    set_pressure = dimension(
        "pressure that it is set to, engine idling; over the manifold's pressure where it is referenced",
        "pressure",
        measure="gauge at the carburettor or rail, engine idling",
        tools=("pressure-gauge",),
        plausible=(5, 700),
    )
    droop = dimension(
        "how much the pressure falls from idle to full flow",
        "pressure",
        measure="gauge at the carburettor or rail, full load",
        tools=("pressure-gauge",),
        plausible=(0, 100),
    )
    open_drop = dimension(
        "pressure that it needs to pass the flow below, spring backed right off",
        "pressure",
        measure="return led to a metal can, outdoors; spring backed off, gauge at the regulator",
        tools=("pressure-gauge",),
        plausible=(0, 120),
    )
    open_flow = dimension(
        "flow at which that is stated", "flow", measure="timed catch", tools=("timed-catch",), plausible=(0.2, 20)
    )
    boost_reference = flag(
        "its spring side is joined to the manifold, so that the pressure rises with boost",
        measure="look for the hose",
        tools=("eye",),
    )
    materials = codes("materials that fuel touches in it", *MATERIALS, measure=_WETTED, tools=("eye",))
