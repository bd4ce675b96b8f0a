"""DEVELOPERS.md has one line for each file, the first of its docstring: they can't drift apart.

``python -m tests.test_developers`` writes the list anew.
"""

from __future__ import annotations

import ast
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]
PAGE = PROJECT / "DEVELOPERS.md"
BEGIN, END = "<!-- files: begin -->", "<!-- files: end -->"


def first_line(path: Path) -> str:
    """The first line of a module's docstring."""
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert docstring, f"{path} has no docstring"
    return docstring.split("\n")[0]


def file_list() -> str:
    """The files of the library, a folder a paragraph and a file a line."""
    lines: list[str] = []
    folders = sorted({path.parent for path in (PROJECT / "procedures_lib").rglob("*.py")})
    for folder in folders:
        name = folder.relative_to(PROJECT).as_posix()
        about = first_line(folder / "__init__.py")
        lines += ["", f"**`{name}/`**: {about}", ""]
        lines += [
            f"- `{path.name}`: {first_line(path)}"
            for path in sorted(folder.glob("*.py"))
            if path.name != "__init__.py"
        ]
    return "\n".join(lines).strip()


def test_the_file_list_is_up_to_date() -> None:
    text = PAGE.read_text(encoding="utf-8")
    listed = text[text.index(BEGIN) + len(BEGIN) : text.index(END)].strip()
    assert listed == file_list(), "run: python -m tests.test_developers"


def main() -> None:
    """Write the list anew."""
    text = PAGE.read_text(encoding="utf-8")
    before, after = text[: text.index(BEGIN) + len(BEGIN)], text[text.index(END) :]
    PAGE.write_text(f"{before}\n\n{file_list()}\n\n{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
