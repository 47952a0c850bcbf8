"""The cheapest purchases that make a build good for a milestone, or the smallest change to one that is not.

    found = plan(build, record, catalogue, Wish(milestone="fire"), settings, clashes=..., lines=...)
    found.status, found.cost, [(each.role, each.part) for each in found.choices]

Needs and rules are tables over the searched roles (`_choices`, `_model`); the solver proves the optimum. In this order
counts: the fewest rules left open (none, unless that is allowed), the fewest of the builder's extras dropped, the
fewest parts of unknown price, then changes and price as the wish says, and last the order of the candidates. What the
solver chose is put to the judge as a whole build before anybody sees it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from kb import known
from kb.build import Build
from kb.chance import FITS, NOT, Settings
from kb.judge import Answer, answer
from kb.known import Incompatibility
from kb.ready.needs import described, needs
from kb.records.part import Part
from kb.roles import base_role
from kb.rules import askable
from kb.search._choices import CHEAPEST, FEWEST, Wish, kinds_wanted
from kb.search._model import Tell, matters
from kb.search._solved import Setting, Solved, looked, placed, search, solved, weights
from kb.search.solver import BOUNDED, IMPOSSIBLE, PROVED, best

if TYPE_CHECKING:
    from kb.finding import Finding
    from kb.records.builds import BuildRecord

COSTS_S = 3.0  # for telling what each constraint costs
AS_IS, BUY, CHANGE, DROP, LEAVE = "as is", "buy", "change", "drop", "leave empty"


class Choice(NamedTuple):
    """What to do with one role. act: 'as is', 'buy', 'change', 'drop', 'leave empty'.

    part: None where it stays or becomes empty. price: None if unknown; 0 if owned. was: the part that gives way.
    passed: (part, rule) of what would have been nearer (the part that is there, cheaper ones), and what rules it out.
    """

    role: str
    act: str
    part: Part | None
    price: float | None
    owned: bool
    was: str
    passed: tuple[tuple[str, str], ...] = ()


class Alternative(NamedTuple):
    """A next best plan: what it costs, how many prices are unknown, and where it differs (role, part or '')."""

    cost: float
    unknown: int
    changes: int
    differs: tuple[tuple[str, str], ...]


class ConstraintCost(NamedTuple):
    """What a constraint costs. sort: 'keep', 'avoid', 'budget', 'considered', 'rule' or 'need'; name: of the role, ...

    amount: the cost without it taken from the cost with it; None when only without it there is a plan at all (or, for
    a budget that is too small, no plan without it would be dearer). short: by how much a budget falls short.
    """

    sort: str
    name: str
    amount: float | None
    changes: int = 0
    short: float = 0.0


class Plan(NamedTuple):
    """status: 'proved', 'bounded' (time ran out: nothing below `bound` exists) or 'impossible'.

    cost: of what is to be paid, without the parts of unknown price, which `unknown` names by role. changes: roles that
    differ from the build as it is. answer: the whole planned build as the judge sees it. open: what it leaves open.
    nothing: needed roles that no recorded part can fill. sure: for an impossible plan, the one that leaves the fewest
    questions open, if there is one. broken: in words, what the circuits of the planned build still lack.
    """

    status: str
    wish: Wish
    build: Build
    choices: tuple[Choice, ...]
    cost: float
    currency: str
    unknown: tuple[str, ...]
    changes: int
    bound: float
    searched: int
    answer: Answer | None = None
    open: tuple[Finding, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    constraint_costs: tuple[ConstraintCost, ...] = ()
    nothing: tuple[str, ...] = ()
    foreign: tuple[Part, ...] = ()
    over_budget: float = 0.0
    if_open: Plan | None = None
    broken: tuple[str, ...] = ()

    @property
    def planned(self) -> dict[str, str]:
        """role -> part id of what changes in the build; '' where a role is emptied."""
        return {
            each.role: each.part.id if each.part else "" for each in self.choices if each.act in (BUY, CHANGE, DROP)
        }


def plan(
    build: Build,
    record: BuildRecord | None,
    catalogue: Mapping[str, Sequence[Part]],
    wish: Wish,
    settings: Settings,
    *,
    clashes: Sequence[Incompatibility] = (),
    lines: Mapping[str, tuple[str, ...]] | None = None,
    progress: Tell | None = None,
) -> Plan:
    """The plan that the wish asks for. Faults as `choices` gives them."""
    setting = Setting(build, record, catalogue, settings, clashes, lines or {}, {})
    until = monotonic() + wish.limit_s
    got = solved(setting, wish, progress)
    if got.at is None:
        made = _without(setting, wish, got)
        if got.solution.status == IMPOSSIBLE and not wish.allow_unknown and not got.choices.nothing:
            loose = wish._replace(allow_unknown=True, alternatives=0)
            more = solved(setting, loose, progress)
            if more.at is not None:
                made = made._replace(if_open=_told(setting, loose, more))
        if got.solution.status == IMPOSSIBLE:
            made = made._replace(constraint_costs=_in_the_way(setting, wish, until))
        return made
    made = _told(setting, wish, got)
    if wish.budget is not None and made.cost > wish.budget + 0.005:
        made = _within(setting, wish, got, made)
        if made.status == IMPOSSIBLE:
            return made
    if wish.alternatives:
        made = made._replace(alternatives=_next(wish, got, made, until))
    if wish.costs:
        made = made._replace(constraint_costs=_constraints(setting, wish, got, made, until, progress))
    return made


# -- telling ----------------------------------------------------------------------------------------------------------


def _without(setting: Setting, wish: Wish, got: Solved) -> Plan:
    status = IMPOSSIBLE if got.solution.status == IMPOSSIBLE else BOUNDED
    return Plan(
        status, wish, setting.build, (), 0.0, got.choices.currency, (), 0, 0.0, len(got.choices.domains),
        nothing=got.choices.nothing, foreign=got.choices.foreign,
    )  # fmt: skip


def _told(setting: Setting, wish: Wish, got: Solved) -> Plan:
    """The choice with its sum, judged as a whole build."""
    assert got.at is not None
    made = []
    for name in got.model.domains:
        made.append(_choice(name, got, got.at))
    for name, part in sorted(got.choices.fixed.parts.items()):
        made.append(_standing(name, part, setting, wish))
    made.sort(key=lambda each: each.role)
    cost, unknown, changes = _sums(made, wish)
    build = planned_build(setting.build, made)
    judged = judged_whole(build, setting)
    bound = cost if got.solution.status == PROVED else 0.0
    searched = {base_role(each) for each in got.choices.domains}
    open_ = tuple(
        each
        for each in judged.findings
        if each.verdict not in (FITS, NOT)
        and (matters(each.rule, wish.milestone) or searched & {*each.rule.roles, *each.rule.optional_roles})
    )
    return Plan(
        got.solution.status, wish, setting.build, tuple(made), cost, got.choices.currency, unknown, changes, bound,
        len(got.choices.domains), judged, open_, foreign=got.choices.foreign, broken=_broken(build, judged, wish),
    )  # fmt: skip


def _broken(build: Build, judged: Answer, wish: Wish) -> tuple[str, ...]:
    """What the circuits that the milestone needs still lack in the planned build, beyond what a finding says."""
    from kb.circuit.continuity import breaks
    from kb.ready.board import circuit_blockers

    told = {each.name for each in judged.findings if each.verdict != FITS}
    faults = [each for each in breaks(build, judged.findings) if each.finding not in told or not each.finding]
    found = circuit_blockers(needs(build, wish.milestone), faults, wish.milestone, build, set())
    return tuple(dict.fromkeys(f"circuit {each.name}: {each.words}" for each in found))


def _choice(name: str, got: Solved, at: Mapping[str, int]) -> Choice:
    several = got.model.domains[name]
    one = several[at[name]]
    was = next((each for each in several if each.now), None)
    if one.now:
        act = AS_IS if one.part else LEAVE
    elif one.part is None:
        act = DROP if was is not None else LEAVE
    else:
        act = CHANGE if was is not None and was.part is not None else BUY
    gone = was.part.id if was is not None and was.part is not None and not one.now else ""
    nearer = [each for each in range(len(several)) if each != at[name] and several[each].part is not None
              and (several[each].now or int(got.costs[got.model.roles.index(name)][each]) <
                   int(got.costs[got.model.roles.index(name)][at[name]]))]  # fmt: skip
    nearer.sort(key=lambda each: not several[each].now)
    passed = tuple((several[each].id, rule) for each in nearer[:3] if (rule := _bars(name, each, got, at)))
    return Choice(name, act, one.part, one.price, one.owned, gone, passed)


def _bars(name: str, candidate: int, got: Solved, at: Mapping[str, int]) -> str:
    """The first relation that rules the candidate out beside what else was chosen; '' if none alone does."""
    variable = got.model.roles.index(name)
    for each in got.model.relations:
        if variable in each.scope:
            cell = tuple(candidate if one == variable else at[got.model.roles[one]] for one in each.scope)
            if not each.allowed[cell]:
                return each.name
    return ""


def _standing(name: str, part: Part, setting: Setting, wish: Wish) -> Choice:
    """A part that was not searched: it stands in the build, and is paid for unless owned."""
    entry = setting.record.roles.get(name) if setting.record else None
    owned = name in setting.build.owned or bool(entry and entry.owned)
    price = part.price if entry is None or entry.price is None else entry.price
    if price is None and base_role(name) in described():  # a way of putting something together: nobody sells it
        price = 0.0
    return Choice(name, AS_IS, part, 0.0 if owned else price, owned, "")


def _sums(made: Sequence[Choice], wish: Wish) -> tuple[float, tuple[str, ...], int]:
    """(to be paid, roles whose price is not known, roles that change)."""
    paid = [each for each in made if each.part is not None and not (wish.change and each.act == AS_IS)]
    price = [wish.unknown_price if each.price is None else each.price for each in paid]
    cost = round(sum(each or 0.0 for each in price), 2)
    unknown = tuple(each.role for each, one in zip(paid, price, strict=True) if one is None)
    return cost, unknown, sum(each.act in (BUY, CHANGE, DROP) for each in made)


def planned_build(build: Build, made: Sequence[Choice]) -> Build:
    parts = {each.role: each.part for each in made if each.part is not None}
    return build._replace(parts=parts, loose=False)


def judged_whole(build: Build, setting: Setting) -> Answer:
    """Every rule put to the planned build, those that no table held among them."""
    ask, lacking = askable({base_role(each) for each in build.parts})
    lines = {part.id: setting.lines.get(part.id, (part.id,)) for part in build.parts.values()}
    return answer(build, ask, setting.settings, known.clashes(build, setting.clashes, lines), lacking)


# -- budget, next best, what constraints cost --------------------------------------------------------------------------


def _within(setting: Setting, wish: Wish, got: Solved, made: Plan) -> Plan:
    """The plan that keeps to the budget; impossible with the sum that it falls short by."""
    assert wish.budget is not None
    if wish.change == FEWEST:
        for at in _nexts(got, 60, wish.limit_s / 2):
            other = _told(setting, wish, got._replace(at=at))
            if other.cost <= wish.budget + 0.005:
                return other
        cheap = wish._replace(change=CHEAPEST)
        made = _told(setting, cheap, search(got.choices, got.model, weights(got.model, cheap), wish.limit_s))
        if made.cost <= wish.budget + 0.005:
            return made._replace(status=BOUNDED, wish=wish)
    return made._replace(status=IMPOSSIBLE, over_budget=round(made.cost - wish.budget, 2), wish=wish)


def _nexts(got: Solved, count: int, limit_s: float) -> list[dict[str, int]]:
    """The next best choices after the first; costly cells that they come to are computed first."""
    assert got.at is not None
    until = monotonic() + limit_s
    wanted = count + 1
    # To leave a part out that the plan uses is no plan of its own.
    alive = {
        name: kept
        & np.array([each.part is not None or at == got.at[name] for at, each in enumerate(got.model.domains[name])])
        if name in got.model.domains
        else kept
        for name, kept in got.model.alive.items()
    }
    narrower = got.model._replace(alive=alive)
    while True:
        problem, left = narrower.problem(got.costs)
        found = [each for each in best(problem, wanted, max(0.5, until - monotonic())) if each.status == PROVED]
        several = [placed(got.model, left, each.values or ()) for each in found]
        refuted = [looked(got.model, at) for at in several]  # all of them are looked into at once
        if not any(refuted):
            return several[1:]
        if monotonic() > until:
            return []


def _next(wish: Wish, got: Solved, made: Plan, until: float) -> tuple[Alternative, ...]:
    assert got.at is not None
    found = []
    for at in _nexts(got, wish.alternatives, max(1.0, until - monotonic()) / 2):
        several = [_choice(name, got, at) for name in got.model.domains]
        standing = [each for each in made.choices if each.role not in got.model.domains]
        cost, unknown, changes = _sums([*several, *standing], wish)
        differs = tuple(
            (each.role, each.part.id if each.part else "") for each in several if at[each.role] != got.at[each.role]
        )
        found.append(Alternative(cost, len(unknown), changes, differs))
    return tuple(found)


def _wider(wish: Wish) -> list[tuple[str, str, Wish]]:
    """The wish with one constraint fewer, for each: sort, name, wish."""
    tries = [
        ("keep", name, wish._replace(keep=wish.keep - {name}, free=wish.free | {name})) for name in sorted(wish.keep)
    ]
    tries += [("avoid", part, wish._replace(avoid=wish.avoid - {part})) for part in sorted(wish.avoid)]
    return tries + ([("considered", "", wish._replace(considered=False))] if wish.considered else [])


def _in_the_way(setting: Setting, wish: Wish, until: float) -> tuple[ConstraintCost, ...]:
    """Constraints without which alone there is a plan."""
    found = []
    for sort, name, other in _wider(wish):
        if monotonic() > until:
            break
        if solved(setting, other).at is not None:
            found.append(ConstraintCost(sort, name, None))
    return tuple(found)


def _constraints(
    setting: Setting,
    wish: Wish,
    got: Solved,
    made: Plan,
    until: float,
    progress: Callable[[str, int, int], None] | None,
) -> tuple[ConstraintCost, ...]:
    """What each constraint costs: solved again without it, while there is time."""
    tries: list[tuple[str, str, Wish, frozenset[str]]] = [(*each, frozenset()) for each in _wider(wish)]
    barred = dict.fromkeys(rule for each in made.choices for _, rule in each.passed)
    for name in barred:
        tries.append(
            ("need" if name.startswith("need:") else "rule", name.removeprefix("need:"), wish, frozenset({name}))
        )
    found = []
    until = min(until, monotonic() + COSTS_S)
    for done, (sort, name, other, without) in enumerate(tries):
        if monotonic() > until:
            break
        if progress is not None:
            progress("what each constraint costs", done, len(tries))
        if without:
            again = search(got.choices, got.model, got.costs, max(1.0, until - monotonic()), without)
        else:
            again = solved(setting, other)
        if again.at is None or again.solution.status != PROVED:
            continue
        several = [_choice(each, again, again.at) for each in again.model.domains]
        standing = [_standing(each, part, setting, other) for each, part in again.choices.fixed.parts.items()]
        cost, _, changes = _sums([*several, *standing], other)
        amount = round(made.cost - cost, 2)
        if amount > 0 or sort in ("keep", "avoid", "considered"):
            found.append(ConstraintCost(sort, name, amount, made.changes - changes))
    if progress is not None and tries:
        progress("what each constraint costs", len(tries), len(tries))
    if wish.budget is not None:
        found.append(ConstraintCost("budget", "", 0.0))
    first = [each for each in found if each.sort not in ("rule", "need")]
    rest = sorted(
        (each for each in found if each.sort in ("rule", "need")), key=lambda each: (-(each.amount or 0), each.name)
    )
    return (*first, *rest)


__all__ = ["Alternative", "Choice", "ConstraintCost", "Plan", "Setting", "Wish", "kinds_wanted", "plan"]
