"""The rules over what is searched, as a problem for the solver: table by table, the small ones first.

What a table rules out for a candidate with every partner is not asked again in the larger ones: those cells count as
allowed there, so that a set of tables that cannot hold together cannot hold together in truth.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from math import prod
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from kb.build import Build
from kb.chance import Settings
from kb.known import Incompatibility
from kb.rules._rule import MILESTONES, Rule
from kb.search._choices import NOT_GOT, Demand
from kb.search._clashes import clash_cells
from kb.search.candidates import Candidate
from kb.search.solver import Problem, Relation
from kb.search.tables import NOT, OPEN, Table, all_cells, dense

Tell = Callable[[str, int, int], None]
Memo = dict[Any, Table]
FEW = 6  # cells of a costly table up to which it is made at once
SEVERAL = 100  # the same of one over choices and codes, each of which is tried for every part that does not say


class Late:
    """A table whose cells are costly: each is computed when a choice comes to it, and counts as good until then."""

    def __init__(self, cells: Any, relation: int, shape: tuple[int, ...]) -> None:
        self.cells = cells
        self.relation = relation
        self.known = np.zeros(shape, dtype=bool)

    def look(self, at: tuple[int, ...], allowed: npt.NDArray[np.bool_], open_too: bool) -> bool:
        """Compute the cell (candidates) and those that look the same; whether that rules anything out that counted."""
        if self.known[at]:
            return False
        same: tuple[Any, ...] = np.ix_(*[
            np.flatnonzero(axis.classes == axis.classes[one]) for axis, one in zip(self.cells.axes, at, strict=True)
        ])  # fmt: skip
        one = np.zeros(self.known.shape, dtype=bool)
        one[at] = True
        code = int(dense(self.cells, one).codes[at])
        self.known[same] = True
        before = allowed.sum()
        if code == NOT:
            allowed[same] = False
        elif code == OPEN:
            allowed[(*same, 0) if open_too else same] = False
        return bool(allowed.sum() < before)


class Model(NamedTuple):
    """roles: the variables. sources: of each relation, the table or the demand that it is from.

    alive: per role which candidates are left. hopeless: some role has none left; later tables were then not made.
    Where what is open is allowed, a rule with open cells has a variable of its own, `open:<rule>`: whether it is.
    """

    roles: tuple[str, ...]
    domains: Mapping[str, Sequence[Candidate]]
    relations: tuple[Relation, ...]
    sources: tuple[Any, ...]
    alive: dict[str, npt.NDArray[np.bool_]]
    hopeless: bool
    late: tuple[Late, ...] = ()

    def problem(
        self, costs: Sequence[npt.NDArray[np.int64]], without: frozenset[int] = frozenset(), *, whole: bool = False
    ) -> tuple[Problem, list[npt.NDArray[np.intp]]]:
        """As the solver takes it, some relations left out; and the candidate behind each value of each variable.

        whole: with the candidates that the relations themselves rule out (always when relations are left out).
        """
        whole = whole or bool(without)
        left = [
            np.arange(cost.size) if whole or role not in self.alive else np.flatnonzero(self.alive[role])
            for role, cost in zip(self.roles, costs, strict=True)
        ]
        kept = [
            each._replace(
                allowed=each.allowed[np.ix_(*[left[at] for at in each.scope])] if each.scope else each.allowed
            )
            for at, each in enumerate(self.relations)
            if at not in without
        ]
        return Problem(self.roles, tuple(cost[some] for cost, some in zip(costs, left, strict=True)), tuple(kept)), left


def model(
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    demands: Sequence[Demand],
    settings: Settings,
    milestone: str,
    *,
    allow_unknown: bool = False,
    open_rules: Collection[str] = (),
    alone: bool = True,
    clashes: Sequence[Incompatibility] = (),
    lines: Mapping[str, Sequence[str]] | None = None,
    memo: Memo | None = None,
    progress: Tell | None = None,
) -> Model:
    """Every rule and every recorded clash over the searched roles; of others, those that matter by the milestone.

    A part that is got for an early milestone is to be right for the later ones too.

    open_rules: rules of which what is open is allowed. alone: whether rules that read no searched role count.
    memo: tables that were made before for the same candidates and the same other parts. A rule that reads no searched
    role is a relation without variables, unless it is merely open: no choice here could settle it.
    """
    roles = tuple(domains)
    number = {name: at for at, name in enumerate(roles)}
    build = _Building(domains)
    late: list[Late] = []
    for demand in demands:
        scope = tuple(number[each] for each in demand.roles)
        build.add(Relation(f"need:{demand.need.id}", scope, demand.allowed), demand)
    # A role with no candidate at all is hopeless before any rule is asked.
    if all(len(each) for each in domains.values()):
        cells: list[Any] = [
            each
            for each in all_cells(domains, fixed, settings)
            if bought(each.rule) and (each.roles or matters(each.rule, milestone))
        ] + [
            each
            for each in clash_cells(clashes, domains, fixed, lines)
            if each.roles or matters_clash(each.rule.clash, milestone)
        ]
        # Rules over stations compute each cell for itself: last.
        cells.sort(key=lambda each: (_costly(each.rule), prod(len(axis) for axis in each.axes)))
        for done, each in enumerate(cells):
            if build.hopeless:
                break
            if not each.roles and not alone:
                continue
            if progress is not None:
                progress("asking the rules", done, len(cells))
            scope = tuple(number[name] for name in each.roles)
            box = build.box(each.roles) if each.roles else np.ones((), dtype=bool)
            if each.roles and _late(each.rule, int(box.sum())):
                name = f"{each.rule.id}:{each.qualifier}" if each.qualifier else each.rule.id
                late.append(Late(each, len(build.relations), box.shape))
                allowed = np.ones(box.shape, dtype=bool)
                if allow_unknown or name in open_rules:
                    scope, allowed = build.opened(name, scope, allowed, np.zeros(box.shape, dtype=bool))
                build.relations.append(Relation(name, scope, allowed))
                build.sources.append(each)
                continue
            table = _table(each, box, domains, fixed, memo)
            allowed = table.codes != NOT
            open_ = (table.codes == OPEN) & box
            if open_.any() and table.roles:
                if allow_unknown or table.name in open_rules:
                    scope, allowed = build.opened(table.name, scope, allowed, open_)
                else:
                    allowed &= ~open_
            if not allowed.all():
                build.add(Relation(table.name, scope, allowed), table)
        if progress is not None and cells:
            progress("asking the rules", len(cells), len(cells))
    else:
        build.hopeless = True
    return Model(
        tuple(build.names), domains, tuple(build.relations), tuple(build.sources), build.alive, build.hopeless,
        tuple(late),
    )  # fmt: skip


def matters(rule: Rule, milestone: str) -> bool:
    """Whether one of the rule's limits must hold by the milestone."""
    return any(MILESTONES.index(each.milestone) <= MILESTONES.index(milestone) for each in rule.limits)


