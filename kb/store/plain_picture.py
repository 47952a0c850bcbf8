"""A picture without what it tells beside the picture: where and when it was taken, by whom, with which device.

Only the parts that a viewer needs are kept, copied byte for byte; nothing is decoded. Formats: JPEG (ISO/IEC 10918-1,
with the Exif orientation of CIPA DC-008), PNG (ISO/IEC 15948), WebP (its container, RFC 9649).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from kb.errors import Fault

MOST_PIXELS = 50_000_000  # what it takes to show: four bytes a pixel; the largest common phones make 50 million
LONGEST_SIDE = 20_000
_PNG_KEPT = frozenset(
    b"IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP sBIT bKGD pHYs cICP".split()  # colours and proportions
)
_WEBP_KEPT = frozenset((b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ANIM", b"ANMF", b"ICCP"))
_WEBP_TELLS = 0x08 | 0x04  # the flags of VP8X for Exif and XMP
_ORIENTATION = 0x0112


def plain(data: bytes, ending: str) -> bytes:
    """The picture of type `ending` (jpg, png, webp) with nothing but what shows it; the same again gives the same.

    Fault if its pieces cannot be told apart, or if it has more pixels than a browser should be given.
    """
    pieces, width, height = {"jpg": _jpeg, "png": _png, "webp": _webp}[ending](data)
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        step = f"at most {MOST_PIXELS // 1_000_000} million pixels: save it smaller, most cameras and phones can"
        raise Fault(f"the picture is too large ({width} x {height} pixels)", step=step)
    return pieces


def _broken() -> Fault:
    return Fault("this picture is damaged", step="open it on the device that took it, save it again, and send that")


def _png(data: bytes) -> tuple[bytes, int, int]:
    found, at = bytearray(data[:8]), 8
    while at < len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        name, end = data[at + 4 : at + 8], at + 12 + size
        if end > len(data):
            raise _broken()
        if name in _PNG_KEPT:
            found += data[at:end]
        elif not name[:1].islower():  # an essential piece that nobody knows
            raise _broken()
        at = end
        if name == b"IEND":
            break
    width, height = struct.unpack(">II", data[16:24])
    return bytes(found), width, height


def _webp(data: bytes) -> tuple[bytes, int, int]:
    found, at, sizes = bytearray(b"WEBP"), 12, [(0, 0)]
    while at + 8 <= len(data):
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        content, end = data[at + 8 : at + 8 + size], at + 8 + size + size % 2
        if at + 8 + size > len(data):
            raise _broken()
        if name == b"VP8X" and size >= 10:
            sizes.append((int.from_bytes(content[4:7], "little") + 1, int.from_bytes(content[7:10], "little") + 1))
            content = bytes([content[0] & ~_WEBP_TELLS]) + content[1:]
        elif name == b"VP8 " and size >= 10:
            wide, high = struct.unpack("<HH", content[6:10])
            sizes.append((wide & 0x3FFF, high & 0x3FFF))
        elif name == b"VP8L" and size >= 5:
            bits = int.from_bytes(content[1:5], "little")
            sizes.append(((bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1))
        if name in _WEBP_KEPT:
            found += name + struct.pack("<I", size) + content + b"\0" * (size % 2)
        at = end
    if at < len(data):
        raise _broken()
    return b"RIFF" + struct.pack("<I", len(found)) + bytes(found), max(w for w, _ in sizes), max(h for _, h in sizes)


def _jpeg(data: bytes) -> tuple[bytes, int, int]:
    found, width, height, turned = bytearray(b"\xff\xd8"), 0, 0, 0
    pieces = bytearray()
    for mark, piece in _segments(data):
        if mark == 0xE1 and piece[4:10] == b"Exif\0\0":
            turned = turned or _orientation(piece[10:])
        elif _shows(mark, piece):
            pieces += piece
        if 0xC0 <= mark <= 0xCF and mark not in (0xC4, 0xC8, 0xCC) and len(piece) >= 9:
            high, wide = struct.unpack(">HH", piece[5:9])
            width, height = max(width, wide), max(height, high)
    # JFIF's own segment goes first where there is one (its standard), then ours.
    if pieces[:2] == b"\xff\xe0":
        first = 2 + int.from_bytes(pieces[2:4], "big")
        found += pieces[:first]
        del pieces[:first]
    if 1 < turned <= 8:
        found += _turned(turned)
    return bytes(found + pieces), width, height


def _shows(mark: int, piece: bytes) -> bool:
    """Whether a viewer needs this segment: neither a comment nor what programs and cameras write beside."""
    if mark == 0xE2:
        return piece[4:16] == b"ICC_PROFILE\0"
    return mark in (0xE0, 0xEE) or not (0xE0 <= mark <= 0xEF or mark == 0xFE)


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """(mark, bytes with the mark) up to the end mark; what was scanned goes with its scan's head."""
    at = 2
    while at + 2 <= len(data):
        if data[at] != 0xFF:
            raise _broken()
        mark = data[at + 1]
        if mark == 0xFF:
            at += 1
            continue
        if mark == 0xD9:
            yield mark, data[at : at + 2]
            return
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        end = at + 2 + length
        if length < 2 or end > len(data):
            raise _broken()
        if mark == 0xDA:
            end = _after_scan(data, end)
        yield mark, data[at:end]
        at = end
    raise _broken()


def _after_scan(data: bytes, at: int) -> int:
    """Where the next mark stands: not one that only keeps the scan in step, nor a byte of the scan itself."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            raise _broken()
        if data[at + 1] == 0xFF:
            at += 1
        elif data[at + 1] == 0 or 0xD0 <= data[at + 1] <= 0xD7:
            at += 2
        else:
            return at


def _orientation(tiff: bytes) -> int:
    """How the camera was held, 1 to 8; 0 where that is not told in the first directory."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None or len(tiff) < 8:
        return 0
    (at,) = struct.unpack(order + "I", tiff[4:8])
    if at + 2 > len(tiff):
        return 0
    (count,) = struct.unpack(order + "H", tiff[at : at + 2])
    for number in range(min(count, 200)):
        entry = tiff[at + 2 + 12 * number : at + 14 + 12 * number]
        if len(entry) == 12 and struct.unpack(order + "H", entry[:2])[0] == _ORIENTATION:
            return int(struct.unpack(order + "H", entry[8:10])[0])
    return 0


def _turned(orientation: int) -> bytes:
    """An Exif segment that tells the orientation and nothing else, so that the picture does not lie on its side."""
    entry = struct.pack(">HHIHH", _ORIENTATION, 3, 1, orientation, 0)
    tiff = b"MM\0\x2a" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
    content = b"Exif\0\0" + tiff
    return b"\xff\xe1" + struct.pack(">H", len(content) + 2) + content
