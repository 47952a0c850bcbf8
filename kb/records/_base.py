"""What all strict models share: refusal of extra fields, plain texts, ids, dates, and faults that carry a next step."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError

from kb.errors import Fault
from kb.measure import HOWS

SLUG = r"^[a-z0-9][a-z0-9-]{0,79}$"
CODE = r"^[a-z0-9][a-z0-9_.+-]{0,79}$"
TERM = r"^[a-z][a-z0-9_]{0,39}/[a-z0-9][a-z0-9_.+-]{0,79}$"
DATE = r"^[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?$"
# How a record may say that a figure is known; the other words of HOWS are the program's own.
KNOWN_HOW = tuple(how for how in HOWS if how not in ("combined", "user"))
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def custom(message: str, step: str = "") -> PydanticCustomError:
    """A validation error in our own words; `step` comes out as the fault's next step."""
    return PydanticCustomError("fault", "{message}", {"message": message, "step": step})


def in_words(function: Callable[[], Any]) -> Any:
    """What `function` returns; its Fault becomes a validation error of the field."""
    try:
        return function()
    except Fault as fault:
        message = f"{fault.place}: {fault.message}" if fault.place else fault.message
        raise custom(message, fault.step) from None


def _plain(value: str) -> str:
    if _CONTROLS.search(value):
        raise custom("holds a control character", "type the text afresh")
    return value


def _line(value: str) -> str:
    if "\n" in value or "\t" in value:
        raise custom("holds a line break or tab", "write it on one line")
    return _plain(value)


def _slug(value: str) -> str:
    if not re.fullmatch(SLUG[1:-1], value):
        raise custom("is no id", "use small letters, digits and hyphens, at most 80, for example deep-pan-2")
    return value


def _term_id(value: str) -> str:
    if not re.fullmatch(TERM[1:-1], value):
        raise custom("is no id of a term", "write vocabulary/code, for example rail_pattern/early-v6")
    return value


def _date(value: str) -> str:
    from datetime import date

    year, _, rest = value.partition("-")
    month, _, day = rest.partition("-")
    try:
        if not re.fullmatch(DATE[1:-1], value):
            raise ValueError
        date(int(year), int(month or 1), int(day or 1))
    except ValueError:
        raise custom("is no date", "write it as 2024-05-31, 2024-05 or 2024") from None
    return value


def _one_line(length: int, least: int = 0) -> Any:
    return Annotated[str, Field(max_length=length, min_length=least), AfterValidator(_line)]


Line = _one_line(200)
Name = _one_line(200, 1)
Short = _one_line(100)
Words = Annotated[str, Field(max_length=20_000), AfterValidator(_plain)]
Slug = Annotated[str, AfterValidator(_slug), Field(json_schema_extra={"pattern": SLUG, "maxLength": 80})]
TermId = Annotated[str, AfterValidator(_term_id), Field(json_schema_extra={"pattern": TERM})]
Date = Annotated[str, AfterValidator(_date), Field(json_schema_extra={"pattern": DATE})]
PHOTO = r"^[0-9a-f]{64}\.(jpg|png|webp)$"
Currency = Annotated[str, Field(pattern="^[A-Z]{3}$")]
Price = Annotated[float, Field(ge=0, le=10_000_000)]


def _photo(value: str) -> str:
    if not re.fullmatch(PHOTO[1:-1], value):
        raise custom("is no name of a photo", "add the file first: its name is given then, 64 letters and .jpg")
    return value


Photo = Annotated[str, AfterValidator(_photo), Field(json_schema_extra={"pattern": PHOTO})]


class Strict(BaseModel):
    """Nothing extra, nothing converted, no NaN."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
