"""What a page may bring beside the page language: a closed list, and the one judge of it.

The reader asks it for ``check``, the site asks it again while it renders: what one refuses, the
other does not let through.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from procedures_lib.data_tables import toml_table
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, ROLE_NAMES
from procedures_lib.language.reading.block_yaml import compose
from procedures_lib.language.reading.page import Tree
from procedures_lib.spelling import suggestion


class Fault(NamedTuple):
    """What is not allowed: ``line`` counts from 0, from the first line of what was judged."""

    line: int
    check: str
    message: str
    hint: str


@dataclass(frozen=True, slots=True)
class Directive:
    """A directive that is no block of the page language, as ``allow_list.toml`` has it."""

    name: str
    purpose: str
    argument: str
    body: str
    needs: str = ""
    options: Mapping[str, str] = field(default_factory=dict)
    within: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    hides: bool = False


_DATA = toml_table(__package__, "allow_list.toml")
SCHEMES: Mapping[str, str] = _DATA["schemes"]
SETTINGS: Mapping[str, Mapping[str, str]] = _DATA["settings"]
ROLES: Mapping[str, str] = _DATA["roles"]
DIRECTIVES = {name: Directive(name, **row) for name, row in _DATA["directives"].items()}
_INSTEAD: Mapping[str, str] = _DATA["instead"]

LANGUAGES: Mapping[str, str] = _DATA["languages"]
_LANGUAGE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_+#.-]{0,30}")

_SCHEME = re.compile(r"\s*([A-Za-z][A-Za-z0-9+.-]*):")
_PROGRAMS = frozenset({"javascript", "vbscript", "data"})
VALUES = {
    "flag": (re.compile("(?:true)?"), "nothing"),
    "number": (re.compile("[1-9]"), "a whole number from 1 to 9"),
    "gap": (re.compile("[0-5]"), "a number from 0 to 5"),
    "words": (
        re.compile(r"[^\W_](?:[^\n:#\\]|:(?=\S)|(?<=\S)#)*"),
        "words that begin with a letter or digit, without ` #`, `: ` and backslashes",
    ),
}
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")

TAKE_OUT = "write it in Markdown, or leave it out"
ADDRESS = "link to a page or to a web address"
_PASSES = frozenset({"raw", "eval-rst", "role", "default-role", "meta"})
"""Directives that would bring HTML past the escaping, or that make a role which does."""

_UNSEEN = frozenset({"include", "eval-rst"})
"""Directives that would bring in text which the reader has not seen."""


def block_faults(name: str) -> Iterator[Fault]:
    """Say why a directive of this name is refused; nothing for one that a page may hold."""
    if name in BLOCK_KINDS or name in DIRECTIVES:
        return
    hint = _INSTEAD.get(name, "")
    if name in _PASSES:
        said = f"`{{{name}}}` brings text onto the page as it is"
        yield Fault(0, "raw-html", said, TAKE_OUT)
    if name in _UNSEEN:
        yield Fault(0, "unseen-text", f"`{{{name}}}` is not read by the checks", hint)
    if name in _PASSES or name in _UNSEEN:
        return
    near = hint or suggestion(name, {*BLOCK_KINDS, *DIRECTIVES})
    if not hint and not near.startswith("did"):
        near = "the blocks are listed in the writer's guide"
    yield Fault(0, "unknown-block", f"there is no block `{{{name}}}`", near)


def role_fault(name: str) -> Fault | None:
    """Say why a role of this name is refused; None for one that a page may use."""
    if name in ROLES or name in ROLE_NAMES:
        return None
    hint = _INSTEAD.get(name) or suggestion(name, {*ROLES, *ROLE_NAMES}).replace("`", "")
    hint = re.sub(r"^did you mean (\S+)\?$", r"did you mean {\1}?", hint)
    return Fault(0, "unknown-role", f"there is no role {{{name}}}", hint)


def language_faults(language: str) -> Iterator[Fault]:
    """Yield why a code example can't be in a language; none has to be named."""
    if language and not _LANGUAGE.fullmatch(language):
        said = f"`{language}` is no language of code"
        yield Fault(0, "unknown-word", said, "name one, such as `text`, or leave it out")


def coloured(language: str) -> str:
    """Return the language that a code example is shown in: plain text for one not on the list."""
    return language if not language or language in LANGUAGES else "text"


def address_fault(address: str, picture: bool = False) -> Fault | None:
    """Say why an address is refused: that of a link, or of a picture, which is never from outside.

    ``address`` is what the Markdown parser made of it, its escapes resolved.
    """
    scheme = _SCHEME.match(address)
    name = scheme[1].lower() if scheme else ""
    if name in _PROGRAMS:
        return Fault(0, "raw-html", "a link to a program", ADDRESS)
    if _CONTROL.search(address) or "\\" in address or "%5c" in address.lower():
        said = "an address with a backslash or a hidden character"
        return Fault(0, "foreign-address", said, "write it with plain letters and forward slashes")
    if address.lstrip().startswith("//"):
        said = f"`{address}` leads to another host without saying how"
        return Fault(0, "foreign-address", said, f"write `https:{address.strip()}`, or a path")
    if picture and name:
        said = f"the picture `{address}` is not in the manual"
        return Fault(0, "foreign-address", said, "keep it below the manual's folder, name its path")
    if scheme and scheme[1] not in SCHEMES:
        known = ", ".join(f"`{scheme}:`" for scheme in SCHEMES)
        said = f"an address that begins with `{name}:`"
        return Fault(0, "foreign-address", said, f"{ADDRESS}: {known} or a path")
    return None


def is_path(address: str) -> bool:
    """Whether an address is a path in the manual, perhaps with ``#heading``: it has no scheme."""
    return _SCHEME.match(address) is None


class Settings(NamedTuple):
    """What stands above a page between ``---``: the settings that are allowed, and the faults."""

    values: Mapping[str, int]
    faults: tuple[Fault, ...]


@cache
def settings_above(front: str) -> Settings:
    """Read the text between the ``---`` lines above a page; its first line counts as line 1."""
    yaml = compose(front, "", 1)
    faults = [Fault(f.place.line, f.check, f.message, f.hint) for f in yaml.findings]
    tree: Tree = yaml.tree if yaml.tree is not None else {}
    if not isinstance(tree, dict):
        faults.append(Fault(1, "wrong-shape", "what stands above the page is no list of settings",
                            "write `key: value` lines between the two `---`"))  # fmt: skip
        tree = {}
    values: dict[str, int] = {}
    for key, value in tree.items():
        fault = _setting_fault(str(key), value, key.line)
        if fault is None:
            values[str(key)] = int(str(value)) if str(value).isdigit() else 1
        else:
            faults.append(fault)
    return Settings(values, tuple(faults))


def _setting_fault(key: str, value: Tree, line: int) -> Fault | None:
    if key not in SETTINGS:
        said = f"`{key}` above the page is no setting that a page can make"
        return Fault(line, "foreign-setting", said, suggestion(key, SETTINGS))
    form, hint = VALUES[SETTINGS[key]["value"]]
    if not form.fullmatch(str(value)):
        return Fault(line, "wrong-shape", f"`{value}` can't be `{key}`", f"write {hint}")
    return None
