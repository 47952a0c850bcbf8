"""What would open a way where nothing fits: each is tried by searching again."""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any, NamedTuple

from kb.build import NO_FIGURE
from kb.chance import FITS, Settings
from kb.judge import judge
from kb.measure import Dimension
from kb.ready.needs import described
from kb.records.part import Part
from kb.roles import base_role
from kb.search._case import Case, Link, Relaxation, attempt, parts_of
from kb.search._choices import GIVEN, NOT_GOT
from kb.search._model import Memo, Tell
from kb.search._solved import Solved
from kb.search.candidates import Candidate, candidates_for

if TYPE_CHECKING:
    from kb.finding import Finding

STEPS = 24  # halvings when the least change of a dimension is looked for
FURTHER = (1.1, 1.3, 1.7)  # times the change that one rule asks for, where others ask for more
FARTHEST = 0.25  # of a dimension's value, or 30 mm, that it may be changed by


def relaxations(
    case: Case, links: Sequence[Link], memo: Memo, until: float, progress: Tell | None
) -> tuple[Relaxation, ...]:
    """Each is tried by searching again; the smallest of each sort first."""
    tries: list[Any] = []
    open_ = [link for link in links if link.open]
    for link in open_:
        tries.append(lambda link=link: _measured(case, [link], memo))
    if len(open_) > 1:
        tries.append(lambda: _measured(case, open_, memo))
    for link in links:
        if link.finding is not None and link.finding.rule.form != "stations":
            tries += [lambda one=one: _moved(case, one, until) for one in _moves(link.finding, case)]
    for name in dict.fromkeys(name for link in links for name, _ in link.parts):
        if base_role(name) not in GIVEN and base_role(name) not in NOT_GOT and base_role(name) not in described():
            tries.append(lambda name=name: _other(case, name, memo))
    found = []
    for done, one in enumerate(tries):
        if monotonic() > until:
            break
        if progress is not None:
            progress("looking for a way", done, len(tries))
        way = one()
        if way is not None:
            found.append(way)
    if progress is not None and tries:
        progress("looking for a way", len(tries), len(tries))
    order = {"move": 0, "measure": 1, "part": 2}
    found.sort(key=lambda each: (order[each.sort], len(each.rules), abs(each.by / each.value) if each.value else 0.0))
    return tuple(found[:8])


def _measured(case: Case, links: Sequence[Link], memo: Memo) -> Relaxation | None:
    """Whether there is an answer if what these rules leave open turns out well."""
    names = tuple(link.name for link in links)
    again = attempt(case, memo, names)
    if again.at is None:  # others are open as well
        again = attempt(case._replace(wish=case.wish._replace(allow_unknown=True)), memo)
        if again.at is None:
            return None
        open_ = [name.removeprefix("open:") for name, at in again.at.items() if name.startswith("open:") and at]
        if not set(names) <= set(open_):
            return None
        names = (*names, *(name for name in open_ if name not in names))
    wanted = tuple(dict.fromkeys(each.leaf.name for link in links if link.finding for each in link.finding.drivers))
    return Relaxation("measure", "", "", "", 0.0, 0.0, "", names, parts_of(again), wanted)


def _other(case: Case, name: str, memo: Memo) -> Relaxation | None:
    """Whether another part in a given role opens a way."""
    here = case.choices.fixed.parts[name]
    several = [
        each for each in case.catalogue.get(here.kind, ()) if each.id != here.id and each.id not in case.wish.avoid
    ]
    if not several:
        return None
    domains = {**case.choices.domains, name: candidates_for(name, several)}
    fixed = case.choices.fixed._replace(
        parts={one: part for one, part in case.choices.fixed.parts.items() if one != name}
    )
    again = attempt(case._replace(choices=case.choices._replace(domains=domains, fixed=fixed)), memo)
    if again.at is None:
        return None
    part = dict(parts_of(again))[name]
    return Relaxation(
        "part",
        name,
        here.id,
        "",
        0.0,
        0.0,
        "",
        (),
        ((name, part), *(each for each in parts_of(again) if each[0] != name)),
    )


class Move(NamedTuple):
    """A dimension changed by so much that one rule holds."""

    role: str
    part: Part
    path: str
    value: float
    by: float
    quantity: str
    rule: str


