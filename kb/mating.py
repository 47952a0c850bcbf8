"""What a part mates with: for every role that a rule joins to its own, which recorded parts go with it.

for neighbour in base.mates("deep-pan", beside="drover"):
    print(neighbour.role, neighbour.count("fits"), neighbour.count("does not fit"))

Only what lies between the two is judged: rules that read both, and recorded clashes that name both. What concerns one
of them alone is the check's business. Where such a rule reads a third role (the gasket between block and pan), the part
that a build has there stands in for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from time import monotonic
from typing import NamedTuple

from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.known import Incompatibility
from kb.records import KINDS
from kb.records.part import Part
from kb.roles import base_role, role
from kb.rules._rule import Rule
from kb.search import tables
from kb.search._clashes import ClashRule
from kb.search.candidates import Candidate

MOST = 40  # parts of one kind that are judged
SECONDS = 0.7  # for the costly rules, those over stations: a page is waiting
WIDEST = 4  # roles that a question may read and still be one of two parts, not of the whole build
_UNCOMPUTED = -1
_ORDER = {FITS: 0, OPEN: 1, NOT: 2, "": 3}

Fetch = Callable[[Sequence[str]], Mapping[str, Part]]
Lines = Callable[[Sequence[str]], Mapping[str, Sequence[str]]]


class Mate(NamedTuple):
    """One part beside the one asked about.

    verdict: fits, does not fit, cannot tell, or empty where no question lies between the two as they are. because: ids
    of the rules that decide it (all that say no; else all that cannot tell). clashes: recorded ones that decide it.
    uncomputed: costly rules that the time did not allow, so that a part that would fit by the others cannot be told.
    """

    part: Part
    verdict: str
    because: tuple[str, ...]
    clashes: tuple[Incompatibility, ...] = ()
    uncomputed: tuple[str, ...] = ()
    now: bool = False  # the build that stands beside has it in this role


class Neighbour(NamedTuple):
    """The parts for one role beside the part in its own role `own`.

    recorded: how many parts of the kind there are beside the part itself; at most MOST are judged. beside: third roles
    and the parts that stand in. waiting: rules that were not asked, with the third roles that they lack;
    with none, they read so many roles that only the check of a whole build asks them.
    """

    own: str
    role: str
    mates: tuple[Mate, ...]
    recorded: int
    beside: Mapping[str, str]
    waiting: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def left(self) -> int:
        """How many parts are not judged here."""
        return self.recorded - len(self.mates)

    def count(self, verdict: str) -> int:
        """How many parts have this verdict."""
        return sum(each.verdict == verdict for each in self.mates)


def mates(
    part: Part,
    rules: Sequence[Rule],
    ids: Callable[[str], list[str]],
    fetch: Fetch,
    *,
    beside: Mapping[str, Part] | None = None,
    clashes: Sequence[Incompatibility] = (),
    lines: Lines | None = None,
    settings: Settings | None = None,
    most: int = MOST,
    seconds: float = SECONDS,
) -> tuple[Neighbour, ...]:
    """Every neighbouring role with its recorded parts judged beside `part`; the role with the most questions first.

    ids: those of a kind; fetch: parts by id. beside: role -> part of a build that lends third roles, and whose own part
    in a role is judged first. lines: for part ids their own and those of what they are based on, for the clashes.
    """
    lent = dict(beside or {})
    wanted = [(own, name, some) for own in KINDS[part.kind].roles for name, some in _between(own, rules, clashes)]
    wanted.sort(key=lambda each: -len(each[2]))
    cases, said = [], []
    for own, name, some in wanted:
        recorded = [each for each in ids(role(name).kind.kind) if each != part.id]
        if not recorded:
            continue
        now = lent[name].id if name in lent else ""
        chosen = [each for each in (now,) if each in recorded]
        chosen = [*chosen, *(each for each in recorded if each != now)][:most]
        named = [each for each in clashes if {own, name} <= {base_role(side.role) for side in each.parties}]
        line = lines([part.id, *chosen]) if lines is not None and named else None
        case = _case(part, own, name, some, lent, fetch(chosen), len(recorded), named, line, settings or Settings())
        cases.append(case)
        said.append(_codes(case, case.quick, range(len(chosen)), case.clashes))
    until = monotonic() + seconds
    for case, codes in zip(cases, said, strict=True):
        _ask_costly(case, codes, until)
    return tuple(_neighbour(case, codes, lent) for case, codes in zip(cases, said, strict=True))


def _between(
    own: str, rules: Sequence[Rule], clashes: Sequence[Incompatibility]
) -> list[tuple[str, list[Rule]]]:  # fmt: skip
    """Role -> the rules that read both it and `own`; a role that only recorded clashes join has none."""
    found: dict[str, list[Rule]] = {}
    for rule in rules:
        names = (*rule.roles, *rule.optional_roles)
        if own in names:
            for name in names:
                if name != own:
                    found.setdefault(name, []).append(rule)
    for clash in clashes:
        sides = {base_role(side.role) for side in clash.parties}
        if own in sides:
            for name in sides - {own}:
                found.setdefault(name, [])
    return list(found.items())


class _Case(NamedTuple):
    """What the parts for one role are judged by."""

    own: str
    name: str
    parts: tuple[Part, ...]
    recorded: int
    fixed: Build
    quick: tuple[Rule, ...]
    costly: tuple[Rule, ...]
    waiting: tuple[tuple[str, tuple[str, ...]], ...]
    clashes: Sequence[Incompatibility]
    lines: Mapping[str, Sequence[str]] | None
    settings: Settings


# Of each part: (the rule, or the clash in its place, and what it says), a code of `kb.search.tables`.
_Said = list[list[tuple[Rule | ClashRule, int]]]


def _case(
    part: Part,
    own: str,
    name: str,
    rules: Sequence[Rule],
    lent: Mapping[str, Part],
    found: Mapping[str, Part],
    recorded: int,
    clashes: Sequence[Incompatibility],
    lines: Mapping[str, Sequence[str]] | None,
    settings: Settings,
) -> _Case:
    quick: list[Rule] = []
    costly: list[Rule] = []
    waiting = []
    third: dict[str, Part] = {}
    for rule in rules:
        lacking = tuple(each for each in rule.roles if each not in (own, name) and each not in lent)
        if lacking or len(rule.roles) > WIDEST:
            waiting.append((rule.id, lacking))
            continue
        (costly if rule.form == "stations" else quick).append(rule)
        for each in (*rule.roles, *rule.optional_roles):
            if each not in (own, name) and each in lent:
                third[each] = lent[each]
    fixed = Build("parts", "", {own: part, **third}, loose=True)
    return _Case(
        own, name, tuple(found.values()), recorded, fixed, tuple(quick), tuple(costly), tuple(waiting), clashes, lines,
        settings,
    )  # fmt: skip


def _codes(case: _Case, rules: Sequence[Rule], at: Sequence[int], clashes: Sequence[Incompatibility] = ()) -> _Said:
    """What these rules and clashes say of the parts at these places."""
    domain = [Candidate(case.parts[each], None) for each in at]
    asked = tables.tables(
        {case.name: domain}, case.fixed, case.settings, rules=rules, clashes=clashes, lines=case.lines
    )
    return [
        [(each.rule, int(each.codes[row] if each.roles else each.codes)) for each in asked] for row in range(len(at))
    ]


def _ask_costly(case: _Case, said: _Said, until: float) -> None:
    """Put the costly rules to the parts that no quick one condemns, while there is time."""
    open_ = [at for at, codes in enumerate(said) if all(code != tables.NOT for _, code in codes)] if case.costly else []
    for at in open_:
        for rule in case.costly:
            said[at] += [(rule, _UNCOMPUTED)] if monotonic() > until else _codes(case, (rule,), (at,))[0]


def _neighbour(case: _Case, said: _Said, lent: Mapping[str, Part]) -> Neighbour:
    now = lent[case.name].id if case.name in lent else ""
    found = [_mate(codes, part, part.id == now) for part, codes in zip(case.parts, said, strict=True)]
    found.sort(key=lambda each: (not each.now, _ORDER[each.verdict], each.part.name, each.part.id))
    beside = {name: each.id for name, each in case.fixed.parts.items() if name != case.own}
    return Neighbour(case.own, case.name, tuple(found), case.recorded, beside, case.waiting)


def _mate(codes: Sequence[tuple[Rule | ClashRule, int]], part: Part, now: bool) -> Mate:
    """What all questions between the two come to."""
    late = tuple(rule.id for rule, code in codes if code == _UNCOMPUTED)
    for wanted, verdict in ((tables.NOT, NOT), (tables.OPEN, OPEN)):
        deciding = [rule for rule, code in codes if code == wanted]
        if deciding:
            rules = tuple(dict.fromkeys(rule.id for rule in deciding if isinstance(rule, Rule)))
            known = tuple(rule.clash for rule in deciding if isinstance(rule, ClashRule))
            return Mate(part, verdict, rules, known, late, now)
    if late:
        return Mate(part, OPEN, (), (), late, now)
    return Mate(part, FITS if any(code == tables.FITS for _, code in codes) else "", (), now=now)


__all__ = ["MOST", "Mate", "Neighbour", "mates"]
