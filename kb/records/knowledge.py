"""Records that are no parts: build, incompatibility, source, instrument, term, donor, reading."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from kb import units
from kb.errors import Fault, RecordFault, UnknownName
from kb.records import gauge_places
from kb.records import values as written
from kb.records._base import (
    Currency,
    Date,
    Line,
    Name,
    Photo,
    Price,
    Short,
    Slug,
    Strict,
    TermId,
    Words,
    custom,
    in_words,
)
from kb.records._kind import Feature
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


def _once(value: list[RolePart]) -> list[RolePart]:
    names = [each.part for each in value]
    for at, name in enumerate(names):
        if name in names[:at]:
            raise custom(f"names {name!r} twice", "keep one of them")
    return value


_Considered = Annotated[list[_Filled], Field(max_length=1000), AfterValidator(_once)]


class BuildRecord(Strict):
    """Parts in roles, for one engine in one car."""

    kind: Literal["build"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    name: Name = Field(description="name for people")
    roles: Annotated[dict[str, _Filled], AfterValidator(_role_names)] = Field(
        default_factory=dict, description="role -> id of the part, or its fields"
    )
    alternatives: Annotated[dict[str, _Considered], AfterValidator(_role_names)] = Field(
        default_factory=dict, description="role -> parts under consideration for it, owned spares among them"
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
    photo: Photo = Field(default="", description="name of the picture that shows it, as it was given when added")


class Review(Strict):
    """A judgement of a reported clash."""

    status: Status = Field(description="what it came to")
    by: Name = Field(description="who judged")
    date: Date = Field(description="when")
    reason: Annotated[Words, Field(min_length=1)] = Field(description="why")


class Said(Strict):
    """What one person says of a clash that others recorded."""

    by: Name = Field(description="who")
    date: Date = Field(description="when")
    agrees: bool = Field(default=True, description="whether they met the same; false when the pair worked for them")
    text: Words = Field(default="", description="what they saw")


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
    reports: list[Said] = Field(default_factory=list, max_length=1000, description="what others say of it")
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


def _carried(value: Any) -> Any:
    """`carries: [deep-pan]` means `carries: [{part: deep-pan}]`."""
    return {"part": value} if isinstance(value, str) else value


class DonorPart(Strict):
    """A part that a donor carries."""

    part: Slug = Field(description="id of the part, mostly of a model")
    price: Price = Field(default=0, description="what it costs there; leave out if not known")
    currency: Currency = Field(default="EUR", description="three letters, ISO 4217")
    note: Words = Field(default="", description="anything else: state, where it sits")


_Carries = Annotated[DonorPart, BeforeValidator(_carried, json_schema_input_type=Slug | DonorPart)]


class DonorRecord(Strict):
    """A car in a breaker's yard, or the list of a shop, that carries parts."""

    kind: Literal["donor"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    name: Name = Field(description="name for people")
    sort: Literal["yard", "shop"] = Field(description="yard for a car in a yard, shop for the list of a shop")
    car: Line = Field(default="", description="which car it is")
    years: Annotated[str, Field(pattern="^([0-9]{4}(-[0-9]{4})?)?$")] = Field(
        default="", description="the years in which this car was built so: 1996, 1996-2001"
    )
    place: Line = Field(default="", description="where it stands")
    seen: Date = Field(default="", description="when someone last saw it there")
    carries: list[_Carries] = Field(default_factory=list, max_length=10_000, description="what it carries")
    notes: Words = Field(default="", description="anything else")

    @model_validator(mode="after")
    def _in_order(self) -> DonorRecord:
        first, dash, last = self.years.partition("-")
        if dash and last < first:
            raise custom(f"years {self.years} run backwards", f"write {last}-{first}")
        return self


class GaugeRecord(Strict):
    """What a gauge, a meter or an eye saw at a point of a circuit of a build."""

    kind: Literal["reading"] = Field(description="kind of record")
    id: Slug = Field(description="short name in the database")
    build: Slug = Field(description="id of the build")
    place: Annotated[str, Field(max_length=160)] = Field(
        description="where: the id of a gauge place (oil-gallery), or circuit.node"
    )
    value: Line = Field(description="what was read, in workshop notation, or one of the codes of the place")
    tolerance: Line = Field(default="", description="half width, if not that of the instrument: 0.1 bar")
    with_: Slug = Field(default="", alias="with", description="id of the instrument")
    state: Literal[gauge_places.STATES] = Field(  # type: ignore[valid-type]
        description="what the engine did meanwhile: at_rest, primed, cranking, idling, running"
    )
    speed: Line = Field(default="", description="speed of the engine meanwhile: 800 rpm")
    temperature: Line = Field(default="", description="oil temperature at an oil place, else coolant: 85 degC")
    start: Annotated[int, Field(ge=1, le=100_000)] = Field(default=1, description="number of the start it belongs to")
    date: Date = Field(default="", description="when")
    by: Line = Field(default="", description="who read it")
    note: Words = Field(default="", description="anything else")
    photo: Photo = Field(default="", description="name of the picture that shows it, as it was given when added")

    @model_validator(mode="after")
    def _figures(self) -> GaugeRecord:
        in_words(lambda: gauge_facts(self))
        return self


MODELS: dict[str, type[Strict]] = {
    "build": BuildRecord,
    "incompatibility": IncompatibilityRecord,
    "source": SourceRecord,
    "instrument": InstrumentRecord,
    "term": TermRecord,
    "donor": DonorRecord,
    "reading": GaugeRecord,
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


def gauge_facts(made: GaugeRecord) -> dict[str, Any]:
    """The reading in normal form, figures in SI. Fault if place or value make no sense."""
    facts: dict[str, Any] = made.model_dump(exclude_unset=True, by_alias=True)
    value, tolerance = facts.pop("value"), facts.pop("tolerance", "")
    try:
        facts.update(gauge_places.read_value(made.place, value, tolerance))
    except Fault as fault:
        raise fault.at("value" if not isinstance(fault, UnknownName) or "code" in fault.message else "place") from None
    for field in ("speed", "temperature"):
        if facts.get(field):
            feature = Feature("dimension", "", quantity=field, plausible=_MEANWHILE[field])
            try:
                facts[field] = written.read_dimension(feature, facts[field])["si"]
            except Fault as fault:
                raise fault.at(field) from None
    return facts


# Widest ranges in shown units: rpm of a piston engine; liquids of one from deep frost to well beyond boiling.
_MEANWHILE = {"speed": (0.0, 10_000.0), "temperature": (230.0, 450.0)}


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
    if isinstance(made, GaugeRecord):
        return gauge_facts(made)
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