def _moves(finding: Finding, case: Case) -> list[Move]:
    """The least change of each single dimension with which the nearest choice would hold, smallest first."""
    found = []
    for leaf in finding.question.leaves:
        if leaf.dimension is None or "." in leaf.path or base_role(leaf.role) in {"oil", "fuel", "second_fuel", "duty"}:
            continue
        value = leaf.dimension.value
        reach = max(FARTHEST * abs(value), 0.03 if leaf.feature.quantity == "length" else 0.0)
        for sign in (1.0, -1.0):
            by = _least(finding, leaf.role, leaf.path, leaf.dimension, sign * reach, case.settings)
            if by is not None and (value < 0 or value + by > 0):  # no thickness becomes nothing, or less
                part = finding.question.build.parts[leaf.role]
                found.append(Move(leaf.role, part, leaf.path, value, by, leaf.feature.quantity, finding.name))
    found.sort(key=lambda each: abs(each.by) / (abs(each.value) or 1.0))
    return found[:4]


def _least(
    finding: Finding, name: str, path: str, dimension: Dimension, reach: float, settings: Settings
) -> float | None:
    """The least change towards `reach` with which the rule fits, by halving; None when even all of it does not do."""

    def fits(by: float) -> bool:
        build = finding.question.build
        part = build.parts[name]
        moved = part._replace(facts={**part.facts, path: dimension._replace(value=dimension.value + by)})
        try:
            return judge(finding.rule, build._replace(parts={**build.parts, name: moved}), settings).verdict == FITS
        except NO_FIGURE:
            return False

    # A limit on the other side may be met before the end of the reach: the first of a few steps that fits is enough.
    low, high = 0.0, 0.0
    for share in (0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0):
        if fits(share * reach):
            high = share * reach
            break
        low = share * reach
    else:
        return None
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (low, middle) if fits(middle) else (middle, high)
        if abs(high - low) < 1e-6 * (abs(dimension.value) or 1.0):
            break
    return high


def _moved(case: Case, move: Move, until: float) -> Relaxation | None:
    """The least change of that dimension with which there is an answer: what its rule asks, or what others ask too."""
    got = _with_move(case, move)
    if got is None:
        for more in FURTHER:
            if monotonic() > until:
                return None
            got = _with_move(case, move._replace(by=more * move.by))
            if got is not None:
                move = _between(case, move, more, until)
                got = _with_move(case, move)
                break
    if got is None:
        return None
    with_ = tuple((name, part.removesuffix("~")) for name, part in parts_of(got))
    return Relaxation(
        "move", move.role, move.part.id, move.path, move.value, move.by, move.quantity, (move.rule,), with_
    )  # fmt: skip


def _between(case: Case, move: Move, most: float, until: float) -> Move:
    """The least multiple of a change, up to `most`, with which there is an answer, by halving."""
    low, high = 1.0, most
    while high - low > 0.005 and monotonic() < until:
        middle = (low + high) / 2
        if _with_move(case, move._replace(by=middle * move.by)) is None:
            low = middle
        else:
            high = middle
    return move._replace(by=high * move.by)


def _with_move(case: Case, move: Move) -> Solved | None:
    """The answer there is once that dimension is changed."""

    def changed(part: Part) -> Part:
        held = part.facts.get(move.path)
        if part.id != move.part.id or not isinstance(held, Dimension):
            return part
        facts = {**part.facts, move.path: held._replace(value=held.value + move.by)}
        return part._replace(id=f"{part.id}~", facts=facts)  # a name of its own: what is remembered goes by it

    def candidate(each: Candidate) -> Candidate:
        return each if each.part is None else each._replace(part=changed(each.part))

    fixed = case.choices.fixed._replace(parts={name: changed(part) for name, part in case.choices.fixed.parts.items()})
    domains = {name: [candidate(each) for each in several] for name, several in case.choices.domains.items()}
    lines = {**case.lines, f"{move.part.id}~": case.lines.get(move.part.id, (move.part.id,))}
    again = attempt(case._replace(choices=case.choices._replace(domains=domains, fixed=fixed), lines=lines), {})
    return again if again.at is not None else None
