"""The lists to tick in words: what is done, what is open, what this build does not need."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kb.judge import Answer
from kb.ready.needs import Need, items, list_of, ticked
from kb.say.ready import item_meaning, sentence, wrap


class ToldItem(NamedTuple):
    """One item of the lists.

    state: 'ticked', 'open' or 'not needed'. note: who ticked it, when, and what they said.
    """

    id: str
    list: str
    meaning: str
    state: str
    milestone: str
    why: str
    note: str


def told_items(answer: Answer, wanted: Iterable[Need]) -> list[ToldItem]:
    """All items with their state, those that this build needs first in the order of the milestones.

    wanted: `kb.ready.needs.needs(build, "drive")`.
    """
    build = answer.build
    needed = {need.item: need for need in wanted if need.sort == "item"}
    made = []
    for item in [*needed, *(each for each in items() if each not in needed)]:
        need = needed.get(item)
        done = ticked(item, build)
        state = "ticked" if done else "open" if need is not None else "not needed"
        why = sentence(need.why) if need is not None else ""
        made.append(
            ToldItem(item, list_of(item), item_meaning(item), state, need.milestone if need else "", why,
                     _tick_note(item, answer) if done else "")
        )  # fmt: skip
    return made


def _tick_note(item: str, answer: Answer) -> str:
    """Who ticked it and when, in words; empty where only the fact stands there."""
    part = answer.build.parts.get(list_of(item))
    entries = part.facts.get("ticked") or () if part is not None else ()
    entry = next((each for each in entries if each["id"] == item), None)
    if entry is None:
        return ""
    by = f"by {entry['by']}" if entry.get("by") else ""
    return ", ".join(str(each) for each in (entry.get("date"), by, entry.get("note")) if each)


def items_text(rows: Sequence[ToldItem], build: str, width: int = 80) -> str:
    """The lists to tick as text: needed ones by milestone, the others in one line."""
    lines: list[str] = []
    last = ""
    for each in rows:
        if each.state == "not needed" or not each.milestone:
            continue
        if each.milestone != last:
            last = each.milestone
            lines += [*([""] if lines else []), f"before {last}"]
        box = "[x]" if each.state == "ticked" else "[ ]"
        note = f" ({each.note})" if each.note else ""
        lines += wrap(f"{box} {each.id}: {each.meaning}{note}", width, "      ", "  ")
    others = [each.id for each in rows if not each.milestone]
    if others:
        lines += ["", *wrap(f"not needed by this build: {', '.join(others)}", width, "  ")]
    lines += ["", *wrap(f"Tick one: matchmark done {build} ITEM; take it back: --not", width)]
    return "\n".join(lines) + "\n"
