"""The car as an envelope around the engine, and the duty that the build is meant for."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, flag, length, many, position, text


class Obstacle(Item):
    """A box of the car that the pan must stay clear of, in the engine's directions (see `engine.py`)."""

    id = text("name: crossmember, drag link, idler arm")
    sort = choice("what it is", "fixed", "steering")
    x_from = position("front end")
    x_to = position("rear end")
    y_from = position("left edge")
    y_to = position("right edge")
    top = length(
        "rail plane to the highest point of the thing, at the worst of its travel",
        measure="engine on its mounts or "
        "mocked up: straight edge on the block's rail, tape down to the thing; steering at full lock and bump",
        tools=("tape", "clay"),
        plausible=(-100, 500),
    )


class Car(Kind):
    """The engine bay with mounts as they will be: what lies under and around the pan."""

    kind = "car"
    family = "car"
    roles = {"car": "the car around the engine"}
    obstacles = many(Obstacle, "boxes that the pan must clear")
    ground = length(
        "rail plane to the ground, car at its lowest ride height",
        measure="tape from the block's rail to the floor, car laden",
        tools=("tape",),
        plausible=(150, 800),
    )


class EngineBay(Kind):
    """What the engine is near once it hangs on its mounts: gaps measured in the car."""

    kind = "engine_bay"
    family = "car"
    hood_room = length(
        "top of the air cleaner to the underside of the hood, hood shut",
        measure="clay balls on the air cleaner, shut the hood, caliper the clay",
        tools=("clay",),
        plausible=(-150, 300),
    )
    fan_gap = length(
        "mechanical fan: its blades to the radiator core; electric fan: the foremost part of the engine to it; engine at rest",
        measure="largest wood block that passes all round, engine off and its switch off; then measure the block",
        tools=("steel-rule", "tape"),
        plausible=(-20, 200),
    )
    side_gap = length(
        "nearest accessory or exhaust to the wing or frame, engine at rest",
        measure="largest wood block that passes, then measure the block; look from below too",
        tools=("steel-rule", "tape"),
        plausible=(-20, 200),
    )
    steering_gap = length(
        "nearest part of engine, mount or exhaust to the steering column and linkage, lock to lock, with the engine levered both ways",
        measure="helper at the wheel, lever under the mount, feeler or drill shank in the gap",
        tools=("drill-shanks", "steel-rule"),
        plausible=(-20, 150),
    )
    line_gap = length(
        "exhaust to the nearest brake or fuel line, with the engine levered both ways",
        measure="rule, pipe cold, on its hangers; a metre of steel pipe grows about 6 mm when hot",
        tools=("steel-rule", "tape"),
        plausible=(-5, 300),
    )
    mount_rubber = choice(
        "state of the rubber of the engine's and the gearbox's mounts, the worst of them",
        "new",
        "sound",
        "cracked",
        "soaked",
        "sheared",
        measure="lever each mount up by 10 mm and look for light in the bond; oil swells and softens it",
        tools=("eye",),
    )
    mounts_hold = flag(
        "the engine cannot lift off should the rubber shear: mounts that interlock, a stop or a strap",
        measure="lever the engine up at each mount: steel must meet steel; or tug the strap",
        tools=("eye",),
    )
    mount_sag = length(
        "how much lower the engine sits on these mounts than on new ones",
        measure="height between the mount's two steel plates, against a new one under the same load",
        tools=("caliper", "steel-rule"),
        plausible=(0, 30),
    )
    cylinders = choice(
        "size of the engine, which decides how far it rocks",
        "four",
        "light_v",
        "small_v8",
        "big_v8",
        measure="count the cylinders; a V6, or a V8 of aluminium, is light_v; a V8 of iron is big_v8 above about 6 L (the boundary is from memory)",
        tools=("eye",),
    )


