"""A reading of a part by itself, whatever builds use it: one dimension gets one more, any other feature this value.

One transaction with its history, or nothing, as in `kb.store.change`, whose rules for values hold here too.
"""

from __future__ import annotations

from typing import Any, cast

from kb.errors import Fault, unknown
from kb.records import KINDS
from kb.store import photos
from kb.store.change import _field, _put_value, _write
from kb.store.opening import Connection
from kb.store.read import part as read_part
from kb.store.schema import writing
from kb.store.write import Change, now, stored


def take_part_reading(
    path: str,
    part: str,
    where: str,
    text: str,
    *,
    tool: str = "",
    by: str,
    date: str = "",
    note: str = "",
    photo: str = "",
    supersedes: bool = False,
    origin: str = "command",
) -> Change:
    """Record what was measured on a part: `where` is `sump_depth`, or `stations.R4.height`.

    A dimension gets one reading more (`supersedes` sets the earlier ones aside). Any other feature gets this value; the
    note goes to the part's notes then. photo: name of a picture that is kept (`kb.store.photos`); only a dimension's
    reading can show one. UnknownName for a part, feature, entry or tool that there is not; Faults for a value that
    makes no sense.
    """
    head, _, inner = where.partition(".")
    with writing(path) as db:
        known = read_part(cast(Connection, db.conn), part)
        features = KINDS[known.kind].features
        if head not in features:
            fault = unknown(f"feature of a {known.kind.replace('_', ' ')}", head, features, place=where[:120])
            fault.step = fault.step or f"it has: {', '.join(features)}"
            raise fault
        feature = features[head]
        record = stored(db, known.kind, part)
        into: dict[str, Any] = record
        if inner:
            entry, _, field = inner.rpartition(".")
            feature = _field(feature, entry, field, where)
            there = [each["id"] for each in known.facts.get(head, ())]
            if entry not in there:
                fault = unknown(f"entry of {head}", entry, there, place=where[:120])
                fault.step = fault.step or (f"it has: {', '.join(there[:30])}" if there else "record the list first")
                raise fault
            record[head] = [dict(each) for each in record.get(head, ())]
            row = next((each for each in record[head] if each["id"] == entry), None)
            if row is None:  # what the part is based on has it
                row = {"id": entry}
                record[head].append(row)
            into = row
        when = date or now()[:10]
        if feature.sort == "dimension":
            _refuse_lost(path, photo, where)
            said = {"with": tool, "by": by, "date": when, "note": note, "photo": photo, "supersedes": supersedes}
            _put_value(into, feature, text, said)
        else:
            if photo:
                raise Fault("only the reading of a size can show a picture", place="photo", step="leave it out")
            _put_value(into, feature, text, {})
            if note:
                line = f"{where.replace('_', ' ').replace('.', ' ')}: {note} ({', '.join(x for x in (by, when) if x)})"
                record["notes"] = "\n".join(each for each in (record.get("notes", ""), line) if each)
        return _write(db, [record], by, origin)[0]


def _refuse_lost(path: str, photo: str, where: str) -> None:
    if photo and not photos.there(path, photo):
        raise Fault("the picture is not kept here", place=where[:120], step="choose the picture again")


__all__ = ["take_part_reading"]
