"""A powered sensor made for five volts dies on twelve, and one made for twelve sleeps on five."""

from kb.roles import controller, crank_sensor
from kb.rules._rule import Case, Limit, rule


@rule(
    "sensor-supply",
    "trigger",
    "voltage",
    "linear",
    asks="Does the controller give the powered sensor a supply that it works on?",
    limits=(
        Limit.at_least(
            crank_sensor.supply_least,
            why="below this the sensor gives no signal",
            harm="no_start",
            milestone="fire",
            fix="feed the sensor from the ignition's supply, if its maker allows that voltage",
            source="service-manual",
            name="works_from",
        ),
        Limit.at_most(
            crank_sensor.supply_most,
            why="above this the sensor is burnt",
            harm="no_start",
            milestone="fire",
            fix="feed the sensor from the controller's five volts, or fit one made for this supply",
            source="service-manual",
            name="stands",
        ),
    ),
    when={crank_sensor.sense: ("hall_biased", "hall_bare", "magnetoresistive", "hall_slot")},
    cases=(
        Case({"supply": 5.0, "works_from": 4.5, "stands": 16.0}, 5.0, True, "inside both"),
        Case({"supply": 5.0, "works_from": 5.0, "stands": 16.0}, 5.0, True, "on the limit"),
        Case({"supply": 12.0, "works_from": 4.5, "stands": 5.5}, 12.0, False, "twelve volts on a five-volt sensor"),
        Case({"supply": 5.0, "works_from": 8.0, "stands": 24.0}, 5.0, False, "five volts on a twelve-volt sensor"),
    ),
)
def sensor_supply(supply=controller.sensor_supply):
    """supply = voltage that the controller gives the sensor"""
    return supply
