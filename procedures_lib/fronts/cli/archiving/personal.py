"""What of a person stays in a record that is kept, as the shop wants it."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any
from unicodedata import normalize

from procedures_lib.fronts.cli.archiving.durable import write_whole
from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.manual.archive_settings import ArchiveSettings

_READING = frozenset({"step", "joint", "stage", "value", "unit", "wrench", "initials", "at"})
_REMARK = frozenset({"step", "kind", "text", "at", "picture"})
_MEMBERS = {
    "": frozenset(
        {"format", "procedure", "title", "revision", "digest", "vehicle", "car", "reference",
         "begun", "saved", "steps", "readings", "stages", "set_aside", "remarks", "handovers"}
    ),
    "steps": frozenset({"number", "title", "done"}),
    "readings": _READING,
    "stages": frozenset({"step", "joint", "stage", "done"}),
    "set_aside": _READING | _REMARK | {"key"},
    "handovers": frozenset({"step", "at"}),
    "remarks": _REMARK,
}  # fmt: skip
"""The members of a record that the page writes; any other may name a person."""


_FEWEST_SIGNS = 32
_CHECKED = "the key of this archive"


class Key:
    """The archive's secret: what it hashes can be looked for, and not found by trying.

    A hash of it stands beside it: another key, or an empty one, would find nothing without a word.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._check = path.with_name(f"{path.name}.check")
        self._secret = b""

    @property
    def is_there(self) -> bool:
        """Whether the archive has one."""
        return self._path.exists()

    def make(self) -> None:
        """Make one; who may read it is for the rights of the folder to say."""
        write_whole(self._path, secrets.token_hex(32).encode() + b"\n")

    @property
    def fault(self) -> str:
        """Why it is not the key that the archive was begun with, "" where it is."""
        try:
            secret = self._path.read_bytes().strip()
        except OSError as error:
            return f"it can't be read: {error.strerror}"
        if len(secret) < _FEWEST_SIGNS:
            return "it is empty, or was cut off"
        known = self._check.read_text("ascii", "replace") if self._check.exists() else ""
        if known and known.strip() != _hash(secret, _CHECKED):
            return "it is not the key with which this archive was begun"
        return ""

    def confirm(self) -> None:
        """Raise :class:`Refused` where it is not the archive's key; note of a good one that it is.

        Inside ``writing``.
        """
        self._read()
        if not self._check.exists():
            write_whole(self._check, f"{_hash(self._secret, _CHECKED)}\n".encode())

    def _read(self) -> None:
        if fault := self.fault:
            raise Refused(
                f"{relative(self._path)}: {fault}: with it neither registrations nor doubles are "
                "known again.\nBring `key` and `key.check` back from the backup of the archive."
            )
        self._secret = self._path.read_bytes().strip()

    def hash(self, text: str) -> str:
        """Return 16 hex digits for a text; :class:`Refused` where the key is not the archive's."""
        if not self._secret:
            self._read()
        return _hash(self._secret, text)

    def registration(self, reference: str) -> str:
        """Return the hash of an order or a number plate; "" for none.

        However it is spaced, and however its letters are put together (NFKC, UAX #15).
        """
        text = normalize("NFKC", normalize("NFKC", reference).casefold())
        bare = "".join(sign for sign in text if sign.isalnum())
        return self.hash(f"registration {bare}") if bare else ""


def _hash(secret: bytes, text: str) -> str:
    """16 hex digits for a text (HMAC with SHA-256, RFC 2104)."""
    raw = text.encode("utf-8", "replace")
    return hmac.new(secret, raw, hashlib.sha256).hexdigest()[:16]


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
        made["remarks"] = [_only(each, _WORDLESS, []) for each in remarks]
    if isinstance(aside := made.get("set_aside"), list):
        made["set_aside"] = [_only(e, _WORDLESS, []) if is_remark(e) else e for e in aside]
    return made


_WORDLESS = frozenset({"key", "step", "kind", "at"})


def is_remark(value: Any) -> bool:
    """Tell whether something that was set aside is a remark, and not a reading."""
    return isinstance(value, dict) and "kind" in value


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
