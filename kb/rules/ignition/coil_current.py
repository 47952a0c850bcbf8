"""What the coil draws must be what the controller's own driver may switch: a hungry coil cooks it in a week."""

from kb.roles import coil, controller
from kb.rules._rule import Case, Limit, rule


@rule(
    "coil-current",
    "ignition",
    "current",
    "linear",
    asks="May the controller's output switch the current that this coil wants?",
    limits=(
        Limit.at_most(
            controller.coil_current,
            why="the driver overheats and fails",
            harm="no_start",
            milestone="drive",
            fix="a coil that wants less, an igniter of its own, or less dwell",
            source="controller-note",
            name="may_switch",
        ),
    ),
    when={coil.igniter: ("none",)},
    cases=(
        Case({"current": 7.0, "may_switch": 10.0}, 7.0, True, "from the definition"),
        Case({"current": 10.0, "may_switch": 10.0}, 10.0, True, "on the limit"),
        Case({"current": 14.0, "may_switch": 10.0}, 14.0, False, "from the definition"),
    ),
)
def coil_current(current=coil.current):
    """current = current at which the coil stores its full spark"""
    return current
