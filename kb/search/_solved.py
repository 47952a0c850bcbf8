"""A wish solved: the choice that counts as best, with the costly rules looked into as choices come to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple, NoReturn

import numpy as np
import numpy.typing as npt

from kb.build import Build
from kb.chance import Settings
from kb.errors import Fault
from kb.known import Incompatibility
from kb.ready.needs import declared
from kb.records.part import Part
from kb.roles import base_role
from kb.search._choices import CHEAPEST, FEWEST, Choices, Wish, choices
from kb.search._model import Memo, Model, Tell, model
from kb.search._state import INF, SCALE
from kb.search.solver import BOUNDED, IMPOSSIBLE, Solution, solve

if TYPE_CHECKING:
    from kb.records.builds import BuildRecord

Ints = npt.NDArray[np.int64]
ROUNDS = 400  # choices that costly rules may refute one after the other
PLACES = 8  # of the order of candidates that are told apart before the solver's own order of choices
MOST_COST = (INF >> 2) // SCALE  # what the solver takes for all together


class Setting(NamedTuple):
    """What a plan is made from, besides the wish."""

    build: Build
    record: BuildRecord | None
    catalogue: Mapping[str, Sequence[Part]]
    settings: Settings
    clashes: Sequence[Incompatibility] = ()
    lines: Mapping[str, tuple[str, ...]] = {}
    memo: Memo = {}  # noqa: RUF012 - each caller gives its own


class Solved(NamedTuple):
    """A model, its costs, and the candidate chosen per role (None: no choice)."""

    choices: Choices
    model: Model
    costs: list[Ints]
    solution: Solution
    at: dict[str, int] | None


def solved(setting: Setting, wish: Wish, progress: Tell | None = None, without: frozenset[str] = frozenset()) -> Solved:
    """The best choice for the wish. without: names of relations left out (to see what they cost)."""
    made = choices(setting.build, setting.record, setting.catalogue, wish)
    if made.nothing:
        nothing = Model((), {}, (), (), {}, True)
        return Solved(made, nothing, [], Solution(IMPOSSIBLE, None, None, 0), None)
    rules = model(
        made.domains, made.fixed, made.demands, setting.settings, wish.milestone, allow_unknown=wish.allow_unknown,
        clashes=setting.clashes, lines=setting.lines, memo=setting.memo, progress=progress,
    )  # fmt: skip
    costs = weights(rules, wish)
    return search(made, rules, costs, wish.limit_s, without)


def search(
    made: Choices, rules: Model, costs: list[Ints], limit_s: float, without: frozenset[str] = frozenset()
) -> Solved:
    """The cheapest choice; costly cells that it comes to are computed, until one comes only to good ones."""
    left_out = frozenset(at for at, each in enumerate(rules.relations) if each.name in without)
    if rules.hopeless and not left_out:
        return Solved(made, rules, costs, Solution(IMPOSSIBLE, None, None, 0), None)
    until = monotonic() + limit_s
    ties = not rules.late  # which of equally cheap ones is asked last, when the costly cells are known
    for _ in range(ROUNDS):
        problem, left = rules.problem(costs, left_out)
        found = solve(problem, max(0.5, until - monotonic()), ties=ties)
        if found.values is None:
            return Solved(made, rules, costs, found, None)
        at = placed(rules, left, found.values)
        refuted = looked(rules, at, left_out)
        if not refuted and not ties:
            ties = True
        elif not refuted:
            return Solved(made, rules, costs, found, at)
        if monotonic() > until:
            break
    return Solved(made, rules, costs, Solution(BOUNDED, None, None, found.bound, found.nodes), None)


def looked(rules: Model, at: Mapping[str, int], left_out: frozenset[int] = frozenset()) -> bool:
    """Compute the costly cells that a choice comes to; whether that refutes it."""
    refuted = False
    for each in rules.late:
        if each.relation not in left_out:
            cell = tuple(at[name] for name in each.cells.roles)
            allowed = rules.relations[each.relation].allowed
            refuted |= each.look(cell, allowed, allowed.ndim > len(cell))
    return refuted


def weights(rules: Model, wish: Wish) -> list[Ints]:
    """One whole number a candidate, in which what counts first outweighs all that counts after it."""
    wanted = {base_role(each) for need, _ in declared() for each in need.roles}
    cents: list[Ints] = []
    changes: list[Ints] = []
    unknown: list[Ints] = []
    drops: list[Ints] = []
    opens: list[Ints] = []
    for name in rules.roles:
        several = rules.domains.get(name)
        if several is None:
            zero = np.zeros(2, dtype=np.int64)
            for level in (cents, changes, unknown, drops):
                level.append(zero)
            opens.append(np.array([0, 1], dtype=np.int64))
            continue
        there = np.array([each.now for each in several], dtype=bool)
        free = there if wish.change else np.zeros(len(several), dtype=bool)
        price = [wish.unknown_price if each.price is None else each.price for each in several]
        cents.append(np.where(free, 0, [round((each or 0.0) * 100) for each in price]).astype(np.int64))
        changes.append((~there).astype(np.int64))
        unknown.append(np.where(free, 0, [each is None for each in price]).astype(np.int64))
        extra = base_role(name) not in wanted and any(each.now and each.part for each in several)
        drops.append(np.array([extra and each.part is None for each in several], dtype=np.int64))
        opens.append(np.zeros(len(several), dtype=np.int64))
    # What counts last comes first.
    if wish.change == CHEAPEST:
        levels = [changes, cents]
    elif wish.change == FEWEST:
        levels = [cents, changes]
    else:
        levels = [cents]
    # Among equals what is there, then what stands first in the order of candidates.
    places = [np.minimum(np.arange(each.size, dtype=np.int64), PLACES) for each in cents]
    due = [*levels, unknown, drops, opens]
    return _one_number([places, *due]) or _one_number(due) or _too_far_apart(rules, cents)


def _one_number(levels: Sequence[Sequence[Ints]]) -> list[Ints]:
    """The levels in one number a candidate, a later one before every earlier one; nothing if that gets too large."""
    total = [np.zeros(each.size, dtype=np.int64) for each in levels[0]]
    for level in levels:
        unit = 1 + sum(int(each.max()) for each in total)
        if unit * (1 + sum(int(each.max()) for each in level)) >= MOST_COST:
            return []
        total = [low + unit * each for low, each in zip(total, level, strict=True)]
    return total


def _too_far_apart(rules: Model, cents: Sequence[Ints]) -> NoReturn:
    at = max(range(len(cents)), key=lambda each: int(cents[each].max()))
    raise Fault(
        "prices so far apart cannot be weighed against the number of parts",
        place=rules.roles[at],
        step=f"correct the price of the dearest part there ({cents[at].max() / 100:.0f}), or leave it out: --avoid",
    )


def placed(rules: Model, left: Sequence[npt.NDArray[np.intp]], values: Sequence[int]) -> dict[str, int]:
    """The candidate per role, from the solver's values."""
    return {name: int(some[value]) for name, some, value in zip(rules.roles, left, values, strict=True)}
