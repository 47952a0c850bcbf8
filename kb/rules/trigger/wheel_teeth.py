"""Two wheels with the same number of teeth, or even of the same name, can have their gaps in other places, and a wheel
fitted back to front runs them past in the wrong order: count round the wheel, not just across it."""

from kb.roles import controller, trigger_wheel
from kb.rules._rule import Case, Limit, rule
from kb.rules.trigger._teeth import Setting, reading, told


@rule(
    "wheel-teeth",
    "trigger",
    "number",
    "count",
    asks="Do the teeth pass the sensor in an order that the controller knows?",
    limits=(
        Limit.at_least(
            1,
            why="a gap where the controller expects none throws its count away: the speed reads zero or double",
            harm="no_start",
            milestone="fire",
            fix="the wheel that the controller expects, turned the right way round, or another setting or controller",
            source="definition",
        ),
    ),
    cases=(
        Case({"teeth": "60-2", "shaft": "crank", "known": [Setting("36-1"), Setting("60-2")]}, 1, True,
             "on the limit, from the definition"),
        Case({"teeth": "36-2@0-2@16-2@19", "shaft": "crank", "known": [Setting("36-2@6-2@22-2@25")]}, 1, True,
             "from the definition: the same wheel, clocked by six teeth"),
        Case({"teeth": "10,50,60,60,60,60,60", "shaft": "crank", "known": [Setting("50,10,60,60,60,60,60")]}, 0, False,
             "from the definition: pat-08's wheel, back to front"),
        Case({"teeth": "36-2@0-2@12-2@24", "shaft": "crank", "known": [Setting("36-2@0-2@16-2@19")]}, 0, False,
             "from the definition: 30 teeth each, other gaps"),
        Case({"teeth": "24", "shaft": "crank", "known": [Setting("24-1")]}, 0, False, "pat-13 of the check values"),
        Case({"teeth": "24-1", "shaft": "cam", "known": [Setting("24-1")]}, 0, False, "a cam wheel turns at half speed"),
    ),
    advice="A setting that reads the wheel says nothing of the angle: that is another question.",
    detail=lambda teeth, shaft, known: {"notes": told(teeth, shaft, known)},
)  # fmt: skip
def wheel_teeth(teeth=trigger_wheel.teeth, shaft=trigger_wheel.shaft, known=controller.decoders.of("teeth", "shaft")):
    """settings = number of the controller's settings whose order of teeth, from any tooth on, is the wheel's"""
    return len(reading(teeth, shaft, known))
