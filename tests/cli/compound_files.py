"""Compound files made by bytes after [MS-CFB], as a spreadsheet program writes them.

A workbook with a password is one that holds ``EncryptedPackage``, ``EncryptionInfo`` and the data
spaces of [MS-OFFCRYPTO] 2.1 and 2.3.4. Sectors have 512 bytes, and streams below 4,096 bytes lie in
the mini stream ([MS-CFB] 2.2, 2.4, 2.6).
"""

from __future__ import annotations

import hashlib
import struct
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

SECTOR, MINI, SMALL = 512, 64, 4096
FREE, END, TABLE, CHAIN, NONE = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD, 0xFFFFFFFC, 0xFFFFFFFF
IN_HEADER, IN_CHAIN = 109, SECTOR // 4 - 1
STORAGE, STREAM, ROOT = 1, 2, 5
SIGNATURE = bytes.fromhex("d0cf11e0a1b11ae1")
Tree = dict[str, "bytes | Tree"]


@dataclass
class _Entry:
    name: str
    kind: int
    content: bytes = b""
    left: int = NONE
    right: int = NONE
    child: int = NONE
    start: int = 0

    def packed(self) -> bytes:
        name = (self.name + "\0").encode("utf-16-le")
        head = name.ljust(64, b"\0") + struct.pack("<HBB", len(name), self.kind, 1)  # black
        links = struct.pack("<III", self.left, self.right, self.child)
        return head + links + bytes(36) + struct.pack("<IQ", self.start, len(self.content))


@dataclass
class _Chains:
    """Contents one after another in units of one size, and the table that chains them."""

    unit: int
    table: list[int] = field(default_factory=list)
    content: bytes = b""

    def add(self, content: bytes) -> int:
        if not content:
            return END
        first, count = len(self.table), -(-len(content) // self.unit)
        self.table += [*range(first + 1, first + count), END]
        self.content += content.ljust(count * self.unit, b"\0")
        return first


def compound_file(tree: Mapping[str, bytes | Tree]) -> bytes:
    """Return a compound file with these streams, and storages with theirs."""
    root = _Entry("Root Entry", ROOT)
    entries = [root]
    root.child = _add(tree, entries)
    sectors, minis = _Chains(SECTOR), _Chains(MINI)
    for entry in entries:
        if entry.kind == STREAM:
            entry.start = (minis if len(entry.content) < SMALL else sectors).add(entry.content)
    root.content, root.start = minis.content, sectors.add(minis.content)
    mini_table = sectors.add(_numbers(minis.table, SECTOR))
    directory = sectors.add(b"".join(entry.packed() for entry in entries))
    tables, more = _sectors_of_tables(len(sectors.table))
    first = len(sectors.table)
    table = _numbers([*sectors.table, *[TABLE] * tables, *[CHAIN] * more], SECTOR)
    named = [*range(first, first + tables)]
    others = [named[at : at + IN_CHAIN] for at in range(IN_HEADER, tables, IN_CHAIN)]
    after = [*range(first + tables + 1, first + tables + more), END]
    chain = [[*o, *[FREE] * (IN_CHAIN - len(o)), n] for o, n in zip(others, after, strict=False)]
    counts = (0, tables, directory, 0, SMALL, mini_table, -(-len(minis.table) * 4 // SECTOR))
    head = SIGNATURE + bytes(16) + struct.pack("<HHHHH6x", 0x3E, 3, 0xFFFE, 9, 6)
    head += struct.pack("<9I", *counts, first + tables if more else END, more)
    head += _numbers(named[:IN_HEADER], 4 * IN_HEADER)
    return head + sectors.content + table + b"".join(_numbers(each, SECTOR) for each in chain)


def _sectors_of_tables(others: int) -> tuple[int, int]:
    """How many sectors the table takes, and its list beyond the header, with those two in it."""
    tables, more = 1, 0
    while tables * SECTOR // 4 < others + tables + more:
        tables += 1
        more = max(0, -(-(tables - IN_HEADER) // IN_CHAIN))
    return tables, more


def _numbers(values: list[int], unit: int) -> bytes:
    text = struct.pack(f"<{len(values)}I", *values)
    return text.ljust(-(-len(text) // unit) * unit, b"\xff")


def _add(tree: Mapping[str, bytes | Tree], entries: list[_Entry]) -> int:
    """Add the entries of a storage, as a tree ordered by length, then by capitals; its top."""
    numbers = []
    for name in sorted(tree, key=lambda name: (len(name), name.upper())):
        held = tree[name]
        stream = isinstance(held, bytes)
        entry = _Entry(name, STREAM if stream else STORAGE, held if stream else b"")  # type: ignore[arg-type]
        numbers.append(len(entries))
        entries.append(entry)
        if not isinstance(held, bytes):
            entry.child = _add(held, entries)
    return _balanced(numbers, entries)


def _balanced(numbers: list[int], entries: list[_Entry]) -> int:
    if not numbers:
        return NONE
    middle = len(numbers) // 2
    top = entries[numbers[middle]]
    top.left = _balanced(numbers[:middle], entries)
    top.right = _balanced(numbers[middle + 1 :], entries)
    return numbers[middle]


def _text(words: str) -> bytes:
    """UNICODE-LP-P4 of [MS-OFFCRYPTO] 2.1.2: length in bytes, text, padded to four."""
    raw = words.encode("utf-16-le")
    return struct.pack("<I", len(raw)) + raw.ljust(-(-len(raw) // 4) * 4, b"\0")


def _random(size: int) -> bytes:
    """Bytes that look like encrypted ones, the same each time."""
    return b"".join(_digests(size))[:size]


def _digests(size: int) -> Iterator[bytes]:
    for number in range(-(-size // 64)):
        yield hashlib.sha512(str(number).encode()).digest()


def with_password(size: int = 20_000) -> bytes:
    """Return a workbook of that many bytes as it lies on the disk with a password set."""
    names = ("StrongEncryptionDataSpace", "StrongEncryptionTransform")
    feature = _text("Microsoft.Container.DataSpaces") + struct.pack("<6H", 1, 0, 1, 0, 1, 0)
    part = struct.pack("<II", 1, 0) + _text("EncryptedPackage") + _text(names[0])
    pad = -(-size // 16) * 16
    spaces: Tree = {
        "Version": feature,
        "DataSpaceMap": struct.pack("<III", 8, 1, len(part) + 4) + part,
        "DataSpaceInfo": {names[0]: struct.pack("<II", 8, 1) + _text(names[1])},
        "TransformInfo": {names[1]: {"\6Primary": _random(200)}},
    }
    info = b'<encryption xmlns="http://schemas.microsoft.com/office/2006/encryption"/>'
    return compound_file(
        {
            "\6DataSpaces": spaces,
            "EncryptionInfo": struct.pack("<HHI", 4, 4, 0x40) + info,
            "EncryptedPackage": struct.pack("<Q", size) + _random(pad),
        }
    )
