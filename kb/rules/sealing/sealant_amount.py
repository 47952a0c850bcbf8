"""What is squeezed out inside the pan comes off in strings and chokes the pickup: sealant belongs in the corners where three
parts meet, and never on a joint under pressure."""

from kb.roles import sealing_job
from kb.rules._rule import Case, Limit, rule


@rule(
    "sealant-amount",
    "sealing",
    "number",
    "count",
    asks="Is there sealant only where it belongs, and the pickup's screen free of it?",
    limits=(
        Limit.at_most(
            0,
            why="strings of sealant choke the pickup's screen, lumps shut passages: a strainer was found jammed",
            harm="destroys",
            milestone="prime",
            fix="peel, clean, and close again with a gasket and dabs of 3 to 6 mm at the corners; look at the screen with a mirror",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"where": "corners", "dry": True, "seen": True}, 0, True, "on the limit, trade page"),
        Case(
            {"where": "all_round", "dry": True, "seen": True}, 0, True, "much sealant, and the screen seen clear of it"
        ),
        Case({"where": "unknown_hand", "dry": True, "seen": False}, 1, False, "trade page: look at the strainer"),
        Case({"where": "corners", "dry": False, "seen": True}, 1, False, "sealant on a pressure joint"),
    ),
)
def sealant_amount(where=sealing_job.sealant, dry=sealing_job.pressure_joints_dry, seen=sealing_job.screen_seen_clear):
    """faults = sealant on pressure joints + (sealant beyond the corners, screen not seen clear)"""
    beyond = (where == "all_round") + (where == "unknown_hand")
    return (1 - dry * 1) + beyond * (1 - seen * 1)
