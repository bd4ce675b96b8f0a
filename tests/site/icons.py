"""Draws the icons of the site, ``mark.svg`` in pixels: ``python -m tests.site.icons``."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

from procedures_lib.fronts.site.theme import THEME

STATIC = THEME / "static"
GREEN, PAPER = (0x0A, 0x57, 0x63), (0xFC, 0xFC, 0xFA)
CORNERS = ((9, 4), (23, 4), (30, 16), (23, 28), (9, 28), (2, 16))
"""The hexagon of the mark, in its units of 1/32."""
RADIUS = 6
SAMPLES = 3
ICONS = {"icon-192.png": (192, False), "icon-512.png": (512, False),
         "icon-maskable-512.png": (512, True)}  # fmt: skip
"""Size in pixels, and whether a launcher may cut it to its own shape: the mark within 80 %, W3C
Web Application Manifest, "Icon masks and safe zone"."""


def _in_hexagon(x: float, y: float) -> bool:
    edges = zip(CORNERS, (*CORNERS[1:], CORNERS[0]), strict=True)
    return all((bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0 for (ax, ay), (bx, by) in edges)


def _alpha_and_light(x: float, y: float, masked: bool) -> tuple[float, float]:
    """How much is drawn, and how much of it is the light of the hole."""
    if masked:
        x, y = 16 + (x - 16) * 1.5, 16 + (y - 16) * 1.5
        bolt, hole = _in_hexagon(x, y), (x - 16) ** 2 + (y - 16) ** 2 <= RADIUS**2
        return 1, float(bolt and not hole)  # light bolt on the green ground
    if not _in_hexagon(x, y):
        return 0, 0
    return 1, float((x - 16) ** 2 + (y - 16) ** 2 <= RADIUS**2)


def png(size: int, masked: bool) -> bytes:
    """Return the icon as PNG, eight bits a channel with alpha."""
    steps = [(n + 0.5) / SAMPLES for n in range(SAMPLES)]
    scale, every = 32 / size, SAMPLES**2
    rows = bytearray()
    for row in range(size):
        rows.append(0)
        for column in range(size):
            seen = [_alpha_and_light((column + a) * scale, (row + b) * scale, masked)
                    for a in steps for b in steps]  # fmt: skip
            drawn = sum(alpha for alpha, _ in seen)
            light = sum(part for _, part in seen) / drawn if drawn else 0
            rows += bytes(round(g + (p - g) * light) for g, p in zip(GREEN, PAPER, strict=True))
            rows.append(round(255 * drawn / every))
    head = struct.pack(">IIBBBBB", size, size, 8, 6, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(bytes(rows), 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(map(_chunk, chunks))


def _chunk(named: tuple[bytes, bytes]) -> bytes:
    name, data = named
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def main(folder: Path = STATIC) -> None:
    """Write them."""
    for name, (size, masked) in ICONS.items():
        (folder / name).write_bytes(png(size, masked))


if __name__ == "__main__":
    main()
