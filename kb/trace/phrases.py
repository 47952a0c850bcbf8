"""Free words of a builder matched to a symptom and to answers, by a declared list of phrases (`phrases.json`)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from kb.errors import Fault
from kb.trace.trees import load, tree, trees

LONGEST = 400
_FIGURE = r"(-?[0-9]+(?:[.,][0-9]+)?)\s*"
_GAP = r"(?:\s+(?:at|on|across|over|of|from|by|the|its|own|post|posts|a))*\s+"


class Understood(NamedTuple):
    """symptom: id of its tree. answers: (test, outcome) that the words give already. says: the phrases that matched."""

    symptom: str
    answers: tuple[tuple[str, str], ...]
    says: tuple[str, ...]


def understood(text: str) -> Understood:
    """The symptom that these words tell, or its id. Fault with the list of symptoms when they are not understood."""
    wanted = text.strip()
    if wanted in trees():
        return Understood(wanted, (), ())
    words = _plain(wanted)
    found: dict[str, tuple[int, dict[str, str], list[str]]] = {}

    def count(symptom: str, weight: int, answers: Mapping[str, str], says: str) -> None:
        before, given, told = found.get(symptom, (0, {}, []))
        # The phrase that says more goes before, whichever stands first in the list.
        merged = {**given, **answers} if weight >= before else {**answers, **given}
        found[symptom] = (max(before, weight), merged, [*told, says])

    for phrase in _data()["phrases"]:
        if all(_any(group, words) for group in phrase["all"]) and not _any(phrase.get("none", ()), words):
            weight = 2 * len(phrase["all"]) + len(phrase.get("answers", {}))
            count(phrase["symptom"], weight, phrase.get("answers", {}), phrase["says"])
    for symptom, answers in _figures(words):
        count(symptom, 4 + len(answers), answers, wanted)
    if not found:
        listed = "; ".join(f"{id}: {each.words}" for id, each in trees().items())
        raise Fault(
            f"no symptom is known by the words {wanted[:80]!r}", place="symptom", step=f"name one of these: {listed}"
        )
    symptom = max(found, key=lambda id: (found[id][0], len(found[id][1]), -list(trees()).index(id)))
    _, answers, says = found[symptom]
    return Understood(symptom, tuple(answers.items()), tuple(dict.fromkeys(says)))


def examples() -> dict[str, list[str]]:
    """Symptom -> phrases that are understood as it."""
    found: dict[str, list[str]] = {id: [] for id in trees()}
    for phrase in _data()["phrases"]:
        found[phrase["symptom"]].append(phrase["says"])
    return found


@cache
def _data() -> Mapping[str, Any]:
    return load("phrases")


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9.,+-]+", " ", text[:LONGEST].lower()).split())


def _any(group: Sequence[str], words: str) -> bool:
    return any(re.search(rf"\b{re.escape(each)}", words) for each in group)


def _figure(words: str, unit: str, near: Sequence[str]) -> float | None:
    """The figure with this unit that stands beside one of these words: before it, else behind it."""
    names = "|".join(map(re.escape, near))
    volts = r"v(?:olts?)?" if unit == "V" else re.escape(unit)
    for pattern in (
        rf"{_FIGURE}{volts}\b{_GAP}(?:{names})",
        rf"\b(?:{names})\w*(?:\s+(?:is|at|has|reads|shows|only|still))*\s+{_FIGURE}{volts}\b",
    ):
        match = re.search(pattern, words)
        if match:
            return float(match[1].replace(",", "."))
    return None


def _figures(words: str) -> list[tuple[str, dict[str, str]]]:
    """(symptom, answers) from figures with units."""
    found: list[tuple[str, dict[str, str]]] = []
    seen: set[tuple[str, ...]] = set()
    for each in _data()["numbers"]:
        value = _figure(words, each["unit"], each["near"])
        if value is None or tuple(each["near"]) in seen or (each["with"] and not _any(each["with"], words)):
            continue
        seen.add(tuple(each["near"]))  # the first entry that fits: cranking goes before at rest
        test = next(one for one in tree(each["symptom"]).tests if one.id == each["test"])
        assert test.seen is not None
        scale = 1.0 / 60.0 if each["unit"] == "rpm" else 1.0
        outcome = test.seen.outcome(value * scale)
        if outcome:
            found.append((each["symptom"], {each["test"]: outcome}))
    for each in _data()["losses"]:
        start, end = (_figure(words, each["unit"], each[side]) for side in ("from", "to"))
        if start is not None and end is not None and _any(each["with"], words):
            outcome = each["within"] if start - end <= each["most"] else each["beyond"]
            found.append((each["symptom"], {each["test"]: outcome}))
    return found
