"""The milestone board in words: a page of text for a terminal, plain data for a script, the told values for a page."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.chance import FITS
from kb.errors import visible
from kb.explain import CAUTION, probability, tell, tell_clash
from kb.judge import Answer
from kb.ready.board import CANNOT_TELL, NOT_READY, READY, Blocker, Board, Milestone, Step
from kb.ready.joint import Joint
from kb.ready.needs import Need, list_of
from kb.report import plain
from kb.roles import role
from kb.rules._rule import HARMS

EXIT = {READY: 0, NOT_READY: 1, CANNOT_TELL: 3}
MARK = {READY: "ok", NOT_READY: "NO", CANNOT_TELL: "??"}
SHOWN_AT_MOST = 12  # blockers that are spelled out unless all are asked for
MEANING = {
    "prime": "oil is pumped through the engine, ignition dead",
    "crank": "the starter turns it",
    "fire": "it runs for the first time",
    "drive": "it leaves the yard",
}


class ToldBlocker(NamedTuple):
    """A blocker in words. title: one line; why, fix: sentences; measure: what to measure; step: a command to type.

    roles: the roles that it is about, for links. item: what is ticked, empty for other sorts.
    """

    sort: str
    name: str
    title: str
    why: str
    fix: str
    measure: tuple[str, ...]
    harm: str
    milestone: str
    source: str
    caution: str
    step: str
    roles: tuple[str, ...]
    item: str


class ToldMilestone(NamedTuple):
    """A milestone in words, its blockers worst first."""

    name: str
    meaning: str
    state: str
    tally: str
    chance: str
    blockers: tuple[ToldBlocker, ...]


class ToldBoard(NamedTuple):
    """The board in words. next: name of the first milestone that is not ready, empty when all are.

    first: what to type first, empty when all are ready; why: in a few words, may be empty; then: what follows it.
    to_get: what is said of parts that are not at hand yet, empty when all are.
    """

    build: str
    title: str
    milestones: tuple[ToldMilestone, ...]
    next: str
    first: str
    why: str
    then: str
    to_get: str


def told(found: Board, system: str = "mm") -> ToldBoard:
    """The whole board in words; `system` is mm, in or in64."""
    build = found.answer.build
    made = tuple(told_milestone(each, system) for each in found.milestones)
    first = found.first() or Step("")
    following = found.next.name if found.next else ""
    return ToldBoard(build.id, build.name, made, following, *first, to_get_words(found))


def to_get_words(found: Board) -> str:
    """What is said of parts that the build counts on and that are not at hand; empty when all are."""
    count = len(found.to_get)
    if not count:
        return ""
    some = f"{count} of its parts are" if count > 1 else f"one of its parts ({found.to_get[0]}) is"
    return (
        f"{some} not at hand yet: the board holds once they are fitted. matchmark buy {found.answer.build.id} lists "
        f"them, with what to look at before paying."
    )


def told_milestone(each: Milestone, system: str = "mm") -> ToldMilestone:
    blockers = tuple(told_blocker(one, system) for one in each.blockers)
    return ToldMilestone(each.name, MEANING[each.name], each.state, counted(each), chance_words(each.joint), blockers)


def counted(each: Milestone) -> str:
    """How much stands before it: "3 blockers", or "nothing in the way"."""
    count = len(each.blockers)
    return f"{count} blocker{'s' if count != 1 else ''}" if count else "nothing in the way"


def chance_words(found: Joint) -> str:
    """How likely it is that all rules hold together, in words."""
    if found.probability is None:
        return "no rule could be computed yet"
    words = f"all {found.counted} rules hold together: {probability(found.probability)}"
    if found.counted == 1:
        words = f"the one rule holds: {probability(found.probability)}"
    if found.not_counted:
        words += f", {found.not_counted} more cannot be computed"
    return words


def told_blocker(each: Blocker, system: str = "mm") -> ToldBlocker:
    """One blocker in words."""
    if each.finding is not None:
        return _told_finding(each, system)
    if each.clash is not None:
        clash = tell_clash(each.clash)
        roles = tuple(party.role for party in each.clash.incompatibility.parties)
        title = f"known clash {clash.id}: {clash.headline}"
        return _made(each, title=title, why=clash.reason, fix=clash.fix, harm=clash.harm, roles=roles)
    need = each.need
    if each.sort == "circuit":
        return _told_fault(each, system)
    assert need is not None
    return _made(each, title=need_title(need), why=_need_why(need), source=need.source.title, roles=need.roles)


def _made(
    each: Blocker, *, title: str, why: str, roles: Sequence[str], fix: str = "", measure: tuple[str, ...] = (),
    harm: str = "", source: str = "", caution: str = "",
) -> ToldBlocker:  # fmt: skip
    item = each.need.item if each.sort == "not ticked" and each.need is not None else ""
    return ToldBlocker(
        each.sort, each.name, title, sentence(why), fix, measure, harm or HARMS[each.harm], each.milestone, source,
        caution, each.step, tuple(roles), item,
    )  # fmt: skip


def _told_finding(each: Blocker, system: str) -> ToldBlocker:
    assert each.finding is not None
    words = tell(each.finding, system)
    return _made(
        each, title=f"{words.name}: {words.headline}", why=words.reason, fix=words.fix, measure=words.measure,
        caution=words.caution, source=each.finding.limit.source.title, roles=each.finding.rule.roles,
    )  # fmt: skip


def _told_fault(each: Blocker, system: str) -> ToldBlocker:
    fault = each.fault
    if hasattr(fault, "roles"):
        fix = str(getattr(fault, "fix", ""))
        return _made(each, title=f"circuit {each.name}: {fault.words}", why=each.need.why if each.need else "", fix=fix,
                     roles=fault.roles)  # fmt: skip
    from kb.say.readings import rows  # which words lines as this module does

    shown = rows([fault], system)[0]
    when = ", ".join(each for each in (shown.when, shown.date) if each)
    title = f"a gauge shows {shown.value}: {shown.meaning or shown.place}" + (f" ({when})" if when else "")
    build = each.step.split()[2]
    fix = (
        "mended since: read it again and write it down; still so: trace it, matchmark trace --list names the symptoms, "
    )
    fix += f"then matchmark trace {build} --symptom NAME"
    return _made(each, title=title, why=each.words, fix=fix, roles=())


def need_title(need: Need) -> str:
    """What is wanted, in one line."""
    if need.sort == "item":
        return f"{need.item}: {item_meaning(need.item)}"
    if need.sort == "record":
        return f"not recorded: {need.item}"
    names = " or ".join(each.replace("_", " ").replace(":", ", ") for each in need.roles)
    if need.sort == "choose":
        return f"choose a {names} first"
    wanted = [
        f"{feature.replace('_', ' ')} {' or '.join(str(code).replace('_', ' ') for code in codes)}"
        for what in need.such.values()
        for feature, codes in what.items()
    ]
    return f"no {names}" + (f" ({', '.join(wanted)})" if wanted and need.sort == "role" else "")


def _need_why(need: Need) -> str:
    if need.sort in ("choose", "record"):
        return f"on it hangs whether this is needed: {', '.join(each.replace('-', ' ') for each in need.decides)}"
    return need.why


def item_meaning(item: str) -> str:
    """What an item of the lists means."""
    if list_of(item) == "small_parts":
        return f"{item.replace('_', ' ')} at hand, right for this build and tried on"
    return str(role("first_start").kind.features[item].meaning)


def sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if not text or text.endswith((".", "!", "?")) else f"{text}."


# -- text ----------------------------------------------------------------------------------------------------------


def as_text(found: Board, *, milestone: str = "", width: int = 80, system: str = "mm", every: bool = False) -> str:
    """The board as lines of at most `width` columns: the four milestones, then the blockers of the one asked for.

    milestone: the first that is not ready where none is named. every: all its blockers, however many.
    """
    board = told(found, system)
    lines = wrap(board.title, width)
    lines += ["=" * max(map(len, lines)), ""]
    room = max(len(each.tally) for each in board.milestones)
    for each in board.milestones:
        first = f"  {MARK[each.state]} {each.name:6} {each.state:12} {each.tally:{room}}"
        if len(first) + 30 <= width:
            lines += wrap(each.chance.replace(" hold together", " hold"), width, " " * (len(first) + 2), f"{first}  ")
        else:
            lines += [*wrap(f"{MARK[each.state]} {each.name}: {each.state}, {each.tally}", width, "     ", "  "),
                      *wrap(each.chance, width, "     ", "     ")]  # fmt: skip
    chosen = asked(found, milestone)
    lines += ["", *wrap(board.to_get[:1].upper() + board.to_get[1:], width)] if board.to_get else []
    lines += ["", *_before(told_milestone(chosen, system), found.first(milestone), width, every)]
    return "\n".join([*lines, "", *wrap(CAUTION, width)]) + "\n"


def asked(found: Board, milestone: str = "") -> Milestone:
    """The milestone of that name, else the first that is not ready, else the last."""
    return found.of(milestone) if milestone else found.next or found.milestones[-1]


def _before(each: ToldMilestone, first: Step | None, width: int, every: bool) -> list[str]:
    if not each.blockers:
        return wrap(f"READY TO {each.name.upper()}: nothing known stands in the way ({each.meaning}).", width)
    lines = [*wrap(f"Before {each.name} ({each.meaning}), worst first:", width), ""]
    others = [one for one in each.blockers if one.sort != "not ticked"]
    ticks = [one for one in each.blockers if one.sort == "not ticked"]
    shown = others if every else others[:SHOWN_AT_MOST]
    for one in shown:
        lines += [*blocker_lines(one, width), ""]
    if len(shown) < len(others):
        lines += [*wrap(f"and {len(others) - len(shown)} more of these: --all", width, first="   "), ""]
    if ticks:
        lines += _ticks(ticks, width)
    return lines + (step_lines(first, width) if first else [])


def step_lines(first: Step, width: int) -> list[str]:
    """What to type first, and what follows it; commands stay whole."""
    lines = wrap(f"Next: {first.command}", width, "      ")
    lines += wrap(f"({first.why})", width, "      ", "      ") if first.why else []
    return lines + (wrap(f"Then: {first.then}", width, "      ") if first.then else [])


def blocker_lines(each: ToldBlocker, width: int) -> list[str]:
    """One blocker with its reason, harm and next step."""
    mark = "??" if each.sort == "cannot tell" else "NO"
    lines = wrap(f"{mark} {each.title}", width, "   ")
    lines += _labelled("why", each.why, width)
    lines += _labelled("harm", f"{each.harm}; blocks {each.milestone}", width)
    for words in each.measure[:2]:
        lines += _labelled("measure", words, width)
    lines += _labelled("do", each.fix, width)
    lines += _labelled("take care", each.caution, width)
    return lines + _labelled("next", each.step, width)


def _ticks(ticks: Sequence[ToldBlocker], width: int) -> list[str]:
    """The items still to tick, in short: they share their next step."""
    lines = wrap("Still to tick, each when it is so:", width)
    for one in ticks:
        lines += wrap(f"[ ] {one.title} ({one.harm}; blocks {one.milestone})", width, "      ", "  ")
    build = ticks[0].step.split()[2]
    lines += _labelled("next", f"matchmark done {build} {ticks[0].item}", width)
    if len(ticks) > 1:
        lines += _labelled("", "(several that are so may follow, with spaces between)", width)
    if any(list_of(one.item) == "small_parts" for one in ticks):
        lines += _labelled("get", f"what is not at hand: matchmark buy {build} lists the box of small parts", width)
    return [*lines, ""]


def _labelled(label: str, words: str, width: int) -> list[str]:
    return wrap(words, width, " " * 13, f"   {label + ':' * bool(label):9} ") if words else []


def wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    """Lines of at most `width` columns; commands and ids stay whole, so that they can be copied."""
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False,
        break_long_words=False,
    ) or [""]  # fmt: skip


# -- plain data ----------------------------------------------------------------------------------------------------


def as_json(found: Board, *, milestone: str = "", system: str = "mm") -> dict[str, Any]:
    """The board as plain data; `asked` names the milestone that the exit status is about."""
    chosen, first = asked(found, milestone), found.first(milestone)
    data: dict[str, Any] = plain(
        {
            "build": found.answer.build.id,
            "name": found.answer.build.name,
            "asked": chosen.name,
            "state": chosen.state,
            "exit_status": EXIT[chosen.state],
            "next": found.next.name if found.next else None,
            "first": first._asdict() if first else None,
            "not_at_hand": list(found.to_get),
            "milestones": [_milestone_json(each, system) for each in found.milestones],
            "settings": found.answer.settings._asdict(),
            "caution": CAUTION,
        }
    )
    return data


def _milestone_json(each: Milestone, system: str) -> dict[str, Any]:
    return {
        "milestone": each.name,
        "state": each.state,
        "blockers": [told_blocker(one, system)._asdict() for one in each.blockers],
        "joint_probability": each.joint.probability,
        "rules": each.rules,
        "rules_counted": each.joint.counted,
        "rules_not_counted": each.joint.not_counted,
        "drawn_together": each.joint.together,
    }


# -- changes -------------------------------------------------------------------------------------------------------


def verdict_changes(before: Answer, after: Answer) -> list[tuple[str, str, str]]:
    """(finding, verdict before, verdict after) of those that moved; "not asked" where the rule was not asked."""
    was = {each.name: each.verdict for each in before.findings}
    now = {each.name: each.verdict for each in after.findings}
    names = [*was, *(each for each in now if each not in was)]
    pairs = [(name, was.get(name, "not asked"), now.get(name, "not asked")) for name in names]
    return [each for each in pairs if each[1] != each[2]]


def change_lines(before: Answer, after: Answer, width: int = 80) -> list[str]:
    """What a write changed: findings whose verdict moved, one a line; known clashes too."""
    moved = verdict_changes(before, after)
    lines = []
    for name, old, new in moved:
        if "not asked" not in (old, new) or new not in (FITS, "not asked"):
            lines += wrap(f"{name}: {old} -> {new}", width, "    ", "  ")
    for words, names in (
        ("more asked, and good", [name for name, old, new in moved if old == "not asked" and new == FITS]),
        ("no longer asked", [name for name, _, new in moved if new == "not asked"]),
    ):
        some = ", ".join(names[:4]) + (", ..." if len(names) > 4 else "")
        lines += wrap(f"{len(names)} {words}: {some}", width, "    ", "  ") if names else []
    known = {each.incompatibility.id for each in before.clashes}, {each.incompatibility.id for each in after.clashes}
    lines += [f"  known clash {each}: gone" for each in sorted(known[0] - known[1])]
    lines += [f"  known clash {each}: now matches" for each in sorted(known[1] - known[0])]
    return lines or ["  no verdict changed"]


def next_lines(found: Board, width: int = 80, system: str = "mm") -> list[str]:
    """Where the build stands after a write, and the first blocker with its step."""
    chosen = found.next
    if chosen is None:
        words = to_get_words(found)
        lines = wrap("Ready to drive: nothing known stands in the way.", width)
        return lines + (wrap(words[:1].upper() + words[1:], width) if words else [])
    first, step = told_blocker(chosen.blockers[0], system), found.first()
    if step is not None and step.command != first.step:
        return [*wrap(f"Before {chosen.name}: {counted(chosen)}.", width), *step_lines(step, width)]
    lines = wrap(f"Before {chosen.name}: {counted(chosen)}. The first:", width)
    return [*lines, *blocker_lines(first, width)]


def overall(found: Board) -> str:
    """States of the four milestones in one line."""
    return ", ".join(f"{each.name}: {each.state}" for each in found.milestones)
