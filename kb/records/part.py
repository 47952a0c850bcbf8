"""A part as rules see it: its facts, with the readings of each dimension combined over everything it is based on.

On the hot path of `matchmark check`: standard library only.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.measure import Dimension, Instrument, Reading, combine
from kb.records import KINDS, Feature

# How a figure without any word on its origin is taken to be known.
UNSAID = "listing"
# Where one gets a part: bought new, found in a breaker's yard, made at the bench.
SUPPLIES = ("shop", "yard", "bench")


class Part(NamedTuple):
    """One part. `facts[feature]` is, by the feature's sort: dimension Dimension, position float (m), choice and text
    str, codes frozenset of str, count int, flag bool, list a tuple of dicts with values of the same sorts.
    """

    id: str
    kind: str
    name: str
    maker: str = ""
    based_on: str = ""
    price: float | None = None
    facts: dict[str, Any] = {}  # noqa: RUF012 - never changed
    currency: str = "EUR"
    supply: str = ""


def assemble(id: str, chain: Sequence[Mapping[str, Any]], instruments: Mapping[str, Instrument] | None = None) -> Part:
    """The part `id` from the facts (normal form, see `models.normalise`) of its line, oldest ancestor first.

    Dimensions combine the readings of the whole line, contradictions included; lists merge entry by entry; of
    everything else the youngest word holds. `instruments` are those that go before the built-in ones.
    Fault if a reading makes no sense. The last of `chain` is the part itself.
    """
    own = chain[-1]
    kind = str(own["kind"])
    merged: dict[str, Any] = {}
    for facts in chain:
        for name, value in facts.items():
            if name in ("maker", "price", "currency", "supply"):
                merged[name] = value
    values = _merge(id, "", chain, KINDS[kind].features, instruments or {})
    return Part(
        id,
        kind,
        str(own.get("name", id)),
        str(merged.get("maker", "")),
        str(own.get("based_on", "")),
        merged.get("price"),
        values,
        str(merged.get("currency", "EUR")),
        str(merged.get("supply", "")),
    )


def _merge(
    id: str,
    path: str,
    chain: Sequence[Mapping[str, Any]],
    features: Mapping[str, Feature],
    instruments: Mapping[str, Instrument],
) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name, feature in features.items():
        said = [facts[name] for facts in chain if name in facts]
        if not said:
            continue
        if feature.sort == "dimension":
            values[name] = dimension(feature, (one for several in said for one in several), f"{id}.{path}{name}",
                                     instruments)  # fmt: skip
        elif feature.sort == "list" and feature.item is not None:
            values[name] = _entries(id, f"{path}{name}.", said, feature.item.features, instruments)
        elif feature.sort == "position":
            values[name] = said[-1]["si"]
        elif feature.sort == "codes":
            values[name] = frozenset(said[-1])
        else:
            values[name] = said[-1]
    return values


def _entries(
    id: str,
    path: str,
    said: Iterable[Sequence[Mapping[str, Any]]],
    features: Mapping[str, Feature],
    instruments: Mapping[str, Instrument],
) -> tuple[dict[str, Any], ...]:
    lines: dict[str, list[Mapping[str, Any]]] = {}
    for entries in said:
        for entry in entries:
            lines.setdefault(entry["id"], []).append(entry)
    return tuple(_merge(id, f"{path}{name}.", line, features, instruments) for name, line in lines.items())


def dimension(
    feature: Feature,
    readings: Iterable[Mapping[str, Any]],
    place: str = "",
    instruments: Mapping[str, Instrument] | None = None,
) -> Dimension:
    """The dimension that readings in normal form, oldest first, amount to."""
    made = [as_reading(each, place, instruments or {}) for each in readings]
    return combine(made, quantity=feature.quantity, show=lambda value: _show(value, feature.quantity))


def as_reading(said: Mapping[str, Any], place: str, instruments: Mapping[str, Instrument]) -> Reading:
    """One reading in normal form as `kb.measure` takes it; `instruments` are those that go before the built-in ones."""
    half = said.get("half")
    shape = said.get("shape", "rectangular")
    tool = said.get("with", "")
    if half is None and tool in instruments:
        half, shape = instruments[tool].half_width_at(said["si"]), instruments[tool].shape
    return Reading(
        said["si"],
        half,
        None,
        shape,
        said.get("how") or ("measured" if tool else UNSAID),
        said.get("source", ""),
        tool,
        said.get("date", ""),
        said.get("by", ""),
        said.get("text", ""),
        place,
        bool(said.get("supersedes")),
    )


def _show(value: float, quantity: str) -> str:
    from kb import units

    return units.show(value, quantity)