def bought(rule: Rule) -> bool:
    """Whether the rule hangs on what parts are chosen, and not on what is ticked or read."""
    return not NOT_GOT & {*rule.roles, *rule.optional_roles}


def matters_clash(clash: Incompatibility, milestone: str) -> bool:
    return MILESTONES.index(clash.milestone) <= MILESTONES.index(milestone)


def _costly(rule: Any) -> bool:
    return getattr(rule, "form", "") == "stations"


def _late(rule: Any, cells: int) -> bool:
    return cells > FEW if _costly(rule) else cells > SEVERAL and getattr(rule, "form", "") == "count"


def _table(
    cells: Any,
    alive: npt.NDArray[np.bool_],
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    memo: Memo | None,
) -> Table:
    if not cells.roles:
        return dense(cells)
    key = None
    if memo is not None:
        rule = cells.rule
        read = (*getattr(rule, "roles", ()), *getattr(rule, "optional_roles", ()))
        others = tuple(sorted((name, part.id) for name, part in fixed.parts.items() if name.split(":")[0] in read))
        if hasattr(rule, "clash"):
            others = tuple(sorted((name, part.id) for name, part in fixed.parts.items()))
        key = (rule.id, cells.qualifier, cells.roles, others,
               tuple(tuple(each.id for each in domains[name]) for name in cells.roles), alive.tobytes())  # fmt: skip
        if key in memo:
            return memo[key]
    table: Table = dense(cells, alive)
    if memo is not None:
        memo[key] = table
    return table


class _Building:
    """Relations so far, and which candidates they leave."""

    def __init__(self, domains: Mapping[str, Sequence[Candidate]]) -> None:
        self.names = list(domains)
        self.relations: list[Relation] = []
        self.sources: list[Any] = []
        self.alive = {name: np.ones(len(each), dtype=bool) for name, each in domains.items()}
        self.hopeless = False

    def opened(
        self, name: str, scope: tuple[int, ...], allowed: npt.NDArray[np.bool_], open_: npt.NDArray[np.bool_]
    ) -> tuple[tuple[int, ...], npt.NDArray[np.bool_]]:
        """Scope and cells with one more variable: 0 where the rule says fits, 1 where it may be open."""
        self.names.append(f"open:{name}")
        self.alive[self.names[-1]] = np.ones(2, dtype=bool)
        return (*scope, len(self.names) - 1), np.stack([allowed & ~open_, allowed], axis=-1)

    def add(self, relation: Relation, source: Any) -> None:
        self.relations.append(relation)
        self.sources.append(source)
        if not relation.scope:
            self.hopeless |= not relation.allowed.all()
            return
        waiting = [len(self.relations) - 1]
        while waiting and not self.hopeless:
            at = waiting.pop(0)
            scope = self.relations[at].scope
            left = self.relations[at].allowed[np.ix_(*[self.alive[self.names[each]] for each in scope])]
            for axis, variable in enumerate(scope):
                others = tuple(each for each in range(len(scope)) if each != axis)
                keep = np.asarray(left.any(axis=others))
                if keep.all():
                    continue
                alive = self.alive[self.names[variable]]
                alive[np.flatnonzero(alive)[~keep]] = False
                self.hopeless |= not alive.any()
                left = np.compress(keep, left, axis=axis)
                waiting += [each for each, other in enumerate(self.relations)
                            if variable in other.scope and each != at and each not in waiting]  # fmt: skip

    def box(self, roles: Sequence[str]) -> npt.NDArray[np.bool_]:
        """The cells over these roles that are still of interest: of live candidates, and ruled out by no table yet."""
        found = np.ones([self.alive[name].size for name in roles], dtype=bool)
        for axis, name in enumerate(roles):
            found &= self.alive[name].reshape([-1 if at == axis else 1 for at in range(len(roles))])
        for relation in self.relations:
            names = [self.names[each] for each in relation.scope]
            if names and set(names) <= set(roles):
                order = sorted(range(len(names)), key=lambda at: roles.index(names[at]))
                turned = np.transpose(relation.allowed, order)
                found &= turned.reshape([self.alive[name].size if name in names else 1 for name in roles])
        return found
