"""A sender for five bar on a dial to seven shows seven at five: the ohms match and the figure lies."""

from kb.roles import gauge, sender
from kb.rules._rule import Case, Limit, percent, rule


@rule(
    "gauge-sender-range",
    "electrical",
    "percent",
    "smooth",
    asks="Is the sender's full pressure the one at the end of the dial?",
    limits=(
        Limit.at_least(
            90 * percent,
            why="the gauge shows more pressure than there is",
            harm="destroys",
            milestone="fire",
            fix="the sender with the range of the dial",
            source="practice",
        ),
        Limit.at_most(
            110 * percent,
            why="the gauge shows less pressure than there is",
            harm="nuisance",
            milestone="fire",
            fix="the sender with the range of the dial",
            source="practice",
        ),
    ),
    when={sender.reads: ("oil_pressure",)},
    cases=(
        Case({"dial": 700e3, "sender": 700e3}, 1.0, True, "equal"),
        Case({"dial": 500e3, "sender": 550e3}, 1.1, True, "on the limit"),
        Case({"dial": 700e3, "sender": 500e3}, 5 / 7, False, "from the definition"),
    ),
)
def gauge_sender_range(dial=gauge.full_pressure, sender=sender.full_pressure):
    """share = pressure at the sender's full resistance / pressure at the end of the dial"""
    return sender / dial
