"""The names in a compound file, the form of old workbooks and of those with a password.

After [MS-CFB], Compound File Binary File Format: a header of 512 bytes, sectors, their chains in an
allocation table, and a directory of entries of 128 bytes. [MS-OFFCRYPTO] 2.3.2 names the stream
that holds an encrypted package.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from struct import unpack_from

SIGNATURE = bytes.fromhex("d0cf11e0a1b11ae1")
ENCRYPTED = "EncryptedPackage"
_SHIFTS = (9, 12)  # sectors of 512 and 4,096 bytes
_IN_HEADER = 109
_ENTRY = 128
_LAST_SECTOR = 0xFFFFFFFA
_STREAM = 2


def streams_of(raw: bytes) -> frozenset[str]:
    """Return the names of the streams of a compound file; of a damaged one those that are found."""
    found: set[str] = set()
    try:
        for sector in _directory(raw):
            for at in range(0, len(sector) - _ENTRY + 1, _ENTRY):
                size, kind = unpack_from("<HB", sector, at + 64)
                if kind == _STREAM:
                    name = sector[at : at + min(size, 64)].decode("utf-16-le", "replace")
                    found.add(name.rstrip("\0"))
    except struct.error:
        pass
    return frozenset(found)


def _directory(raw: bytes) -> Iterator[bytes]:
    """Yield the sectors of the directory, each once, as the table chains them."""
    (shift,) = unpack_from("<H", raw, 30)
    if shift not in _SHIFTS:
        return
    size = 1 << shift
    (number,) = unpack_from("<I", raw, 48)
    tables = list(_tables(raw, size))
    seen: set[int] = set()
    while number <= _LAST_SECTOR and number not in seen:
        seen.add(number)
        begin = (number + 1) * size
        yield raw[begin : begin + size]
        table, place = divmod(number, size // 4)
        if table >= len(tables):
            return
        (number,) = unpack_from("<I", raw, (tables[table] + 1) * size + 4 * place)


def _tables(raw: bytes, size: int) -> Iterator[int]:
    """Yield the sectors of the table: the header names the first, a chain of sectors the others."""
    yield from (each for each in unpack_from(f"<{_IN_HEADER}I", raw, 76) if each <= _LAST_SECTOR)
    (number,) = unpack_from("<I", raw, 68)
    seen: set[int] = set()
    while number <= _LAST_SECTOR and number not in seen:
        seen.add(number)
        *named, number = unpack_from(f"<{size // 4}I", raw, (number + 1) * size)
        yield from (each for each in named if each <= _LAST_SECTOR)
