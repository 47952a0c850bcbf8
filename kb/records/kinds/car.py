"""The car as an envelope around the engine, and the duty that the build is meant for."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, length, many, position, text


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


__all__ = ["Car", "Duty", "Obstacle"]
