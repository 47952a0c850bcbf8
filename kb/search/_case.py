"""A search that may have no answer, and the pieces of telling why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from kb.chance import Settings
from kb.known import Clash, Incompatibility
from kb.ready.needs import Need
from kb.records.part import Part
from kb.search._choices import Choices, Wish
from kb.search._model import Memo, Tell, model
from kb.search._solved import Solved, search, weights
from kb.search.solver import IMPOSSIBLE, Solution

if TYPE_CHECKING:
    from kb.finding import Finding


class Case(NamedTuple):
    """A search that may have no answer: what is chosen among, and what is given."""

    choices: Choices
    wish: Wish
    settings: Settings
    catalogue: Mapping[str, Sequence[Part]]
    clashes: Sequence[Incompatibility] = ()
    lines: Mapping[str, tuple[str, ...]] = {}
    alone: bool = True  # whether what the given parts are to each other counts


class Link(NamedTuple):
    """One rule of the set. finding: its answer for the choice that comes nearest; clash or need in its place.

    roles: the searched roles that it reads, each with the candidates that it allows with some partner, and those that
    it bars. parts: what is given and read by it (role, part id).
    """

    name: str
    finding: Finding | None
    clash: Clash | None
    need: Need | None
    roles: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]
    parts: tuple[tuple[str, str], ...]
    open: bool


class Relaxation(NamedTuple):
    """What would open a way. sort: 'move' (feature of a part by `by`, SI), 'part' (another part in a role), 'measure'
    (what is not known could let it fit), 'leave out'. with_: (role, part id) that would then do.
    """

    sort: str
    role: str
    part: str
    feature: str
    value: float
    by: float
    quantity: str
    rules: tuple[str, ...]
    with_: tuple[tuple[str, str], ...]
    measure: tuple[str, ...] = ()


def attempt(case: Case, memo: Memo, open_rules: Sequence[str] = (), progress: Tell | None = None) -> Solved:
    """The search made once."""
    made = case.choices
    rules = model(
        made.domains, made.fixed, made.demands, case.settings, case.wish.milestone, open_rules=open_rules,
        alone=case.alone,
        allow_unknown=case.wish.allow_unknown, clashes=case.clashes, lines=case.lines, memo=memo, progress=progress,
    )  # fmt: skip
    if rules.hopeless:
        return Solved(made, rules, [], Solution(IMPOSSIBLE, None, None, 0), None)
    return search(made, rules, weights(rules, case.wish), case.wish.limit_s)


def parts_of(got: Solved) -> tuple[tuple[str, str], ...]:
    assert got.at is not None
    found = [(name, got.model.domains[name][got.at[name]]) for name in got.model.domains]
    return tuple((name, each.id) for name, each in found if each.part is not None)
