"""Copies of a whole base: made while it is in use, proved by the hash of their content, and put back.

A copy is a database like any other, with its pictures beside it. It carries the hash of its content in a row of `meta`,
which is no content, so a copy proves itself wherever it has been moved to.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from typing import NamedTuple

from sqlite_utils import Database

from kb.errors import StoreFault
from kb.store import opening, photos, rows, schema
from kb.store.dump import hash_of
from kb.store.opening import Connection, connect, fault_of, heal, look
from kb.store.write import now

MARK = "copied"  # the row of `meta` that holds a copy's hash
STEP_PAGES = 500  # copied at a time; between two steps others may write
MOST_STARTS = 3  # then the rest waits for the copy instead


class Copied(NamedTuple):
    """A copy: its file, the hash of its content, how many records and pictures, pictures that could not go along."""

    file: str
    hash: str
    records: int
    pictures: int
    missing: tuple[str, ...] = ()

    def __str__(self) -> str:
        words = (
            f"{self.file}: {self.records} records, {self.pictures} pictures; its content has the hash {self.hash[:16]}"
        )
        return words + _left(self.missing)


class Restored(NamedTuple):
    """What a restore did. kept: where the database that was there lies now; checked: the copy carried its own hash."""

    file: str
    records: int
    pictures: int
    kept: str
    checked: bool
    missing: tuple[str, ...] = ()

    def __str__(self) -> str:
        words = f"{self.file}: {self.records} records, {self.pictures} new pictures"
        words += "; the copy is as it was made" if self.checked else "; no hash came with the copy, but it is whole"
        if self.kept:
            words += f"\nwhat was there before is in {self.kept}"
        return words + _left(self.missing)


def _left(missing: tuple[str, ...]) -> str:
    if not missing:
        return ""
    shown = ", ".join(name[:12] for name in missing[:5]) + (", ..." if len(missing) > 5 else "")
    return f"\npictures that records name and that are not there, or damaged: {len(missing)} ({shown})"


def backup(path: str | os.PathLike[str], to: str | os.PathLike[str] = "") -> Copied:
    """Copy the base at `path`, in use or not, to the file `to` (default: its name and the time), pictures and all.

    The copy is one state of the base, complete when it appears. StoreFault if `to` exists, the base is damaged or
    locked, or there is no room.
    """
    source = os.fspath(path)
    look(source)
    heal(source)
    target = os.fspath(to) or f"{source}.copy-{_stamp()}.db"
    _free(target)
    with _made(target) as making:
        with closing(connect(source)) as con:
            _whole(con, source)
            _copy(con, making)
        with closing(connect(making, writing=True)) as copy:
            total = _prove(copy, making, source)
            copy.rows("INSERT OR REPLACE INTO meta VALUES (?, ?)", [MARK, total])
            count, named = _counted(copy)
        # After the rows: a picture that these name was there before they were.
        beside, kept = photos.folder_of(target), photos.kept(source)
        photos.carry([photos.folder_of(source)], beside, {*kept, *named})
    return Copied(target, total, count, len(photos.kept(target)), _absent(named, target))


def restore(
    file: str | os.PathLike[str], path: str | os.PathLike[str], *, over: bool = False, by: str = ""
) -> Restored:
    """Put the copy in `file` in the place of the base at `path`, which may be served meanwhile.

    The copy is proved first. A base that is there is replaced only if `over`, in one transaction, and is kept beside;
    its pictures stay, those of the copy come to them. StoreFault for a copy that is not as it was made, or damaged.
    """
    source, target = os.fspath(file), os.fspath(path)
    look(source)
    heal(source)
    there = os.path.lexists(target)
    if there and os.path.exists(source) and os.path.samefile(source, target):
        raise StoreFault("is the copy itself", place=target, step="name the database to restore with --db")
    if there and not over:
        step = "add --over to put the copy in its place (the old one is kept beside), or name another with --db"
        raise StoreFault("exists already", place=target, step=step)
    if there and not os.path.isfile(target):
        raise StoreFault("is no plain file", place=target, step="name another database with --db")
    with _made(target, appears=False) as making:
        with closing(connect(source)) as con:
            _copy(con, making)
        with closing(connect(making, writing=True)) as copy:
            total = _prove(copy, making, source)
            mark = copy.rows("SELECT value FROM meta WHERE key = ?", [MARK])
            if mark and mark[0][0] != total:
                step = f"take another copy; or look at each of its records: matchmark rescue {source} --to NEW.db"
                raise StoreFault("is not as it was when this copy was made", place=source, step=step)
            copy.rows("DELETE FROM meta WHERE key = ?", [MARK])
            count, named = _counted(copy)
        schema.migrate(making)
        pictures = photos.carry([photos.folder_of(source)], photos.folder_of(target), {*photos.kept(source), *named})
        kept = _put(making, target, there, by, os.path.basename(source))
    return Restored(target, count, len(pictures), kept, bool(mark), _absent(named, target))


def _stamp() -> str:
    return now().replace(":", "").replace("-", "")


def _free(target: str) -> None:
    folder = os.path.dirname(target) or "."
    if os.path.lexists(target):
        raise StoreFault("exists already", place=target, step="name another file: nothing is ever overwritten")
    if not os.path.isdir(folder):
        raise StoreFault("there is no such folder", place=folder, step="make the folder first")


@contextmanager
def _made(target: str, appears: bool = True) -> Iterator[str]:
    """A file to make `target` in, which at the end takes that name, if it `appears`; nothing else is ever left."""
    making = f"{target}.making-{os.getpid()}"
    try:
        with open(making, "xb"):
            pass
        yield making
        if appears:
            with open(making, "rb") as file:
                os.fsync(file.fileno())
            place(making, target)
    except StoreFault as fault:
        fault.place, fault.step = (each.replace(making, target) for each in (fault.place, fault.step))
        raise
    except sqlite3.Error as error:
        raise fault_of(error, target) from None
    except OSError as error:
        step = "choose a folder that you may write to, on a disk with room"
        raise StoreFault(f"cannot be written: {error.strerror}", place=target, step=step) from None
    finally:
        for name in (making, f"{making}-journal"):
            with suppress(OSError):
                os.remove(name)


def place(making: str, target: str) -> None:
    """Let a finished file appear under its name, never over another. StoreFault if that name is taken."""
    taken = StoreFault("exists already", place=target, step="name another file: nothing is ever overwritten")
    try:
        os.link(making, target)
    except FileExistsError:
        raise taken from None
    except OSError:  # a file system without links
        if os.path.lexists(target):
            raise taken from None
        os.rename(making, target)


class _Again(Exception):
    """The copy began anew too often."""


def _copy(source: Connection, to: str) -> None:
    """Every page of one state. Others may write between steps, which begins the copy anew; at last they wait for it."""
    try:
        _steps(source, to, STEP_PAGES)
    except _Again:
        _steps(source, to, -1)


def _steps(source: Connection, to: str, pages: int) -> None:
    starts, last, moved = 0, 0, time.monotonic()

    def look_on(status: int, left: int, total: int) -> None:
        nonlocal starts, last, moved
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            if time.monotonic() - moved > opening.WAIT_SECONDS:  # SQLite itself would wait for ever
                raise sqlite3.OperationalError("database is locked")
            return
        moved = time.monotonic()
        if left > last and last:
            starts += 1
            if starts >= MOST_STARTS:
                raise _Again
        last = left

    with closing(connect(to, writing=True)) as target:
        source.backup(target, pages=pages, progress=look_on, sleep=0.01)


def _whole(con: Connection, path: str) -> None:
    """StoreFault unless every page and index is as it should be."""
    found = con.rows("PRAGMA quick_check(1)")
    if [row[0] for row in found] != ["ok"]:
        raise StoreFault("is damaged", place=path, step=opening.saving(path))


def _prove(copy: Connection, making: str, source: str) -> str:
    """The hash of the copy, once it is whole and holds what it was made from."""
    try:
        whole = [row[0] for row in copy.rows("PRAGMA integrity_check(1)")] == ["ok"]
        if not whole or copy.rows("PRAGMA foreign_key_check"):
            raise StoreFault("is damaged", place=source, step=opening.saving(source))
        total = hash_of(copy)
        with closing(connect(source)) as con:
            if _last(con) == _last(copy) and hash_of(con) != total and _last(con) == _last(copy):
                raise StoreFault("the copy is not equal to it", place=source, step="do this again, on another disk")
    except StoreFault as fault:
        fault.place, fault.step = (each.replace(making, source) for each in (fault.place, fault.step))
        raise
    return total


def _last(con: Connection) -> int:
    """The number of the last change: equal for a base and its copy unless somebody wrote meanwhile."""
    return int(con.rows("SELECT coalesce(max(id), 0) FROM history")[0][0])


def _counted(con: Connection) -> tuple[int, set[str]]:
    """(number of records, names of pictures that they show)."""
    there = {row[0] for row in con.rows("SELECT name FROM sqlite_master WHERE type = 'table'")}
    count, named = 0, set()
    for table in rows.TABLES:
        if table in there:  # an older version has fewer
            for (text,) in con.rows(f"SELECT record FROM {table} WHERE record IS NOT NULL"):
                count += 1
                named.update(photos.named(json.loads(text)))
    return count, named


def _absent(named: set[str], path: str) -> tuple[str, ...]:
    return tuple(sorted(named - photos.kept(path)))


def _put(making: str, target: str, there: bool, by: str, name: str) -> str:
    """The finished copy in its place; where the one that was there is now, or nothing."""
    if not there:
        place(making, target)
        return ""
    kept = f"{target}.before-{_stamp()}.db"
    _free(kept)
    try:
        look(target, writing=True)
        heal(target)
        with closing(connect(target)) as old:
            _whole(old, target)
            last = _last(old)
    except StoreFault as fault:
        if "may only be read" in fault.message or "another program" in fault.message or "newer" in fault.message:
            raise
        # No program can be reading it: so it may be set aside as it is, with what a killed writer left.
        os.rename(target, kept)
        with suppress(FileNotFoundError):
            os.rename(f"{target}-journal", f"{kept}-journal")
        place(making, target)
        return kept
    with open(kept, "xb"):
        pass
    try:
        _exchange(making, target, kept, last, by, name)
    except BaseException:
        with suppress(FileNotFoundError):
            os.remove(kept)
        raise
    shutil.copystat(target, kept)
    return kept


def _exchange(making: str, target: str, kept: str, last: int, by: str, name: str) -> None:
    """Copy `target` to `kept`, then fill it with the rows of `making`: one transaction, under running servers too."""
    with closing(connect(target, writing=True)) as con, closing(connect(making)) as copy:
        con.execute("PRAGMA foreign_keys = OFF")  # rows come table by table; all are checked at the end
        con.execute("BEGIN IMMEDIATE")
        with closing(connect(target)) as old:  # nobody else can write now, so this is the very state that is replaced
            _steps(old, kept, -1)
        db = Database(con, execute_plugins=False)
        schema.bring_up(db)
        tables = [row[0] for row in copy.rows("SELECT name FROM sqlite_master WHERE type = 'table'")]
        for table in tables:
            if not table.startswith(("search_fts", "sqlite_", "_sqlite")):  # the index follows its table by triggers
                columns = [row[1] for row in copy.rows(f'PRAGMA table_info("{table}")')]
                names, marks = ", ".join(f'"{each}"' for each in columns), ", ".join("?" for _ in columns)
                con.execute(f'DELETE FROM "{table}"')
                found = copy.execute(f'SELECT {names} FROM "{table}"')
                con.executemany(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', found)
        # What pages keep of their answers goes by the number of the last change: it must be one that was never seen.
        number = max(last, _last(con)) + 1
        event = {"id": number, "at": now(), "by": by, "kind": "base", "record": name[:200], "action": "restore"}
        rows.append(db, "history", [event])
        if con.rows("PRAGMA foreign_key_check"):
            raise StoreFault("is damaged", place=name, step=opening.saving(name))
        con.execute("COMMIT")
