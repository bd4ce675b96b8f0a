"""What of a person stays in a record that is kept, as the shop wants it."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from procedures_lib.fronts.cli.archiving.durable import write_whole
from procedures_lib.manual.archive_settings import ArchiveSettings

_READING = frozenset({"step", "joint", "stage", "value", "unit", "wrench", "initials", "at"})
_MEMBERS = {
    "": frozenset(
        {"format", "procedure", "title", "revision", "digest", "vehicle", "car", "reference",
         "begun", "saved", "steps", "readings", "set_aside", "remarks", "handovers"}
    ),
    "steps": frozenset({"number", "title", "done"}),
    "readings": _READING,
    "set_aside": _READING | {"key"},
    "handovers": frozenset({"step", "at"}),
    "remarks": frozenset({"step", "kind", "text", "at", "picture"}),
}  # fmt: skip
"""The members of a record that the page writes; any other may name a person."""


class Key:
    """The archive's secret: what it hashes can be looked for, and not found by trying."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._secret = b""

    @property
    def is_there(self) -> bool:
        """Whether the archive has one."""
        return self._path.exists()

    def make(self) -> None:
        """Make one; who may read it is for the rights of the folder to say."""
        write_whole(self._path, secrets.token_hex(32).encode() + b"\n")

    def hash(self, text: str) -> str:
        """Return 16 hex digits for a text (HMAC with SHA-256, RFC 2104)."""
        if not self._secret:
            self._secret = self._path.read_bytes().strip()
        raw = text.encode("utf-8", "replace")
        return hmac.new(self._secret, raw, hashlib.sha256).hexdigest()[:16]

    def registration(self, reference: str) -> str:
        """Return the hash of an order or a number plate, however it is spaced; "" for none."""
        bare = "".join(sign for sign in reference.casefold() if sign.isalnum())
        return self.hash(f"registration {bare}") if bare else ""


def kept(value: dict[str, Any], settings: ArchiveSettings) -> tuple[dict[str, Any], list[str]]:
    """Return what of a record is kept, and the names of what is left out besides."""
    left: list[str] = []
    whole = settings.registration == "keep" and settings.initials
    made = value if whole else _known(value, left)
    if settings.registration != "keep":
        made = {name: each for name, each in made.items() if name != "reference"}
    return (made if settings.initials else _unsigned(made)), left


def forgotten(value: dict[str, Any]) -> dict[str, Any]:
    """Return a record without what leads to a customer: reference, initials, words and pictures."""
    made = _unsigned(_known(value, []))
    made.pop("reference", None)
    if isinstance(remarks := made.get("remarks"), list):
        made["remarks"] = [_only(each, {"step", "kind", "at"}, []) for each in remarks]
    return made


def _known(value: dict[str, Any], left: list[str]) -> dict[str, Any]:
    made: dict[str, Any] = _only(value, _MEMBERS[""], left)
    for name, members in _MEMBERS.items():
        if isinstance(items := made.get(name), list):
            made[name] = [_only(item, members, left) for item in items]
    left[:] = dict.fromkeys(left)
    return made


def _only(value: Any, members: Iterable[str], left: list[str]) -> Any:
    if not isinstance(value, dict):
        return value
    left += (name for name in value if name not in members)
    return {name: each for name, each in value.items() if name in members}


def _unsigned(value: dict[str, Any]) -> dict[str, Any]:
    """Put ``person 1``, ``person 2`` for initials, in the order in which they come."""
    people: dict[str, str] = {}
    made = dict(value)
    for name in ("readings", "set_aside"):
        if isinstance(items := made.get(name), list):
            made[name] = list(_without_initials(items, people))
    return made


def _without_initials(items: list[Any], people: dict[str, str]) -> Iterator[Any]:
    for item in items:
        signed = item.get("initials") if isinstance(item, dict) else None
        if isinstance(signed, str) and signed.strip():
            who = people.setdefault(signed.strip().casefold(), f"person {len(people) + 1}")
            yield {**item, "initials": who}
        else:
            yield item
