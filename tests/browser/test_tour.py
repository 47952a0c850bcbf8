"""The tour is the one that the command makes; its pictures are there, small and of the size that the page says."""

from __future__ import annotations

import re
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest

from kb.web.routes import ROUTES
from tests.browser import tour
from tests.browser.png import small_png

DOCS = Path(__file__).parents[2] / "docs"
LARGEST = 80 * 1024  # of one picture: what a page of docs may cost to load, our own choice


def test_the_page_is_current() -> None:
    assert (DOCS / "tour.md").read_text(encoding="utf-8") == tour.text()


def test_there_is_a_picture_for_each_and_no_other() -> None:
    found = {path.stem for path in (DOCS / "pictures" / "tour").iterdir()}
    assert found == {shot.name for shot in tour.SHOTS}
    assert len(tour.SHOTS) <= 14


@pytest.mark.parametrize("shot", tour.SHOTS, ids=lambda shot: shot.name)
def test_a_picture_is_small_and_of_its_size(shot: tour.Shot) -> None:
    content = (DOCS / "pictures" / "tour" / f"{shot.name}.png").read_bytes()
    assert len(content) <= LARGEST
    width, height, depth, sort = struct.unpack(">IIBB", content[16:26])
    assert (width, height) == (shot.scale * shot.size[0], shot.scale * shot.size[1])
    assert (depth, sort) == (8, 3)  # by a palette (ISO/IEC 15948, 11.2.2)
    assert shot.shows
    assert '"' not in shot.shows  # it stands in an attribute
    path = shot.path.partition("?")[0]
    assert path.startswith("/base/") or any(re.fullmatch(route.path, path) for route in ROUTES)


def test_few_shades_stay_as_they_are() -> None:
    image = np.zeros((3, 5, 3), dtype=np.uint8)
    image[0] = (244, 241, 232)
    image[1, 2:] = (28, 79, 124)
    assert (unpacked(small_png(image)) == image).all()


def test_many_shades_become_at_most_256_near_ones() -> None:
    rng = np.random.default_rng(1)
    image = rng.integers(0, 256, (40, 60, 3), dtype=np.uint8)
    image[:20] = 200
    found = unpacked(small_png(image))
    assert len(np.unique(found.reshape(-1, 3), axis=0)) <= 256
    assert (found[:20] == 200).all()
    # 256 shades over the cube leave about 6 a side, so steps of 43 and an error below that on average (hand sum).
    assert np.abs(found.astype(int) - image.astype(int)).mean() < 43


def unpacked(content: bytes) -> np.ndarray:
    """The picture that a reader would see; every line of ours has the filter 0."""
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", content[16:24])
    parts: dict[bytes, bytes] = {}
    at = 8
    while at < len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        parts[content[at + 4 : at + 8]] = content[at + 8 : at + 8 + length]
        at += length + 12
    lines = np.frombuffer(zlib.decompress(parts[b"IDAT"]), dtype=np.uint8).reshape(height, width + 1)
    assert not lines[:, 0].any()
    return np.frombuffer(parts[b"PLTE"], dtype=np.uint8).reshape(-1, 3)[lines[:, 1:]]
