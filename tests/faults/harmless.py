"""Survivors that were judged: faults that change nothing a technician would do wrongly."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.faults.kinds import Fault

LIST = Path(__file__).with_name("harmless.toml")


class Harmless:
    """The list: (kind, page, what) of each fault, with the reason why it is harmless."""

    def __init__(self, reasons: dict[tuple[str, str, str], str]) -> None:
        self.reasons = reasons

    def reason(self, kind: str, fault: Fault) -> str:
        """Return why a fault is harmless, "" when it is not on the list."""
        return self.reasons.get((kind, fault.page, fault.what), "")


def read_harmless(text: str) -> Harmless:
    """Read the list; raises ValueError for an entry without reason, or one that stands twice."""
    reasons: dict[tuple[str, str, str], str] = {}
    for entry in tomllib.loads(text).get("judged", []):
        reason = entry["reason"].strip()
        if not reason:
            raise ValueError(f"no reason is given: {entry}")
        for page, whats in entry["faults"].items():
            for what in whats:
                key = (entry["kind"], page, what)
                if key in reasons:
                    raise ValueError(f"it stands twice: {key}")
                reasons[key] = reason
    return Harmless(reasons)


def as_toml(kind: str, faults: list[Fault]) -> str:
    """Write faults as an entry of the list, whose reason is still to be given."""
    pages: dict[str, list[str]] = defaultdict(list)
    for fault in faults:
        pages[fault.page].append(fault.what)
    lines = ["[[judged]]", f'kind = "{kind}"', 'reason = ""', "[judged.faults]"]
    for page, whats in pages.items():
        lines += [f'"{page}" = [', *(f"  {_quoted(what)}," for what in whats), "]"]
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return f"'{text}'" if "'" not in text else '"' + text.replace('"', '\\"') + '"'
