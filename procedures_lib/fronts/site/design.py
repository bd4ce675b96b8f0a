"""What a page may use of sphinx-design: its style sheet cut down to that, and none of its scripts.

The closed list of directives (``language/reading/allow_list.toml``) leaves a closed set of classes.
Tabs and folds work by CSS and HTML alone, so its script is not sent at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import sphinx_design

from procedures_lib.fronts.formats.procedure_files import write_if_other

if TYPE_CHECKING:
    from sphinx.application import Sphinx


STYLES = "sphinx-design.min.css"
_FROM = Path(sphinx_design.__file__).with_name("static")
_LAST = 900
_CLASS = re.compile(r"\.(sd-[\w-]+)")
_USED = re.compile(
    r"sd-(?:container-fluid|row|row-cols-(?:(?:xs|sm|md|lg)-)?(?:[1-9]|1[0-2])"
    r"|g-(?:(?:xs|sm|md|lg)-)?[0-5]|col|d-flex-(?:row|column)|mb-[34]|w-100|shadow-sm"
    r"|font-weight-bold|card(?:-body|-header|-text|-title)?|dropdown"
    r"|summary-(?:title|text|content|state-marker|chevron-right)|tab-(?:set|label|content))"
)
"""Classes of the directives on the list, with the options on the list."""
_RULE = re.compile(r"([^{}]+)\{((?:[^{}]|\{[^{}]*\})*)\}")
_VARIABLE = re.compile(r"var\((--[\w-]+)")


def is_used(name: str) -> bool:
    """Tell whether a page can have an element of this class."""
    return _USED.fullmatch(name) is not None


def used_rules(css: str) -> str:
    """Return the rules of a style sheet that a page can use, with the variables they read."""
    rules = list(_kept(css))
    said = "".join(f"{head}{{{body}}}" for head, body in rules if head != ":root")
    wanted = set(_VARIABLE.findall(said))
    for head, body in rules:
        if head == ":root":
            own = [one for one in body.split(";") if one.partition(":")[0].strip() in wanted]
            said = f":root{{{';'.join(own)}}}{said}"
    return said + "\n"


def _kept(css: str) -> Iterator[tuple[str, str]]:
    for head, body in _RULE.findall(css):
        if head.startswith("@media"):
            inner = "".join(f"{one}{{{said}}}" for one, said in _kept(body))
            if inner:
                yield head, inner
        elif not head.startswith("@"):
            parts = [part for part in head.split(",") if all(map(is_used, _CLASS.findall(part)))]
            if parts:
                yield ",".join(parts), body


def add_design(app: Sphinx) -> None:
    """Have the site of this project's theme send what is used of sphinx-design."""
    app.connect("builder-inited", _use_own, priority=_LAST)


def _use_own(app: Sphinx) -> None:
    theme = getattr(app.builder, "theme", None)
    folders = app.config.html_static_path
    if theme is None or "find" not in theme.get_options({}) or str(_FROM) not in folders:
        return
    own = Path(app.doctreedir, "design")
    own.mkdir(parents=True, exist_ok=True)
    write_if_other(own / STYLES, used_rules((_FROM / STYLES).read_text("utf-8")).encode())
    folders[folders.index(str(_FROM))] = str(own)
