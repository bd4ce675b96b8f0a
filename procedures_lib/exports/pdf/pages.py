"""Blocks laid on pages: kept whole where a page holds them, parted with a word where not."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from procedures_lib.exports.pdf.marks import Block, Piece

Placed = tuple[float, "Piece"]
"""How far below the top of the page's room a piece begins, and the piece."""


def lay(blocks: Sequence[Block], room: float) -> list[list[Placed]]:
    """Return the pages, each with ``room`` points from top to bottom.

    A block that fits on a page is not parted unless it is loose; of others the lead stays together.
    """
    pages = _Pages()
    for n, block in enumerate(blocks):
        if pages.used and pages.used + _need(blocks, n, room) > room:
            pages.turn()
        for piece in block.pieces:
            if pages.used and pages.used + piece.height > room:
                pages.turn()
                if block.again is not None:
                    pages.put(block.again)
            pages.put(piece)
    return pages.pages


def _need(blocks: Sequence[Block], n: int, room: float) -> float:
    """What has to fit below for a block to begin there, with what it has to stand with."""
    need = 0.0
    for block in blocks[n:]:
        whole = block.height <= room and not block.loose
        need += block.height if whole else min(block.lead_height, room)
        if not block.with_next:
            break
    return need if need <= room else min(blocks[n].lead_height, room)


class _Pages:
    """The pages so far, and how much of the last one is used."""

    def __init__(self) -> None:
        self.pages: list[list[Placed]] = [[]]
        self.used = 0.0

    def turn(self) -> None:
        self.pages.append([])
        self.used = 0.0

    def put(self, piece: Piece) -> None:
        self.pages[-1].append((self.used, piece))
        self.used += piece.height
