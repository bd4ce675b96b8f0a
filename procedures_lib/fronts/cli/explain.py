"""``procedures explain``: what a check finds and why it matters, in the terminal."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import Folders, PathWord, Word, find_folders, with_colour
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, has_colour
from procedures_lib.judging.checks.catalogue import CATALOGUE, FAMILIES
from procedures_lib.language.reading.page import Block
from procedures_lib.language.reading.page_text import page_text
from procedures_lib.language.reading.reader import read_page
from procedures_lib.spelling import nearest


def help_of_check(check: str, folders: Folders) -> str:
    """Return the manual's page about a check, ``checks/NAME.md``, as Markdown that needs no site.

    "" where the manual has none.
    """
    path = folders.pages / "checks" / f"{check}.md"
    return plain_markdown(path.read_bytes()) if path.is_file() else ""


def plain_markdown(raw: bytes) -> str:
    """Return a page with its examples as ordinary code, each under what it shows."""
    text, _ = page_text(raw, "page.md")
    lines = text.split("\n")
    blocks = [b for b in read_page(raw, "page.md").blocks if b.name == "page-example"]
    for block in reversed(blocks):
        lines[block.place.line - 1 : block.end] = _example(block)
    return "\n".join(lines).strip() + "\n"


def _example(block: Block) -> Iterator[str]:
    if block.argument:
        yield from (f"*{block.argument}:*", "")
    longest = max((len(line) - len(line.lstrip("`")) for line in block.body.split("\n")), default=0)
    fence = "`" * max(3, longest + 1)
    yield from (f"{fence}md", *block.body.split("\n"), fence)


@click.command(epilog=EXIT_CODES, short_help="Say what a check finds, and why.")
@click.argument("check", required=False, type=Word())
@click.option(
    "--manual",
    metavar="DIR",
    type=PathWord(exists=True, file_okay=False, path_type=Path),
    help="The folder of the manual's pages, for the page `checks/CHECK.md` in it.  "
    "[default: the nearest `docs` beside a `conf`]",
)
@with_colour
def explain(check: str | None, manual: Path | None, colour: str) -> int:
    """Show the page of a CHECK, or list all checks.

    The page is read from the manual, `checks/CHECK.md`. A manual without one gets the line of the
    list of checks.
    """
    if check is None:
        click.echo("\n".join(_all_checks()))
        return ExitCode.CLEAN
    if check not in CATALOGUE:
        near = nearest(check, CATALOGUE)
        hint = f"did you mean `{near}`?" if near else "`procedures explain` lists them all."
        raise Refused(f"there is no check `{check}`: {hint}")
    text = _page(check, manual) or _line(check)
    click.echo(_styled(text).rstrip("\n"), color=has_colour(colour, sys.stdout))
    return ExitCode.CLEAN


def _page(check: str, manual: Path | None) -> str:
    try:
        folders = find_folders(manual)
    except Refused:
        return ""
    return help_of_check(check, folders)


def _line(check: str) -> str:
    about = CATALOGUE[check]
    return (
        f"# {check}\n\nFinds {about.finds}.\n\nFamily: {about.family}. Level: {about.level}. "
        f"This manual has no page of its own about it (checks/{check}.md).\n"
    )


def _styled(text: str) -> str:
    """Headings bold, examples indented, control characters made visible."""
    lines, fence = [], ""
    for line in text.split("\n"):
        mark = line[: len(line) - len(line.lstrip("`"))]
        if len(mark) >= 3 and (not fence or line == fence):
            fence = "" if fence else mark
            continue
        plain = "".join(sign if sign.isprintable() else "\ufffd" for sign in line)
        heading = not fence and plain.startswith("#")
        lines.append(click.style(plain.lstrip("# "), bold=True) if heading else plain)
        if fence:
            lines[-1] = f"    {plain}".rstrip()
    return "\n".join(lines)


def _all_checks() -> list[str]:
    lines: list[str] = []
    for family in FAMILIES:
        lines += ["", f"{family.capitalize()}:"]
        checks = [check for check in CATALOGUE.values() if check.family == family]
        lines += [f"  {check.name}: {check.finds}" for check in checks]
    return lines[1:]
