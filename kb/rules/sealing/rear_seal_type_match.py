"""One-piece and two-piece rear seals come in the same box and do not change places."""

from kb.roles import block, rear_main_seal
from kb.rules._rule import Case, Limit, rule


@rule(
    "rear-seal-type-match",
    "sealing",
    "number",
    "count",
    asks="Is the rear main seal of the style that this block takes?",
    limits=(
        Limit.at_most(
            0,
            why="the seal does not sit in this block's housing",
            harm="leaks",
            milestone="crank",
            fix="the seal for this block, or the housing that adapts the pair",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_block": "one_piece", "on_seal": "one_piece"}, 0, True, "on the limit, from the definition"),
        Case({"on_block": "two_piece", "on_seal": "one_piece"}, 1, False, "from the definition"),
    ),
)
def rear_seal_type_match(on_block=block.rear_seal, on_seal=rear_main_seal.style):
    """mismatches = 1 if block and seal differ, else 0"""
    return (on_block != on_seal) + 0
