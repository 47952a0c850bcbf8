"""Candidates and relations as bits of whole numbers: quick to ask again whether a few of them can hold together.

A variable's candidates are one number, bit i for candidate i. For each axis of a relation and each candidate there
stands one number too: the combinations of the others that it is allowed with, in the order of their axes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np
import numpy.typing as npt

NODES = 3000  # steps back and forth before the search gives up


class GaveUp(Exception):
    """Too many steps: it stays open."""


def numbers(rows: npt.NDArray[np.bool_]) -> list[int]:
    """One whole number a row: bit i is the row's i-th truth value."""
    packed = np.packbits(rows, axis=1, bitorder="little")
    return [int.from_bytes(each.tobytes(), "little") for each in packed]


def places(bits: int) -> Iterator[int]:
    """The numbers of the bits that are set, lowest first."""
    while bits:
        low = bits & -bits
        yield low.bit_length() - 1
        bits ^= low


class Bits:
    """Sizes of the variables, and relations as (scope, rows by axis)."""

    def __init__(
        self, sizes: Sequence[int], relations: Iterable[tuple[tuple[int, ...], npt.NDArray[np.bool_]]]
    ) -> None:
        self.sizes = tuple(sizes)
        self.full = [(1 << size) - 1 for size in sizes]
        self.scopes: list[tuple[int, ...]] = []
        self.rows: list[list[list[int]]] = []
        self.never: list[bool] = []  # relations over nothing that do not hold
        for scope, allowed in relations:
            self.scopes.append(scope)
            self.never.append(not scope and not allowed.all())
            turned = [np.moveaxis(allowed, axis, 0).reshape(allowed.shape[axis], -1) for axis in range(len(scope))]
            self.rows.append([numbers(each) for each in turned])

    def _others(self, relation: int, axis: int, domains: Sequence[int]) -> int:
        """The combinations of the other variables' candidates, as the rows of this axis number them."""
        width, mask = 1, 1
        for at, variable in reversed(list(enumerate(self.scopes[relation]))):
            if at == axis:
                continue
            spread = 0
            for place in places(domains[variable]):
                spread |= mask << (place * width)
            width, mask = width * self.sizes[variable], spread
        return mask

    def narrow(self, domains: list[int], relations: Sequence[int], changed: Iterable[int]) -> bool:
        """Drop candidates without partners, from these changed relations on; False when a variable runs empty."""
        of: dict[int, list[int]] = {}
        for relation in relations:
            for variable in self.scopes[relation]:
                of.setdefault(variable, []).append(relation)
        waiting = dict.fromkeys(changed)
        while waiting:
            relation = next(iter(waiting))
            del waiting[relation]
            for axis, variable in enumerate(self.scopes[relation]):
                mask = self._others(relation, axis, domains)
                rows = self.rows[relation][axis]
                kept = 0
                for place in places(domains[variable]):
                    if rows[place] & mask:
                        kept |= 1 << place
                if kept != domains[variable]:
                    if not kept:
                        return False
                    domains[variable] = kept
                    waiting.update((other, None) for other in of[variable] if other != relation)
        return True

    def possible(self, relations: Sequence[int], pins: Mapping[int, int]) -> bool:
        """Whether these relations and pinned candidates can hold together. GaveUp when that takes too many steps."""
        domains = list(self.full)
        for variable, value in pins.items():
            domains[variable] &= 1 << value
        if not all(domains) or any(self.never[each] for each in relations):
            return False
        steps = [NODES]
        return self.narrow(domains, relations, relations) and self._search(domains, relations, steps)

    def _search(self, domains: list[int], relations: Sequence[int], steps: list[int]) -> bool:
        """Whether a choice exists in these narrowed domains."""
        asked = {variable for relation in relations for variable in self.scopes[relation]}
        open_ = [(domains[at].bit_count(), at) for at in asked if domains[at] & (domains[at] - 1)]
        if len(open_) < 2:
            return True  # all but one are settled, and what is left of that one has partners everywhere
        steps[0] -= 1
        if steps[0] < 0:
            raise GaveUp
        variable = min(open_)[1]
        touching = [each for each in relations if variable in self.scopes[each]]
        for place in places(domains[variable]):
            child = list(domains)
            child[variable] = 1 << place
            if self.narrow(child, relations, touching) and self._search(child, relations, steps):
                return True
        return False
