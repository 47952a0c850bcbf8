"""Flow against leakage makes the pressure: it should rise with speed, and the trade's floor is ten pounds for each thousand
turns."""

from kb.roles import oil_readings
from kb.rules._rule import Case, Limit, kpa, percent, rule

_PSI = 6.894757293168361 * kpa
_FLOOR = 10 * _PSI / (1000 / 60)  # pressure over speed
_RPM = 1 / 60


def _case(idle: float, running: float, due: float, holds: bool | None, origin: str) -> Case:
    given = {"idle": idle * _PSI, "idle_speed": 800 * _RPM, "running": running * _PSI, "running_speed": 3000 * _RPM}
    return Case(given, due, holds, origin)


@rule(
    "oil-pressure-band",
    "oil",
    "percent",
    "stations",
    asks="Is the hot oil pressure high enough for the speed?",
    limits=(
        Limit.at_least(
            100 * percent,
            why="below 10 psi for each 1000 rpm the bearings lose their film",
            harm="destroys",
            milestone="drive",
            fix="find the leak: clearances, plugs, suction; then the relief spring; thicker oil only hides it",
            source="trade-page",
        ),
    ),
    cases=(
        _case(22, 48, 1.6, True, "10 psi per 1000 rpm: 22 of 8 psi at idle, 48 of 30 psi at 3000 rpm"),
        _case(8, 48, 1.0, True, "on the limit at idle"),
        _case(12, 24, 0.8, False, "24 of 30 psi at 3000 rpm"),
    ),
    advice="Usual figures of trade pages: 20 to 25 psi at hot idle and 45 to 50 psi at 2500 rpm and more; one V8 30 to 35 psi "
    "at hot idle. A mechanical gauge at the gallery, not the lamp.",
    caution="Hot oil under pressure: eye protection.",
)
def oil_pressure_band(
    idle=oil_readings.hot_idle,
    idle_speed=oil_readings.idle_speed,
    running=oil_readings.hot_running,
    running_speed=oil_readings.running_speed,
):
    """share = pressure / (10 psi per 1000 rpm x speed), at idle and at speed"""
    return [("hot idle", idle / (_FLOOR * idle_speed)), ("hot at speed", running / (_FLOOR * running_speed))]
