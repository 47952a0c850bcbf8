"""Names and words of places and joints: ids from templates, roles and features as one says them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from kb.roles import role_feature

NOBODY = "unrecorded"  # entry of a list that nobody recorded


def slug(text: str) -> str:
    """`engine strap` -> `engine-strap`."""
    return re.sub(r"[^a-z0-9_]+", "-", text.lower()).strip("-")


def is_one(entry: Mapping[str, Any], which: Mapping[str, Sequence[Any]]) -> bool:
    """Whether every field that is asked for has one of its values."""
    return all(entry.get(field) in values for field, values in which.items())


def id_of(template: str, entry: Mapping[str, Any]) -> str:
    """A node's or a joint's id with the entry's names in it, in small letters and hyphens."""
    return filled_in(template, {name: slug(str(value)) for name, value in entry.items()})


def filled_in(template: str, entry: Mapping[str, Any]) -> str:
    """The template with the entry's fields in its braces."""
    if "{" not in template:
        return template
    return template.format_map(_Entry(entry))


class _Entry(dict[str, Any]):
    """An entry for a template: what is not in it reads as not recorded."""

    def __missing__(self, key: str) -> str:
        return NOBODY


def plain(role: str) -> str:
    """`fuel_line:supply` in words: `fuel line (supply)`."""
    name, _, qualifier = role.replace("_", " ").partition(":")
    return f"{name} ({qualifier})" if qualifier else name


def told(path: str, entry: str = "", field: str = "") -> str:
    """What the record behind `role.feature`, or behind a field of an entry of it, does not say."""
    feature = role_feature(path).feature
    asked = feature.item.features[field] if field and feature.item is not None else feature
    owner = f"{plain(feature.name)} {entry}" if entry else plain(path.partition(".")[0])
    return f"the record of the {owner} does not say: {asked.meaning or plain(asked.name)}"
