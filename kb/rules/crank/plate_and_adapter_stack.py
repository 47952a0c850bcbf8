"""A set bought ready assembled had nothing in line: every plate between block and bell must close on the dowels, or the bell sits
on a plate that may shift."""

from kb.roles import plate_stack
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.crank._parts import Piece, shown, stack_notes, total


def _words(plates):
    loose = [each.id for each in plates if not each.located]
    notes = [
        *stack_notes(plates),
        f"the bell stands {shown(total(plates))} back: gap, dowels, starter and tip are worked out with it",
    ]
    return {"notes": [*notes, *(f"{name} does not close on the dowels" for name in loose)]}


@rule(
    "plate-and-adapter-stack",
    "crank",
    "number",
    "count",
    asks="Is every plate between block and bell held by the dowels?",
    limits=(
        Limit.at_most(
            0,
            why="bell and starter follow a plate that can shift: side load on the converter or the shaft",
            harm="destroys",
            milestone="drive",
            fix="a plate whose holes close on the dowels, longer dowels; dial the bore afterwards",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"plates": [Piece(1.5 * mm)]}, 0, True, "on the limit, from the definition"),
        Case({"plates": []}, 0, True, "no plate at all"),
        Case({"plates": [Piece(1.5 * mm), Piece(9.5 * mm, "adapter", False)]}, 1, False, "trade page: nothing aligned"),
    ),
    detail=_words,
)
def plate_and_adapter_stack(plates=plate_stack.plates.of("located", "thickness")):
    """loose plates = plates that the dowels do not hold"""
    return sum((not each.located) + 0 for each in plates)
