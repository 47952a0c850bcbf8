"""Sheets of readings that come back filled in: as lines `pan.sump_depth = 188.4 mm with depth-gauge`, or as records.

entries = read_sheet(text)                     # of the printed sheet, filled in with an editor
outcome = enter("matchmark.db", "drover", entries, by="E. Marsh")
outcome.comparison.of("decided")               # the verdicts that the readings settled
records = blank("matchmark.db", "drover", base.measure("drover"), by="E. Marsh", date="2024-05-01")
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from kb.base import Base
from kb.comparing import Comparison, compare
from kb.errors import Fault, Faults
from kb.measure import Dimension
from kb.records import Feature
from kb.roles import role_feature
from kb.say.measure import INSTEAD, unit_of
from kb.store import read
from kb.typed_values import read_value
from kb.worth import Advice, Measurement

if TYPE_CHECKING:
    from kb.store.change import Done

_LINE = re.compile(r"\s*(?:[-*]\s+)?(?:\[.?\]\s*)?([a-z][a-z0-9_]*(?::[a-z0-9-]+)?(?:\.[\w+-]+)+)\s*=(.*)")
_WITH = re.compile(r"\s+with\s+([a-z0-9][a-z0-9-]*)\s*$")
_FILL = re.compile("_{2,}")
_OLD = re.compile(rf"\s+{INSTEAD}\s*$")
MOST = 1_000_000  # bytes of a sheet


class Entry(NamedTuple):
    """One filled line. where: `pan.sump_depth`; tool: id of the instrument; line: its number on the sheet."""

    where: str
    text: str
    tool: str = ""
    supersedes: bool = False
    line: int = 0


class Outcome(NamedTuple):
    """What entering came to: the readings written, and the build before and after.

    against: (where, words) of readings that contradict the older ones, so that they settle nothing yet.
    """

    entries: tuple[Entry, ...]
    done: tuple[Done, ...]
    comparison: Comparison
    against: tuple[tuple[str, str], ...]


def read_sheet(text: str) -> list[Entry]:
    """The filled lines of a sheet; every other line is passed over. Fault if not one line can be filled in."""
    found, blanks = [], 0
    for number, line in enumerate(text.splitlines(), 1):
        match = _LINE.match(line)
        if match is None:
            continue
        rest = match.group(2)
        supersedes = bool(_OLD.search(rest))
        rest = _OLD.sub("", rest)
        tool = _WITH.search(rest)
        value = " ".join(_FILL.sub(" ", _WITH.sub("", rest)).partition("(")[0].split())
        entry = Entry(match.group(1), value, tool.group(1) if tool else "", supersedes, number)
        if _filled(entry):
            found.append(entry)
        else:
            blanks += 1
    if not found and not blanks:
        step = "print one with: matchmark measure BUILD --sheet FILE.txt, and write behind the equals signs"
        raise Fault("no line of it is a reading", step=step)
    return found


def _filled(entry: Entry) -> bool:
    """Whether more stands there than the unit that the sheet prints."""
    try:
        role, _, rest = entry.where.partition(".")
        feature = _deep(role_feature(f"{role}.{rest.partition('.')[0]}").feature, rest)
    except Fault:
        return bool(entry.text)
    if feature is None or feature.sort not in ("dimension", "position", "count"):
        return bool(entry.text)
    return any(letter.isdigit() for letter in entry.text) or len(entry.text.split()) > 1


def _deep(feature: Feature, path: str) -> Feature | None:
    """The feature itself, or the field of its entries that the path names; None if there is no such field."""
    if "." not in path:
        return feature
    return feature.item.features.get(path.rpartition(".")[2]) if feature.item else None


def enter(
    path: str, build: str, entries: Sequence[Entry], *, by: str, date: str = "", origin: str = "command"
) -> Outcome:
    """Write the readings of a sheet, and say what they change.

    Faults with all that is wrong, nothing written, if a line names what there is not or its value cannot be read.
    """
    from kb.store.change import take_reading

    if not entries:
        raise Fault("nothing is filled in", step="write at least one reading")
    with Base(path) as base:
        before = base.check(build)
        faults = [fault for entry in entries if (fault := _fault(base, before.build.parts, entry)) is not None]
    if faults:
        raise Faults(faults)
    done = []
    for entry in entries:
        try:
            done.append(
                take_reading(path, build, entry.where, entry.text, tool=entry.tool, by=by, date=date,
                             supersedes=entry.supersedes, origin=origin)
            )  # fmt: skip
        except Fault as fault:
            if not done:
                raise
            step = f"{fault.step or 'mend this line'}; the {len(done)} before it are written: leave them out"
            raise Fault(fault.message, place=fault.place or entry.where, step=step) from None
    with Base(path) as base:
        after = base.check(build)
    words = [(entry.where, _contradiction(after.build.parts, entry.where)) for entry in entries]
    against = tuple((where, said) for where, said in words if said)
    return Outcome(tuple(entries), tuple(done), compare(before, after), against)


def _contradiction(parts: Mapping[str, Any], where: str) -> str:
    """How the readings of this input contradict each other, in words; empty if they agree."""
    role, _, path = where.partition(".")
    head, _, rest = path.partition(".")
    value = parts[role].facts.get(head)
    if rest:
        entry, _, field = rest.rpartition(".")
        value = next((each.get(field) for each in value or () if each["id"] == entry), None)
    return value.contradiction if isinstance(value, Dimension) else ""


def read_file(path: str) -> list[Entry]:
    """The filled lines of a sheet in a file. Fault if it cannot be read or is no sheet."""
    try:
        with open(path, encoding="utf-8") as file:
            text = file.read(MOST + 1)
    except UnicodeDecodeError:
        raise Fault("is no text", place=path, step="save the sheet as UTF-8 text") from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "this is no name of a file"
        raise Fault(f"cannot be read: {why}", place=path, step="check the name of the file") from None
    if len(text) > MOST:
        raise Fault("is too long for a sheet", place=path, step="load records with: matchmark load FILE")
    try:
        return read_sheet(text)
    except Fault as fault:
        raise fault.at(path) from None


def load_records(path: str, build: str, file: str, *, by: str) -> tuple[int, Comparison]:
    """Load a filled sheet of records: how many changed, and the build before and after. Faults as for a load."""
    from kb.store.load import load

    with Base(path) as base:
        before = base.check(build)
    report = load(path, [file], by=by)
    with Base(path) as base:
        return report.count("add") + report.count("change"), compare(before, base.check(build))


def _fault(base: Base, parts: Mapping[str, Any], entry: Entry) -> Fault | None:
    """What is wrong with a line, before anything is written."""
    role, _, rest = entry.where.partition(".")
    place = f"line {entry.line}: {entry.where}" if entry.line else entry.where
    try:
        feature = _deep(role_feature(f"{role}.{rest.partition('.')[0]}").feature, rest)
        if role not in parts:
            return Fault(f"no part fills the role {role}", place=place, step=f"the build has: {', '.join(parts)}")
        if feature is None:
            return Fault("there is no such field", place=place, step="copy the name from the list of measurements")
        if read_value(feature, entry.text, lambda: base.ids("term")) is None:
            return Fault(f"{entry.text[:20]!r} is no reading", place=place, step="leave the line empty")
        if entry.tool:
            base.instrument(entry.tool)
    except Fault as fault:
        return fault.at(place)
    return None


# -- as records ------------------------------------------------------------------------------------------------------


def blank(path: str, build: str, advice: Advice, *, by: str, date: str) -> str:
    """Records with a commented line for each reading that the list advises, to fill in and load, as YAML.

    A part of the build's own is written as it is, with room for one reading more; a model gets a part based on it, and
    the build is written with that part in its role. Loaded unfilled, it changes nothing that a check reads.
    """
    con = read.open_readonly(path)
    try:
        documents = _documents(con, build, advice, by, date)
    finally:
        con.close()
    return _HEAD.format(build=build, name=advice.build.name) + "".join(f"---\n{each}" for each in documents)


_HEAD = """\
# Readings for {build} ({name}).
# To enter one, take the hash and the space behind it off its line and write the figure in front of its unit, or the
# word. A line left as it is stays unknown. Then: matchmark load FILE, and matchmark check {build}
# Fill it in soon: it holds these records as they are today, and loading it puts them back to that.
"""


def _documents(con: Any, build: str, advice: Advice, by: str, date: str) -> list[str]:
    from kb.reading_files._yaml import yaml_text
    from kb.store.sharing import free_id, is_model

    wanted: dict[str, list[Measurement]] = {}
    for reading in advice.readings:
        if reading.can_enter:
            wanted.setdefault(reading.role, []).append(reading)
    owner = read.record(con, "build", build)
    made, roles = [], dict(owner.get("roles", {}))
    for role, readings in wanted.items():
        part = advice.build.parts[role]
        said = roles.get(role, part.id)
        entry = {"part": said} if isinstance(said, str) else dict(said)
        record: dict[str, Any]
        if is_model(con, build, part.id, owned=bool(entry.get("owned")), based_on=part.based_on):
            name = f"{part.name} ({build})"[:200]
            record = {"kind": part.kind, "id": free_id(con, f"{build}-{role}"), "name": name, "based_on": part.id}
            roles[role] = {**entry, "part": record["id"]}
        else:
            record = read.record(con, part.kind, part.id)
        made.append(_document(record, readings, by, date))
    if roles != owner.get("roles", {}):
        made.append(yaml_text({**owner, "roles": roles}))
    return made


def _document(record: Mapping[str, Any], readings: Sequence[Measurement], by: str, date: str) -> str:
    """One record with room for its readings."""
    from kb.reading_files._yaml import yaml_text

    plain: dict[str, Measurement] = {}
    lists: dict[str, dict[str, dict[str, Measurement]]] = {}
    for reading in readings:
        head, _, rest = reading.path.partition(".")
        entry, _, field = rest.rpartition(".")
        if rest:
            lists.setdefault(head, {}).setdefault(entry, {})[field] = reading
        else:
            plain[head] = reading
    out = []
    for name in dict.fromkeys([*record, *plain, *lists]):
        if name in plain:
            out += _room(name, record.get(name), plain[name], "", by, date)
        elif name in lists:
            out.append(f"{name}:")
            entries = list(record.get(name, ()))
            there = {each["id"] for each in entries}
            entries += [{"id": each} for each in lists[name] if each not in there]
            for entry in entries:
                out += _entry_lines(entry, lists[name].get(entry["id"], {}), by, date)
        else:
            out += yaml_text({name: record[name]}).splitlines()
    return "\n".join(out) + "\n"


def _entry_lines(entry: Mapping[str, Any], wanted: Mapping[str, Measurement], by: str, date: str) -> list[str]:
    if not wanted:
        return [f"  - {_flow(entry)}"]
    out = [f"  - id: {_flow(entry['id'])}"]
    out += [f"    {name}: {_flow(value)}" for name, value in entry.items() if name not in ("id", *wanted)]
    for field, reading in wanted.items():
        out += _room(field, entry.get(field), reading, "    ", by, date)
    return out


def _room(name: str, old: Any, reading: Measurement, indent: str, by: str, date: str) -> list[str]:
    """The lines of one feature: what it has, and a commented line for what will be read."""
    feature = reading.leaf.feature
    beside = f"  # {feature.meaning}" if feature.meaning else ""
    if feature.sort != "dimension":
        said = ", ".join(feature.options) or {"flag": "true or false", "count": "a whole number"}.get(feature.sort, "")
        kept = [f"{indent}{name}: {_flow(old)}"] if old is not None else []
        room = "[          ]" if feature.sort == "codes" else "          "
        return kept or [f"# {indent}{name}: {room}{beside}{': ' + said if said else ''}"]
    tool = f", with: {reading.tool.id}" if reading.tool.id else ", how: measured"
    who = (
        (f", by: {_flow(by)}" if by else "") + f", date: {date}" + (", supersedes: true" if reading.supersedes else "")
    )
    new = f"{{value:            {unit_of(reading)}{tool}{who}}}"
    if old is None:
        return [f"# {indent}{name}: {new}{beside}"]
    several = old if isinstance(old, list) else [old]
    return [
        f"{indent}{name}:",
        *(f"{indent}  - {_flow(each)}" for each in several),
        f"# {indent}  - {new}{beside}",
    ]


def _flow(value: Any) -> str:
    """A value on one line, as YAML reads it back."""
    import yaml

    text: str = yaml.safe_dump(value, default_flow_style=True, allow_unicode=True, sort_keys=False, width=1_000_000)
    return text.removesuffix("\n").removesuffix("\n...")


def from_form(values: Iterable[tuple[str, str, str, bool]]) -> list[Entry]:
    """Entries from the fields of a page: (where, text, tool, supersedes); empty ones are left out."""
    return [Entry(where, text.strip(), tool, old) for where, text, tool, old in values if text.strip()]
