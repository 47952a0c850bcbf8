"""Records that are no parts: build, incompatibility, source, instrument, term."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from kb import units
from kb.errors import Fault, RecordFault
from kb.records import values as written
from kb.records._base import Date, Line, Name, Price, Short, Slug, Strict, TermId, Words, custom, in_words
from kb.sources import SORTS

HARMS = ("destroys", "no_start", "fire", "leaks", "wears", "nuisance")
Harm = Literal[HARMS]  # type: ignore[valid-type]
Milestone = Literal["prime", "crank", "fire", "drive"]
Status = Literal["reported", "confirmed", "refuted"]


class RolePart(Strict):
    """The part in a role of a build."""

    part: Slug = Field(description="id of the part")
    owned: bool = Field(default=False, description="already at hand")
    price: Price = Field(default=0, description="what this one would cost, if not as its record says")
    note: Words = Field(default="", description="anything else")


class OwnLimit(Strict):
    """A limit of a rule that this build sets for itself."""

    rule: Short = Field(description="id of the rule")
    limit: Short = Field(description="name of the limit in that rule")
    value: Line = Field(description="value in workshop notation")
    why: Name = Field(description="where the figure comes from")


def _role_names(value: dict[str, Any]) -> dict[str, Any]:
    import re

    for role in value:
        if not re.fullmatch(r"[a-z][a-z0-9_]{0,39}(:[a-z0-9][a-z0-9-]{0,39})?", role):
            raise custom(f"{role[:60]!r} is no role", "write a role, or role:qualifier, for example pan or hose:return")
    return value


def _whole(value: Any) -> Any:
    """`pan: deep-pan` means `pan: {part: deep-pan}`."""
    return {"part": value} if isinstance(value, str) else value


def _several(value: Any) -> Any:
    """One is a list of one."""
    return value if isinstance(value, list) else [value]


_Filled = Annotated[RolePart, BeforeValidator(_whole, json_schema_input_type=Slug | RolePart)]


class BuildRecord(Strict):
    """Parts in roles, for one engine in one car."""

    kind: Literal["build"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    name: Name = Field(description="name for people")
    roles: Annotated[dict[str, _Filled], AfterValidator(_role_names)] = Field(
        default_factory=dict, description="role -> id of the part, or its fields"
    )
    own_limits: list[OwnLimit] = Field(default_factory=list, max_length=1000, description="limits that this build sets")
    fits_at: float = Field(default=0.975, ge=0.5, lt=1.0, description="probability from which a finding says fits")
    not_at: float = Field(default=0.025, gt=0.0, le=0.5, description="probability up to which it says does not fit")
    notes: Words = Field(default="", description="anything else")


_Conditions = Annotated[list[Line], BeforeValidator(_several, json_schema_input_type=Line | list[Line])]


class Party(Strict):
    """One side of a clash: a part, or a class of parts."""

    role: Short = Field(description="role that the part fills")
    part: Slug = Field(default="", description="id of the very part or model; leave out for a class of parts")
    where: dict[str, _Conditions] = Field(
        default_factory=dict,
        description="feature -> condition: a code, '< 180 mm', '>= 2', 'in [a, b]', 'has x', 'lacks x'; or several",
    )


class Evidence(Strict):
    """What was seen or measured."""

    text: Annotated[Words, Field(min_length=1)] = Field(description="what was seen")
    role: Short = Field(default="", description="role of the part that a reading belongs to")
    feature: Short = Field(default="", description="feature that was measured")
    reading: Line = Field(default="", description="the reading, in workshop notation")


class Review(Strict):
    """A judgement of a reported clash."""

    status: Status = Field(description="what it came to")
    by: Name = Field(description="who judged")
    date: Date = Field(description="when")
    reason: Annotated[Words, Field(min_length=1)] = Field(description="why")


_Harms = Annotated[
    list[Harm], BeforeValidator(_several, json_schema_input_type=Harm | list[Harm]), Field(min_length=1, max_length=6)
]


class IncompatibilityRecord(Strict):
    """A clash that someone found, with its evidence."""

    kind: Literal["incompatibility"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    title: Name = Field(description="one line that names the clash")
    parties: list[Party] = Field(min_length=1, max_length=20, description="who clashes, usually two")
    symptom: Annotated[Words, Field(min_length=1)] = Field(description="what a builder notices")
    cause: Words = Field(default="", description="why it happens")
    found: Literal["build", "bench", "listing", "report"] = Field(description="how it was found")
    found_date: Date = Field(default="", description="when it was found")
    by: Line = Field(default="", description="who found it")
    evidence: list[Evidence] = Field(default_factory=list, max_length=1000, description="what was seen or measured")
    remedy: Words = Field(default="", description="what helps")
    harm: _Harms = Field(description="what it does if overlooked, one or several")
    milestone: Milestone = Field(description="first milestone that it blocks")
    status: Status = Field(default="reported", description="reported, until a review confirms or refutes it")
    reviews: list[Review] = Field(default_factory=list, max_length=1000, description="judgements, oldest first")

    @model_validator(mode="after")
    def _agree(self) -> IncompatibilityRecord:
        if self.reviews and self.reviews[-1].status != self.status:
            last = self.reviews[-1].status
            raise custom(f"is {self.status}, but its last review says {last}", f"write status: {last}, or add a review")
        if not self.reviews and self.status != "reported":
            raise custom(f"is {self.status} without a review", "add a review with by, date and reason")
        return self


class SourceRecord(Strict):
    """Where figures come from."""

    kind: Literal["source"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    title: Name = Field(description="title, or who says so")
    sort: Literal[SORTS] = Field(description="how much weight it bears")  # type: ignore[valid-type]
    reference: Words = Field(default="", description="edition, page, address")
    date: Date = Field(default="", description="when it was read or published")


class InstrumentRecord(Strict):
    """A measuring instrument; one with the id of a built-in instrument goes before that."""

    kind: Literal["instrument"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    name: Name = Field(description="name for people")
    measures: list[Annotated[str, Field(pattern="^[a-z_]{1,40}$")]] = Field(
        min_length=1, max_length=20, description="what it reads: depth, gap, inside, ... or a quantity such as pressure"
    )
    half_width: Line = Field(description="half width of one reading's error, in workshop notation: 0.05 mm")
    relative: float = Field(default=0.0, ge=0.0, le=1.0, description="share of the value added to the half width")
    shape: Literal["normal", "rectangular", "triangular"] = Field(
        default="rectangular", description="how errors spread"
    )
    resolution: Line = Field(default="", description="finest division, in workshop notation")
    minutes: float = Field(default=5.0, ge=0.0, le=10_000.0, description="time for one reading, parts in reach")
    where: list[Literal["yard", "bench", "car"]] = Field(
        default=["bench"], max_length=3, description="where it can be used"
    )
    cost: Line = Field(default="", description="cheap, dear, borrowed, ...")
    hold: Words = Field(default="", description="how to hold it")
    origin: Slug = Field(default="practice", description="id of the source of these figures")

    @model_validator(mode="after")
    def _figures(self) -> InstrumentRecord:
        in_words(lambda: instrument_facts(self))
        return self


class TermRecord(Strict):
    """One code of a vocabulary, such as a rail pattern."""

    kind: Literal["term"] = Field(description="kind of record")
    id: TermId = Field(description="vocabulary/code")
    meaning: Name = Field(description="what the code stands for")


MODELS: dict[str, type[Strict]] = {
    "build": BuildRecord,
    "incompatibility": IncompatibilityRecord,
    "source": SourceRecord,
    "instrument": InstrumentRecord,
    "term": TermRecord,
}


def instrument_facts(made: InstrumentRecord) -> dict[str, Any]:
    """The instrument's row as `kb.measure.Instrument` takes it, in SI. Fault if its figures make no sense."""
    quantity = written.quantity_of(made.measures)
    kind = {"temperature": "temperature_difference", "count": "number", "choice": "number"}.get(quantity, quantity)
    half = _width(made.half_width, kind, "half_width")
    resolution = _width(made.resolution, kind, "resolution") if made.resolution else 0.0
    return {
        "id": made.id,
        "name": made.name,
        "measures": list(made.measures),
        "half_width": half,
        "relative": made.relative,
        "shape": made.shape,
        "resolution": resolution,
        "minutes": made.minutes,
        "where": list(made.where),
        "cost": made.cost,
        "hold": made.hold,
        "origin": made.origin,
    }


def _width(text: str, kind: str, field: str) -> float:
    try:
        measure = units.parse(text, kind)
    except Fault as fault:
        raise fault.at(field) from None
    if measure.value < 0.0 or measure.half_width is not None:
        raise RecordFault(f"{field} {text[:40]!r} is no width", step="write it as 0.05 mm")
    return measure.value


def facts_of(kind: str, made: Strict) -> dict[str, Any]:
    """Normal form of a validated record that is no part."""
    if isinstance(made, InstrumentRecord):
        return {"kind": kind, **instrument_facts(made)}
    facts: dict[str, Any] = made.model_dump(exclude_unset=True, by_alias=True)
    if isinstance(made, IncompatibilityRecord):
        facts["status"] = made.status
    return facts


def conditions_of(kind: str, where: dict[str, list[str]]) -> list[dict[str, Any]]:
    """The conditions of a party on a part of `kind`, in normal form. Raises the first fault, placed at its feature."""
    found = []
    for feature, texts in where.items():
        for text in texts:
            try:
                found.append(written.read_condition(kind, feature, text))
            except Fault as fault:
                raise fault.at(f"where.{feature}") from None
    return found
