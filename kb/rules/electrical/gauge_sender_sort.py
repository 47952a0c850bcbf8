"""A temperature sender screws into an oil gallery as well as a pressure sender does, and the needle moves."""

from kb.roles import gauge, sender
from kb.rules._rule import Case, Limit, rule


@rule(
    "gauge-sender-sort",
    "electrical",
    "number",
    "count",
    asks="Does the sender feel what the gauge shows?",
    limits=(
        Limit.at_least(
            1,
            why="the needle shows something else than its dial says",
            harm="destroys",
            milestone="fire",
            fix="the sender for this gauge",
            source="definition",
        ),
    ),
    cases=(
        Case({"shows": "oil_pressure", "feels": "oil_pressure"}, 1, True, "on the limit"),
        Case({"shows": "oil_pressure", "feels": "oil_temperature"}, 0, False, "from the definition"),
    ),
)
def gauge_sender_sort(shows=gauge.reads, feels=sender.reads):
    """equal = 1 if sender and gauge are for the same reading, else 0"""
    return (shows == feels) + 0
