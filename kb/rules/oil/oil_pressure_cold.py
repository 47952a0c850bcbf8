"""Cold oil shows whether the relief valve opens: if it sticks, the filter bulges and bursts."""

from kb.roles import oil_readings
from kb.rules._rule import Case, Limit, kpa, rule

_PSI = 6.894757293168361 * kpa


@rule(
    "oil-pressure-cold",
    "oil",
    "pressure",
    "linear",
    asks="Does the relief valve hold the pressure down after a cold start?",
    limits=(
        Limit.at_most(
            150 * _PSI,
            why="about 150 psi bends a filter for good: the relief valve is stuck",
            harm="destroys",
            milestone="fire",
            fix="free or replace the relief valve, look at the filter",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"highest": 70 * _PSI}, 70 * _PSI, True, "trade page"),
        Case({"highest": 150 * _PSI}, 150 * _PSI, True, "on the limit"),
        Case({"highest": 160 * _PSI}, 160 * _PSI, False, "trade page"),
    ),
    caution="Hot oil under pressure: eye protection.",
)
def oil_pressure_cold(highest=oil_readings.cold_highest):
    """pressure = highest reading after a cold start"""
    return highest
