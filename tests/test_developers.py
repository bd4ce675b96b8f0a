"""DEVELOPERS.md has one line for each package, the first of its docstring: they can't drift apart.

``python -m tests.test_developers`` writes these lines anew, and prints one for each file.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[1]
LIBRARY = PROJECT / "procedures_lib"
PAGE = PROJECT / "DEVELOPERS.md"
BEGIN, END = "<!-- packages: begin -->", "<!-- packages: end -->"
_PATH = re.compile(r"`([a-z_]+(?:/[a-z_0-9-]+)*/(?:[a-z_0-9-]+\.[a-z]+)?)`")


def first_line(path: Path) -> str:
    """The first line of a module's docstring."""
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert docstring, f"{path} has no docstring"
    return docstring.split("\n")[0]


def packages() -> list[Path]:
    """The folders of the library, each after the one that it stands in."""
    return sorted(path.parent for path in LIBRARY.rglob("__init__.py") if path.parent != LIBRARY)


def package_list() -> str:
    """The packages of the library, one a line, those inside another below it."""
    lines = []
    for folder in packages():
        name = folder.relative_to(LIBRARY)
        indent = "  " * (len(name.parts) - 1)
        lines.append(f"{indent}- `{name.as_posix()}/`: {first_line(folder / '__init__.py')}")
    return "\n".join(lines)


def file_list() -> str:
    """The files of the library, one a line."""
    files = sorted(path for path in LIBRARY.rglob("*.py") if path.name != "__init__.py")
    return "\n".join(f"{path.relative_to(LIBRARY)}: {first_line(path)}" for path in files)


def test_the_list_of_packages_is_up_to_date() -> None:
    text = PAGE.read_text(encoding="utf-8")
    listed = text[text.index(BEGIN) + len(BEGIN) : text.index(END)].strip("\n")
    assert listed == package_list(), "run: python -m tests.test_developers"


def test_every_file_says_what_it_is_for() -> None:
    said = [line.split(": ", 1)[1] for line in file_list().splitlines()]
    assert len(said) == len(set(said)) > 100


@pytest.mark.parametrize("name", sorted(set(_PATH.findall(PAGE.read_text(encoding="utf-8")))))
def test_what_it_names_is_there(name: str) -> None:
    places = (PROJECT, LIBRARY, LIBRARY / "fronts" / "site", PROJECT / "conf")
    assert name == ".build/" or any((place / name).exists() for place in places)


def main() -> None:
    """Write the list of packages anew, and print the files."""
    text = PAGE.read_text(encoding="utf-8")
    before, after = text[: text.index(BEGIN) + len(BEGIN)], text[text.index(END) :]
    PAGE.write_text(f"{before}\n\n{package_list()}\n\n{after}", encoding="utf-8")
    print(file_list())


if __name__ == "__main__":
    main()
