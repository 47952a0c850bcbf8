"""Add a measurement of a part: the form, what it sends, and what the reading changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kb.errors import Fault, Faults, StoreFault
from kb.measure import Instrument
from kb.part_reading import Outcome, measurable, measure_part, value_at
from kb.records import Feature
from kb.records.part import Part
from kb.say import compare as comparing
from kb.store import photos
from kb.unit_show import show_unit
from kb.web import queries
from kb.web.addresses import address
from kb.web.asking import Ask, Page, must_keep, must_write

LONGEST, LONGEST_NOTE = 200, 2000
MOST_CHOICES = 400  # lines in the list of what can be measured
FIELDS = ("where", "value", "tool", "note", "photo", "supersedes")


class Choice(NamedTuple):
    """Something that can be measured."""

    path: str
    words: str


class Form(NamedTuple):
    """The form as it is shown. chosen: the feature in hand, None before one is chosen."""

    groups: list[tuple[str, list[Choice]]]
    typed: Mapping[str, str]
    chosen: Feature | None
    unit: str
    codes: tuple[str, ...]
    tools: list[Instrument]
    action: str
    model: tuple[tuple[str, str], ...]


def show(ask: Ask) -> Page:
    """The form by itself; `?where=sump_depth` has that feature chosen."""
    must_write(ask)
    return _page(ask, {"where": ask.arg("where")[:LONGEST]}, {})


def take(ask: Ask) -> Page:
    """Write the reading and show what it changes; with a fault, the form again with what was typed."""
    typed = {name: ask.field(name).replace("\r\n", "\n").strip() for name in FIELDS}
    typed = {name: text[: LONGEST_NOTE if name == "note" else LONGEST] for name, text in typed.items()}
    id = ask.vars["id"]
    part = ask.base.part(id)
    if typed["supersedes"] == "yes" or _replaces(part, typed["where"]):
        must_keep(ask)
    faults: dict[str, Fault] = {}
    _keep_photo(ask, typed, faults)
    if not typed["where"]:
        faults["where"] = Fault("what was measured is not chosen", step="choose it from the list")
    elif not typed["value"]:
        faults["value"] = Fault("the value is missing", step="write it with its unit, for example 188.4 mm")
    if faults:
        return _page(ask, typed, faults, status=400)
    builds = list(dict.fromkeys(row[0] for row in queries.builds_touched(ask.con, id)))
    try:
        outcome = measure_part(
            ask.site.path, id, typed["where"], _as_code(part, typed["where"], typed["value"]), builds=builds,
            tool=typed["tool"], by=ask.user, note=typed["note"], photo=typed["photo"],
            supersedes=typed["supersedes"] == "yes", origin="page",
        )  # fmt: skip
    except StoreFault:
        raise
    except Faults as found:
        return _page(ask, typed, {_field(found.faults[0]): found.faults[0]}, status=400)
    except Fault as fault:
        return _page(ask, typed, {_field(fault): fault}, status=400)
    return _measured(ask, outcome, typed)


def form_of(ask: Ask, part: Part, typed: Mapping[str, str]) -> Form:
    """What the form offers for this part."""
    there = measurable(part)
    path = typed.get("where", "")
    chosen = next((feature for name, feature in there if name == path), None)
    groups: dict[str, list[Choice]] = {"Not recorded yet": [], "Recorded already": []}
    for name, _ in there[:MOST_CHOICES]:
        groups.setdefault(_group(part, name), []).append(Choice(name, _said(name)))
    codes: tuple[str, ...] = ()
    if chosen is not None and chosen.sort == "flag":
        codes = ("yes", "no")
    elif chosen is not None and chosen.sort == "choice":
        codes = chosen.options
        if chosen.vocabulary:
            terms = (each.partition("/") for each in ask.base.ids("term"))
            codes = tuple(code for vocabulary, _, code in terms if vocabulary == chosen.vocabulary)
    unit = show_unit(chosen.quantity)[0] if chosen is not None and chosen.quantity else ""
    tools = list(ask.base.instruments().values())
    if chosen is not None:
        tools.sort(key=lambda each: each.id not in chosen.tools)
    uses = tuple((row[0], row[1]) for row in queries.builds_touched(ask.con, part.id))
    model = tuple(dict.fromkeys(uses)) if part.maker and not part.based_on else ()
    return Form(
        [pair for pair in groups.items() if pair[1]],
        typed,
        chosen,
        unit,
        codes,
        tools,
        address("part", part.id, "measure"),
        model,
    )


def _group(part: Part, path: str) -> str:
    head, _, rest = path.partition(".")
    if rest:
        return head.replace("_", " ").capitalize()
    return "Not recorded yet" if value_at(part, path) is None else "Recorded already"


def _said(path: str) -> str:
    head, _, rest = path.partition(".")
    entry, _, field = rest.rpartition(".")
    return f"{entry}: {field.replace('_', ' ')}" if rest else head.replace("_", " ")


def _as_code(part: Part, where: str, text: str) -> str:
    """`one piece` as the code `one_piece`, where the feature is a choice."""
    feature = dict(measurable(part)).get(where)
    code = text.lower().replace(" ", "_").replace("-", "_")
    return code if feature is not None and code in feature.options else text


def _replaces(part: Part, where: str) -> bool:
    """Whether a value there takes the place of another: of what is no dimension, only the last word holds."""
    feature = dict(measurable(part)).get(where)
    return feature is not None and feature.sort != "dimension" and value_at(part, where) is not None


def _keep_photo(ask: Ask, typed: dict[str, str], faults: dict[str, Fault]) -> None:
    """Keep the picture that came with the form, so that a form that is shown again still has it."""
    data = next((each for each in ask.files.get("photo_file", ()) if each), b"")
    if data:
        try:
            typed["photo"] = photos.put(ask.site.path, data)
        except Fault as fault:
            faults["photo_file"] = Fault(fault.message, step=fault.step)
    if typed["photo"] and not photos.there(ask.site.path, typed["photo"]):
        typed["photo"] = ""


def _field(fault: Fault) -> str:
    """The field that a fault belongs to."""
    words = f"{fault.place} {fault.message}"
    if "instrument" in words or ".with" in fault.place:
        return "tool"
    if fault.place.endswith("photo"):
        return "photo_file"
    if "feature" in fault.message or "entry of" in fault.message or "field of" in fault.message:
        return "where"
    return "value"


def _page(ask: Ask, typed: Mapping[str, str], faults: Mapping[str, Fault], *, status: int = 200) -> Page:
    part = ask.base.part(ask.vars["id"])
    values = {"part": part, "form": form_of(ask, part, typed), "faults": faults, "may_write": ask.may_write}
    return Page("matchmark/part_measure.html", f"Measure {part.name}", values, None, status)


def _measured(ask: Ask, outcome: Outcome, typed: Mapping[str, str]) -> Page:
    from kb.web.pages.part import units_of, value_words

    units = units_of(ask)
    feature = dict(measurable(outcome.part))[outcome.where]
    values: dict[str, Any] = {
        "part": outcome.part,
        "words": _said(outcome.where),
        "typed": typed,
        "before": value_words(feature, outcome.before, units),
        "after": value_words(feature, outcome.after, units),
        "contradiction": getattr(outcome.after, "contradiction", ""),
        "builds": [(id, found, comparing.tell(found, units)) for id, found in outcome.builds],
        "more": outcome.more,
        "turns": outcome.turns,
        "again": address("part", outcome.part.id, "measure"),
    }
    return Page("matchmark/part_measured.html", "Reading entered", values)


__all__ = ["Form", "form_of", "show", "take"]
