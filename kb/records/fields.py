"""The field of a model that each feature becomes: what may be written for it, and its description.

A validated dimension is the list of its readings in SI, a position its SI value: both in normal form.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Discriminator, Field, Tag, create_model

from kb import units
from kb.records import Feature
from kb.records import values as written
from kb.records._base import CODE, KNOWN_HOW, Date, Line, Photo, Slug, Strict, Words, custom, in_words

LONGEST = 200  # characters of a value in workshop notation
How = Literal[KNOWN_HOW]  # type: ignore[valid-type]


class Provenance(Strict):
    """How figures are known."""

    how: How = Field(default="listing", description="how it is known")
    source: Slug = Field(default="", description="id of the source record that says so")
    date: Date = Field(default="", description="when: 2024-05-31, 2024-05 or 2024")
    by: Line = Field(default="", description="who measured or read it")
    with_: Slug = Field(default="", alias="with", description="id of the instrument that it was measured with")


class ReadingRecord(Provenance):
    """One statement of a dimension, with its tolerance and where it comes from."""

    value: Line = Field(description="value in workshop notation: 190 mm, 7 1/2 in, 190 +/- 1 mm")
    tolerance: Line = Field(default="", description="half width: 1 mm, 0.5 %")
    shape: Literal["normal", "rectangular", "triangular"] = Field(
        default="rectangular", description="how errors spread inside the tolerance"
    )
    note: Words = Field(default="", description="anything worth knowing about this reading")
    photo: Photo = Field(default="", description="name of the picture that shows it, as it was given when added")
    supersedes: bool = Field(default=False, description="sets aside every reading listed before this one")


def _digits(value: Any) -> Any:
    return str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


_Number = Annotated[Line, BeforeValidator(_digits, json_schema_input_type=Line | float)]


class NumberReading(ReadingRecord):
    """One statement of a plain number, with its tolerance and where it comes from."""

    value: _Number = Field(description="a plain number: 0.6, 0.6 +/- 0.05")
    tolerance: _Number = Field(default="", description="half width: 0.05, 5 %")


@cache
def _item_model(item: type[Any]) -> type[Strict]:
    fields = fields_of(item.features)
    meaning = item.features["id"].meaning
    fields["id"] = (Annotated[str, AfterValidator(_entry_id)], Field(description=meaning))
    model: type[Strict] = create_model(item.__name__, __base__=Strict, __doc__=item.__doc__, **fields)
    return model


def _entry_id(value: str) -> str:
    if not re.fullmatch(r"\w[\w +-]{0,79}", value):
        raise custom("is no name of an entry", "use letters, digits, spaces and hyphens, at most 80")
    return value


def fields_of(features: Mapping[str, Feature]) -> dict[str, Any]:
    """The model fields of these features, as `create_model` takes them."""
    return {
        name: (_type_of(feature), Field(default=None, description=describe(feature), json_schema_extra=_no_default))
        for name, feature in features.items()
    }


def _no_default(schema: dict[str, Any]) -> None:
    """A feature left out is not known, which is no value that could be written."""
    schema.pop("default", None)


def describe(feature: Feature) -> str:
    """Meaning, unit, plausible range, how to measure: one text for schemas and guides."""
    words = [feature.meaning]
    if feature.quantity:
        words.append(f"Unit: {_unit_words(feature)}.")
    if feature.plausible:
        low, high = (units.show(bound, feature.quantity) for bound in feature.plausible)
        words.append(f"Plausible: {low} to {high}.")
    if feature.vocabulary:
        words.append(f"One of the terms declared for {feature.vocabulary}.")
    if feature.measure:
        words.append(f"How to measure: {feature.measure}.")
    if feature.tools:
        words.append(f"With: {', '.join(feature.tools)}.")
    return " ".join(word if word.endswith(".") else f"{word}." for word in words)


def _unit_words(feature: Feature) -> str:
    if feature.quantity == "number":
        return "a plain number"
    return f"any unit of {feature.quantity}, written with it; shown in {units.show_unit(feature.quantity)[0]}"


def _type_of(feature: Feature) -> Any:
    makers: dict[str, Callable[[Feature], Any]] = {
        "dimension": _dimension,
        "position": _position,
        "choice": _choice,
        "codes": _codes,
        "list": _list,
    }
    plain: dict[str, Any] = {"count": Annotated[int, Field(ge=0, le=100_000)], "flag": bool, "text": Line}
    return makers[feature.sort](feature) if feature.sort in makers else plain[feature.sort]


def _dimension(feature: Feature) -> Any:
    def from_text(value: str) -> list[dict[str, Any]]:
        return [in_words(lambda: written.read_dimension(feature, value))]

    def from_reading(value: ReadingRecord) -> list[dict[str, Any]]:
        read = in_words(lambda: written.read_dimension(feature, value.value, value.tolerance))
        more = value.model_dump(exclude_unset=True, by_alias=True, exclude={"value", "tolerance"})
        if "shape" in more and "half" not in read:
            raise custom("names a shape without a tolerance", "state the tolerance too")
        return [{**read, **more}]

    def flat(value: list[list[dict[str, Any]]]) -> list[dict[str, Any]]:
        return [reading for readings in value for reading in readings]

    def unit_missing(value: Any) -> Any:
        if _digits(value) is not value:
            raise in_fault(feature, value)
        return value

    plain = feature.quantity == "number"
    due: Any = Annotated[str, Field(max_length=LONGEST, examples=[_example(feature)])]
    before = (
        BeforeValidator(_digits, json_schema_input_type=due | float)
        if plain
        else BeforeValidator(unit_missing, json_schema_input_type=due)
    )
    text = Annotated[due, before, AfterValidator(from_text)]
    reading: Any = Annotated[NumberReading if plain else ReadingRecord, AfterValidator(from_reading)]
    one: Any = Annotated[
        Annotated[text, Tag("<text>")] | Annotated[reading, Tag("<reading>")],
        Discriminator(_branch),
    ]
    several = Annotated[list[one], Field(min_length=1, max_length=100), AfterValidator(flat)]
    return Annotated[
        Annotated[text, Tag("<text>")] | Annotated[reading, Tag("<reading>")] | Annotated[several, Tag("<list>")],
        Discriminator(_branch),
    ]


def in_fault(feature: Feature, value: int | float) -> Exception:
    """The validation error for a bare number where a quantity is due."""
    fault = written.bare_number(feature, value)
    return custom(fault.message, fault.step)


def _branch(value: Any) -> str:
    if isinstance(value, dict | ReadingRecord):
        return "<reading>"
    return "<list>" if isinstance(value, list) else "<text>"


def _example(feature: Feature) -> str:
    if feature.plausible is None:
        return units.KINDS[feature.quantity].example
    low, high = feature.plausible
    return units.show((low + high) / 2, feature.quantity)


def _position(feature: Feature) -> Any:
    def unit_missing(value: Any) -> Any:
        if _digits(value) is not value:
            raise in_fault(feature, value)
        return value

    def from_text(value: str) -> dict[str, Any]:
        read: dict[str, Any] = in_words(lambda: written.read_position(feature, value))
        return read

    return Annotated[
        str,
        Field(max_length=200, examples=["120 mm"]),
        AfterValidator(from_text),
        BeforeValidator(unit_missing, json_schema_input_type=Annotated[str, Field(max_length=200)]),
    ]


def _code(feature: Feature) -> Any:
    if feature.options:
        return Literal[feature.options]
    return Annotated[str, Field(pattern=CODE)]


def _choice(feature: Feature) -> Any:
    return _code(feature)


def _codes(feature: Feature) -> Any:
    def once(value: list[str]) -> list[str]:
        for at, code in enumerate(value):
            if code in value[:at]:
                raise custom(f"names {code!r} twice", "keep one of them")
        return value

    return Annotated[list[_code(feature)], Field(max_length=1000), AfterValidator(once)]  # type: ignore[misc]


def _list(feature: Feature) -> Any:
    item: Any = feature.item

    def once(value: list[Any]) -> list[Any]:
        seen: set[str] = set()
        for entry in value:
            if entry.id in seen:
                raise custom(f"has two entries {entry.id!r}", "give each a name of its own")
            seen.add(entry.id)
        return value

    return Annotated[list[_item_model(item)], Field(max_length=1000), AfterValidator(once)]  # type: ignore[misc]
