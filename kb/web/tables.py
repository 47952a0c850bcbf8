"""What Datasette's table pages say of our tables: titles, meanings of columns, links to our pages."""

from __future__ import annotations

from functools import cache
from typing import Any

from markupsafe import Markup, escape

from kb.records import KINDS
from kb.records._kind import SHOWN
from kb.web.addresses import page_of
from kb.web.showing import words

_FIXED = {
    "part": "Every part, of whatever kind, with what identifies it.",
    "dimension": "Every reading of every dimension, with how it is known.",
    "build": "Builds: parts in roles, for one engine in one car.",
    "build_role": "Which part fills which role of which build.",
    "incompatibility": "Clashes that someone found, with their evidence.",
    "incompatibility_party": "Who clashes: a part, or a class of parts, in a role.",
    "incompatibility_review": "Judgements of reported clashes.",
    "incompatibility_report": "What others say of a recorded clash.",
    "build_alternative": "Parts under consideration for a role of a build.",
    "donor": "Cars in a yard and lists of shops.",
    "donor_part": "Which donor carries which part.",
    "reading": "What gauges, meters and eyes saw at a point of a circuit.",
    "source": "Where figures come from.",
    "instrument": "Measuring instruments with the error of one reading.",
    "term": "Codes of the vocabularies, such as rail patterns.",
    "history": "Every change of every record: what, when, by whom, from what.",
}
_HIDDEN = ("meta", "search", "search_fts", "_sqlite_migrations")


@cache
def descriptions() -> dict[str, Any]:
    """Metadata of the tables, in Datasette's form."""
    found: dict[str, Any] = {}
    for name, text in _FIXED.items():
        found[name] = {"title": words(name), "description": text}
    for name, kind in KINDS.items():
        columns = {}
        for feature in kind.features.values():
            if feature.sort != "list":
                unit = SHOWN[feature.quantity][0] if feature.quantity else ""
                columns[feature.column] = feature.meaning + (f", in {unit}" if unit else "")
        found[name] = {"title": words(name), "description": (kind.__doc__ or "").strip(), "columns": columns}
    found["part"]["label_column"] = "name"
    found["incompatibility"]["label_column"] = "title"
    for name in _HIDDEN:
        found[name] = {"hidden": True}
    return found


def cell(value: Any, column: str, table: str) -> Any:
    """A link where the value names something that has a page of ours, a tidy figure; None leaves the cell as it is."""
    if isinstance(value, float):
        return f"{value:.10g}"  # what conversion leaves in the last digits is no figure
    if isinstance(value, dict):
        id, label = str(value.get("value")), str(value.get("label"))
    else:
        id = label = str(value)
    target = ""
    if column in ("part", "based_on") and value not in (None, ""):
        target = page_of("part", id)
    elif column == "id" and table not in ("part",) and isinstance(value, dict):
        target = page_of(table, id)
    elif column in ("incompatibility", "build") and value not in (None, ""):
        target = page_of(column, id)
    if not target:
        return None
    return Markup('<a href="{}">{}</a>').format(target, escape(label))
