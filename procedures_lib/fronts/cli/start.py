"""``procedures start``: begins a manual in a folder, which checks, builds and serves at once."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Mapping
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.fronts.cli.arguments import PathWord, Word, relative
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, version
from procedures_lib.manual.names import humanised

_SLOT = re.compile(r"@([a-z]+)@")
_PLACES = {
    "conf/settings.txt": "conf/conf.py",
    "gitignore": ".gitignore",
    "pre-commit-config.yaml": ".pre-commit-config.yaml",
    "workflow.yml": ".github/workflows/manual.yml",
}
"""Where the files go that can't lie in the package under their own names."""

_LONGEST = 120
_NEXT = """\
Next, in {folder}:
  procedures check
  procedures serve
  procedures new vehicle my-car
README.md has the rest."""


@click.command(epilog=EXIT_CODES, short_help="Begin a manual in a folder.")
@click.argument("folder", metavar="DIR", type=PathWord(path_type=Path))
@click.option(
    "--title", metavar="TEXT", type=Word(), help="The shop's name.  [default: from the folder's]"
)
@click.option(
    "--units",
    type=click.Choice(TORQUE_UNITS),
    default=TORQUE_UNITS[0],
    show_default=True,
    help="The unit of torque that stands first on the site.",
)
def start(folder: Path, title: str | None, units: str) -> int:
    """Begin a manual in DIR: pages, settings, common steps, the run that checks pull requests.

    It checks, builds and serves at once. In a folder that has files nothing is overwritten: what
    is there is left as it is, and named.
    """
    named = _title(title if title is not None else _named_after(folder))
    given = {
        "title": named,
        "name": json.dumps(named, ensure_ascii=False),
        "manual": "Fitting manual",
        "units": units,
        "version": version(),
    }
    made: list[str] = []
    kept: list[str] = []
    for place, text in sorted(_files(given)):
        (made if _write(folder / place, text) else kept).append(place)
    click.echo(f"{len(made)} files begun in {relative(folder)}.")
    for place in kept:
        click.echo(f"Left as it is: {relative(folder / place)}")
    click.echo(_NEXT.format(folder=relative(folder)))
    return ExitCode.CLEAN


def _named_after(folder: Path) -> str:
    return humanised(re.sub(r"[\s_]+", "-", folder.resolve().name)) or "The shop"


def _title(text: str) -> str:
    if not text.isprintable() or not text.strip() or len(text) > _LONGEST:
        raise Refused(f"--title: one line of at most {_LONGEST} characters, without controls.")
    return text.strip()


def _files(given: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the path of each file below the folder, and its text."""
    root = resources.files("procedures_lib.fronts.cli") / "manual_template"
    for path, file in _below(root, ""):
        text = _SLOT.sub(lambda slot: given.get(slot[1], slot[0]), file.read_text("utf-8"))
        yield _PLACES.get(path, path), text


def _below(folder: Traversable, path: str) -> Iterator[tuple[str, Traversable]]:
    for each in folder.iterdir():
        if each.name == "__pycache__":
            continue
        if each.is_dir():
            yield from _below(each, f"{path}{each.name}/")
        else:
            yield f"{path}{each.name}", each


def _write(path: Path, text: str) -> bool:
    """Put a file in place at one stroke, unless something is there."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with arriving(path, text.encode()) as made:
            os.link(made, path)
    except FileExistsError:
        return False
    except NotADirectoryError:
        raise Refused(f"{relative(path.parent)} is a file: name another folder.") from None
    return True
