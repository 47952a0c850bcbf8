"""From what people write for one feature to its normal form, with the checks that need no other record.

Light: the command line uses it for values given on the line.
"""

from __future__ import annotations

import math
import re
from typing import Any

from kb import units
from kb.errors import Fault, RecordFault, near
from kb.records import KINDS, Feature

# What an instrument's "measures" words are, as quantities: everything else is a quantity's own name.
_LENGTHS = {
    "length", "outside", "inside", "depth", "thickness", "step", "gap", "flatness", "pitch", "thread", "runout",
    "play", "radius",
}  # fmt: skip

_OPERATORS = re.compile(r"(<=|>=|!=|<|>|=|in\s*\[|has\b|lacks\b)\s*(.*)\Z", re.DOTALL)
COMPARISONS = ("<", "<=", ">", ">=", "=", "!=")


def read_dimension(feature: Feature, text: str, tolerance: str = "") -> dict[str, Any]:
    """`{"si", "half", "text"}` of a dimension in workshop notation; `half` is left out when no tolerance is stated.

    Faults: not a value of this quantity, two tolerances, or a size that no such thing can have.
    """
    quantity = feature.quantity
    measure = units.parse(text, quantity)
    half = measure.half_width
    if tolerance:
        if half is not None:
            raise RecordFault("states its tolerance twice", step="keep one: in the value or under tolerance")
        half = _tolerance(measure.value, quantity, tolerance)
    refuse_absurd(feature, measure.value, half or 0.0)
    found: dict[str, Any] = {"si": measure.value}
    if half is not None:
        found["half"] = half
    found["text"] = text if not tolerance else f"{text} +/- {tolerance}"
    return found


def _tolerance(value: float, quantity: str, text: str) -> float:
    share = re.fullmatch(r"\s*([0-9.]+)\s*%\s*", text)
    if share and quantity != "temperature":
        return abs(value) * units.parse(share.group(1), "number").value / 100.0
    kind = "temperature_difference" if quantity == "temperature" else quantity
    measure = units.parse(text.strip().removeprefix("+/-").removeprefix("±"), kind)
    if measure.value < 0.0 or measure.half_width is not None:
        raise RecordFault(f"{text[:40]!r} is no tolerance", step="write the half width, for example 0.5 mm")
    return measure.value


def read_position(feature: Feature, text: str) -> dict[str, Any]:
    """`{"si", "text"}` of a position: exact, so a tolerance is refused."""
    measure = units.parse(text, feature.quantity)
    if measure.half_width is not None:
        raise RecordFault("a position is taken as exact", step="leave the tolerance out")
    refuse_absurd(feature, measure.value)
    if abs(measure.value) > 10.0 and feature.quantity == "length":
        raise RecordFault(f"{text} is beyond any engine bay", step="check the unit")
    return {"si": measure.value, "text": text}


def refuse_absurd(feature: Feature, value: float, half: float = 0.0) -> None:
    """RecordFault for a value that no real part can have: further outside the plausible range than it is wide."""
    if not math.isfinite(value) or not math.isfinite(half):
        raise RecordFault("is not a finite number", step="check the figure")
    if feature.plausible is None:
        return
    low, high = feature.plausible
    width = high - low
    if value < 0.0 <= low:
        why = "{} is negative"
    elif value == 0.0 < low:
        why = "{} cannot be"
    elif not low - width <= value <= high + width:
        why = "{} is absurd"
    elif half > 3.0 * width:
        why, value = "a tolerance of {} is absurd", half
    else:
        return
    show = units.show
    step = f"plausible is {show(low, feature.quantity)} to {show(high, feature.quantity)}: check figure and unit"
    raise RecordFault(why.format(show(value, feature.quantity)), step=step)


def instrument_reads(measures: tuple[str, ...] | list[str], quantity: str) -> bool:
    """Whether an instrument that measures these words reads `quantity` directly, so that its error is one of it."""
    return any(quantity == ("length" if word in _LENGTHS else word) for word in measures)