class Propshaft(Kind):
    """Propeller shaft with its slip yoke, as it sits in this car."""

    kind = "propshaft"
    family = "car"
    yoke_travel = length(
        "from the yoke bottomed in the gearbox to where it sits at ride height",
        measure="shaft off at the axle, push the yoke in until it stops, mark it at the seal; measure what shows at ride height",
        tools=("steel-rule", "caliper"),
        plausible=(0, 120),
    )
    bump_travel = length(
        "how much further the yoke goes in from ride height to full bump",
        measure="spring out or bump stop off, jack the axle to full bump, mark the yoke",
        tools=("steel-rule",),
        plausible=(0, 60),
    )
    droop_travel = length(
        "how much the yoke comes out from ride height to full droop",
        measure="axle hanging, mark the yoke",
        tools=("steel-rule",),
        plausible=(0, 80),
    )
    spline_length = length(
        "length of spline in engagement with the yoke bottomed: yoke on this very gearbox's shaft",
        measure="wire or clay in the yoke shows where the shaft's spline ends; count no spline that the shaft does not reach",
        tools=("steel-rule",),
        plausible=(30, 200),
    )
    front_angle = dimension(
        "angle of the front joint: gearbox against shaft",
        "angle",
        measure="angle gauge on the damper's face and along the shaft, car on its wheels, laden; both in one plane",
        tools=("protractor",),
        plausible=(0, 30),
    )
    rear_angle = dimension(
        "angle of the rear joint: shaft against pinion",
        "angle",
        measure="angle gauge along the shaft and on the pinion's flange, car on its wheels, laden; both in one plane",
        tools=("protractor",),
        plausible=(0, 30),
    )
    yokes_in_line = flag(
        "the two yokes on the shaft's own ends stand in line with each other",
        measure="lay the shaft on the bench, sight along it; a slip spline can go together a tooth off",
        tools=("eye",),
    )


class Duty(Kind):
    """How the build will be used; fills the role `duty`."""

    kind = "duty"
    family = "car"
    roles = {"duty": "how the build will be used"}
    rev_limit = dimension("highest engine speed", "speed", measure="set by you", plausible=(3000, 9000))
    idle = dimension("idle speed", "speed", measure="set by you", plausible=(400, 1500))
    cold_speed = dimension("speed just after a cold start", "speed", measure="set by you", plausible=(600, 2500))
    cold_oil = dimension(
        "oil temperature at the coldest start",
        "temperature",
        measure="coldest morning of the year",
        tools=("thermometer",),
        plausible=(233, 300),
    )
    hot_oil = dimension(
        "oil temperature when hot",
        "temperature",
        measure="gauge in the sump",
        tools=("thermometer",),
        plausible=(353, 423),
    )
    power = dimension(
        "highest power that the build is meant to give", "power", measure="set by you", plausible=(20, 600)
    )
    coolant_share = dimension(
        "heat to the coolant over brake power at full load (0.6 to 1.0)",
        "number",
        measure="handbook figure for the sort of engine; the upper end for old iron engines and for long pulls",
        plausible=(0.4, 1.5),
    )
    fuel_per_work = dimension(
        "fuel that full load takes on the fuel in use, by mass per work (300 to 340 g/kWh, boosted up to 460)",
        "consumption",
        measure="set by you; .50 to .55 lb/hp.h is 304 to 335 g/kWh",
        plausible=(220, 520),
    )
    filling = dimension(
        "volumetric efficiency at full load: air swallowed over swept volume",
        "percent",
        measure="set by you: 75 to 90 % for a road engine",
        plausible=(50, 125),
    )
    intake_air = dimension(
        "temperature of the air that the engine breathes",
        "temperature",
        measure="thermometer at the air cleaner",
        tools=("thermometer",),
        plausible=(243, 343),
    )
    hot_coolant = dimension(
        "hottest coolant that you accept, at the engine's outlet",
        "temperature",
        measure="gauge, cross-checked with an infrared reading of the outlet",
        tools=("thermometer",),
        plausible=(343, 393),
    )
    held_power = dimension(
        "power that it holds for minutes on end: a long hill with load, a track",
        "power",
        measure="set by you; a road car seldom holds more than half of its highest",
        plausible=(10, 600),
    )
    hot_air = dimension(
        "air in front of the radiator on the hottest day",
        "temperature",
        measure="thermometer in the shade; a condenser or a cooler in front adds to it",
        tools=("thermometer",),
        plausible=(283, 333),
    )
    side_load = dimension(
        "sideways acceleration in the longest bend (street about 0.5 g; 1 g tilts the oil by 45 degrees)", "acceleration", measure="set by you", plausible=(0.1, 2),
    )  # fmt: skip
    brake_load = dimension("deceleration in the hardest stop", "acceleration", measure="set by you", plausible=(0.1, 2))
    pull_load = dimension(
        "acceleration in the hardest start, or the steepest climb (30 % is about 0.3 g)", "acceleration", measure="set by you", plausible=(0.1, 2),
    )  # fmt: skip
