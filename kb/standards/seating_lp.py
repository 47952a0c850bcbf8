"""A linear programme with three or four rows, solved exactly on a tableau (floats, no numpy).

The bare seat of a flange and the flatness of a face are both of this size: few unknowns, a
constraint for every station. Their duals have one row for each unknown and one column for each
station, which is what a simplex tableau of three or four short rows is good at.
"""

from __future__ import annotations

from collections.abc import Sequence

_ZERO = 1e-11  # entries are scaled to about one by the callers
_DANTZIG = 60  # after so many pivots the smallest index enters, which cannot cycle


def _pivot(rows: list[list[float]], row: int, column: int) -> None:
    divisor = rows[row][column]
    lead = rows[row] = [value / divisor for value in rows[row]]
    for other, line in enumerate(rows):
        factor = line[column]
        if other != row and factor != 0.0:
            rows[other] = [value - factor * pivot for value, pivot in zip(line, lead, strict=True)]


def solve_lp(
    columns: Sequence[Sequence[float]], costs: Sequence[float], rhs: Sequence[float]
) -> list[tuple[int, float]] | None:
    """Maximise sum(costs[j] * w[j]) with sum(columns[j][r] * w[j]) = rhs[r] and w >= 0.

    `columns` holds n columns of m entries, `costs` n values and `rhs` m values at or above zero, all scaled
    to about one. Returns the basis as pairs (column, weight): m of them, fewer where rows depend on each
    other. None when no weights meet the rows, or when the sum has no upper end.
    """
    count = len(columns)
    rows = [[column[r] for column in columns] + [rhs[r]] for r in range(len(rhs))]
    basis = [-1] * len(rows)  # -1: the row is still held by an artificial column

    def leaving(column: int) -> int | None:
        best, ratio = None, 0.0
        for r, row in enumerate(rows[: len(basis)]):
            entry = row[column]
            if basis[r] < 0 and abs(entry) > _ZERO and row[count] <= _ZERO:
                return r
            if entry > _ZERO:
                here = row[count] / entry
                if best is None or here < ratio - _ZERO or (here <= ratio + _ZERO and basis[r] < basis[best]):
                    best, ratio = r, here
        return best

    for _ in range(10 * (count + len(basis))):
        open_rows = [row for r, row in enumerate(rows) if basis[r] < 0]
        if sum(row[count] for row in open_rows) <= _ZERO:
            break
        gains = [sum(entries) for entries in zip(*open_rows, strict=True)][:count]
        column = max(range(count), key=gains.__getitem__)
        if gains[column] <= _ZERO:
            return None
        out = leaving(column)
        if out is None:
            return None
        _pivot(rows, out, column)
        basis[out] = column
    for r in range(len(basis)):
        if basis[r] < 0:
            column = max(range(count), key=lambda j: abs(rows[r][j]))
            if abs(rows[r][column]) > _ZERO:
                _pivot(rows, r, column)
                basis[r] = column
    kept = [r for r in range(len(basis)) if basis[r] >= 0]
    rows = [rows[r] for r in kept]
    basis = [basis[r] for r in kept]

    gain = [*costs, 0.0]
    for row, held in zip(rows, basis, strict=True):
        price = costs[held]
        gain = [value - price * entry for value, entry in zip(gain, row, strict=True)]
    rows.append(gain)
    for turn in range(100 * (count + len(basis))):
        gain = rows[-1]
        if turn < _DANTZIG:
            column = max(range(count), key=gain.__getitem__)
        else:
            column = next((j for j in range(count) if gain[j] > _ZERO), 0)
        if gain[column] <= _ZERO:
            return [(held, row[count]) for held, row in zip(basis, rows, strict=False)]
        out = leaving(column)
        if out is None:
            return None
        _pivot(rows, out, column)
        basis[out] = column
    return None
