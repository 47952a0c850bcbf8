"""Pydantic's validation errors in our words: place in the file, what is wrong, what to do next."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel, ValidationError

from kb.errors import Fault, RecordFault, near
from kb.records.given import Given

_SORTS = {"str": "a text", "int": "a whole number", "float": "a number", "bool": "true or false"}


def faults_of(error: ValidationError, given: Given, model: type[BaseModel]) -> list[Fault]:
    """Each error as a RecordFault with its place in the file."""
    return [_fault(detail, given, model) for detail in error.errors(include_url=False)]


def _path(loc: tuple[int | str, ...]) -> tuple[int | str, ...]:
    """The path inside the record: the names of union branches are no part of it."""
    inner = loc[:-1] if loc[-1:] in (("int",), ("float",)) else loc
    return tuple(step for step in inner if step not in ("<text>", "<reading>", "<list>"))


def _fault(detail: Any, given: Given, model: type[BaseModel]) -> Fault:
    path = _path(detail["loc"])
    message, step = _words(detail, path, given, model)
    return RecordFault(message, place=given.place(path[:-1] if detail["type"] == "missing" else path), step=step)


def _words(detail: Any, path: tuple[int | str, ...], given: Given, model: type[BaseModel]) -> tuple[str, str]:
    sort, ctx, value = detail["type"], detail.get("ctx", {}), detail.get("input")
    name = str(path[-1]) if path else "the record"
    if sort == "fault":
        return ctx["message"], ctx["step"]
    if sort == "missing":
        return f"has no field {name!r}", f"add {name}: every such record has one"
    if sort == "extra_forbidden":
        names = _names(model, path[:-1])
        shown = name if len(name) <= 60 else name[:57] + "..."
        step = near(name, names) or (f"it may have: {', '.join(sorted(names))}" if names else "leave it out")
        return f"has an unknown field {shown!r}", step
    if value is None and (sort.endswith("_type") or sort == "literal_error"):
        return "is empty", "give a value or leave the field out"
    if sort == "literal_error":
        options = re.findall(r"'([^']*)'", ctx["expected"])
        shown = _short(value)
        return f"{shown} is none of its choices", near(str(value), options) or f"write one of: {', '.join(options)}"
    if sort == "string_too_long":
        return f"is too long: {len(value)} characters, at most {ctx['max_length']}", "shorten it"
    if sort == "string_too_short" or (sort == "too_short" and isinstance(value, str)):
        return "is empty", "give a value"
    if sort == "string_pattern_mismatch":
        return f"{_short(value)} is no code", "use small letters, digits, hyphens; a currency is three capitals: EUR"
    if sort == "string_unicode":
        return "holds half a character", "type the text afresh"
    return _types(sort, ctx, value)


def _types(sort: str, ctx: dict[str, Any], value: Any) -> tuple[str, str]:
    if sort == "string_type":
        quoted = str(value).lower() if isinstance(value, bool) else value
        step = f'put it in quotes: "{quoted}"' if isinstance(value, int | float) else "write one text"
        return f"{_short(value)} is {_sort(value)} where a text is due", step
    if sort == "bool_type":
        return f"{_short(value)} is neither true nor false", "write true or false, without quotes"
    if sort in ("int_type", "int_from_float", "float_type"):
        whole = "whole " if sort != "float_type" else ""
        return f"{_short(value)} is {_sort(value)} where a {whole}number is due", "write digits only, without quotes"
    if sort in ("greater_than_equal", "less_than_equal"):
        bound = ctx.get("ge", ctx.get("le"))
        return f"{_short(value)} is out of range", f"it is at {'least' if 'ge' in ctx else 'most'} {bound}"
    if sort == "finite_number":
        return "is not a finite number", "check the figure"
    if sort == "list_type":
        return f"is {_sort(value)} where a list is due", "write one entry a line, each beginning with a hyphen"
    if sort in ("model_type", "model_attributes_type", "dict_type"):
        return f"is {_sort(value)} where fields are due", "write it as `name: value` lines"
    if sort == "too_long":
        return f"has {ctx['actual_length']} entries, at most {ctx['max_length']}", "split the record"
    if sort == "too_short":
        return "is an empty list", "give at least one entry or leave the field out"
    return sort.replace("_", " "), "compare with the schema of this kind"


def _sort(value: Any) -> str:
    if isinstance(value, dict):
        return "a set of fields"
    if isinstance(value, list):
        return "a list"
    return _SORTS.get(type(value).__name__, "something else")


def _short(value: Any) -> str:
    if isinstance(value, dict | list):
        return "it"
    shown = repr(value) if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)
    return shown if len(shown) <= 60 else shown[:57] + "..."


def _names(model: type[BaseModel], path: tuple[int | str, ...]) -> list[str]:
    """The field names at `path` of the model, as people write them."""
    schema = model.model_json_schema()
    found = _walk(schema, schema, list(path))
    return sorted(found)


def _walk(node: Any, root: Any, path: list[int | str]) -> set[str]:
    names: set[str] = set()
    if not isinstance(node, dict):
        return names
    if "$ref" in node:
        return _walk(root["$defs"][node["$ref"].rpartition("/")[2]], root, path)
    for branch in (*node.get("anyOf", ()), *node.get("oneOf", ()), *node.get("allOf", ())):
        names |= _walk(branch, root, path)
    if not path:
        return names | set(node.get("properties", ()))
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        return names | _walk(node.get("items"), root, rest)
    inner = node.get("properties", {}).get(step, node.get("additionalProperties"))
    return names | _walk(inner, root, rest)
