"""What a camera writes beside a picture is not kept; what shows it is, byte for byte."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import Fault
from kb.store import photos
from kb.store.load import init
from kb.store.plain_picture import LONGEST_SIDE, MOST_PIXELS, plain
from tests.pictures import JPEG, PNG, WEBP, chunk

SECRET = b"59 deg 19 min north, the shed behind the house"


def segment(mark: int, content: bytes) -> bytes:
    return bytes([0xFF, mark]) + struct.pack(">H", len(content) + 2) + content


def exif(orientation: int, order: str = ">") -> bytes:
    """An Exif segment (CIPA DC-008) with the orientation, and a place where programs keep theirs."""
    entries = struct.pack(order + "HHII", 0x010F, 2, len(SECRET), 38)  # the maker's name
    entries += struct.pack(order + "HHIHH", 0x0112, 3, 1, orientation, 0)
    head = (b"MM\0\x2a" if order == ">" else b"II\x2a\0") + struct.pack(order + "I", 8)
    return segment(0xE1, b"Exif\0\0" + head + struct.pack(order + "H", 2) + entries + b"\0\0\0\0" + SECRET)


BESIDE = [
    segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + SECRET),
    segment(0xED, b"Photoshop 3.0\0" + SECRET),
    segment(0xE2, b"MPF\0" + SECRET),
    segment(0xEC, SECRET),
    segment(0xFE, SECRET),
]
COLOURS = segment(0xE2, b"ICC_PROFILE\0\1\1" + b"colours")
PRINTERS = segment(0xEE, b"Adobe\0\x64\0\0\0\0\1")


def jpeg(*pieces: bytes, after: bytes = b"") -> bytes:
    """The picture with these segments behind its JFIF head."""
    return JPEG[:20] + b"".join(pieces) + JPEG[20:] + after


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_jpeg_keeps_how_it_was_held_and_nothing_else_of_the_camera(order: str) -> None:
    given_ = jpeg(exif(6, order), *BESIDE, COLOURS, PRINTERS)
    found = plain(given_, "jpg")
    assert SECRET not in found
    assert found.startswith(JPEG[:20])  # JFIF's segment stays first, as its standard asks
    assert COLOURS in found
    assert PRINTERS in found
    assert found.endswith(JPEG[20:])
    # One entry, orientation (0x0112), a short (3), one of them, the value: the layout of TIFF 6.0.
    assert struct.pack(">HHHIH", 1, 0x0112, 3, 1, 6) in found
    assert found.count(b"Exif\0\0") == 1


def test_a_picture_held_upright_needs_no_word_of_it() -> None:
    assert plain(jpeg(exif(1)), "jpg") == JPEG
    assert plain(jpeg(exif(99)), "jpg") == JPEG  # 1 to 8 exist


def test_a_picture_without_anything_beside_stays_as_it_is() -> None:
    for data, ending in ((JPEG, "jpg"), (PNG, "png"), (WEBP, "webp")):
        assert plain(data, ending) == data


def test_what_follows_the_end_mark_is_not_kept() -> None:
    assert plain(jpeg(after=SECRET + JPEG), "jpg") == JPEG


def test_a_scan_with_steps_and_further_scans_is_kept_whole() -> None:
    """Stuffed bytes (FF 00), marks that keep step (FF D0) and fill bytes belong to it; a second scan follows."""
    scan = b"\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\x00\x34\xff\xd0\x56"
    whole = JPEG[:-14] + scan + segment(0xFE, SECRET) + segment(0xC4, b"\0" * 17) + scan + b"\xff\xd9"
    assert plain(whole, "jpg") == whole.replace(segment(0xFE, SECRET), b"")


def test_a_png_keeps_colours_and_loses_words_and_places() -> None:
    words = [chunk(name, SECRET) for name in (b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"tIME", b"prVt")]
    gamma = chunk(b"gAMA", struct.pack(">I", 45455))
    assert plain(PNG[:33] + gamma + b"".join(words) + PNG[33:], "png") == PNG[:33] + gamma + PNG[33:]


def test_a_webp_keeps_its_picture_and_says_no_more_that_it_holds_exif() -> None:
    picture = WEBP[12:]
    canvas = b"VP8X" + struct.pack("<I", 10) + bytes([0x08 | 0x04 | 0x20]) + bytes(9)
    colours = b"ICCP" + struct.pack("<I", 4) + b"abcd"
    beside = b"".join(
        name + struct.pack("<I", len(SECRET)) + SECRET + b"\0" * (len(SECRET) % 2)
        for name in (b"EXIF", b"XMP ", b"oddo")
    )
    body = b"WEBP" + canvas + colours + picture + beside
    found = plain(b"RIFF" + struct.pack("<I", len(body)) + body, "webp")
    kept = b"WEBP" + canvas.replace(b"\x2c", b"\x20") + colours + picture
    assert found == b"RIFF" + struct.pack("<I", len(kept)) + kept
    assert photos.name_of(found).endswith(".webp")


def sized(ending: str, width: int, height: int) -> bytes:
    if ending == "png":
        return PNG[:8] + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)) + PNG[33:]
    if ending == "jpg":
        frame = b"\xff\xc0\x00\x0b\x08"
        return JPEG.replace(frame + b"\0\1\0\1", frame + struct.pack(">HH", height, width))
    body = b"WEBPVP8L" + struct.pack("<I", 6) + b"\x2f" + struct.pack("<I", (width - 1) | (height - 1) << 14) + b"\0"
    return b"RIFF" + struct.pack("<I", len(body)) + body


@pytest.mark.parametrize("ending", ["png", "jpg", "webp"])
def test_the_size_is_read_before_anything_is_kept(ending: str) -> None:
    assert plain(sized(ending, 8000, 6000), ending)  # 48 million pixels, as some phones make; hand product
    with pytest.raises(Fault, match=r"too large \(10000 x 10000 pixels\)") as caught:
        plain(sized(ending, 10_000, 10_000), ending)
    assert f"{MOST_PIXELS // 1_000_000} million" in caught.value.step


def test_a_thread_of_a_picture_is_refused_too() -> None:
    with pytest.raises(Fault, match="too large"):
        plain(sized("png", LONGEST_SIDE + 1, 1), "png")


@pytest.mark.parametrize(
    ("data", "ending"),
    [
        (PNG[:33] + b"\x7f\xff\xff\xff" + PNG[37:], "png"),  # longer than the file
        (PNG[:33] + chunk(b"NEWX", b"") + PNG[33:], "png"),  # an essential piece that nobody knows
        (JPEG[:33] + b"\x00" + JPEG[34:], "jpg"),  # where the scan should begin
        (JPEG[:-2], "jpg"),
        (WEBP[:16] + b"\xff\xff\0\0" + WEBP[20:], "webp"),
    ],
)
def test_pieces_that_cannot_be_told_apart_are_refused(data: bytes, ending: str) -> None:
    with pytest.raises(Fault, match="damaged"):
        plain(data, ending)


def test_it_is_named_and_kept_without_the_place(tmp_path: Path) -> None:
    path = str(tmp_path / "kb.db")
    init(path)
    name = photos.put(path, jpeg(exif(1), *BESIDE))
    assert name == photos.name_of(JPEG)  # so the same picture from another program is kept once
    assert photos.get(path, name)[0] == JPEG
    assert not [file for file in (tmp_path / "kb.db.photos").iterdir() if SECRET in file.read_bytes()]


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_change_of_a_picture_is_refused_in_words_or_settles(data: st.DataObject) -> None:
    whole = data.draw(st.sampled_from([jpeg(exif(6), *BESIDE), PNG[:33] + chunk(b"tEXt", b"x") + PNG[33:], WEBP]))
    changed = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 4))):
        changed[data.draw(st.integers(0, len(changed) - 1))] = data.draw(st.integers(0, 255))
    told = ""
    try:
        name = photos.name_of(bytes(changed))
    except Fault as fault:
        told = fault.step
    if told:
        assert "picture" in told or "again" in told or "save it" in told, told
        return
    once = plain(bytes(changed), name.rpartition(".")[2])
    assert plain(once, name.rpartition(".")[2]) == once
    assert photos.name_of(once) == name
