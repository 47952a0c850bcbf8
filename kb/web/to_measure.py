"""Which readings to ask for on a page, from the doubts of an answer: quick, for a page that answers while one types.

`kb.worth` weighs every reading against every finding, which takes seconds where much is unknown; here the shares of the
doubt that the findings carry already are only added up.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from kb import units
from kb.build import Leaf
from kb.chance import OPEN
from kb.errors import Fault, unknown
from kb.explain import known_as
from kb.judge import Answer
from kb.measure import Dimension, Instrument
from kb.measuring_words import decimal, with_spread
from kb.records import Feature
from kb.records.part import Part
from kb.roles import role, role_feature
from kb.unit_show import show_unit

ENTERED = ("dimension", "choice", "flag", "count", "codes", "position")


class Wanted(NamedTuple):
    """A reading to ask for.

    where: `pan.sump_depth`; words: the same as people say it. tools: the instruments, the one to take first. choices:
    what may be written where it is no figure. bears_on: how many open questions it bears on. now: what is known.
    """

    where: str
    words: str
    meaning: str
    how: str
    tools: tuple[Instrument, ...]
    unit: str
    choices: tuple[str, ...]
    bears_on: int
    now: str

    @property
    def hold(self) -> str:
        return self.tools[0].hold if self.tools else ""


def feature_words(where: str) -> str:
    """`pan.sump_depth` -> `pan: sump depth`, `pan.ports.rear-feed.land` -> `pan: ports, rear-feed, land`."""
    name, _, path = where.partition(".")
    return f"{name.replace('_', ' ').replace(':', ' ')}: {path.replace('_', ' ').replace('.', ', ')}"


def wanted(
    answer: Answer,
    table: Mapping[str, Instrument],
    terms: Iterable[str] = (),
    *,
    of: str = "",
    most: int = 3,
    system: str = "mm",
) -> list[Wanted]:
    """The readings that the open findings hang on most, the heaviest first; with `of`, only of the part in that role.

    terms: ids of the declared terms, for features whose choices the database declares.
    """
    weights: dict[str, float] = {}
    bears: dict[str, int] = {}
    leaves: dict[str, tuple[Leaf, float | None]] = {}
    for finding in answer.findings:
        if finding.verdict != OPEN or finding.because not in ("spread", "missing"):
            continue
        for driver in finding.drivers:
            leaf = driver.leaf
            if (of and leaf.role != of) or leaf.feature.sort not in ENTERED:
                continue
            weights[leaf.name] = weights.get(leaf.name, 0.0) + (driver.share or 1.0 / len(finding.drivers))
            bears[leaf.name] = bears.get(leaf.name, 0) + 1
            leaves.setdefault(leaf.name, (leaf, driver.needed))
    names = sorted(weights, key=lambda name: (-round(weights[name], 9), name))[:most]
    known = tuple(terms)
    return [_wanted(*leaves[name], bears[name], table, known, system) for name in names]


def deep_feature(where: str) -> Feature:
    """The feature itself, or a field of its entries: `pan.ports.rear-feed.land`. UnknownName if there is none."""
    name, _, path = where.partition(".")
    head, _, inner = path.partition(".")
    feature = role_feature(f"{name}.{head}", place=where[:120]).feature
    if not inner:
        return feature
    fields = feature.item.features if feature.item is not None else {}
    field = inner.rpartition(".")[2]
    if field not in fields:
        raise unknown(f"field of {head}", field, fields, place=where[:120])
    return fields[field]


def of_feature(
    where: str, part: Part, table: Mapping[str, Instrument], terms: Iterable[str] = (), system: str = "mm"
) -> Wanted:
    """The same for a feature that somebody names. UnknownName for one that the role does not have."""
    name, _, path = where.partition(".")
    feature = deep_feature(where)
    head, _, inner = path.partition(".")
    value = part.facts.get(head)
    if inner:
        entry, _, field = inner.rpartition(".")
        value = next((each.get(field) for each in value or () if each["id"] == entry), None)
    if feature.sort not in ENTERED:
        step = "its lists are written on a sheet of their own: matchmark blank"
        raise Fault(f"{feature_words(where)} takes no single value", place=where[:120], step=step)
    dimension = value if isinstance(value, Dimension) else None
    leaf = Leaf(name, part.id, path, feature, dimension, value is None)
    return _wanted(leaf, None, 0, table, tuple(terms), system)


def _wanted(
    leaf: Leaf, needed: float | None, bears: int, table: Mapping[str, Instrument], terms: Sequence[str], system: str
) -> Wanted:
    feature, dimension = leaf.feature, leaf.dimension
    tools = tools_of(feature, table)
    if needed is not None and dimension is not None:  # one that is good enough goes first
        tools = sorted(tools, key=lambda each: each.u_at(dimension.value) > needed)
    return Wanted(
        leaf.name,
        feature_words(leaf.name),
        feature.meaning,
        feature.measure,
        tuple(tools),
        unit_of(feature, system),
        choices_of(feature, terms),
        bears,
        _now(feature, dimension, system),
    )


def tools_of(feature: Feature, table: Mapping[str, Instrument]) -> list[Instrument]:
    """The feature's instruments in the order in which its declaration names them."""
    return [table[each] for each in feature.tools if each in table]


def unit_of(feature: Feature, system: str) -> str:
    """What to write behind a figure; empty where it is none, or a plain number."""
    if not feature.quantity or feature.quantity == "number":
        return ""
    return "degC" if feature.quantity == "temperature" else show_unit(feature.quantity, decimal(system))[0]


def choices_of(feature: Feature, terms: Iterable[str]) -> tuple[str, ...]:
    """The words that may be written for a choice or a flag; empty for a figure."""
    if feature.sort == "flag":
        return ("yes", "no")
    if feature.sort != "choice":
        return ()
    if feature.vocabulary:
        parts = (each.partition("/") for each in terms)
        return tuple(code for vocabulary, _, code in parts if vocabulary == feature.vocabulary)
    return feature.options


def with_unit(text: str, unit: str) -> str:
    """A bare figure with the unit that stands beside its field; anything else as it is."""
    return f"{text} {unit}" if unit and re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", text) else text


def as_tried(text: str, where: str, tool: Instrument | None) -> str:
    """What was read, as a value to try: with the spread of the instrument, unless it states one or is no such figure.

    Faults are left to who reads the value.
    """
    name, _, path = where.partition(".")
    feature = role(name).kind.features.get(path)
    if tool is None or feature is None or feature.sort != "dimension" or feature.quantity == "temperature":
        return text
    try:
        measure = units.parse(text, feature.quantity)
    except Fault:
        return text
    half = tool.half_width_at(measure.value)
    if measure.half_width is not None or not half:
        return text
    word, factor = show_unit(feature.quantity)
    return f"{measure.value / factor:.9g} ± {half / factor:.4g} {word}".strip()


def _now(feature: Feature, dimension: Dimension | None, system: str) -> str:
    if dimension is None:
        return ""
    return f"{with_spread(dimension.value, 2 * dimension.u, feature.quantity, system)}, {known_as(dimension)}"
