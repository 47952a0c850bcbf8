"""How far a recorded incompatibility is to be believed, from who spoke for it and against it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

PRIOR = 1.0  # for, and as much against: nothing is known before anybody speaks
SEEN, HEARD, REVIEWED = 1.0, 0.5, 3.0
ORIGIN = "common practice, no source"
_HEARSAY = ("listing", "report")  # found without the parts at hand


class Voice(NamedTuple):
    """The last word of one person. weight: how much it counts; agrees: for the clash or against it."""

    by: str
    agrees: bool
    weight: float
    what: str


class Confidence(NamedTuple):
    """share: mean of the Beta distribution, 0 to 1. pro and contra: weights without the prior."""

    share: float
    pro: float
    contra: float
    voices: tuple[Voice, ...]


def voices_of(record: Mapping[str, Any]) -> tuple[Voice, ...]:
    """Everybody's last word on an incompatibility (a record or its normal form), each person counted once.

    The finder counts SEEN, or HEARD if the clash was found in a listing or in somebody's report; who reports the same,
    or that the pair worked, SEEN; a review by anybody but the finder REVIEWED. A review that opens the case again takes
    that person's earlier word back.
    """
    finder = str(record.get("by", ""))
    weight = HEARD if record.get("found") in _HEARSAY else SEEN
    found: dict[str, Voice] = {finder: Voice(finder, True, weight, "found it")}
    said: list[tuple[str, Voice | None, str]] = []
    for each in record.get("reports", ()):
        agrees = bool(each.get("agrees", True))
        words = "saw it too" if agrees else "did not see it"
        said.append((str(each["date"]), Voice(str(each["by"]), agrees, SEEN, words), str(each["by"])))
    for each in record.get("reviews", ()):
        by, status = str(each["by"]), str(each["status"])
        weight = SEEN if by == finder else REVIEWED
        voice = None if status == "reported" else Voice(by, status == "confirmed", weight, status)
        said.append((str(each["date"]), voice, by))
    for _, voice, by in sorted(said, key=lambda one: one[0]):
        if voice is not None:
            found[by] = voice
        elif by != finder:
            found.pop(by, None)
    return tuple(found.values())


def confidence(record: Mapping[str, Any]) -> Confidence:
    """The mean of a Beta distribution over "this clash is real": (1 + pro) / (2 + pro + contra).

    pro and contra add up the weights of the voices for and against (`voices_of`): 1 for who saw it, 0.5 for hearsay,
    3 for a review by another than the finder. The prior is Beta(1, 1), which is even. Origin of the weights: common
    practice, no source. A share is no verdict: a clash counts in every check until a review refutes it.
    """
    voices = voices_of(record)
    pro = sum(each.weight for each in voices if each.agrees)
    contra = sum(each.weight for each in voices if not each.agrees)
    return Confidence((PRIOR + pro) / (2.0 * PRIOR + pro + contra), pro, contra, voices)
