"""A trace as the list of answers given so far. Everything else follows from it, so every step can be taken back."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

from kb.errors import Fault, unknown
from kb.trace import engine
from kb.trace.model import Cause, Model
from kb.trace.trees import COMPLAINT, THERE, OneTest, figures

LIKELY_TOO = 0.3  # probability from which a second suspect is named beside one that stands clear


class Answered(NamedTuple):
    """An answer. outcome None: it cannot be told. reading: id of the recorded reading that gave it, '' if asked."""

    test: str
    outcome: str | None
    reading: str = ""
    text: str = ""


class Suspect(NamedTuple):
    """A cause after the answers.

    probability: that it is at fault, alone or beside another; alone: that it is the only fault. moved: (test, outcome,
    factor) of the answer that moved its odds most, None while none has.
    """

    cause: Cause
    probability: float
    alone: float
    moved: tuple[OneTest, str, float] | None


class Step(NamedTuple):
    """An answer and what it did. chance: how likely it was before; misled: probability then that it misleads.

    contradicts: no cause explains it as well as a misleading reading does. doubt: probability, after all answers, that
    it misled.
    """

    test: OneTest
    answer: Answered
    chance: float
    misled: float
    contradicts: bool
    doubt: float


class Session:
    """A model and the answers given. Sessions never change: `answered` and `undone` give another one."""

    def __init__(self, model: Model, answers: Iterable[Answered] = (), *, clear_at: float | None = None) -> None:
        self.model = model
        self.answers = tuple(answers)
        self.clear_at = figures().clear_at if clear_at is None else clear_at

    @classmethod
    def start(cls, model: Model) -> Session:
        """With what recorded readings already answer."""
        given = [Answered(test, each.outcome, each.reading, each.text) for test, each in model.given.items()]
        return cls(model, given)

    # -- steps -------------------------------------------------------------------------------------------------------

    def answered(self, test: str, outcome: str | None) -> Session:
        """With one more answer; a second one to a test replaces the first. Fault for a test or outcome that is none."""
        found = self.model.test(test)
        if found.id == COMPLAINT:
            raise Fault("the complaint is the symptom itself", step="choose another symptom")
        if outcome is not None and outcome not in found.outcomes:
            fault = unknown(f"outcome of {test}", outcome, found.outcomes)
            fault.step = fault.step or f"it is one of: {', '.join(found.outcomes)}, unknown"
            raise fault
        kept = [each for each in self.answers if each.test != test]
        return Session(self.model, [*kept, Answered(test, outcome)], clear_at=self.clear_at)

    def undone(self) -> Session:
        """Without the last answer that was asked for; recorded readings stay."""
        asked = [number for number, each in enumerate(self.answers) if not each.reading]
        if not asked:
            return self
        kept = [each for number, each in enumerate(self.answers) if number != asked[-1]]
        return Session(self.model, kept, clear_at=self.clear_at)

    # -- what follows ------------------------------------------------------------------------------------------------

    @cached_property
    def _known(self) -> dict[int, int]:
        """OneTest -> outcome by number, the complaint first."""
        model = self.model
        found = {0: list(model.tests[0].outcomes).index(THERE)}
        for each in self.answers:
            if each.outcome is not None:
                number = model.number(each.test)
                found[number] = list(model.tests[number].outcomes).index(each.outcome)
        return found

    @cached_property
    def belief(self) -> engine.Belief:
        """The exact posterior."""
        return engine.believe(self.model.packed, self._known)

    @cached_property
    def _path(self) -> list[engine.Belief]:
        """The belief after the complaint, and after each further answer that says something."""
        known = list(self._known.items())
        return [engine.believe(self.model.packed, dict(known[: length + 1])) for length in range(len(known))]

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The answers in order, unknown ones too."""
        packed = self.model.packed
        doubts = engine.doubts(packed, self._known)
        made, at = [], 0
        for each in self.answers:
            test = self.model.test(each.test)
            if each.outcome is None:
                made.append(Step(test, each, 1.0, 0.0, False, 0.0))
                continue
            number = self.model.number(each.test)
            outcome = self._known[number]
            before = self._path[at]
            at += 1
            chance = float(engine.predicted(packed, before, number)[outcome])
            misled = engine.misled(packed, before, number, outcome)
            made.append(Step(test, each, chance, misled, misled > 0.5, doubts[number]))
        return tuple(made)

    @cached_property
    def ranked(self) -> tuple[Suspect, ...]:
        """The causes, most probable first; equal ones in the order of the tree."""
        belief = self.belief
        order = sorted(range(len(self.model.causes)), key=lambda index: (-round(float(belief.causes[index]), 9), index))
        return tuple(
            Suspect(
                self.model.causes[index], float(belief.causes[index]), float(belief.alone[index]), self._mover(index)
            )
            for index in order
        )

    def _mover(self, index: int) -> tuple[OneTest, str, float] | None:
        best: tuple[OneTest, str, float] | None = None
        numbers = [(self.model.test(each.test), each.outcome) for each in self.answers if each.outcome is not None]
        for (test, outcome), before, after in zip(numbers, self._path, self._path[1:], strict=False):
            factor = _odds(float(after.causes[index])) / _odds(float(before.causes[index]))
            if outcome is not None and (best is None or abs(math.log(factor)) > abs(math.log(best[2]))):
                best = (test, outcome, factor)
        return best if best is not None and abs(math.log(best[2])) > 0.05 else None

    @property
    def nothing(self) -> float:
        """Probability that none of these causes is at fault."""
        return self.belief.none

    @cached_property
    def clear(self) -> Suspect | None:
        """The suspect that stands clear, if one does."""
        first = self.ranked[0] if self.ranked else None
        return first if first is not None and first.probability >= self.clear_at else None

    @cached_property
    def also(self) -> tuple[Suspect, ...]:
        """Suspects that are likely beside the one that stands clear."""
        return tuple(each for each in self.ranked[1:] if each.probability >= LIKELY_TOO) if self.clear else ()

    @cached_property
    def proposed(self) -> OneTest | None:
        """The test that tells most for its minutes; None when none tells anything more."""
        asked = frozenset(self.model.number(each.test) for each in self.answers) | {0}
        number = engine.next_test(self.model.packed, self.belief, asked)
        return None if number is None else self.model.tests[number]

    @property
    def worth(self) -> float:
        """Bits that the proposed test is expected to tell."""
        if self.proposed is None:
            return 0.0
        return float(engine.gains(self.model.packed, self.belief.classes)[self.model.number(self.proposed.id)])

    @property
    def state(self) -> str:
        """'clear', 'nothing left' or 'open'."""
        if self.clear is not None:
            return "clear"
        return "open" if self.proposed is not None else "nothing left"


def _odds(chance: float) -> float:
    chance = min(max(chance, 1e-15), 1.0 - 1e-15)
    return chance / (1.0 - chance)
