"""Pictures of a few lines, written as PNG without a library, to be traced in tests."""

from __future__ import annotations

import struct
import zlib

import numpy as np

INK, PAPER = 30, 235


def png(grey) -> bytes:
    """A PNG of an array of grey values, shape (height, width)."""
    height, width = grey.shape
    rows = b"".join(b"\0" + row.tobytes() for row in grey.astype(np.uint8))

    def chunk(kind: bytes, data: bytes) -> bytes:
        end = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + end

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def drawing(width: int, height: int, crosses, arc=None) -> bytes:
    """A picture with crosses, and an arc given as (x, y, radius) in points of colour."""
    grey = np.full((height, width), PAPER)
    for x, y in crosses:
        grey[y - 12 : y + 13, x] = INK
        grey[y, x - 12 : x + 13] = INK
    if arc is not None:
        cx, cy, radius = arc
        yy, xx = np.mgrid[0:height, 0:width]
        grey[np.abs(np.hypot(xx - cx, yy - cy) - radius) < 3] = INK
    return png(grey)
