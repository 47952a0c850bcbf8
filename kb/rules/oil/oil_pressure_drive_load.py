"""A high-volume pump with thick cold oil twists a thin drive shaft: what the gauge shows is what the shaft carries."""

from kb.roles import oil_pump, oil_readings
from kb.rules._rule import Case, Limit, kpa, rule

_PSI = 6.894757293168361 * kpa


@rule(
    "oil-pressure-drive-load",
    "oil",
    "pressure",
    "linear",
    asks="Is the cold oil pressure low enough for the drive of a high-volume pump?",
    limits=(
        Limit.at_most(
            80 * _PSI,
            why="over 80 psi cold with a high-volume pump loads a thin drive beyond what it lasts",
            harm="wears",
            milestone="drive",
            fix="softer relief spring, thinner oil, a hardened drive shaft, or the normal pump",
            source="trade-page",
            usual=True,
        ),
    ),
    when={oil_pump.volume_class: ("high_volume",)},
    cases=(
        Case({"highest": 70 * _PSI}, 70 * _PSI, True, "trade page"),
        Case({"highest": 80 * _PSI}, 80 * _PSI, True, "on the limit"),
        Case({"highest": 95 * _PSI}, 95 * _PSI, None, "trade page"),
    ),
)
def oil_pressure_drive_load(highest=oil_readings.cold_highest):
    """pressure = highest reading after a cold start"""
    return highest
