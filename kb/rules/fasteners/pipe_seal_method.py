"""A taper thread seals by its flanks and sealant, a straight one by a washer or a ring, a flare by its cone: the wrong
helper only looks tight."""

from kb.roles import pipe_fitting
from kb.rules._rule import Case, Limit, rule
from kb.standards.pipes import pipe_thread

_SEALS = {
    "npt": ("sealant",),
    "bspt": ("sealant",),
    "bspp": ("washer", "o_ring"),
    "metric": ("washer", "o_ring"),
    "port": ("o_ring",),
    "flare37": ("flare",),
    "flare45": ("flare",),
}


@rule(
    "pipe-seal-method",
    "fasteners",
    "number",
    "count",
    asks="Is the fitting sealed in the way that its thread wants?",
    limits=(
        Limit.at_most(
            0,
            why="tape on a straight thread or a flare seals nothing, and a dry taper weeps",
            harm="leaks",
            milestone="prime",
            fix="sealant on a taper thread, washer or ring under a straight one, nothing on a flare",
            source="practice",
        ),
    ),
    cases=(
        Case({"male": "npt_1_8", "seal": "sealant"}, 0, True, "on the limit, common practice"),
        Case({"male": "metric_m14x1_5", "seal": "washer"}, 0, True, "common practice"),
        Case({"male": "flare37_6", "seal": "sealant"}, 1, False, "common practice"),
    ),
)
def pipe_seal_method(male=pipe_fitting.thread, seal=pipe_fitting.seal):
    """wrong seals = 0 if the seal is one that the thread's family wants, else 1"""
    return (seal not in _SEALS[pipe_thread(male).family]) + 0
