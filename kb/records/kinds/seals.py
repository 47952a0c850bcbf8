"""Kinds that close the ends and the top of the crankcase: end seals, rear main seal, sealant and drains, valley, vent."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, flag, length, many, text


class EndSeal(Kind):
    """Molded strip between an arch of the pan and the cover or cap above it."""

    kind = "end_seal"
    family = "sealing"
    roles = {"front_end_seal": "strip in the pan's front arch", "rear_end_seal": "strip in the pan's rear arch"}
    thickness = length("thickness, free", measure="caliper without squashing it", tools=("caliper",), plausible=(1, 20))


class RearMainSeal(Kind):
    """Seal around the crank at the rear."""

    kind = "rear_main_seal"
    family = "sealing"
    style = choice(
        "how it is made",
        "one_piece",
        "two_piece",
        "cover_face",
        measure="look for a split; split ends must stand proud of the cap",
        tools=("eye",),
    )
    lip_diameter = length(
        "inside diameter of the lip, free", measure="caliper, at two angles, without pressing", tools=("caliper",),
        plausible=(40, 160),
    )  # fmt: skip


class DrainBack(Item):
    """A passage by which oil runs back to the sump."""

    id = text("name of the passage: head-left-rear, valley-front")
    closed = dimension(
        "how much of it is closed by sealant, gasket or carbon", "percent",
        measure="pass a wire, then the largest drill shank that goes: 1 - (shank / bore) squared",
        tools=("drill-shanks",), plausible=(0, 100),
    )  # fmt: skip


class SealingJob(Kind):
    """Sealant and drain-backs, as the joints were closed."""

    kind = "sealing_job"
    family = "sealing"
    roles = {"sealing_job": "sealant and drains, as the joints were closed"}
    sealant = choice(
        "where sealant was put on the gasketed joints",
        "none",
        "corners",
        "all_round",
        "unknown_hand",
        measure="look along the joint for what was squeezed out",
        tools=("eye",),
    )
    pressure_joints_dry = flag(
        "no sealant on joints that carry oil under pressure", measure="look; ask who built it", tools=("eye",)
    )
    screen_seen_clear = flag(
        "the pickup's screen was seen free of strings of sealant",
        measure="mirror through the drain hole",
        tools=("eye",),
    )
    bead = length(
        "width of the bead or the dabs before they are squeezed",
        measure="rule",
        tools=("steel-rule",),
        plausible=(0.5, 20),
    )
    drains = many(DrainBack, "the drain-back passages, each as found after assembly")


class IntakeJoint(Kind):
    """Heads and manifold of a V engine as they were milled, and the gap at the ends of the valley."""

    kind = "intake_joint"
    family = "sealing"
    roles = {"intake_joint": "heads, decks and manifold of a V engine, as milled"}
    head_cut = length(
        "milled off each head's deck face",
        measure="shop's bill, or the head's height against new",
        tools=("caliper",),
        plausible=(0, 4),
    )
    deck_cut = length(
        "milled off each deck of the block",
        measure="shop's bill, or deck height against new",
        tools=("depth-gauge",),
        plausible=(0, 3),
    )
    bank_angle = dimension(
        "angle between the two rows of cylinders", "angle", measure="maker's figure", plausible=(15, 135)
    )
    face_angle = dimension(
        "angle between the manifold's two flange faces, seen from the end", "angle",
        measure="protractor across the manifold", tools=("protractor",), plausible=(20, 150),
    )  # fmt: skip
    side_cut = length(
        "milled off each flange of the manifold", measure="shop's bill", tools=("caliper",), plausible=(0, 4)
    )
    end_cut = length("milled off the manifold's end rails", measure="shop's bill", tools=("caliper",), plausible=(0, 6))
    end_gap = length(
        "gap under the end rails with uncut parts and the gasket fitted", measure="maker's figure; feeler on an uncut set",
        tools=("feeler",), plausible=(0, 8),
    )  # fmt: skip
    port_land = length(
        "width of gasket between the edge of a port and the nearest edge that must stay covered",
        measure="caliper on the gasket", tools=("caliper",), plausible=(0.5, 15),
    )  # fmt: skip


class CrankcaseVent(Kind):
    """The way of blow-by: fresh air in, metered way out, on the two covers."""

    kind = "crankcase_vent"
    family = "sealing"
    way_in = choice("how fresh air comes in", "filtered", "open", "none", measure="look at both covers", tools=("eye",))
    way_out = choice(
        "how blow-by leaves",
        "valve",
        "orifice",
        "open",
        "none",
        measure="look; shake the valve: it must rattle",
        tools=("eye",),
    )
    baffled = flag("the cover with the way out has a baffle under it", measure="look in with a torch", tools=("eye",))
    idle_pressure = dimension(
        "crankcase pressure at idle, above atmosphere; suction is negative", "pressure",
        measure="rubber glove over the filler: sucked in is below zero; or a gauge at the dipstick tube",
        tools=("pressure-gauge",), plausible=(-10, 10),
    )  # fmt: skip
