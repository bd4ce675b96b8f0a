"""Generated manuals: procedure pages of 250 lines, and the same pages without our blocks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

STEPS = 40
GROUPS = 6

_FENCE = re.compile(r"^(`{3,}|:{3,})\{([a-z-]+)\}\s*(.*)$")
_OPTIONS = re.compile(r"^:do: .*\n(?:^:time: .*\n)?", re.MULTILINE)


def vehicle_page(number: int) -> str:
    """A car with forty parts and six groups of fasteners; fifty procedures share one."""
    parts = "\n".join(
        f"part-{n}: {{name: Part number {n}, held-by: bolts-{n % GROUPS}}}" for n in range(STEPS)
    )
    plugs = "\n".join(
        f"plug-{n}: {{name: Plug {n}, kind: plug, between: [part-{n}, harness]}}"
        for n in range(STEPS // 2)
    )
    bolts = "\n".join(_bolts(n) for n in range(GROUPS))
    return (
        f"# Car {number}\n\n```{{vehicle}} car-{number}\nname: Car {number}\nyears: 2018-2022\n"
        f"options:\n  gearbox: [manual, automatic]\nfixed: [harness]\n```\n\n"
        f"```{{parts}}\n{parts}\n```\n\n```{{connections}}\n{plugs}\n```\n\n"
        f"```{{fasteners}}\n{bolts}\n```\n"
    )


def _bolts(number: int) -> str:
    return (
        f"bolts-{number}:\n  name: Bolts {number}\n  kind: bolt\n  count: 4\n"
        f'  thread: M8x1.25\n  class: "8.8"\n  head: hex 13 mm\n  condition: dry\n'
        f"  positions: {{a: [0, 0], b: [90, 0], c: [90, 60], d: [0, 60]}}\n"
        f"  order: [a, c, b, d]\n  tighten: [{20 + number} N·m]\n  source: sheet {number}"
    )


def procedure_page(number: int) -> str:
    """A procedure of forty steps: twenty off, twenty on again, with tables and drawings."""
    car = number // 50
    half = STEPS // 2
    head = (
        f"# Procedure {number}\n\n```{{procedure}} work-{number}\nvehicle: car-{car}\n"
        f"revision: A\nreviewed: 2026-01-10\n```\n\n"
        f"Some words on what this is about and why it is done.\n\n```{{preparation}}\n```\n\n"
    )
    off = "".join(_off(n) for n in range(half))
    on = "".join(_on(n) for n in reversed(range(half)))
    drawings = "".join(f"```{{order-drawing}} bolts-{n}\n```\n\n" for n in (0, 1))
    tables = "```{torque-table}\n```\n\n```{parts-list}\n```\n\n```{close-up}\n```\n"
    return head + off + on + drawings + tables


def _off(n: int) -> str:
    loose = f"remove bolts-{n}, " if n < GROUPS else ""
    return (
        f":::{{step}} Take part {n} off\n"
        f":do: [disconnect plug-{n}, {loose}remove part-{n}]\n:time: 5 min\n"
        f"Pull {{connection}}`plug-{n}` by its body.\n:::\n\n"
    )


def _on(n: int) -> str:
    group = f"bolts-{n}"
    tight = f"start {group}, tighten {group}, " if n < GROUPS else ""
    words = f"Bring it to {{torque}}`{group}`." if n < GROUPS else "It clicks home."
    return (
        f":::{{step}} Put part {n} back\n:do: [fit part-{n}, {tight}connect plug-{n}]\n"
        f"{words}\n:::\n\n"
    )


def spaced(text: str) -> str:
    """The same page with the options of each step between rules, one action a line: 425 lines."""
    return _OPTIONS.sub(lambda match: _ruled(_listed(match[0])), text)


def _listed(options: str) -> str:
    actions = re.sub(r"do: \[(.*)\]", lambda match: f"do:, {match[1]}", options)
    return actions.replace(", ", "\n  - ")


def _ruled(options: str) -> str:
    return f"---\n{re.sub('^:', '', options, flags=re.MULTILINE)}---\n"


def literal(text: str) -> str:
    """The same page with every block, steps and all, as one plain code block."""
    lines = []
    for line in text.split("\n"):
        match = _FENCE.match(line)
        if match:
            lines.append(f"{match[1].replace(':', '`')}{'text' if match[2] == 'step' else 'yaml'}")
        else:
            lines.append("```" if line == ":::" else line)
    return _without_roles("\n".join(lines))


def plain(text: str) -> str:
    """The same page for Sphinx alone: data as code blocks, steps as headings with their prose."""
    lines = []
    for line in _OPTIONS.sub(lambda match: _ruled(match[0]), text).split("\n"):
        match = _FENCE.match(line)
        if match and match[2] == "step":
            lines += [f"## {match[3]}", ""]
        elif match:
            lines.append(f"{match[1]}yaml")
        elif line == "---":
            lines.append("```" if lines[-1] else "```yaml")
        else:
            lines.append("" if line == ":::" else line)
    return _without_roles("\n".join(lines))


def _without_roles(text: str) -> str:
    return re.sub(r"\{[a-z]+\}`", "`", text)


def write_manual(folder: Path, pages: int, turn: Callable[[str], str] = str) -> None:
    """Write a manual of that many procedure pages, with their cars and an index.

    ``turn`` makes another page of each: :func:`plain` or :func:`literal`.
    """
    folder.mkdir(parents=True)
    index = "# Manual\n\n```{toctree}\n:glob:\n\n*/index\n```\n"
    (folder / "index.md").write_text(index, encoding="utf-8")
    for name, page, count in (
        ("vehicles", vehicle_page, -(-pages // 50)),
        ("procedures", procedure_page, pages),
    ):
        below = folder / name
        below.mkdir()
        listing = f"# {name.capitalize()}\n\n```{{toctree}}\n:glob:\n:maxdepth: 1\n\n[!i]*\n```\n"
        (below / "index.md").write_text(listing, encoding="utf-8")
        for number in range(count):
            path = below / f"p{number:05}.md"
            path.write_text(turn(page(number)), encoding="utf-8")
