"""Addresses of pages, with every piece made safe."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any
from urllib.parse import quote, urlencode

from kb.records import KINDS


def address(*steps: str) -> str:
    """`/part/deep-pan` from its pieces, each made safe."""
    return "/" + "/".join(map(_safe, steps))


@lru_cache(maxsize=4096)
def _safe(step: str) -> str:
    return quote(step, safe="")


def query(values: Mapping[str, Any]) -> str:
    """A query string; `:` and `.` stay readable."""
    return urlencode(list(values.items()), safe=":.,", quote_via=quote)


def page_of(table: str, id: str) -> str:
    """The address of our own page of a row, or an empty text."""
    if table == "part" or table in KINDS:
        return address("part", id)
    if table == "incompatibility":
        return address("incompatibility", id)
    if table == "build":
        return address("build", id)
    return ""
