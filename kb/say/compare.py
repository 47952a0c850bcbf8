"""What differs between two builds, in words and as plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.comparing import APPEARS, BETTER, DECIDED, GONE, UNKNOWN, WORSE, Comparison, Cost, Moved
from kb.errors import visible
from kb.explain import CAUTION, difference, headline
from kb.report import plain
from kb.rules._rule import HARMS

HEADINGS = {
    WORSE: "Worse: it fitted, or could not be told, and does not fit now",
    UNKNOWN: "Cannot be told any more",
    DECIDED: "Decided: it could not be told before",
    BETTER: "Better: it did not fit before",
    APPEARS: "Asked for the first time",
    GONE: "No longer asked",
}
STATUS = {
    0: "Nothing is worse.",
    1: "Something is worse.",
    3: "Nothing is worse for certain, but something cannot be told any more.",
}
SHOWN_AT_MOST = 12
SHOWN_GOOD = 4  # questions that come or go with a good verdict, of which more are only counted


class ToldMove(NamedTuple):
    """One question: its name, the verdicts (empty where it is not asked), what is so now, and the harm at stake."""

    name: str
    before: str
    after: str
    words: str
    harm: str
    milestone: str


class ToldComparison(NamedTuple):
    """The comparison in words. groups: (sort, heading, moves); moved_most: margins of unchanged verdicts."""

    title: str
    summary: str
    status: int
    groups: tuple[tuple[str, str, tuple[ToldMove, ...]], ...]
    moved_most: tuple[ToldMove, ...]
    clashes: tuple[str, ...]
    milestones: tuple[str, ...]
    money: str
    roles: tuple[str, ...]
    caution: str


def tell(found: Comparison, system: str = "mm") -> ToldComparison:
    """The comparison in words; `system` is mm, in or in64."""
    before, after = found.before.build, found.after.build
    title = f"{before.name}, and with the change" if before.id == after.id else f"{before.name} -> {after.name}"
    groups = []
    for sort, heading in HEADINGS.items():
        moves = sorted(found.of(sort), key=lambda each: (_rank(each), each.name))
        if moves:
            groups.append((sort, heading, tuple(_move(each, system) for each in moves)))
    return ToldComparison(
        title,
        f"{STATUS[found.status]} {found.before.verdict.capitalize()} before, {found.after.verdict} after: "
        + _counts(found),
        found.status,
        tuple(groups),
        tuple(_margin(each, system) for each in found.moved_most),
        tuple(_clashes(found)),
        tuple(
            f"{step.name}: {step.before} ({_blockers(step.blockers_before)}) -> {step.after} "
            f"({_blockers(step.blockers_after)})"
            for step in found.milestones
        ),
        money(found.cost_before, found.cost_after),
        tuple(
            f"{each.role}: {each.before or 'nothing'} -> {each.after or 'nothing'}" for each in found.roles
        ),
        CAUTION,
    )  # fmt: skip


def _rank(move: Moved) -> int:
    """Worst verdict first, in each the worse harm."""
    finding = move.after or move.before
    assert finding is not None
    order = ("does not fit", "cannot tell", "fits").index(finding.verdict)
    return 10 * order + tuple(HARMS).index(finding.limit.harm)


def _counts(found: Comparison) -> str:
    words = {WORSE: "worse", UNKNOWN: "unknown", DECIDED: "decided", BETTER: "better", APPEARS: "new", GONE: "gone"}
    said = [f"{len(found.of(sort))} {word}" for sort, word in words.items() if found.of(sort)]
    return f"{', '.join(said) if said else 'no verdict moves'}."


def _move(move: Moved, system: str) -> ToldMove:
    finding = move.after or move.before
    assert finding is not None
    return ToldMove(
        move.name,
        move.before.verdict if move.before else "",
        move.verdict,
        headline(finding, system),
        HARMS[finding.limit.harm],
        finding.limit.milestone,
    )


def _margin(move: Moved, system: str) -> ToldMove:
    """A margin before and after, in the rule's unit."""
    told = _move(move, system)
    assert move.before is not None
    assert move.after is not None
    show = difference(move.after, system)
    old, new = (show(each) if each is not None else "?" for each in (move.before.margin, move.after.margin))
    return told._replace(words=f"margin {old} -> {new}")


def _clashes(found: Comparison) -> list[str]:
    said = [f"known clash {each.incompatibility.id} now: {each.incompatibility.title}" for each in found.new_clashes]
    return said + [
        f"known clash {each.incompatibility.id} gone: {each.incompatibility.title}" for each in found.gone_clashes
    ]


def _blockers(count: int) -> str:
    return f"{count} blocker{'s' if count != 1 else ''}"


