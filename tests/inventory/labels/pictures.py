"""PNG pictures read by hand, so that an independent reader of barcodes can look at them."""

import struct
import zlib
from collections.abc import Iterator
from itertools import accumulate

import zxingcpp

SIGNATURE = b"\x89PNG\r\n\x1a\n"
RGBA = 6


def barcodes_on(png: bytes) -> list[zxingcpp.Barcode]:
    """Return the barcodes that zxing finds on a picture."""
    width, height, grey = grey_of(png)
    return zxingcpp.read_barcodes(memoryview(grey).cast("B", shape=[height, width]))


def grey_of(png: bytes) -> tuple[int, int, bytes]:
    """Return width, height and the red of every pixel: black on white has no other colour. 8-bit RGBA only."""
    assert png.startswith(SIGNATURE)
    chunks = list(chunks_of(png))
    width, height, depth, colour, *_, interlaced = struct.unpack(">IIBBBBB", chunks[0][1])
    assert (depth, colour, interlaced) == (8, RGBA, 0)
    raw = zlib.decompress(b"".join(content for kind, content in chunks if kind == b"IDAT"))
    stride = 1 + 4 * width
    rows, above = [], bytes(width)
    for start in range(0, stride * height, stride):
        above = unfiltered(raw[start], raw[start + 1 : start + stride : 4], above)
        rows.append(above)
    return width, height, b"".join(rows)


def chunks_of(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield kind and content of each chunk."""
    at = len(SIGNATURE)
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        yield png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        at += length + 12


def unfiltered(kind: int, row: bytes, above: bytes) -> bytes:
    """Return one channel of a row as it was before filter `kind`. PNG specification, section 9."""
    if kind == 0:
        return row
    if kind == 1:
        return bytes(accumulate(row, lambda left, value: (left + value) & 255))
    if kind == 2:
        return bytes((value + up) & 255 for value, up in zip(row, above, strict=True))
    guess = {3: lambda left, up, corner: (left + up) >> 1, 4: nearest}[kind]
    out = bytearray()
    left = corner = 0
    for value, up in zip(row, above, strict=True):
        left = (value + guess(left, up, corner)) & 255
        corner = up
        out.append(left)
    return bytes(out)


def nearest(left: int, up: int, corner: int) -> int:
    """Return whichever of the three is nearest to left + up - corner; the first of them on a tie."""
    target = left + up - corner
    return min((left, up, corner), key=lambda value: abs(target - value))
