"""Pictures given with a record on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.errors import Fault


def with_photos(db: str, record: dict[str, Any], files: Sequence[str]) -> set[str]:
    """Keep pictures beside the database and name them in the record's evidence; the names of those that are new.

    Fault for what is no picture; none is kept then.
    """
    from kb.store import photos

    before, names = photos.kept(db), list[str]()
    try:
        for file in files:
            names.append(photos.put_file(db, file))
    except Fault:
        without_photos(db, {*names} - before)
        raise
    seen = [{"text": "see the picture", "photo": name} for name in dict.fromkeys(names)]
    record["evidence"] = [*record.get("evidence", ()), *seen]
    return {*names} - before


def without_photos(db: str, names: set[str]) -> None:
    """Take away pictures that no record came to name."""
    if names:
        from kb.store import photos

        for name in names:
            photos.remove(db, name)
