"""Pictures as evidence: files beside the database, named by what is in them.

A picture lies in `<database>.photos/` under the SHA-256 of its bytes and the ending of its true type, so the same
picture is kept once, a record names exactly what was shown, and no name that a person gives ever reaches the disk.
What a camera writes beside the picture (place, time, device) is taken out before it is named and kept.
"""

from __future__ import annotations

import os
import re
import stat
import zlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import Any

from kb.errors import Fault, StoreFault, UnknownName
from kb.store.opening import look

LARGEST = 8 * 1024 * 1024
TYPES = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
DUMPED = "photos"  # the folder of the pictures in a dump
NAME = re.compile(r"[0-9a-f]{64}\.(jpg|png|webp)")


def folder_of(db_path: str | os.PathLike[str]) -> str:
    """The folder of a database's pictures; it is made with the first of them."""
    return f"{os.fspath(db_path)}.photos"


def name_of(data: bytes) -> str:
    """The name that a picture goes by once it is kept. Fault if it is none, or too large: the content decides."""
    return _kept_as(data)[0]


def _kept_as(data: bytes) -> tuple[str, bytes]:
    """(name, bytes) as the picture is kept."""
    import hashlib

    from kb.store.plain_picture import plain

    if not data:
        raise Fault("the picture is empty", step="choose the picture again")
    if len(data) > LARGEST:
        step = f"at most {LARGEST // 1024 // 1024} MB: save it smaller, most cameras and phones can"
        raise Fault(f"the picture is too large ({len(data) / 1024 / 1024:.1f} MB)", step=step)
    ending = _ending(data)
    if ending:
        data = plain(data, ending)
    if not ending or _ending(data) != ending:  # a broken one may leave nothing once what stands beside it is gone
        raise Fault("this is no picture that can be kept", step="give a JPEG, PNG or WebP picture")
    return f"{hashlib.sha256(data).hexdigest()}.{ending}", data


def put(db_path: str | os.PathLike[str], data: bytes) -> str:
    """Keep a picture beside the database; its name. Fault for what is none, StoreFault if it cannot be written."""
    path = os.fspath(db_path)
    look(path, writing=True)
    name, data = _kept_as(data)
    with suppress(StoreFault, UnknownName):  # one that is damaged is written anew
        get(path, name)
        return name
    _write(folder_of(path), name, data)
    return name