def quantity_of(measures: list[str]) -> str:
    """The one quantity that these words of an instrument mean; RecordFault if they mean several or none."""
    found = {"length" if word in _LENGTHS else word for word in measures}
    if len(found) != 1:
        raise RecordFault("an instrument reads one quantity", step="write one instrument for each quantity")
    return found.pop()


def feature_at(kind: str, path: str) -> Feature:
    """The feature of `kind` at `path`: `sump_depth`, or `ports.rear-feed.bore` inside a list. RecordFault if none."""
    features = KINDS[kind].features
    name, _, rest = path.partition(".")
    feature = features.get(name)
    if feature is not None and rest and feature.item is not None:
        features = feature.item.features
        _, _, name = rest.partition(".")
        feature = features.get(name)
    elif rest:
        feature = None
    if feature is None:
        raise RecordFault(f"a {kind} has no feature {path[:60]!r}", step=near(name, features) or _has(features))
    return feature


def _has(features: dict[str, Feature]) -> str:
    return f"it has: {', '.join(sorted(features))}"


def read_condition(kind: str, path: str, text: str) -> dict[str, Any]:
    """A condition on a feature as `{"feature", "op", "value"}`.

    `text` is a code or value (equal), `< 180 mm` (also <=, >, >=, !=), `in [a, b]`, or for lists and codes `has x`,
    `lacks x`. `value` is a float in SI, an int, a bool, a text, or for `in` a list of them. RecordFault if the feature
    is unknown or the condition does not go with it.
    """
    feature = feature_at(kind, path)
    match = _OPERATORS.match(text.strip())
    op, rest = (match.group(1), match.group(2).strip()) if match else ("=", text.strip())
    if op.startswith("in"):
        if not rest.endswith("]"):
            raise RecordFault(f"{text[:60]!r} does not end in ]", step="write it as: in [a, b]")
        values = [_operand(feature, word.strip()) for word in rest[:-1].split(",")]
        return {"feature": path, "op": "in", "value": values}
    if op in ("has", "lacks"):
        if feature.sort not in ("codes", "list"):
            step = "compare it instead, for example: < 180 mm"
            raise RecordFault(f"{path} holds one value, so it cannot be asked what it {op}", step=step)
        if not rest:
            raise RecordFault(f"{text[:60]!r} does not say what", step=f"write for example: {op} rear-feed")
        return {"feature": path, "op": op, "value": rest}
    if feature.sort in ("codes", "list"):
        raise RecordFault(f"{path} holds several values", step=f"write: has {rest[:40]}, or lacks {rest[:40]}")
    if op not in ("=", "!=") and feature.sort not in ("dimension", "position", "count"):
        raise RecordFault(f"{path} has no order", step="write the code, != code, or in [a, b]")
    return {"feature": path, "op": op, "value": _operand(feature, rest)}


def _operand(feature: Feature, text: str) -> Any:
    if not text:
        raise RecordFault("a value is missing in the condition", step="write for example: < 180 mm")
    if feature.sort in ("dimension", "position"):
        measure = units.parse(text, feature.quantity)
        if measure.half_width is not None:
            raise RecordFault("a condition takes no tolerance", step="write one value")
        refuse_absurd(feature, measure.value)
        return measure.value
    if feature.sort == "count":
        if not re.fullmatch(r"[0-9]{1,9}", text):
            raise RecordFault(f"{text[:40]!r} is no count", step="write a whole number")
        return int(text)
    if feature.sort == "flag":
        if text not in ("true", "false"):
            raise RecordFault(f"{text[:40]!r} is neither true nor false", step="write true or false")
        return text == "true"
    if feature.options and text not in feature.options:
        step = near(text, feature.options) or f"it is one of {', '.join(feature.options)}"
        raise RecordFault(f"{feature.name} is never {text[:60]!r}", step=step)
    return text


def bare_number(feature: Feature, value: float) -> Fault:
    """What to say of `188` where a length is due."""
    unit = {"volume": "L", "temperature": "degC"}.get(feature.quantity) or units.show_unit(feature.quantity)[0]
    return RecordFault(f"{value} has no unit", step=f'write "{value} {unit}"')
