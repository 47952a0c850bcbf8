"""Opening a database file, and faults of SQLite in plain words. Standard library only: it is on the hot path."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from typing import Any

from kb.errors import StoreFault

APPLICATION_ID = 0x4D746D6B  # "Mtmk", in the file's header
VERSION = 2  # of the tables; `schema.STEPS` has as many steps
WAIT_SECONDS = 5.0
_MAGIC = b"SQLite format 3\0"


class Connection(sqlite3.Connection):
    """A connection that knows its file."""

    path = ""

    def rows(self, sql: str, values: Iterable[Any] = ()) -> list[Any]:
        """All rows; SQLite's errors come out as StoreFaults."""
        try:
            return self.execute(sql, tuple(values)).fetchall()
        except UnicodeEncodeError:  # half a character, from bytes on the command line that are no text: nothing has it
            return []
        except sqlite3.Error as error:
            raise fault_of(error, self.path) from None


def fault_of(error: sqlite3.Error, path: str) -> StoreFault:
    """`error` as people should read it, with the next step."""
    words = str(error)
    low = words.lower()
    if "locked" in low or "busy" in low:
        step = "wait until it is done, then do this again"
        return StoreFault("another program is writing to it just now", place=path, step=step)
    if "disk is full" in low or "disk i/o" in low:
        step = "make room on the disk, then do this again; the database is as it was before"
        return StoreFault("the disk is full or failing, nothing was changed", place=path, step=step)
    if "readonly" in low or "read-only" in low:
        step = "make the file and its folder writable, or work on a copy"
        return StoreFault("may only be read", place=path, step=step)
    if "unable to open" in low:
        step = "see that the file and its folder may be read and written"
        return StoreFault("cannot be opened", place=path, step=step)
    if "malformed" in low or "not a database" in low or "encrypted" in low or "no such table" in low:
        return StoreFault("is damaged", place=path, step=saving(path))
    return StoreFault(f"SQLite says: {words}", place=path, step="load your record files into a new database")


def saving(path: str) -> str:
    """What to do about a damaged database."""
    return f"restore your last copy, or save what can be saved: matchmark rescue {path} --to NEW.db"


def _asked(path: str) -> int | None:
    """The version of a database of ours, as SQLite says; None for what it cannot read, or what is not ours.

    The file is not opened past SQLite: to close it would take away the locks that other threads of this process have on
    it, and with them the safety of what they write (https://www.sqlite.org/howtocorrupt.html, 2.2).
    """
    con = None
    try:
        con = sqlite3.connect(_uri(path, "ro"), uri=True, timeout=WAIT_SECONDS, isolation_level=None)
        if con.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            return None
        return int(con.execute("PRAGMA user_version").fetchone()[0])
    except sqlite3.Error as error:
        if "locked" in str(error):
            raise fault_of(error, path) from None
        return None
    finally:
        if con is not None:
            con.close()


def _head(path: str, new: str) -> int:
    """The version that a file of ours names although SQLite cannot read it; a StoreFault for most."""
    try:
        with open(path, "rb") as file:
            head = file.read(100)
            size = os.fstat(file.fileno()).st_size
    except OSError as error:
        raise StoreFault(f"cannot be read: {error.strerror}", place=path, step="see that you may read it") from None
    if not head:
        raise StoreFault("is an empty file, not a database", place=path, step=f"remove it, then {new}")
    if not head.startswith(_MAGIC):
        raise StoreFault("is not a database", place=path, step=f"name another file, or {new}")
    if len(head) < 100:
        raise StoreFault("is cut off", place=path, step="take your last copy")
    if int.from_bytes(head[68:72], "big") != APPLICATION_ID:
        raise StoreFault("is a database of another program", place=path, step=f"name another file, or {new}")
    version = int.from_bytes(head[60:64], "big")
    page = int.from_bytes(head[16:18], "big")
    pages = int.from_bytes(head[28:32], "big")
    if version <= VERSION and head[24:28] == head[92:96] and size < (65536 if page == 1 else page) * pages:
        raise StoreFault("is cut off: the file is shorter than it should be", place=path, step=saving(path))
    return version


def look(path: str, *, writing: bool = False) -> int:
    """The version of the database file at `path`. StoreFault, with what to do, if it is none that we can use."""
    new = f"make a new one with: matchmark init {path}"
    if not os.path.lexists(path):
        raise StoreFault("there is no such database", place=path, step=f"make one with: matchmark init {path} --sample")
    if not os.path.isfile(path):
        what = "is a folder" if os.path.isdir(path) else "is no plain file"
        raise StoreFault(f"{what}, not a database", place=path, step="name the database file in it")
    version = _asked(path)
    if version is None:
        with suppress(StoreFault):
            heal(path)
        version = _asked(path)
    if version is None:
        version = _head(path, new)
    if version > VERSION:
        step = f"update matchmark (this one writes version {VERSION})"
        raise StoreFault(f"is of a newer version ({version})", place=path, step=step)
    # A file without any write bit is meant to be kept, even where the system would let its owner write.
    if writing and not (os.stat(path).st_mode & 0o222 and os.access(path, os.W_OK)):
        step = "make the file writable, or work on a copy"
        raise StoreFault("may only be read", place=path, step=step)
    return version


def _uri(path: str, mode: str) -> str:
    for mark, code in (("%", "%25"), ("?", "%3f"), ("#", "%23")):
        path = path.replace(mark, code)
    return f"file:{path}?mode={mode}"


def connect(path: str, *, writing: bool = False) -> Connection:
    """A connection to an existing file, read-only unless `writing`; foreign keys are on."""
    uri = _uri(path, "rw" if writing else "ro")
    con: Connection | None = None
    try:
        con = sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, isolation_level=None, factory=Connection)
        con.path = path
        con.execute("PRAGMA foreign_keys = ON")
    except sqlite3.Error as error:
        if con is not None:
            con.close()
        raise fault_of(error, path) from None
    return con


def heal(path: str) -> None:
    """Take back what a killed writer left half done; a read-only connection may not do so itself."""
    try:
        left = os.stat(f"{path}-journal").st_size
    except OSError:  # most often, and where another program has just finished
        return
    if left and os.access(path, os.W_OK):
        con = connect(path, writing=True)
        try:
            con.rows("SELECT count(*) FROM sqlite_master")
        finally:
            con.close()
