"""Bores of tubes and hoses for fuel and oil by dash size; their threads stand in `pipes`.

A dash size is the outside diameter of the TUBE in sixteenths of an inch. The bore of a hose of the same dash is
smaller, by its sort: the bore counts for flow, never the thread or the dash. SI: metres.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from kb.errors import Fault, unknown

INCH = 0.0254
DASHES = (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 32)


def tube_od(dash: float) -> float:
    """Outside diameter, m, of the tube of a dash size: sixteenths of an inch. Follows from the convention."""
    if not 0 < dash <= 64:
        raise Fault(f"{dash!r} is no dash size", step=f"dash sizes run from 2 to 32: {', '.join(map(str, DASHES))}")
    return dash / 16 * INCH


def tube_bore(dash: float, wall: float) -> float:
    """Bore, m, of a tube of a dash size with a `wall`, m. Fault where no bore is left."""
    bore = tube_od(dash) - 2 * wall
    if wall <= 0 or bore <= 0:
        raise Fault(f"a wall of {wall!r} m leaves no bore in a -{dash:g} tube", step="give the wall in metres")
    return bore


COMMON_WALLS = (0.028 * INCH, 0.035 * INCH, 0.049 * INCH)
"""Walls of tubes for fuel lines in the shops, m. Common practice, no published source."""

# By sort of hose: dash to bore in inches. Read in a published hose maker's table (nominal figures).
_BORES: dict[str, dict[int, tuple[int, int]]] = {
    # Hoses whose dash is their bore: SAE 100R1, R2, R3, R6 and their like.
    "full": {3: (3, 16), 4: (1, 4), 5: (5, 16), 6: (3, 8), 8: (1, 2), 10: (5, 8), 12: (3, 4), 14: (7, 8), 16: (1, 1),
             20: (5, 4), 24: (3, 2), 32: (2, 1)},
    # Hoses whose dash is the tube that they equal: SAE 100R5 (braided rubber) and 100R14 (PTFE).
    "tube": {4: (3, 16), 5: (1, 4), 6: (5, 16), 8: (13, 32), 10: (1, 2), 12: (5, 8), 16: (7, 8), 20: (9, 8),
             24: (11, 8), 32: (29, 16)},
}  # fmt: skip
HOSE_SORTS: dict[str, str] = {
    "full": "dash is the bore in sixteenths (SAE 100R1, R2, R3, R6)",
    "tube": "dash is the tube that the hose equals (SAE 100R5, 100R14)",
}


def hose_bore(dash: int, sort: str = "tube") -> float:
    """Nominal bore, m, of a hose of a dash size; `sort` is a key of HOSE_SORTS. Source: SAE J517 by a published table.

    UnknownName for a sort or a dash that the table does not hold.
    """
    if sort not in _BORES:
        raise unknown("sort of hose", sort, _BORES)
    row = _BORES[sort]
    if dash not in row:
        raise unknown(f"dash size of a {sort!r} hose", str(dash), [str(each) for each in row])
    above, below = row[dash]
    return above / below * INCH


class Bore(NamedTuple):
    """A line that can be had: what it is and its bore, m."""

    name: str
    bore: float


def next_size_up(bore: float, sort: str = "tube") -> Bore | None:
    """The smallest hose of the sort whose bore is at least `bore`, m; None where there is none."""
    rows = sorted((hose_bore(dash, sort), dash) for dash in _BORES[sort])
    return next((Bore(f"-{dash}", found) for found, dash in rows if found >= bore - 1e-9), None)


def dash_of(diameter: float) -> int | None:
    """Dash size of a tube of this outside diameter, m, within 0.03 mm; None where none has (8 mm is no 5/16 in)."""
    return next((dash for dash in DASHES if math.isclose(tube_od(dash), diameter, abs_tol=3e-5)), None)