def _write(folder: str, name: str, data: bytes) -> None:
    whole = os.path.join(folder, name)
    making = os.path.join(folder, f".making-{os.getpid()}-{name[:16]}")
    try:
        with suppress(FileExistsError):
            os.mkdir(folder, 0o755)
        file = os.open(making, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_NOFOLLOW", 0), 0o644)
        try:
            with os.fdopen(file, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            os.replace(making, whole)
        except BaseException:
            with suppress(OSError):
                os.remove(making)
            raise
    except OSError as error:
        step = "make room, and see that the folder beside the database may be written"
        raise StoreFault(f"the picture cannot be written: {error.strerror}", place=folder, step=step) from None


def put_file(db_path: str | os.PathLike[str], file: str | os.PathLike[str]) -> str:
    """Keep the picture in `file`; its name. Fault as `put`, with the file as the place."""
    given = os.fspath(file)
    try:
        with open(given, "rb") as opened:
            data = opened.read(LARGEST + 1)
            if len(data) > LARGEST:
                data += opened.read(1024)  # enough to say that it is too large, never all of a film
    except OSError as error:
        raise Fault(f"cannot be read: {error.strerror}", place=given, step="name a picture file") from None
    try:
        return put(db_path, data)
    except StoreFault:
        raise
    except Fault as fault:
        raise fault.at(given) from None


def get(db_path: str | os.PathLike[str], name: str) -> tuple[bytes, str]:
    """A picture's bytes and content type. UnknownName if there is none of that name, StoreFault if it is damaged."""
    return _look_at(folder_of(db_path), name)


def _look_at(folder: str, name: str) -> tuple[bytes, str]:
    import hashlib

    missing = UnknownName(f"there is no picture named {name[:80]!r}", step="look for it where the record came from")
    if not NAME.fullmatch(name):
        raise missing
    whole = os.path.join(folder, name)
    try:
        file = os.open(whole, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(file, "rb") as opened:
            if not stat.S_ISREG(os.fstat(opened.fileno()).st_mode):
                raise missing
            data = opened.read(LARGEST + 1)
    except OSError:
        raise missing from None
    if hashlib.sha256(data).hexdigest() != name.partition(".")[0] or _ending(data) != name.partition(".")[2]:
        raise StoreFault("a picture is damaged", place=name[:16], step="take it from your last copy")
    return data, TYPES[name.rpartition(".")[2]]


def there(db_path: str | os.PathLike[str], name: str) -> bool:
    """Whether the picture of that name is kept beside this database."""
    return bool(NAME.fullmatch(name)) and os.path.isfile(os.path.join(folder_of(db_path), name))


def kept(db_path: str | os.PathLike[str]) -> set[str]:
    """The names of all pictures that are kept beside this database."""
    try:
        return {name for name in os.listdir(folder_of(db_path)) if NAME.fullmatch(name)}
    except OSError:
        return set()


def named(record: Mapping[str, Any]) -> list[str]:
    """The names of the pictures that a record shows: its own, those of its evidence and of its readings."""
    found = [record["photo"]] if isinstance(record.get("photo"), str) and record["photo"] else []
    for value in record.values():
        for each in value if isinstance(value, list) else (value,):
            if isinstance(each, dict):
                found += named(each)
    return found


def carry(folders: Iterable[str], to: str, names: Iterable[str]) -> list[str]:
    """Copy to the folder `to` those of the pictures that one of `folders` has and it has not; their names.

    What is no longer what its name says is left behind. StoreFault if one cannot be written.
    """
    came = []
    places = list(folders)
    for name in sorted(set(names)):
        if not os.path.isfile(os.path.join(to, name)):
            for place in places:
                try:
                    data = _look_at(place, name)[0]
                except (StoreFault, UnknownName):
                    continue
                _write(to, name, data)
                came.append(name)
                break
    return came


def remove(db_path: str | os.PathLike[str], name: str) -> None:
    """Take a picture away that no record came to name."""
    if NAME.fullmatch(name):
        with suppress(OSError):
            os.remove(os.path.join(folder_of(db_path), name))


def _ending(data: bytes) -> str:
    """The ending of a picture's true type, from its structure; empty for anything else."""
    if _is_png(data):
        return "png"
    if _is_webp(data):
        return "webp"
    return "jpg" if _is_jpeg(data) else ""


def _is_png(data: bytes) -> bool:
    """Signature, then a whole header chunk with its checksum and a size, and the end chunk last."""
    if data[:8] != b"\x89PNG\r\n\x1a\n" or data[8:16] != b"\x00\x00\x00\rIHDR" or len(data) < 57:
        return False
    size = int.from_bytes(data[16:20], "big") and int.from_bytes(data[20:24], "big")
    return bool(size) and zlib.crc32(data[12:29]) == int.from_bytes(data[29:33], "big") and data[-8:-4] == b"IEND"


def _is_webp(data: bytes) -> bool:
    """A RIFF of the length that it says, with a WebP chunk first."""
    if data[:4] != b"RIFF" or data[8:12] != b"WEBP" or data[12:16] not in (b"VP8 ", b"VP8L", b"VP8X"):
        return False
    return len(data) - 8 == int.from_bytes(data[4:8], "little")


def _is_jpeg(data: bytes) -> bool:
    """Segments one after the other up to a frame with a size, then a scan, and the end mark near the end."""
    at, frame = 2, False
    if data[:3] != b"\xff\xd8\xff" or b"\xff\xd9" not in data[-1024:]:
        return False
    while at + 4 <= len(data) and data[at] == 0xFF:
        mark = data[at + 1]
        if mark == 0xFF:
            at += 1
            continue
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        if length < 2 or at + 2 + length > len(data):
            return False
        if 0xC0 <= mark <= 0xCF and mark not in (0xC4, 0xC8, 0xCC):
            frame = any(data[at + 5 : at + 7]) and any(data[at + 7 : at + 9])
        if mark == 0xDA:
            return frame
        at += 2 + length
    return False
