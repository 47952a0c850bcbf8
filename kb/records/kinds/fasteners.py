"""Kinds of part that hold or close a joint by a thread: screw and hole, the screws of one flange, pipe fitting and port."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, flag, length, many, text
from kb.standards.fasteners import ENGAGEMENT_RULE, GRADES
from kb.standards.pipes import PIPE_THREADS
from kb.standards.threads import DESIGNATIONS

METALS = tuple(ENGAGEMENT_RULE)
_THREAD = "caliper over the crests, thread gauge in the thread; compare with the table of sizes, inch and metric both"
_HOLE_THREAD = "turn in a screw that you know, by hand, all the way down; a thread gauge on that screw names the hole"
_PIPE = "caliper at the first and the last thread (a taper is thicker), thread gauge of 60 and of 55 degrees"


class Fastener(Kind):
    """Screw, bolt or stud: what is turned into one threaded hole or nut."""

    kind = "fastener"
    family = "fasteners"
    roles = {"fastener": "screw, bolt or stud of one joint"}
    thread = choice("thread", *DESIGNATIONS, measure=_THREAD, tools=("caliper", "thread-gauge"))
    length = length(
        "length under the head; of a stud, what stands below the face of the part",
        measure="caliper or rule, head not counted",
        tools=("caliper", "steel-rule"),
        plausible=(4, 300),
    )
    grade = choice(
        "strength, from the marks on the head",
        *GRADES,
        measure="figures such as 8.8 are metric classes; no mark is grade 2, three radial lines grade 5, six grade 8",
        tools=("eye",),
    )
    torque = dimension(
        "tightening torque", "torque", measure="torque wrench", tools=("torque-wrench",), plausible=(1, 500)
    )
    nut_factor = dimension(
        "torque coefficient K in T = K F d (dry 0.2, oiled about 0.15), with its scatter of about 25 %",
        "number",
        measure="by the state of thread and head; a tension test of your own narrows it",
        plausible=(0.08, 0.4),
    )
    sealed = flag("sealant on the thread, or a sealing washer under the head", measure="look", tools=("eye",))


class ThreadedHole(Kind):
    """Threaded hole, or nut, with what is clamped above it."""

    kind = "threaded_hole"
    family = "fasteners"
    roles = {"hole": "threaded hole or nut of one joint, with what is clamped"}
    thread = choice("thread", *DESIGNATIONS, measure=_HOLE_THREAD, tools=("thread-gauge",))
    material = choice("metal of the hole", *METALS, measure="magnet, colour, weight", tools=("eye",))
    strength = dimension(
        "tensile strength of that metal (grey iron 150 to 300 MPa, cast aluminium 150 to 300, mild steel 350 to 500)",
        "pressure",
        measure="maker's figure; else the lower end of the usual range, with a tolerance that covers it",
        plausible=(8.0e4, 1.3e6),
    )
    end = choice(
        "what is at the bottom",
        "blind",
        "through",
        "coolant",
        "oil",
        measure="straw or wire down the hole; look for stain, compare with the other side",
        tools=("eye",),
    )
    thread_depth = length(
        "depth of full thread, from the first full turn to the last",
        measure="straw to the bottom less the untapped end; or turn a long screw in by hand and caliper what is left",
        tools=("depth-gauge", "caliper"),
        plausible=(3, 150),
    )
    stack = length(
        "what lies between the head and the first full turn: washer, part, gasket, counterbore",
        measure="caliper each and add",
        tools=("caliper",),
        plausible=(0, 250),
    )
    grade_due = choice(
        "grade that the joint was designed for", *GRADES, measure="manual, or the head marks of the originals"
    )


class ScrewPlace(Item):
    """One hole of a flange, and the screw that is to go in there."""

    id = text("name of the hole on your sketch: A1, water-left")
    hole_thread = choice("thread of the hole", *DESIGNATIONS, measure=_HOLE_THREAD, tools=("thread-gauge",))
    screw_thread = choice("thread of its screw", *DESIGNATIONS, measure=_THREAD, tools=("caliper", "thread-gauge"))
    screw_length = length(
        "length of its screw under the head", measure="caliper", tools=("caliper",), plausible=(4, 300)
    )
    stack = length(
        "what lies between head and first full turn at this hole",
        measure="caliper each and add",
        tools=("caliper",),
        plausible=(0, 250),
    )
    thread_depth = length(
        "depth of full thread of this hole",
        measure="straw to the bottom less the untapped end",
        tools=("depth-gauge",),
        plausible=(3, 150),
    )
    through = flag("the hole is open at its far end, so that a long screw goes on through it", absent=False)


class ScrewSet(Kind):
    """The holes of one flange and their screws, one by one: a cover's screws are seldom all of one length."""

    kind = "screw_set"
    family = "fasteners"
    roles = {"screw_set": "the screws of one flange, hole by hole"}
    places = many(ScrewPlace, "the holes, each with its screw")
    material = choice("metal of the holes", *METALS, measure="magnet, colour, weight", tools=("eye",))


class PipeFitting(Kind):
    """Sender, adapter, drain or elbow that screws into a port by a pipe thread or a sealed straight thread."""

    kind = "pipe_fitting"
    family = "fasteners"
    roles = {"pipe_fitting": "sender, adapter or plug in a port"}
    thread = choice("its thread", *PIPE_THREADS, measure=_PIPE, tools=("caliper", "thread-gauge"))
    seal = choice(
        "what seals it",
        "sealant",
        "washer",
        "o_ring",
        "flare",
        "none",
        measure="look",
        tools=("eye",),
    )
    mass = dimension(
        "what hangs on the neck: sender with its adapter and plug", "mass", measure="weigh it", tools=("scale",),
        plausible=(0.005, 2),
    )  # fmt: skip
    arm = length(
        "face of the port to the middle of what hangs there",
        measure="balance it on an edge, rule from there to the thread",
        tools=("steel-rule",),
        plausible=(5, 300),
    )
    neck_bore = length(
        "bore through the threaded neck",
        measure="drill shanks",
        tools=("drill-shanks",),
        plausible=(0, 50),
    )


class PipePort(Kind):
    """Threaded port for a sender, a fitting or a plug."""

    kind = "pipe_port"
    family = "fasteners"
    roles = {"pipe_port": "port for a sender, a fitting or a plug"}
    thread = choice("its thread", *PIPE_THREADS, measure="turn in by hand a fitting that you know", tools=("eye",))
    depth = length(
        "room for the fitting's thread, face to where it would touch",
        measure="depth gauge",
        tools=("depth-gauge",),
        plausible=(3, 80),
    )
    shake = dimension(
        "vibration at the port (engine block 5 to 10 g, a bracket up to 20 g)",
        "acceleration",
        measure="your own figure",
        plausible=(1, 40),
    )
