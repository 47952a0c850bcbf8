"""Rows read off the pages of a SQLite file without its tree, for a file whose tree is broken.

Every leaf page of a table says by itself which rows it holds, so each is read wherever it lies, and what a page cannot
hold follows a chain of further pages. Layout: https://www.sqlite.org/fileformat2.html, sections 1.6 and 2.1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

MAGIC = b"SQLite format 3\0"
_LEAF = 0x0D
_LARGEST = 20_000_000  # bytes of one row: more is damage
_WIDTHS = (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)

Value = None | int | float | str | bytes


class Row(NamedTuple):
    """A row: its number in its table, and its values in the order of columns. The table is not told."""

    number: int
    values: tuple[Value, ...]


def page_size(data: bytes) -> int:
    """Of the file, by its head; where that is gone, the smallest at which pages begin like leaves as often as at any.

    At half the true size every second page begins in the middle of one; at twice the size as many of them begin well.
    """
    size = int.from_bytes(data[16:18], "big")
    size = 65536 if size == 1 else size
    if data.startswith(MAGIC) and 512 <= size <= 65536 and size & (size - 1) == 0:
        return size
    sizes = [512 << power for power in range(8)]
    shares = {each: _leaves(data, each) / max(len(data) // each - 1, 1) for each in sizes if each < len(data)}
    return next((each for each in shares if shares[each] >= 0.7 * max(shares.values())), 4096)


def _leaves(data: bytes, size: int) -> int:
    return sum(data[at] == _LEAF and data[at + 1 : at + 3] == b"\0\0" for at in range(size, len(data) - 8, size))


def rows(data: bytes) -> Iterator[Row]:
    """Every row of every leaf page that can be read, rows of pages that were given up too; damaged ones are passed."""
    size = page_size(data)
    kept = data[20] if data.startswith(MAGIC) and data[20] < 33 else 0
    usable = size - kept
    for start in range(0, len(data), size):
        page = data[start : start + usable]
        head = 100 if start == 0 else 0
        if len(page) < head + 8 or page[head] != _LEAF:
            continue
        for number in range(int.from_bytes(page[head + 3 : head + 5], "big")):
            at = head + 8 + 2 * number
            if at + 2 > len(page):
                break
            found = _row(data, page, int.from_bytes(page[at : at + 2], "big"), size, usable)
            if found is not None:
                yield found


def _row(data: bytes, page: bytes, at: int, size: int, usable: int) -> Row | None:
    try:
        length, at = _varint(page, at)
        number, at = _varint(page, at)
        if not 0 < length <= min(_LARGEST, len(data)):
            return None
        local = _local(length, usable)
        payload = page[at : at + local]
        if len(payload) < local:
            return None
        if local < length:
            after = int.from_bytes(page[at + local : at + local + 4], "big")
            payload += _chain(data, after, length - local, size, usable)
        return Row(number, _values(payload)) if len(payload) == length else None
    except (IndexError, UnicodeDecodeError, ValueError):
        return None


def _local(length: int, usable: int) -> int:
    """How many bytes of a row lie in its own page."""
    if length <= usable - 35:
        return length
    least = (usable - 12) * 32 // 255 - 23
    wish = least + (length - least) % (usable - 4)
    return wish if wish <= usable - 35 else least


def _chain(data: bytes, number: int, length: int, size: int, usable: int) -> bytes:
    found = bytearray()
    seen: set[int] = set()
    while len(found) < length and number and number not in seen:
        seen.add(number)
        start = (number - 1) * size
        page = data[start : start + usable]
        if len(page) < 5:
            break
        number = int.from_bytes(page[:4], "big")
        found += page[4:]
    return bytes(found[:length])


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """(value, where it ends)."""
    value = 0
    for count in range(9):
        byte = data[at]
        at += 1
        if count == 8:
            value = value << 8 | byte
            break
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            break
    return (value - (1 << 64) if value >= 1 << 63 else value), at


def _values(payload: bytes) -> tuple[Value, ...]:
    import struct

    end, at = _varint(payload, 0)
    if not 0 < end <= len(payload):
        raise ValueError("no row")
    sorts = []
    while at < end:
        sort, at = _varint(payload, at)
        sorts.append(sort)
    found: list[Value] = []
    at = end
    for sort in sorts:
        if sort < 0 or sort in (10, 11):
            raise ValueError("no row")
        width = _WIDTHS[sort] if sort < 10 else (sort - 12) // 2
        piece = payload[at : at + width]
        if len(piece) < width:
            raise ValueError("no row")
        at += width
        if sort == 0:
            found.append(None)
        elif sort == 7:
            found.append(struct.unpack(">d", piece)[0])
        elif sort in (8, 9):
            found.append(sort - 8)
        elif sort < 7:
            found.append(int.from_bytes(piece, "big", signed=True))
        else:
            found.append(piece.decode() if sort % 2 else piece)
    return tuple(found)