def money(before: Cost, after: Cost) -> str:
    """What is still to be paid before and after, and whose price nobody knows."""
    said = []
    for currency in sorted({*before.sums, *after.sums}):
        old, new = before.sums.get(currency, 0.0), after.sums.get(currency, 0.0)
        if abs(new - old) < 0.005:
            said.append(f"{currency} {new:g} to pay in both")
        else:
            word = "dearer" if new > old else "cheaper"
            said.append(f"{currency} {abs(new - old):g} {word}: {old:g} -> {new:g} to pay")
    if not said:
        said.append("nothing to pay that has a price")
    if before.unpriced or after.unpriced:
        fresh = [role for role in after.unpriced if role not in before.unpriced]
        which = f", newly {', '.join(fresh[:4])}" if fresh else ""
        said.append(f"{len(after.unpriced)} part{'s' if len(after.unpriced) != 1 else ''} without a known price{which}")
    return "; ".join(said)


# -- the screen --------------------------------------------------------------------------------------------------------


def as_text(found: Comparison, *, width: int = 80, system: str = "mm") -> str:
    """The comparison as lines of at most `width` columns."""
    told = tell(found, system)
    lines = _wrap(told.title, width)
    lines += ["=" * max(map(len, lines)), "", *_wrap(told.summary, width)]
    lines += move_lines(told, width)
    for heading, rows in (
        ("Margins that moved most, with the same verdict", [f"{each.name}: {each.words}" for each in told.moved_most]),
        ("Known clashes", told.clashes),
        ("Milestones", told.milestones),
        ("Roles that differ", told.roles),
    ):
        if rows:
            lines += ["", f"{heading}:"]
            lines += [line for row in rows[:SHOWN_AT_MOST] for line in _wrap(row, width, "     ", "   ")]
            lines += [f"   and {len(rows) - SHOWN_AT_MOST} more"] if len(rows) > SHOWN_AT_MOST else []
    lines += ["", *_wrap(f"Money: {told.money}.", width), "", *_wrap(told.caution, width)]
    return "\n".join(lines) + "\n"


def move_lines(told: ToldComparison, width: int) -> list[str]:
    """The questions whose verdict moved, by what became of them."""
    lines: list[str] = []
    for sort, heading, moves in told.groups:
        lines += ["", f"{heading}:"]
        good = sort == GONE or (all(each.after == "fits" for each in moves) and sort == APPEARS)
        most = SHOWN_GOOD if good else SHOWN_AT_MOST
        for each in moves[:most]:
            verdicts = f"{each.before or 'not asked'} -> {each.after or 'not asked'}"
            lines += _wrap(f"{each.name}: {verdicts}; {each.words}", width, "     ", "   ")
            if each.after == "does not fit" or (each.after == "cannot tell" and sort == UNKNOWN):
                lines += _wrap(f"{each.harm}; blocks {each.milestone}", width, "     ", "     ")
        lines += [f"   and {len(moves) - most} more"] if len(moves) > most else []
    return lines


def changes(found: Comparison, *, width: int = 80, system: str = "mm") -> str:
    """Only what moved: for what is printed after a reading has been taken."""
    lines = move_lines(tell(found, system), width)
    return "\n".join(lines or ["No verdict moves."]) + "\n"


def _wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    ) or [""]


# -- plain data --------------------------------------------------------------------------------------------------------


def as_json(found: Comparison, system: str = "mm") -> dict[str, Any]:
    """The comparison as plain data."""
    told = tell(found, system)
    data = {
        "before": _build(found.before),
        "after": _build(found.after),
        "exit_status": found.status,
        "summary": told.summary,
        "findings": {
            sort: [_move_json(each, words) for each, words in _paired(found, sort, moves)]
            for sort, _, moves in told.groups
        },
        "margins_moved_most": [
            {**_move_json(each, words), "words": words.words}
            for each, words in zip(found.moved_most, told.moved_most, strict=True)
        ],
        "new_clashes": [each.incompatibility.id for each in found.new_clashes],
        "gone_clashes": [each.incompatibility.id for each in found.gone_clashes],
        "milestones": [each._asdict() for each in found.milestones],
        "cost": {
            name: {"sums": dict(cost.sums), "unpriced": list(cost.unpriced)}
            for name, cost in (("before", found.cost_before), ("after", found.cost_after))
        },
        "money": told.money,
        "roles": [each._asdict() for each in found.roles],
        "caution": told.caution,
    }
    made: dict[str, Any] = plain(data)
    return made


def _build(answer: Any) -> dict[str, Any]:
    return {"build": answer.build.id, "name": answer.build.name, "verdict": answer.verdict}


def _paired(found: Comparison, sort: str, moves: Sequence[ToldMove]) -> list[tuple[Moved, ToldMove]]:
    by_name = {each.name: each for each in found.of(sort)}
    return [(by_name[each.name], each) for each in moves]


def _move_json(move: Moved, words: ToldMove) -> dict[str, Any]:
    return {
        "finding": move.name,
        "before": words.before or None,
        "after": words.after or None,
        "margin_before": move.before.margin if move.before else None,
        "margin_after": move.after.margin if move.after else None,
        "headline": words.words,
        "harm": words.harm,
        "milestone": words.milestone,
    }
