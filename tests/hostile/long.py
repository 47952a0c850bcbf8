"""How much hostile input a run of the tests tries: little, or with MATCHMARK_LONG=1 as much as is promised."""

from __future__ import annotations

import os

LONG = bool(os.environ.get("MATCHMARK_LONG"))


def cases(few: int, many: int = 10_000) -> int:
    """`many` cases in the long form, else `few`."""
    return many if LONG else few
