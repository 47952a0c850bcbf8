"""Values as people type them after a flag or into a form: a role, a limit of one's own, a feature to try."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from kb import units
from kb.errors import Fault, unknown
from kb.measure import Dimension, Reading
from kb.records import Feature
from kb.records.values import read_dimension, read_position, refuse_absurd
from kb.roles import role
from kb.rules import rule_named


def refuse_role(name: str, *, place: str = "") -> None:
    """UnknownName or Fault unless `name` is a role, with a qualifier or without: `pan`, `hose:return`."""
    role(name, place=place)
    _, colon, qualifier = name.partition(":")
    if colon and not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", qualifier):
        step = "write small letters, digits and hyphens behind the colon, for example hose:return"
        raise Fault(f"{qualifier[:60]!r} cannot tell two of a role apart", place=place, step=step)


def own_limit(rule_id: str, limit: str, text: str, why: str) -> tuple[float, str]:
    """(SI value, why) of a limit that a builder sets. Fault if the rule has no such limit or the text is no value."""
    place = f"{rule_id[:60]}.{limit[:60]}"
    rule = rule_named(rule_id, place=place)
    names = [each.name for each in rule.limits]
    if limit not in names:
        raise unknown(f"limit of {rule_id}", limit, names, place=place, list_with=f"matchmark rules {rule_id}")
    measure = units.parse(text, rule.quantity, place=place)
    if measure.half_width is not None:
        raise Fault("a limit takes no tolerance", place=place, step="write one value")
    return measure.value, why


def read_value(feature: Feature, text: str, terms: Callable[[], Iterable[str]]) -> Any:
    """A feature's value from the text of a flag or a form; exact unless the text carries a tolerance, None for `?`.

    terms: gives the ids of the terms that the database declares. Faults carry no place.
    """
    text = text.strip()
    if text in ("?", "unknown"):
        return None
    if feature.sort == "dimension":
        found = read_dimension(feature, text)
        half = found.get("half")
        spread = (Reading(found["si"], half, how="user").term(feature.quantity),) if half else ()
        return Dimension(found["si"], spread, "user", text=text)
    if feature.sort == "position":
        return read_position(feature, text)["si"]
    if feature.sort == "flag":
        if text.lower() not in ("yes", "no", "true", "false"):
            raise Fault(f"{text[:40]!r} is neither yes nor no", step="write yes or no")
        return text.lower() in ("yes", "true")
    if feature.sort == "count":
        if not re.fullmatch(r"[0-9]{1,6}", text):
            raise Fault(f"{text[:40]!r} is no whole number of ordinary size", step="write it in digits, such as 36")
        refuse_absurd(feature, float(text))
        return int(text)
    if feature.sort == "codes":
        return frozenset(_code(feature, part.strip(), terms) for part in text.split(",") if part.strip())
    if feature.sort == "list":
        step = f"change one field of one entry: {feature.name}.ENTRY.FIELD=value"
        raise Fault(f"{feature.name} is a list and takes no single value", step=step)
    return _code(feature, text, terms) if feature.sort == "choice" else text


def _code(feature: Feature, text: str, terms: Callable[[], Iterable[str]]) -> str:
    known = feature.options
    if feature.vocabulary:
        known = tuple(id.partition("/")[2] for id in terms() if id.startswith(f"{feature.vocabulary}/"))
    if known and text not in known:
        fault = unknown(f"choice for {feature.name}", text, known)
        fault.step = fault.step or f"it is one of: {', '.join(known[:20])}"
        raise fault
    return text
