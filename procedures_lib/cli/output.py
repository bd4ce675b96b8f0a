"""Writes what programs read: UTF-8, whatever the terminal is set to."""

from __future__ import annotations

import json
import sys
from typing import Any


def write_text(text: str) -> None:
    """Write a text to stdout as it is, line ends too."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8", "backslashreplace"))
    sys.stdout.buffer.flush()


def write_json(value: Any) -> None:
    """Write a value to stdout as JSON."""
    write_text(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n")
