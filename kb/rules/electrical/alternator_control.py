"""An alternator waits for whoever controls it: a regulator on the wing, a lamp in the dash, a controller, or nobody."""

from typing import Any

from kb.maths import is_in
from kb.roles import alternator, car_loom
from kb.rules._rule import Case, Limit, rule


def _told(control: str, knows: Any, lamp: bool) -> dict[str, Any]:
    missing = [] if control in knows else [f"the car's wiring has nothing for {control.replace('_', ' ')}"]
    if control == "lamp_and_sense" and not lamp:
        missing.append("no charge lamp or resistor feeds the lamp terminal")
    return {"notes": missing}


@rule(
    "alternator-control",
    "electrical",
    "number",
    "count",
    asks="Does the car's wiring control this alternator, and wake it up?",
    limits=(
        Limit.at_least(
            1,
            why="it never charges, or charges without a limit",
            harm="nuisance",
            milestone="drive",
            fix="the regulator, lamp feed or controller output that it wants, or an alternator that the wiring suits",
            source="practice",
        ),
    ),
    cases=(
        Case({"control": "one_wire", "knows": frozenset({"one_wire", "lamp_and_sense"}), "lamp": False}, 1, True, "on the limit"),
        Case({"control": "lamp_and_sense", "knows": frozenset({"lamp_and_sense"}), "lamp": True}, 1, True, "from the definition"),
        Case({"control": "lamp_and_sense", "knows": frozenset({"lamp_and_sense"}), "lamp": False}, 0, False, "nothing wakes it"),
        Case({"control": "controller_run", "knows": frozenset({"external_regulator"}), "lamp": True}, 0, False, "nobody runs it"),
    ),
    detail=_told,
)  # fmt: skip
def alternator_control(control=alternator.control, knows=car_loom.alternator_controls, lamp=car_loom.charge_lamp):
    """controlled = 1 if the wiring has this control, with its lamp feed where one is wanted, else 0"""
    return is_in(control, knows) * int(control != "lamp_and_sense" or lamp)
