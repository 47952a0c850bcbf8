"""Strict Pydantic models of the kinds of part, made from their declarations, and the way from a record to its facts.

A validated field already holds its normal form: a dimension the list of its readings in SI, a position its SI value.
Models are made when first asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import Field, ValidationError, create_model

from kb.errors import Faults, RecordFault, UnknownName, unknown
from kb.records import KINDS, Feature
from kb.records._base import Line, Name, Price, Short, Slug, Strict, Words
from kb.records.explaining import faults_of
from kb.records.fields import Provenance, fields_of
from kb.records.given import Given
from kb.records.part import SUPPLIES, Part, assemble

# The fields of every part that are facts as they stand.
HEAD = ("kind", "id", "name", "maker", "based_on", "part_number", "price", "currency", "supply", "notes")
_READING = ("si", "half", "shape", "how", "with", "source", "date", "by", "note", "photo", "text", "supersedes")


class PartRecord(Strict):
    """What every record of a part has."""

    kind: str
    id: Slug = Field(description="short name in the database: small letters, digits, hyphens")
    name: Name = Field(description="name for people")
    maker: Line = Field(default="", description="who makes it")
    based_on: Slug = Field(default="", description="id of the part whose figures this one inherits: its make and model")
    part_number: Short = Field(default="", description="maker's number")
    price: Price = Field(default=0, description="price of one, in `currency`")
    currency: Annotated[str, Field(pattern="^[A-Z]{3}$")] = Field(default="EUR", description="three letters, ISO 4217")
    supply: Literal[SUPPLIES] = Field(  # type: ignore[valid-type]
        default="shop", description="where one gets it: bought new, from a breaker's yard, made at the bench"
    )
    notes: Words = Field(default="", description="anything else")
    known: Provenance = Field(
        default_factory=Provenance, description="how the figures of this record are known, unless they say otherwise"
    )


class Checked(NamedTuple):
    """A record that is good by itself: as given, and in normal form."""

    kind: str
    id: str
    facts: dict[str, Any]
    given: Given

    @property
    def record(self) -> dict[str, Any]:
        """The record as given, for a dump without loss."""
        return self.given.data


def model_of(kind: str) -> type[Strict]:
    """The strict model of a kind of part or of another record; UnknownName says what is near."""
    from kb.records import knowledge

    if kind in knowledge.MODELS:
        return knowledge.MODELS[kind]
    if kind in KINDS:
        return _part_model(kind)
    shown = kind if isinstance(kind, str) else repr(kind)
    fault = unknown("kind", shown, record_kinds())
    fault.step = fault.step or f"it is one of: {', '.join(record_kinds())}"
    raise fault


def record_kinds() -> tuple[str, ...]:
    """Every kind of record: the kinds of part, then those that are no parts."""
    from kb.records import knowledge

    return (*KINDS, *knowledge.MODELS)


class _Models(Mapping[str, type[Strict]]):
    def __getitem__(self, kind: str) -> type[Strict]:
        if kind not in record_kinds():
            raise KeyError(kind)
        return model_of(kind)

    def __iter__(self) -> Iterator[str]:
        return iter(record_kinds())

    def __len__(self) -> int:
        return len(record_kinds())


MODELS: Mapping[str, type[Strict]] = _Models()


def check(given: Given) -> Checked:
    """The record, held against its model. Raises Faults with file, line, field and next step, all at once."""
    kind = given.data.get("kind")
    if not isinstance(kind, str):
        step = f"write one of: {', '.join(record_kinds())}"
        what = "names no kind" if kind is None else "names its kind by something else than a text"
        raise Faults([RecordFault(what, place=given.place(("kind",) if kind is not None else ()), step=step)])
    try:
        model = model_of(kind)
    except UnknownName as fault:
        raise Faults([fault.at(given.place(("kind",)))]) from None
    try:
        made = model.model_validate(given.data)
    except ValidationError as error:
        raise Faults(faults_of(error, given, model)) from None
    return Checked(kind, str(getattr(made, "id", "")), _facts(kind, made), given)


def normalise(record: Mapping[str, Any]) -> dict[str, Any]:
    """The facts of a record: its normal form, JSON-able, `known` applied to every reading. Raises Faults.

    A dimension is a list of readings {"si", "half", "shape", "how", "with", "source", "date", "by", "note", "photo",
    "text", "supersedes"} without the empty ones; a position {"si", "text"}; lists hold dicts of the same form.
    """
    return check(Given(dict(record))).facts


def part_of(*line: Mapping[str, Any]) -> Part:
    """The part that these records make, the oldest ancestor first, without a database. Raises Faults."""
    facts = [normalise(record) for record in line]
    return assemble(facts[-1]["id"], facts)


def _facts(kind: str, made: Strict) -> dict[str, Any]:
    if kind not in KINDS:
        from kb.records import knowledge

        return knowledge.facts_of(kind, made)
    given = made.model_fields_set
    facts: dict[str, Any] = {name: getattr(made, name) for name in HEAD if name in given}
    facts.update(normal(made, KINDS[kind].features, said_of(made)))
    return facts


def said_of(made: Any) -> dict[str, Any]:
    """What a validated record says under `known`."""
    return made.known.model_dump(exclude_unset=True, by_alias=True) if "known" in made.model_fields_set else {}


def normal(made: Strict, features: Mapping[str, Feature], known: dict[str, Any]) -> dict[str, Any]:
    """The normal form of these features of a validated part, as far as it has them, `known` applied."""
    facts: dict[str, Any] = {}
    for name, feature in features.items():
        if name not in made.model_fields_set:
            continue
        value = getattr(made, name)
        if feature.sort == "dimension":
            facts[name] = [provenance(reading, known) for reading in value]
        elif feature.sort == "list" and feature.item is not None:
            facts[name] = [normal(entry, feature.item.features, known) for entry in value]
        else:
            facts[name] = value
    return facts


def provenance(reading: dict[str, Any], known: dict[str, Any]) -> dict[str, Any]:
    """`reading` with what `known` adds: all that is missing, but nothing to a reading known in another way."""
    own = dict(reading)
    if own.get("with"):
        own.setdefault("how", "measured")
    how = own.get("how")
    if known and (how is None or how == known.get("how", "measured" if known.get("with") else None)):
        own = {**known, **own}
    if own.get("with"):
        own.setdefault("how", "measured")
    found = {name: own[name] for name in _READING if name in own}
    return {name: each for name, each in found.items() if each is not None and each is not False and each != ""}


@cache
def _part_model(kind: str) -> type[Strict]:
    declared = KINDS[kind]
    taken = set(declared.features) & set(PartRecord.model_fields)
    assert not taken, f"{kind}: features named like fields of every part: {taken}"
    fields = fields_of(declared.features)
    fields["kind"] = (Literal[kind], Field(description="kind of part"))
    model: type[Strict] = create_model(declared.__name__, __base__=PartRecord, __doc__=declared.__doc__, **fields)
    return model
