"""Tries an attack: what the checks say of it, and what a plain build of Sphinx makes of it."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING

from sphinx.application import Sphinx
from sphinx.util.docutils import docutils_namespace, patch_docutils

from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from tests.hostile.attacks import CANARY, EVIL, RUN, Attack

if TYPE_CHECKING:
    from procedures_lib.findings import Finding

CONF = """
extensions = ["myst_parser", "sphinx_design", "procedures_lib.fronts.site"]
project = "Manual"
html_theme = "bench"
exclude_patterns = []
"""
INDEX = "# Manual\n\n```{toctree}\n:glob:\n\n*\n```\n"
PICTURE = b"\x89PNG\r\n\x1a\n" + b"\0" * 24
OWN_SCRIPTS = re.compile(r"(?:/|(?:\.\./)*)_static/[\w-]+\.js(?:\?v=\w+)?")
OWN_FILES = frozenset({"searchindex.js", "worker.js", "worker-2.js"})
ADDRESS_KEYS = frozenset({"href", "src", "action", "data", "poster", "srcset", "formaction"})


@dataclass
class Outcome:
    """What became of a manual: findings, Sphinx's warnings, and the harm by file."""

    findings: list[Finding] = field(default_factory=list)
    warnings: str = ""
    harm: dict[str, set[str]] = field(default_factory=dict)


def write(root: Path, attack: Attack) -> Path:
    """Write the manual with the attack in it; return the folder outside, with the canary."""
    out, docs = root / "outside", root / "project" / "docs"
    out.mkdir(parents=True)
    (out / "secret.txt").write_text(f"# {CANARY}\n")
    (out / "secret.png").write_bytes(PICTURE + CANARY.encode())
    (root / "project" / "conf").mkdir(parents=True)
    (root / "project" / "conf" / "conf.py").write_text(CONF)
    docs.mkdir()
    (docs / "index.md").write_text(INDEX)
    (docs / "harmless.md").write_text("# Harmless\n")
    for name, text in attack.files.items():
        path = docs / name
        path.parent.mkdir(parents=True, exist_ok=True)
        filled = text.replace("{run!r}", repr(str(root / RUN))).replace("{run}", str(root / RUN))
        path.write_text(filled.replace("{out}", str(out)), encoding="utf-8")
    for name, target in attack.links.items():
        (docs / name).symlink_to(target.replace("{out}", str(out)))
    if "p.png" not in attack.links:
        (docs / "p.png").write_bytes(PICTURE)
    return out


def together(attacks: list[Attack]) -> Attack:
    """Put attacks that are one page each into one manual, by number."""
    return Attack("all", {f"a{n:04}.md": a.files["attack.md"] for n, a in enumerate(attacks)})


def found_by(attack: Attack, root: Path) -> list[Finding]:
    """Return what the checks find in a manual with the attack in it."""
    write(root, attack)
    return check_manual(Manual.read(root / "project" / "docs"))


def attempt(root: Path, attack: Attack) -> Outcome:
    """Check and build a manual with the attack in it, without stopping at what is found."""
    found = Outcome(found_by(attack, root))
    warning = io.StringIO()
    docs, conf, site = root / "project" / "docs", root / "project" / "conf", root / "site"
    with patch_docutils(str(conf)), docutils_namespace():
        app = Sphinx(docs, conf, site, root / "trees", "html", status=None, warning=warning)
        app.build()
    found.warnings = warning.getvalue()
    found.harm = harm_in(site)
    if (root / RUN).exists():
        found.harm[RUN] = {"it ran a command"}
    return found


def harm_in(site: Path) -> dict[str, set[str]]:
    """Return what a built site holds that no page may bring there, by file."""
    harm: dict[str, set[str]] = {}
    for path in site.rglob("*"):
        if path.is_file() and "_static" not in path.parts and (seen := _harm_of(path)):
            harm[path.relative_to(site).as_posix()] = seen
    return harm


def _harm_of(path: Path) -> set[str]:
    harm: set[str] = set()
    if CANARY.encode() in path.read_bytes():
        harm.add("a file from outside")
    if path.suffix == ".html":
        looked = _Looking()
        looked.feed(path.read_text("utf-8"))
        harm |= looked.harm
    elif path.suffix in {".js", ".svg", ".exe"} and path.name not in OWN_FILES:
        harm.add(f"a published {path.suffix}")
    return harm


class _Looking(HTMLParser):
    """Reads a page as a browser would, and notes what runs or leads to another host."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.harm: set[str] = set()
        self.inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note elements and attributes that do more than show text."""
        values = {key: value or "" for key, value in attrs}
        if tag in {"iframe", "object", "embed", "base", "frame", "applet"}:
            self.harm.add(f"an element {tag}")
        data = values.get("type") == "application/ld+json"  # read by programs, run by none
        if tag == "script" and not data and not OWN_SCRIPTS.fullmatch(values.get("src", "")):
            self.harm.add("a script")
        if tag == "meta" and values.get("http-equiv", "").lower() == "refresh":
            self.harm.add("a refresh")
        for key, value in values.items():
            if key.startswith("on"):
                self.harm.add(f"a handler {key}")
            if key in ADDRESS_KEYS:
                self._address(tag, value)

    def _address(self, tag: str, value: str) -> None:
        plain = re.sub(r"[\x00-\x20]", "", value).lower()
        scheme = re.match(r"([a-z][a-z0-9+.-]*):", plain)
        if scheme and scheme[1] not in {"http", "https", "mailto"}:
            self.harm.add(f"an address {scheme[1]}:")
        if tag != "a" and (EVIL in plain or plain.startswith("//")):
            self.harm.add(f"something from another host in {tag}")
