"""Record sheets to fill in: every feature of a kind as a commented line, with how to measure it and what is plausible.

A sheet reads as a record file as soon as its id and name are there; a feature whose line stays commented is not known.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from kb import units
from kb.errors import Fault, unknown
from kb.measure import instruments
from kb.reading_files._csv import COMMON, KNOWN, UNITS
from kb.records import KINDS, Feature
from kb.records.fields import Provenance
from kb.records.models import PartRecord, model_of
from kb.roles import ROLES, role

WIDTH = 120
BUILD = "build"
NOTES = ("donor", "reading")  # records of what one saw: a car in the yard, a gauge
_ROOM = 14  # blank columns to write a value into
# What is said once for a whole record. Not the instrument: no one of them reads every feature of a part.
_KNOWN = tuple(name for name in KNOWN if name != "with")
_IDENTITY = ("maker", "based_on", "part_number", "price", "currency", "supply")
_TEXT = 56  # least columns for the words beside it
_NO_BREAK = "\u00a0"  # keeps a figure and its unit on one line
_HOW_TO = """\
Fill in id and name. To enter a feature, take the hash and the space behind it off its line and write the value in
front of the unit (188, 188 +/- 0.5), or in its place (7 1/2 in; {value: 188 mm, with: caliper}). A line left as it is
means: not known. Delete the sheets that you do not need. Then: matchmark load FILE"""


class Line(NamedTuple):
    """One line to fill in: its indent (with the hyphen of an entry), name, unit, and the words beside it."""

    indent: str
    name: str
    unit: str
    words: str


def kinds_asked(kinds: Sequence[str], roles: Sequence[str], every: bool) -> list[str]:
    """The kinds that are meant, each once: as named, then those that fill `roles`; for `every`, all by family and the
    build behind them. UnknownName for a misspelt one, Fault if none is named.
    """
    known = [*KINDS, BUILD]
    for kind in kinds:
        if kind in NOTES:
            continue
        if kind not in known:
            raise unknown("kind", kind, known, list_with="matchmark rules --roles")
    found = [*kinds, *(role(name).kind.kind for name in roles)]
    if every:
        if found:
            raise Fault("names a kind or role beside --all", step="leave one of them out")
        return known
    if not found:
        raise Fault("no kind is named", step="name one or more (matchmark blank pan pickup), a --role, or --all")
    return list(dict.fromkeys(found))


def sheets(kinds: Iterable[str]) -> str:
    """The sheets of these kinds as one YAML text, a document each, at most 120 columns wide."""
    documents = [_sheet_of(kind) for kind in kinds]
    return _remark(_HOW_TO) + "\n---\n" + "\n---\n".join(documents)


def _sheet_of(kind: str) -> str:
    if kind in NOTES:
        return note_sheet(kind)
    return build_sheet() if kind == BUILD else sheet(kind)


def note_sheet(kind: str) -> str:
    """The sheet of a donor or of a gauge reading: every field of its model."""
    from kb.records.knowledge import DonorPart

    model = model_of(kind)
    names = [field.alias or name for name, field in model.model_fields.items() if name not in ("kind", "id", "name")]
    lines = []
    for name in names:
        lines.append(_text_line(model, "", name))
        if name == "carries":
            lines += [
                _text_line(DonorPart, "    " if at else "  - ", each) for at, each in enumerate(DonorPart.model_fields)
            ]
    return _remark(f"{kind}: {' '.join((model.__doc__ or '').split())}") + _head(kind) + _laid_out(lines)


def sheet(kind: str) -> str:
    """The sheet of one kind of part."""
    declared = KINDS[kind]
    lines = [_text_line(PartRecord, "", name) for name in _IDENTITY]
    lines += [
        Line("", "known", "", str(PartRecord.model_fields["known"].description)),
        *(_text_line(Provenance, "  ", name) for name in _KNOWN),
        *_lines(declared.features, ""),
        _text_line(PartRecord, "", "notes"),
    ]
    vocabularies = sorted({each.vocabulary for each in _every(declared.features) if each.vocabulary})
    words = [f"{kind}: {' '.join((declared.__doc__ or '').split())}"]
    for name in vocabularies:
        words.append(
            f"A new term of {name} is a record of its own: kind: term, id: {name}/its-code, meaning: what it is."
        )
    return "".join(_remark(each) for each in words) + _head(kind) + _laid_out(lines)


def build_sheet() -> str:
    """The sheet of a build: which part is in which role."""
    lines = [Line("", "roles", "", "which part fills which role: the id of its sheet; leave out what you have not")]
    lines += [Line("  ", name, "", f"{ROLES[name].meaning} (kind {ROLES[name].kind.kind})") for name in ROLES]
    words = "build: the parts in their roles, for one engine in one car. Take the hash off `roles` first."
    return _remark(words) + _head(BUILD) + _laid_out([*lines, _text_line(model_of(BUILD), "", "notes")])


def header(kind: str) -> str:
    """The first line of a CSV file of `kind`: a column a feature that fits a cell, named with its unit."""
    if kind in (BUILD, *NOTES):
        raise Fault(f"a {kind} does not fit a table", place=kind, step="leave out --form csv")
    flat = [each.column for each in KINDS[kind].features.values() if each.sort != "list"]
    return ",".join([*COMMON[:-1], "price", COMMON[-1], *(f"known.{name}" for name in _KNOWN), *flat]) + "\n"


def write(path: str, text: str) -> None:
    """Write a new file; Fault if it is there already, for it may hold readings, or cannot be written."""
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        step = "choose another name: what is filled in there would be lost"
        raise Fault("is there already", place=path, step=step) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "this is no name of a file"
        raise Fault(f"cannot be written: {why}", place=path, step="choose a folder that you may write to") from None


def unit_of(feature: Feature) -> str:
    """The unit that stands on the sheet: that of the feature's column, but degrees Celsius for a temperature."""
    if feature.quantity == "temperature":
        return "degC"
    return UNITS.get(feature.column.removeprefix(f"{feature.name}_"), "") if feature.quantity else ""


