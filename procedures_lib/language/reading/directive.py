"""One directive of the allow list as a page writes it: its argument, options, body, neighbours."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from procedures_lib.language.reading.allow_list import (
    DIRECTIVES,
    VALUES,
    Directive,
    Fault,
    address_fault,
    is_path,
    language_faults,
)
from procedures_lib.language.reading.block_kinds import IN_SIGHT
from procedures_lib.language.reading.markdown import block_tokens
from procedures_lib.language.reading.page import Pointer
from procedures_lib.spelling import suggestion

_OPTION = re.compile(r":([a-z][a-z-]*):(?: +(\S.*?))? *")
_ARGUMENTS = {
    "columns": (
        re.compile(r"(?:[1-9]|1[0-2])(?: (?:[1-9]|1[0-2])){3}|[1-9]|1[0-2]|"),
        "how many columns, or four numbers: phone, tablet, desk, wide screen",
    ),
    "none": (re.compile(""), "nothing"),
}
_CARD_RULE = re.compile(r"^(?:\^{3,}|\+{3,})\s*$", re.MULTILINE)
_TITLED = re.compile(r"(.+?)\s*<([^<]*?)>")
"""A line of a list of contents with a title of its own."""

_WEB = re.compile(r"https?://|(?i:javascript|vbscript|data):")
"""What leads out of a list of contents; programs are told as such."""


class Parts(NamedTuple):
    """A directive's content taken apart; ``first`` is the body's first line, from 0."""

    options: tuple[tuple[int, str, str], ...]
    body: str
    first: int
    faults: tuple[Fault, ...]


def directive_faults(name: str, argument: str, content: str) -> Iterator[Fault]:
    """Yield what is wrong with one directive of the list: its argument, options and body.

    ``content`` is all that stands below the opening line. What stands inside the body is judged
    where it is met.
    """
    allowed = DIRECTIVES[name]
    if allowed.argument == "picture":
        yield from _picture_faults(argument)
    elif allowed.argument == "language":
        yield from language_faults(argument)
    elif allowed.argument in _ARGUMENTS:
        value, hint = _ARGUMENTS[allowed.argument]
        if not value.fullmatch(argument):
            said = f"`{argument}` can't stand after `{{{name}}}`"
            yield Fault(0, "wrong-shape", said, f"write {hint} there")
    parts = parts_of(content)
    yield from parts.faults
    for line, key, value_text in parts.options:
        yield from _option_faults(allowed, line, key, value_text)
    yield from _lacking(allowed, argument.strip(), parts.body.strip())
    if name in {"card", "grid-item-card"} and (rule := _CARD_RULE.search(parts.body)):
        line = parts.first + parts.body.count("\n", 0, rule.start())
        yield Fault(1 + line, "wrong-shape", "a line of `^^^` or `+++` parts this card",
                    "leave it out: a card has a title and a text")  # fmt: skip


def _lacking(allowed: Directive, argument: str, body: str) -> Iterator[Fault]:
    lacks = {
        "argument": "" if argument else "its text on the same line",
        "body": "" if body else "something in it",
    }
    if allowed.needs == "either":
        lacks = {"body": lacks["argument"] and lacks["body"]}
    elif allowed.needs != "both":
        lacks = {allowed.needs: lacks.get(allowed.needs, "")}
    for lack in filter(None, lacks.values()):
        yield Fault(0, "missing-field", f"`{{{allowed.name}}}` needs {lack}", "add it")
    if body and allowed.body == "none":
        said = f"`{{{allowed.name}}}` holds options only"
        yield Fault(0, "unknown-field", said, "move the text out of the block")


def _option_faults(allowed: Directive, line: int, key: str, value: str) -> Iterator[Fault]:
    if key not in allowed.options:
        hint = suggestion(key, allowed.options) or "leave it out"
        said = f"`{{{allowed.name}}}` has no option `{key}`"
        yield Fault(1 + line, "unknown-field", said, hint)
        return
    form, hint = VALUES[allowed.options[key]]
    if not form.fullmatch(value):
        said = f"`{value}` can't be the option `{key}`"
        yield Fault(1 + line, "wrong-shape", said, f"write {hint}")


def parts_of(content: str) -> Parts:
    """Take the option lines off the top of a directive's content.

    Only plain lines ``:key: value`` are options here: in YAML one value can be written in many
    ways, and what it comes to would be left to a second parser.
    """
    if content.lstrip().startswith("---"):
        said = "this directive takes its options as lines, not between `---`"
        fault = Fault(1, "wrong-shape", said, "write `:key: value` on a line of its own")
        return Parts((), content, 0, (fault,))
    options: list[tuple[int, str, str]] = []
    faults: list[Fault] = []
    lines = content.split("\n")
    blank = next((n for n, line in enumerate(lines) if line.strip()), len(lines))
    end = blank
    while end < len(lines) and _is_option(lines[end]):
        match = _OPTION.fullmatch(lines[end])
        if match and not blank:
            options.append((end, match[1], match[2] or ""))
        else:
            hint = "write `:key: value` right below the opening line, or begin the text otherwise"
            faults.append(Fault(1 + end, "wrong-shape", "this line is no plain option", hint))
        end += 1
    return Parts(tuple(options), "\n".join(lines[end:]), end, tuple(faults))


def _is_option(line: str) -> bool:
    """Whether MyST reads a line as an option: a colon that does not begin a fence."""
    start = line.lstrip()
    return start.startswith(":") and not start.startswith(":::")


def _picture_faults(path: str) -> Iterator[Fault]:
    fault = address_fault(path, picture=True)
    if fault is not None:
        yield fault
    elif "%" in path or len(path.split()) > 1:
        yield Fault(0, "wrong-shape", f"`{path}` has a space or a % in it",
                    "give the picture a plain name")  # fmt: skip


def body_faults(allowed: Directive, body: str) -> Iterator[Fault]:
    """Yield text in a directive that holds others only, and a caption that is no paragraph."""
    if allowed.body not in {"items", "caption"}:
        return
    kinds = [token.type for token in block_tokens(body) if token.level == 0]
    if allowed.body == "items" and not {*kinds} <= {"fence", "colon_fence"}:
        yield Fault(0, "wrong-shape", f"`{{{allowed.name}}}` holds text of its own",
                    f"it holds only {_listed(allowed.holds)}")  # fmt: skip
    elif allowed.body == "caption" and kinds[:1] not in ([], ["paragraph_open"]):
        yield Fault(0, "wrong-shape", "the caption of this figure is no paragraph",
                    "begin with a sentence; lists and the like come after it")  # fmt: skip


def nesting_faults(outer: Directive | None, inner: Iterable[tuple[str, int]]) -> Iterator[Fault]:
    """Yield what may not stand right inside a directive, or outside of any.

    ``inner`` are the names of what stands there, each with its line, which is that of the fault.
    """
    for name, line in inner:
        within = DIRECTIVES[name].within if name in DIRECTIVES else ()
        if outer and outer.holds and name not in outer.holds:
            yield Fault(line, "wrong-shape", f"`{{{name}}}` can't stand in `{{{outer.name}}}`",
                        f"it holds only {_listed(outer.holds)}")  # fmt: skip
        elif within and (outer is None or outer.name not in within):
            yield Fault(line, "wrong-shape", f"`{{{name}}}` stands outside of {_listed(within)}",
                        f"put it into {_listed(within)}")  # fmt: skip


def hidden_faults(outer: Directive, inner: Iterable[tuple[str, int]]) -> Iterator[Fault]:
    """Yield the work and the warnings inside a directive that hides; lines as above."""
    for name, line in inner:
        if name in IN_SIGHT:
            said = f"`{{{name}}}` is not seen until its `{{{outer.name}}}` is opened"
            hint = "put it on the page itself, with a `when` if it is for some cars only"
            yield Fault(line, "wrong-shape", said, hint)


def _listed(names: tuple[str, ...]) -> str:
    return " or ".join(f"`{{{name}}}`" for name in names)


def contents_entries(parts: Parts, line: int) -> Iterator[Pointer | Fault]:
    """Yield the pages that a list of contents, which begins on a line, names; and bad lines."""
    kind = "glob" if any(key == "glob" for _, key, _ in parts.options) else "entry"
    for at, text in enumerate(parts.body.split("\n"), start=line + 1 + parts.first):
        if not text.strip():
            continue
        titled = _TITLED.fullmatch(text)
        target = titled[2] if titled else text
        other = not is_path(target) and not _WEB.match(target)
        if target != target.strip() or target == "self" or not target or other:
            yield Fault(at, "wrong-shape", f"`{text.strip()}` names no page",
                        "write a page's path and nothing else, or `Title <path>`")  # fmt: skip
        else:
            yield Pointer("entry" if titled else kind, target, at)
