"""Why nothing fits: rules and parts that cannot hold together, and the least that would open a way.

    told = why_not(case)     # None when something does fit
    told.links, told.parts, told.relaxations

The rules are a minimal set: without any one of them there is an answer to the others. Every relaxation was tried: with
it the whole search was made again and found an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from kb.build import Build, applies, views
from kb.chance import FITS, NOT, Settings
from kb.judge import judge
from kb.known import Clash
from kb.roles import base_role, role
from kb.rules._rule import Rule
from kb.search._case import Case, Link, Relaxation, attempt, parts_of
from kb.search._choices import Choices, Demand, Wish, choices
from kb.search._clashes import ClashRule
from kb.search._explain import explain
from kb.search._model import Late, Memo, Model, Tell
from kb.search._relax import relaxations
from kb.search._solved import Setting, Solved, weights
from kb.search.candidates import candidates_for

if TYPE_CHECKING:
    from kb.finding import Finding

NEAREST = 40  # cells of a rule that are judged to find the nearest to holding


class WhyNot(NamedTuple):
    """links: the rules that cannot hold together. parts: what is given and read by them (role, part id, owned).

    nothing: roles for which no part is recorded at all. minimal: False when time ran out before that was seen.
    """

    build: Build
    links: tuple[Link, ...]
    parts: tuple[tuple[str, str, bool], ...]
    roles: tuple[str, ...]
    nothing: tuple[str, ...]
    minimal: bool
    relaxations: tuple[Relaxation, ...]
    fits: tuple[tuple[str, str], ...] = ()


def case_of_plan(setting: Setting, wish: Wish) -> Case:
    """The search that a plan makes."""
    made = choices(setting.build, setting.record, setting.catalogue, wish)
    return Case(made, wish, setting.settings, setting.catalogue, setting.clashes, setting.lines)


def case_of_roles(setting: Setting, roles: Sequence[str], wish: Wish) -> Case:
    """What fits these roles with everything else as it is; the needs of milestones are not asked."""
    domains = {}
    for name in roles:
        parts = [each for each in setting.catalogue.get(role(name).kind.kind, ()) if each.id not in wish.avoid]
        domains[name] = candidates_for(name, parts, setting.record)
    fixed = setting.build._replace(
        parts={name: part for name, part in setting.build.parts.items() if name not in domains}
    )
    nothing = tuple(name for name, some in domains.items() if not some)
    made = Choices(domains, fixed, (), nothing, "EUR", ())
    return Case(made, wish, setting.settings, setting.catalogue, setting.clashes, setting.lines, alone=False)


def why_not(case: Case, limit_s: float = 20.0, progress: Tell | None = None) -> WhyNot:
    """The conflict and what would open a way; `fits` holds an answer instead when there is one."""
    build = case.choices.fixed
    if case.choices.nothing:
        return WhyNot(build, (), (), (), case.choices.nothing, True, ())
    until = monotonic() + limit_s
    memo: Memo = {}
    got = attempt(case, memo, progress=progress)
    if got.at is not None:
        return WhyNot(build, (), (), (), (), True, (), parts_of(got))
    costs = [np.zeros(each.size, dtype=np.int64) for each in weights(got.model, case.wish)]
    problem, _ = got.model.problem(costs, whole=True)
    found = explain(problem, {}, max(1.0, limit_s / 2))
    if found is None:
        return WhyNot(build, (), (), (), (), False, ())
    links = tuple(_link(at, got, case) for at in found.relations)
    given: dict[str, tuple[str, str, bool]] = {}
    for link in links:
        for name, part in link.parts:
            given.setdefault(name, (name, part, name in build.owned))
    roles = tuple(dict.fromkeys(name for link in links for name, *_ in link.roles))
    ways = relaxations(case, links, memo, until, progress)
    return WhyNot(build, links, tuple(given.values()), roles, (), found.minimal, ways)


# -- the links --------------------------------------------------------------------------------------------------------


def _link(at: int, got: Solved, case: Case) -> Link:
    relation, source = got.model.relations[at], got.model.sources[at]
    names = [got.model.roles[each] for each in relation.scope if got.model.roles[each] in got.model.domains]
    roles = []
    for axis, name in enumerate(names):
        others = tuple(each for each in range(relation.allowed.ndim) if each != axis)
        some = np.flatnonzero(np.asarray(relation.allowed.any(axis=others))).tolist()
        several = got.model.domains[name]
        allowed = tuple(several[each].id for each in some if several[each].part)
        barred = tuple(each.id for each in several if each.part and each.id not in allowed)
        roles.append((name, allowed, barred))
    if isinstance(source, Demand):
        return Link(relation.name, None, None, source.need, tuple(roles), (), False)
    rule = source.rule
    if isinstance(rule, ClashRule):
        return Link(relation.name, None, Clash(rule.clash, ()), None, tuple(roles), _given(rule, names, case), False)
    finding = nearest(rule, source.qualifier, names, got.model, case)
    open_ = finding is not None and finding.verdict not in (FITS, NOT)
    return Link(relation.name, finding, None, None, tuple(roles), _given(rule, names, case), open_)


def _given(rule: Any, names: Sequence[str], case: Case) -> tuple[tuple[str, str], ...]:
    """The parts that are given and read by a rule."""
    fixed = case.choices.fixed.parts
    if isinstance(rule, ClashRule):
        read = {base_role(each.role) for each in rule.clash.parties}
    else:
        read = {*rule.roles, *rule.optional_roles}
    return tuple(
        (name, part.id) for name, part in sorted(fixed.items()) if base_role(name) in read and name not in names
    )


def nearest(rule: Rule, qualifier: str, names: Sequence[str], rules: Model, case: Case) -> Finding | None:
    """The rule's finding for the candidates that come nearest to holding, of the few that are tried."""
    sizes = [len(rules.domains[name]) for name in names]
    cells = list(np.ndindex(*sizes))
    step = max(1, len(cells) // NEAREST)
    best: tuple[tuple[int, float, float], Finding] | None = None
    for cell in cells[::step]:
        parts = dict(case.choices.fixed.parts)
        for name, at in zip(names, cell, strict=True):
            part = rules.domains[name][at].part
            if part is not None:
                parts[name] = part
        finding = asked(rule, qualifier, case.choices.fixed._replace(parts=parts), case.settings)
        if finding is None or finding.verdict == FITS:
            continue
        near = finding.margin if finding.margin is not None else float("-inf")
        key = (int(finding.verdict == NOT), -(finding.probability or 0.0), -near)
        if best is None or key < best[0]:
            best = key, finding
    return best[1] if best else None


def asked(rule: Rule, qualifier: str, build: Build, settings: Settings) -> Finding | None:
    """The rule's finding for a build, None where it is not asked."""
    for name, view in views(rule, build):
        if name == qualifier and not applies(rule, view):
            return judge(rule, view, settings)._replace(qualifier=qualifier)
    return None


__all__ = ["Case", "Late", "Link", "Relaxation", "WhyNot", "case_of_plan", "case_of_roles", "why_not"]
