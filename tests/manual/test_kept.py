"""What a manual keeps: under one key one thing, wherever it is asked for."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import procedures_lib
from tests.helpers import manual_from

LIBRARY = Path(procedures_lib.__file__).parent


def kept_in(tree: ast.AST) -> list[tuple[str, str]]:
    """The words of each key, what is not a word as `*`, and what makes the thing there."""
    found = []
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        if (
            node.func.attr != "once"
            or len(node.args) != 2
            or not isinstance(node.args[0], ast.Tuple)
        ):
            continue
        words = (ast.unparse(part) if isinstance(part, ast.Constant) else "*"
                 for part in node.args[0].elts)  # fmt: skip
        found.append((" ".join(words), ast.unparse(node.args[1])))
    return found


def test_a_key_is_of_one_thing() -> None:
    """Two indexes of double entry stood under one key, and one of them found nothing."""
    makers: dict[str, set[str]] = defaultdict(set)
    for path in sorted(LIBRARY.rglob("*.py")):
        for key, maker in kept_in(ast.parse(path.read_text("utf-8"))):
            makers[key].add(maker if maker.startswith("lambda") else f"{path.stem}: {maker}")
    assert len(makers) > 15
    several = {key: each for key, each in makers.items() if len(each) > 1}
    assert set(several) <= {"'uses' * ''"}, several  # both make the uses of a plan


def test_what_is_kept_is_made_once() -> None:
    manual = manual_from({"page.md": "# A\n"})
    assert manual.once(("some", "thing"), lambda: [1]) is manual.once(
        ("some", "thing"), lambda: [2]
    )
