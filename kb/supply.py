"""Where parts come from: donors, cars in a yard or lists of a shop, and what they carry."""

from __future__ import annotations

from typing import NamedTuple

from kb.records.part import SUPPLIES

__all__ = ["SUPPLIES", "Carried", "Donor"]


class Carried(NamedTuple):
    """A part, mostly a model, that a donor carries. price: None for "not known", else in `currency`."""

    part: str
    price: float | None = None
    currency: str = "EUR"
    note: str = ""


class Donor(NamedTuple):
    """A car in the yard (sort "yard") or the list of a shop (sort "shop"). seen: when someone looked, ISO 8601."""

    id: str
    name: str
    sort: str
    car: str = ""
    years: str = ""
    place: str = ""
    seen: str = ""
    carries: tuple[Carried, ...] = ()
    notes: str = ""
