"""The rotor must stand under its terminal at every advance: where it does not, the spark jumps sideways, to the wrong
cylinder under load."""

from kb.roles import distributor
from kb.rules._rule import Case, Limit, rule
from kb.rules.ignition._angle import degree


@rule(
    "rotor-phase",
    "ignition",
    "angle",
    "stations",
    asks="Does the rotor's tip stand under the terminal over the whole advance?",
    limits=(
        Limit.at_least(
            0.0,
            why="the spark has to jump sideways, and takes the nearer way under load",
            harm="nuisance",
            milestone="drive",
            fix="re-phase the rotor on its shaft or the trigger on its plate, or fit a wider tip",
            source="practice",
        ),
    ),
    when={distributor.style: ("rotor",)},
    cases=(
        Case({"phase": 8 * degree, "swing": 16 * degree, "tip": 20 * degree, "terminal": 10 * degree}, 7 * degree, True, "15 - 8 both ways"),
        Case({"phase": 15 * degree, "swing": 20 * degree, "tip": 20 * degree, "terminal": 10 * degree}, 0.0, True, "on the limit"),
        Case({"phase": 0.0, "swing": 18 * degree, "tip": 20 * degree, "terminal": 10 * degree}, -3 * degree, False, "15 - 18"),
    ),
    advice="Half the swing past the terminal at least advance, half short of it at most.",
)  # fmt: skip
def rotor_phase(
    phase=distributor.phase, swing=distributor.swing, tip=distributor.tip_width, terminal=distributor.terminal_width
):
    """overlap = half of tip and terminal together - how far the tip's middle stands from the terminal's, either way"""
    half = (tip + terminal) / 2
    return [
        ("least advance, past the terminal", half - phase),
        ("least advance, short of it", half + phase),
        ("most advance, past the terminal", half - (phase - swing)),
        ("most advance, short of it", half + (phase - swing)),
    ]
