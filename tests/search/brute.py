"""The searches once more without any shortcut: every combination judged by the judge."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any, NamedTuple

from kb.build import Build, applies, views
from kb.chance import FITS, NOT, OPEN, Settings
from kb.judge import judge
from kb.known import Incompatibility, clashes
from kb.roles import RoleFeature, base_role
from kb.rules import askable, derivations
from kb.rules._rule import Rule
from kb.search.candidates import Candidate

CODES = {FITS: 1, OPEN: 2, NOT: 3}  # as kb.search.tables has them


def with_parts(build: Build, roles: Sequence[str], cell: Sequence[Candidate]) -> Build:
    """The build with these candidates in their roles."""
    parts = {name: part for name, part in build.parts.items() if name not in roles}
    parts.update({role: each.part for role, each in zip(roles, cell, strict=True) if each.part is not None})
    return build._replace(parts=parts)


def code(rule: Rule, qualifier: str, build: Build, settings: Settings) -> int:
    """The judge's verdict; 0 where the rule is not asked so."""
    view = dict(views(rule, build)).get(qualifier)
    if view is None or any(role not in view.parts for role in rule.roles) or applies(rule, view):
        return 0
    return CODES[judge(rule, view, settings).verdict]


class Combination(NamedTuple):
    """One combination. codes: by the rule's name, of the rules that read a searched role."""

    cell: tuple[Candidate, ...]
    codes: dict[str, int]

    @property
    def verdict(self) -> str:
        asked = [each for each in self.codes.values() if each]
        if 3 in asked:
            return NOT
        return FITS if asked and set(asked) == {1} else OPEN

    @property
    def price(self) -> float:
        return math.fsum(each.price or 0.0 for each in self.cell)


def read_by(rule: Rule) -> frozenset[str]:
    """The roles whose parts may matter to a rule, those from which its inputs may follow among them."""
    found = {*rule.roles, *rule.optional_roles}
    waiting = [str(each.of) for each in rule.inputs]
    waiting += [str(limit.bound) for limit in rule.limits if isinstance(limit.bound, RoleFeature)]
    seen = set(waiting)
    while waiting:
        for derived in derivations(waiting.pop()):
            found |= {each.of.role for each in derived.inputs} | {on.role for on, _ in derived.when}
            more = {str(each.of) for each in derived.inputs} - seen
            seen |= more
            waiting += more
    return frozenset(found)


def combinations(
    domains: Mapping[str, Sequence[Candidate]],
    build: Build,
    settings: Settings,
    recorded: Sequence[Incompatibility] = (),
) -> list[Combination]:
    """All of them, in the order of the product. The judge is asked once of the same rule and parts that it may read."""
    roles = tuple(domains)
    filled = {base_role(name) for name in (*build.parts, *roles)}
    rules = [each for each in askable(filled)[0] if {*map(base_role, roles)} & {*each.roles, *each.optional_roles}]
    made = []
    reads = {rule.id: read_by(rule) for rule in rules}
    told: dict[tuple[str, str, tuple[str, ...]], int] = {}
    for cell in product(*domains.values()):
        whole = with_parts(build, roles, cell)
        codes: dict[str, int] = {}
        for rule in rules:
            for qualifier, _ in views(rule, whole):
                name = f"{rule.id}:{qualifier}" if qualifier else rule.id
                ids_read = (
                    f"{role}={part.id}" for role, part in whole.parts.items() if base_role(role) in reads[rule.id]
                )
                key = (rule.id, qualifier, tuple(ids_read))
                if key not in told:
                    told[key] = code(rule, qualifier, whole, settings)
                codes[name] = told[key]
        lines: dict[str, tuple[str, ...]] = {part.id: (part.id, part.based_on) for part in whole.parts.values()}
        for clash in clashes(whole, recorded, lines):
            codes[f"clash:{clash.incompatibility.id}"] = 3 if clash.certain else 2
        made.append(Combination(cell, codes))
    return made


def ids(rows: Sequence[Any]) -> list[tuple[str, ...]]:
    """The parts of rows, by id."""
    return [tuple(each.id for each in (row.cell if isinstance(row, Combination) else row.parts)) for row in rows]
