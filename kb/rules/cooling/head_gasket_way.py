"""Many head gaskets go on four ways round and only one lets the coolant through at the right end."""

from kb.roles import head_gasket
from kb.rules._rule import Case, Limit, rule


def _words(top, front):
    wrong = (("TOP does not face the head", top), ("FRONT does not point to the front", front))
    return {"notes": [words for words, right in wrong if not right]}


@rule(
    "head-gasket-way",
    "cooling",
    "number",
    "count",
    asks="Does the head gasket lie the way that its marks say?",
    limits=(
        Limit.at_most(
            0,
            why="coolant holes are covered at one end and open at the other: the rear cylinders boil",
            harm="destroys",
            milestone="fire",
            fix="take the head off and turn the gasket; a gasket that was clamped is not used again",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"top": True, "front": True}, 0, True, "on the limit, from the definition"),
        Case({"top": True, "front": False}, 1, False, "the right face up, end for end"),
        Case({"top": False, "front": False}, 2, False, "from the definition"),
    ),
    detail=_words,
)
def head_gasket_way(top=head_gasket.top_up, front=head_gasket.front_forward):
    """turned = marks that do not lie as they say, of TOP and FRONT"""
    return 2 - top * 1 - front * 1
