"""What a reading of one input may say, how likely, and what the input is known as once it has been taken.

The true value is spread as the dimension says; a missing one over what is plausible, every value alike; a missing
choice is any of its options, each alike. The instrument adds its error. What the reading then makes of the input is
what the store will make of it: `kb.measure.combine` of the old readings and the new one, contradictions included.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.build import Build, Leaf
from kb.measure import Dimension, Instrument, Reading, Term, combine, default_uncertainty, standard_uncertainty
from kb.sums import Sum

# Stands where a feature names no instrument: the figure is asked for or looked up. The minutes are a guess of ours.
LOOK_UP = Instrument("", "data sheet or label", (), 0.0, 0.0, "rectangular", 0.0, 10.0, ("bench",), "free",
                     "Look for it on the part, in its papers, or ask who made it.", "memory")  # fmt: skip
MOST_VALUES = 12  # values of other parts that stand in for a range that nobody stated

# (kind, path with * for an entry) -> the values that recorded parts of the kind have.
Others = Callable[[str, str], Sequence[Any]]


class Prospect(NamedTuple):
    """What one reading may say: one of `values`, each alike and exact, or else `mean` plus an error of `spread`."""

    values: tuple[Any, ...]
    mean: float = 0.0
    spread: Sum | None = None
    from_others: bool = False

    def at(self, q: float) -> Any:
        """The value that a share `q` (0 to 1) of readings do not exceed."""
        if self.spread is None:
            return self.values[min(int(q * len(self.values)), len(self.values) - 1)]
        return self.mean + _quantile(self.spread, q)


def _quantile(spread: Sum, q: float) -> float:
    low, high = -spread.reach, spread.reach
    for _ in range(45):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if spread.cdf(middle) < q else (low, middle)
    return 0.5 * (low + high)


def prospect(leaf: Leaf, kind: str, tool: Instrument, others: Others | None = None) -> Prospect | None:
    """What a reading of `leaf` with `tool` may say; None where nobody knows what it could be."""
    feature = leaf.feature
    if leaf.dimension is not None:
        terms = (*leaf.dimension.terms, _error(tool, leaf.dimension.value, feature.quantity))
        return Prospect((), leaf.dimension.value, Sum(terms))
    if leaf.options:
        if feature.sort != "codes":
            return Prospect(tuple(leaf.options))
        sets = [frozenset(), *(frozenset({code}) for code in leaf.options), frozenset(leaf.options)]
        return Prospect(tuple(dict.fromkeys(sets)))
    if feature.plausible is not None and feature.sort != "count":
        low, high = feature.plausible
        middle = 0.5 * (low + high)
        terms = (Term("rectangular", standard_uncertainty(0.5 * (high - low))), _error(tool, middle, feature.quantity))
        return Prospect((), middle, Sum(terms))
    seen = tuple(others(kind, anywhere(leaf.path)))[:MOST_VALUES] if others else ()
    return Prospect(seen, from_others=True) if seen else None


def anywhere(path: str) -> str:
    """`stations.R4.height` -> `stations.*.height`."""
    head, _, rest = path.partition(".")
    return f"{head}.*.{rest.rpartition('.')[2]}" if rest else path


def _error(tool: Instrument, value: float, quantity: str) -> Term:
    if not tool.id:
        return default_uncertainty("measured", "", value, quantity=quantity)
    return Term(tool.shape, tool.u_at(value))


def reading_of(tool: Instrument, value: float, by: str = "", *, supersedes: bool = False) -> Reading:
    """The reading as the store will hold it."""
    if not tool.id:
        return Reading(value, how="measured", supersedes=supersedes)
    return Reading(value, tool.half_width_at(value), None, tool.shape, "measured", instrument=tool.id, by=by,
                   supersedes=supersedes)  # fmt: skip


def after(leaf: Leaf, tool: Instrument, said: Any, by: str = "") -> Any:
    """The fact that the part then has. Readings that contradict each other are superseded, as one is told to do."""
    if leaf.feature.sort != "dimension" or isinstance(said, Dimension):
        return said
    old = _readings(leaf.dimension) if leaf.dimension is not None else ()
    new = reading_of(tool, said, by, supersedes=must_supersede(leaf))
    return combine([*old, new], quantity=leaf.feature.quantity)


def must_supersede(leaf: Leaf) -> bool:
    """Whether a new reading has to set the old ones aside to be of any use."""
    return leaf.dimension is not None and bool(leaf.dimension.contradiction)


def _readings(dimension: Dimension) -> Sequence[Reading]:
    """The readings behind a dimension; one that was typed in for a trial has none, and stands for itself."""
    if dimension.readings:
        return dimension.readings
    shape = dimension.terms[0].shape if len(dimension.terms) == 1 else "normal"
    return (Reading(dimension.value, None, dimension.u, shape, dimension.how, dimension.source),)


def with_facts(build: Build, facts: Mapping[Leaf, Any]) -> Build:
    """The build with these inputs known; a part that fills several roles has them in each."""
    parts = dict(build.parts)
    for leaf, fact in facts.items():
        for role, part in build.parts.items():
            if part.id == leaf.part:
                parts[role] = parts[role]._replace(facts=_put(parts[role].facts, leaf.path, fact))
    return build._replace(parts=parts)


def _put(facts: Mapping[str, Any], path: str, fact: Any) -> dict[str, Any]:
    head, _, rest = path.partition(".")
    if not rest:
        return {**facts, head: fact}
    entry, _, field = rest.rpartition(".")
    entries = tuple(facts.get(head) or ())
    if not any(each["id"] == entry for each in entries):
        entries = (*entries, {"id": entry})
    return {**facts, head: tuple({**each, field: fact} if each["id"] == entry else each for each in entries)}


def tools_for(leaf: Leaf, table: Mapping[str, Instrument], named: Sequence[str] = ()) -> list[Instrument]:
    """The instruments that read `leaf`, the quickest first: those that its feature names, of `named` those that suit.

    A named instrument that no feature knows of suits where it shares a way of measuring with all that do. Eyes and
    papers are always at hand.
    """
    usual = [table[name] for name in leaf.feature.tools if name in table]
    if not usual:
        return [LOOK_UP if leaf.feature.sort in ("dimension", "position") else table["eye"]]
    if named:
        shared = set.intersection(*(set(each.measures) for each in usual)) - {leaf.feature.quantity}
        usual = [each for each in usual if each.id in named or each.id == "eye"] + [
            table[name] for name in named if name not in leaf.feature.tools and shared & set(table[name].measures)
        ]
    return sorted(usual, key=lambda each: (each.minutes, each.u_at(_size(leaf)), each.id))


def _size(leaf: Leaf) -> float:
    if leaf.dimension is not None:
        return leaf.dimension.value
    return math.fsum(leaf.feature.plausible) / 2 if leaf.feature.plausible else 0.0
