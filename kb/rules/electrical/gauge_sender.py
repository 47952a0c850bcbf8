"""A gauge that is fed by another maker's sender reads well at zero pressure: its ohms must run the same way and as far."""

from kb.roles import gauge, sender
from kb.rules._rule import Case, Limit, percent, rule


@rule(
    "gauge-sender",
    "electrical",
    "percent",
    "stations",
    asks="Does the gauge read true with this sender's resistances, at both ends of its dial?",
    limits=(
        Limit.at_most(
            10 * percent,
            why="the needle lies, and a false reading hides an engine that starves",
            harm="destroys",
            milestone="fire",
            fix="the sender that belongs to the gauge, or a mechanical gauge",
            source="practice",
        ),
    ),
    cases=(
        Case({"zero": 240.0, "full": 33.0, "at_zero": 240.0, "at_full": 33.0}, 0.0, True, "a matched pair"),
        Case({"zero": 240.0, "full": 40.0, "at_zero": 220.0, "at_full": 40.0}, 0.1, True, "on the limit: 20 of 200 ohm"),
        Case({"zero": 240.0, "full": 33.0, "at_zero": 10.0, "at_full": 180.0}, 230 / 207, False,
             "sender 10-180 on a gauge 240-33 (from memory): full at no pressure"),
    ),
    worst="most",
    advice="Read the sender's ohms at rest and at one pressure that a mechanical gauge confirms.",
    caution="A false oil pressure hides starvation: prove it once with a mechanical gauge.",
)  # fmt: skip
def gauge_sender(zero=gauge.at_zero, full=gauge.at_full, at_zero=sender.at_zero, at_full=sender.at_full):
    """error = (sender's ohms - gauge's ohms) / span of the gauge, at each end, high and low"""
    low, high = (at_zero - zero) / (full - zero), (at_full - full) / (full - zero)
    return [
        ("zero, reads high", low),
        ("zero, reads low", -low),
        ("full, reads high", high),
        ("full, reads low", -high),
    ]
