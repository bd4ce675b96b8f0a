"""Lines and columns of a text: as the library counts them, and as an editor does."""

from __future__ import annotations

import re
from collections.abc import Callable

_LINE_END = re.compile(r"\r\n|\r|\n")


class Lines:
    """The lines of a text; ``units`` tells how many units of the editor's a text has.

    The library counts lines from 1 and columns in characters; an editor counts lines from 0 and
    columns in units, which are those of UTF-16 unless both sides agree on others.
    """

    def __init__(self, text: str, units: Callable[[str], int]) -> None:
        self._lines = _LINE_END.split(text)
        self._units = units

    def line(self, line: int) -> str:
        """Return a line, "" for one that is not there."""
        return self._lines[line - 1] if 0 < line <= len(self._lines) else ""

    def here(self, line: int, units: int) -> tuple[int, int]:
        """Return line and column of an editor's place; the nearest one for a place beyond."""
        text = self.line(line + 1)
        column = passed = 0
        while column < len(text) and passed < units:
            passed += self._units(text[column])
            column += 1
        return line + 1, column

    def there(self, line: int, column: int) -> tuple[int, int]:
        """Return a place as an editor counts it."""
        return max(line - 1, 0), self._units(self.line(line)[:column])

    def written(self, line: int) -> tuple[int, int]:
        """Return the columns between which a line has more than blanks."""
        text = self.line(line)
        return len(text) - len(text.lstrip()), len(text.rstrip())
