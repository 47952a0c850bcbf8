"""Small PNG files: at most 256 colours, by place in a palette (ISO/IEC 15948)."""

from __future__ import annotations

import struct
import zlib
from typing import Any

import numpy as np

from tests.pictures import chunk

# Pixels of a picture, through the browser that made it: a canvas gives them as they are.
_PIXELS = """async encoded => {
  const image = new Image();
  image.src = 'data:image/png;base64,' + encoded;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height), draw = canvas.getContext('2d');
  draw.drawImage(image, 0, 0);
  const bytes = draw.getImageData(0, 0, image.width, image.height).data;
  let text = '';
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return [image.width, image.height, btoa(text)];
}"""


def pixels(page: Any, encoded: str) -> np.ndarray:
    """(height, width, 3) bytes of a PNG in base64, taken apart by an empty page of the browser."""
    from base64 import b64decode

    width, height, text = page.evaluate(_PIXELS, encoded)
    return np.frombuffer(b64decode(text), dtype=np.uint8).reshape(height, width, 4)[:, :, :3]


def small_png(image: np.ndarray) -> bytes:
    """(height, width, 3) bytes as a PNG with a palette: the commonest shades, and for each other shade its nearest."""
    height, width, _ = image.shape
    # Shades are told apart by 5 bits a channel, and each group is shown by its mean: a plain ground stays exact.
    exact = image.reshape(-1, 3).astype(np.int32)
    coarse = (exact[:, 0] >> 3 << 10) | (exact[:, 1] >> 3 << 5) | exact[:, 2] >> 3
    _, where, counts = np.unique(coarse, return_inverse=True, return_counts=True)
    means = np.stack([np.bincount(where, exact[:, each]) / counts for each in range(3)], axis=1)
    commonest = np.argsort(-counts, kind="stable")[:256]
    palette = means[commonest]
    nearest = np.argmin(((means[:, None, :] - palette[None, :, :]) ** 2).sum(axis=2), axis=1)
    indices = nearest[where].astype(np.uint8).reshape(height, width)
    lines = np.zeros((height, width + 1), dtype=np.uint8)  # each line begins with its filter: none
    lines[:, 1:] = indices
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0))
        + chunk(b"PLTE", np.rint(palette).astype(np.uint8).tobytes())
        + chunk(b"IDAT", zlib.compress(lines.tobytes(), 9))
        + chunk(b"IEND", b"")
    )
