"""An input filter longer than a good part of a tooth drops teeth at the top of the range: the engine cuts at one speed,
every time."""

from kb.roles import controller, duty, trigger_wheel
from kb.rules._rule import Case, Limit, rule, us
from kb.standards.patterns import tooth_period


@rule(
    "tooth-rate",
    "trigger",
    "number",
    "smooth",
    asks="At the rev limit, is a tooth long enough for the controller's input filter?",
    limits=(
        Limit.at_most(
            0.4,
            why="a filter longer than 0.4 of a tooth drops teeth, and the engine cuts at that speed",
            harm="no_start",
            milestone="drive",
            fix="a shorter filter, a wheel with fewer teeth, or a lower rev limit",
            source="practice",
        ),
    ),
    cases=(
        Case({"positions": 60, "speed": 7500 / 60, "filter_time": 10 * us}, 0.075, True,
             "60 teeth at 7500 rpm: 133 us a tooth (60/(rpm N), from the definition)"),
        Case({"positions": 60, "speed": 6000 / 60, "filter_time": 60e6 / (6000 * 60) * 0.4 * us}, 0.4, True, "on the limit"),
        Case({"positions": 60, "speed": 6000 / 60, "filter_time": 120 * us}, 0.72, False, "from the definition"),
    ),
)  # fmt: skip
def tooth_rate(positions=trigger_wheel.positions, speed=duty.rev_limit, filter_time=controller.filter_time):
    """share = filter time / time of one tooth, tooth time = 1 / (speed x positions)"""
    return filter_time / tooth_period(positions, speed)
