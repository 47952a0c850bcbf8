"""The optional extra `exact`: the optimum of what is left from toulbar2, an exact solver of such problems.

Its answer is taken as a cost and a choice that the solver then looks through for equally cheap ones that come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic
from typing import Any

import numpy as np
import numpy.typing as npt


def optimum(
    costs: Sequence[npt.NDArray[np.int64]],
    tables: Sequence[tuple[tuple[int, ...], npt.NDArray[np.bool_]]],
    beat: int,
    until: float,
) -> tuple[bool, list[int] | None]:
    """(proved, values) of the cheapest choice below `beat`; (True, None): there is none; (False, ...): out of time."""
    import pytoulbar2  # type: ignore[import-untyped,import-not-found,unused-ignore]

    left = until - monotonic()
    if left <= 0:
        return False, None
    model: Any = pytoulbar2.CFN(beat)
    for variable, cost in enumerate(costs):
        model.AddVariable(f"v{variable}", range(cost.size))
        model.AddFunction([variable], [int(each) for each in cost])
    for scope, allowed in tables:
        if not allowed.all():
            model.AddFunction(list(scope), np.where(allowed, 0, beat).ravel().tolist())
    try:
        got = model.Solve(timeLimit=max(1, int(left)))
        lower = round(model.GetDDualBound())
    except Exception:  # of its own making, without a common class: it found nothing that can be relied upon
        return False, None
    if got is None:
        return monotonic() < until, None
    values = [int(each) for each in got[0]]
    if not all(allowed[tuple(values[each] for each in scope)] for scope, allowed in tables):
        return False, None
    return lower >= sum(int(cost[at]) for cost, at in zip(costs, values, strict=True)), values
