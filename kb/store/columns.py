"""Parts of one kind read as columns of facts, without making a part of each.

con = open_readonly("kb.db")
pans = columns(con, "pan")

Figures come from the table of readings, everything else from the facts, each different list or choice read once. Parts
that are based on others, and figures with several readings, are assembled as `kb.store.read` does.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy

from kb.measure import Dimension, Term
from kb.records import KINDS
from kb.records.part import Part, assemble
from kb.search.columns import Column, Columns
from kb.store import read
from kb.store.opening import Connection

if TYPE_CHECKING:
    from numpy.typing import NDArray


def columns(con: Connection, kind: str, names: Iterable[str] | None = None) -> Columns:
    """Every part of the kind, by id, with these features or all. What nobody recorded is left out."""
    features = {name: each for name, each in KINDS[kind].features.items() if names is None or name in names}
    rows = con.rows("SELECT id, price, based_on FROM part WHERE kind = ? ORDER BY id", (kind,))
    ids = [row[0] for row in rows]
    place = {id: at for at, id in enumerate(ids)}
    price = numpy.array([numpy.nan if row[1] is None else row[1] for row in rows], dtype=float)
    several: set[str] = {row[0] for row in rows if row[2]}
    figures = [name for name, each in features.items() if each.sort == "dimension"]
    found = {name: _Figures(len(ids)) for name in figures}
    readings = con.rows(
        "SELECT part, path, value_si, shape, standard_uncertainty_si FROM dimension WHERE feature IN "
        "(SELECT value FROM json_each(?)) AND path = feature AND part IN (SELECT id FROM part WHERE kind = ?)",
        (json.dumps(figures), kind),
    )
    for id, name, value, shape, u in readings:
        if not found[name].add(place[id], value, shape, u):
            several.add(id)
    rest = [name for name in features if name not in found]
    extracts = ", ".join(f"json_extract(facts, '$.{name}')" for name in rest)  # names of our own
    told = con.rows(f"SELECT {extracts} FROM part WHERE kind = ? ORDER BY id", (kind,)) if rest else []
    whole = _assembled(con, sorted(several))
    facts: dict[str, Column] = {}
    for name, each in found.items():
        facts[name] = each.column([(place[id], part.facts.get(name)) for id, part in whole.items()])
    examples = _Examples(con, kind)
    for at, name in enumerate(rest):
        facts[name] = _coded(name, [row[at] for row in told], ids, place, whole, examples)
    for id, part in whole.items():
        price[place[id]] = numpy.nan if part.price is None else part.price
    kept = {name: each for name, each in facts.items() if each.value is not None or each.told != (None,)}
    kept = {name: each for name, each in kept.items() if each.value is None or not numpy.isnan(each.value).all()}
    return Columns(kind, ids, price, kept)


class _Figures:
    """One dimension of many parts, as its readings come in."""

    def __init__(self, count: int) -> None:
        self.value: NDArray[numpy.float64] = numpy.full(count, numpy.nan)
        self.codes = numpy.zeros(count, dtype=numpy.int32)
        self.errors: dict[tuple[Term, ...], int] = {(): 0}

    def add(self, at: int, value: float, shape: str, u: float) -> bool:
        """Whether it is the first reading of the part."""
        if self.value[at] == self.value[at]:
            return False
        self.value[at] = value
        if u:
            self.codes[at] = self.errors.setdefault((Term(shape, u),), len(self.errors))
        return True

    def column(self, other: Iterable[tuple[int, Any]]) -> Column:
        """The column, these figures in place of what the readings alone say."""
        for at, value in other:
            self.value[at] = value.value if isinstance(value, Dimension) else numpy.nan
            terms = value.terms if isinstance(value, Dimension) else ()
            self.codes[at] = self.errors.setdefault(terms, len(self.errors))
        if len(self.errors) == 1:
            return Column.exact(self.value)
        return Column.figures(self.value, self.codes, list(self.errors))


class _Examples:
    """Parts assembled to read a value that many share."""

    def __init__(self, con: Connection, kind: str) -> None:
        self.con, self.kind = con, kind
        self.tools = read.instruments(con)

    def value(self, id: str, name: str, text: Any) -> Any:
        """A feature's value as a part has it, from its normal form in the part `id`."""
        feature = KINDS[self.kind].features[name]
        said = json.loads(text) if feature.sort in ("list", "codes", "position") else text
        if feature.sort == "flag":
            said = bool(said)
        return assemble(id, [{"kind": self.kind, "id": id, name: said}], self.tools).facts.get(name)


def _coded(
    name: str, texts: list[Any], ids: list[str], place: dict[str, int], whole: dict[str, Part], examples: _Examples
) -> Column:
    """Anything but a dimension: each different text is read once."""
    codes = numpy.empty(len(texts), dtype=numpy.int32)
    told: list[Any] = []
    known: dict[Any, int] = {}
    for at, text in enumerate(texts):
        code = known.get(text)
        if code is None:
            code = known[text] = len(told)
            told.append(None if text is None else examples.value(ids[at], name, text))
        codes[at] = code
    for id, part in whole.items():
        codes[place[id]] = len(told)
        told.append(part.facts.get(name))
    return Column.coded(codes, told)


def _assembled(con: Connection, ids: list[str]) -> dict[str, Part]:
    return read.parts(con, ids) if ids else {}
