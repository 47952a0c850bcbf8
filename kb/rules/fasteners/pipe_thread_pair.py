"""Two taper threads start in each other and leak for ever: 27 and 28 turns to the inch, 60 and 55 degrees, and the common
sizes of 1/2 and 3/4 even share their pitch."""

from kb.roles import pipe_fitting, pipe_port
from kb.rules._rule import Case, Limit, rule
from kb.rules.fasteners._words import pipe_words
from kb.standards.pipes import mates, pipe_thread


@rule(
    "pipe-thread-pair",
    "fasteners",
    "number",
    "count",
    asks="Is the fitting's pipe thread made for the port's?",
    limits=(
        Limit.at_most(
            0,
            why="the threads meet on a few turns only: a slow leak, or all the oil at once",
            harm="destroys",
            milestone="prime",
            fix="the adapter between the two threads, or a fitting with the port's own",
            source="definition",
        ),
    ),
    cases=(
        Case({"male": "npt_1_8", "female": "npt_1_8"}, 0, True, "on the limit, from the definition"),
        Case({"male": "bspt_1_8", "female": "bspp_1_8"}, 0, True, "ISO 7-1 lets a taper male into a parallel female"),
        Case({"male": "bspt_1_8", "female": "npt_1_8"}, 1, False, "27 against 28 turns to the inch"),
        Case({"male": "npt_1_2", "female": "bspt_1_2"}, 1, False, "tub-11: one pitch, no interchange"),
        Case({"male": "flare37_4", "female": "flare45_4"}, 1, False, "one thread, two seats"),
    ),
    detail=lambda male, female: {"notes": [words] if (words := pipe_words(male, female)) else []},
    caution="Oil on a hot exhaust burns.",
)
def pipe_thread_pair(male=pipe_fitting.thread, female=pipe_port.thread):
    """mismatches = 0 if the standards mean the two threads for each other, else 1"""
    return (not mates(pipe_thread(male), pipe_thread(female))) + 0
