"""Too thin a bead leaves a gap, too thick a one ends up in the sump."""

from kb.roles import sealing_job
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "sealant-bead",
    "sealing",
    "length",
    "linear",
    asks="Is the bead of sealant as wide as it should be?",
    limits=(
        Limit.at_least(
            3 * mm,
            why="a thinner bead leaves a gap where three parts meet",
            harm="leaks",
            milestone="prime",
            fix="wipe off, lay a bead of 4 to 6 mm, bolt up within minutes",
            source="service-manual",
            usual=True,
        ),
        Limit.at_most(
            6 * mm,
            why="a thicker bead is squeezed into the sump in strings",
            harm="destroys",
            milestone="prime",
            fix="wipe off, lay a bead of 4 to 6 mm",
            source="service-manual",
            usual=True,
        ),
    ),
    when={sealing_job.sealant: ("corners", "all_round")},
    cases=(
        Case({"bead": 4 * mm}, 4 * mm, True, "service manual: 4 to 6 mm, bolted in 4 minutes"),
        Case({"bead": 6 * mm}, 6 * mm, True, "on the limit"),
        Case({"bead": 9 * mm}, 9 * mm, None, "service manual"),
    ),
)
def sealant_bead(bead=sealing_job.bead):
    """width = bead as laid"""
    return bead
