"""Pictures for tests, made here: each of the right structure and as small as can be."""

from __future__ import annotations

import struct
import zlib


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


# One grey pixel (PNG, ISO/IEC 15948).
PNG = (
    b"\x89PNG\r\n\x1a\n"
    + chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    + chunk(b"IDAT", zlib.compress(b"\0\x80"))
    + chunk(b"IEND", b"")
)
# The segments of a JPEG of 1 by 1 (ISO/IEC 10918-1): JFIF head, a frame, a scan; what is scanned is not looked at.
JPEG = (
    b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"
    b"\xff\xc0\x00\x0b\x08\x00\x01\x00\x01\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\x34\xff\xd9"
)
# A RIFF of the length that it says, with one WebP chunk.
WEBP = b"RIFF" + struct.pack("<I", 4 + 8 + 6) + b"WEBPVP8L" + struct.pack("<I", 6) + b"\x2f\0\0\0\0\0"