def beside(feature: Feature) -> str:
    """What stands beside the place for a value: meaning, what may be written, how to measure it, what is plausible."""
    tools = [instruments()[tool].name for tool in feature.tools if tool != "eye"]
    how = f"{feature.measure} [{', '.join(tools)}]".strip() if tools else feature.measure
    if feature.plausible:
        between = "; " if how and not tools else " "
        how = f"{how}{between}plausible {_plausible(feature)}".strip()
    return " | ".join(each for each in (f"{feature.meaning}{_allowed(feature)}", how) if each)


def _allowed(feature: Feature) -> str:
    terms = ", ".join(feature.options) or f"a term of {feature.vocabulary}"
    if feature.sort == "choice":
        return f": {terms}"
    if feature.sort == "codes":
        return f": as many as apply, in brackets with commas between, [] for none: {terms}"
    words = {"count": "a whole number", "flag": "true or false", "list": "copy the lines of an entry for each"}
    word = "a plain number" if feature.quantity == "number" else words.get(feature.sort)
    return f" ({word})" if word else ""


def _plausible(feature: Feature) -> str:
    bounds = feature.plausible or (0.0, 0.0)
    if feature.quantity == "temperature":
        shown = [units.show(bound, "temperature") for bound in bounds]
    else:
        shown = [f"{plain(bound / feature.shown_scale)} {unit_of(feature)}".rstrip() for bound in bounds]
    return " to ".join(each.replace(" ", _NO_BREAK) for each in shown)


def plain(number: float) -> str:
    """Six figures of `number` without an exponent."""
    text = f"{float(f'{number:.6g}'):.12f}"
    return text.rstrip("0").rstrip(".")


def _every(features: dict[str, Feature]) -> Iterator[Feature]:
    for feature in features.values():
        yield feature
        if feature.item is not None:
            yield from _every(feature.item.features)


def _lines(features: dict[str, Feature], indent: str) -> Iterator[Line]:
    for feature in features.values():
        yield Line(indent, feature.name, "[ ]" if feature.sort == "codes" else unit_of(feature), beside(feature))
        if feature.item is not None:
            inner = " " * len(indent)
            for number, line in enumerate(_lines(feature.item.features, f"{inner}    ")):
                yield line if number else line._replace(indent=f"{inner}  - ")


def _text_line(model: Any, indent: str, name: str) -> Line:
    field = next(each for key, each in model.model_fields.items() if name in (key, each.alias))
    words = str(field.description)
    if name == "how":
        from kb.records._base import KNOWN_HOW

        words += f": {', '.join(KNOWN_HOW)}"
    return Line(indent, name, "", words)


def _head(kind: str) -> str:
    name = "" if kind == "reading" else "name:\n"
    return f"kind: {kind}\nid:\n{name}"


def _remark(words: str) -> str:
    """Prose between the lines: it stays a comment when one hash is taken off every line."""
    wrapped = textwrap.wrap(words, WIDTH, initial_indent="## ", subsequent_indent="## ", break_on_hyphens=False)
    return "\n".join(wrapped) + "\n"


def _laid_out(lines: Sequence[Line]) -> str:
    """The lines under each other: name, room to write, unit, words; further words below with a hash of their own."""
    name = max(len(line.indent) + len(line.name) for line in lines) + 2
    unit = max(len(line.unit) for line in lines) + 1
    room = max(2, min(_ROOM, WIDTH - _TEXT - name - unit - 4))
    out = []
    for line in lines:
        left = f"# {f'{line.indent}{line.name}:':{name + room}}{line.unit:{unit}}"
        first, *rest = textwrap.wrap(line.words, WIDTH - len(left) - 2, break_on_hyphens=False)
        out.append(f"{left}# {first}")
        out += [f"#{' ' * (len(left) - 1)}# {more}" for more in rest]
    return "\n".join(out).replace(_NO_BREAK, " ") + "\n"
