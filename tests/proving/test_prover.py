"""Sybil's tests of a manual: what is collected, and that each fails when it should."""

from __future__ import annotations

from pathlib import Path

import pytest
from sybil import Example

from procedures_lib.fronts.proving import Prover

PAGE = """# Lamp

```{vehicle} hatch
name: Small hatch
```

```{fasteners}
lamp-bolts:
  name: Lamp bolts
  kind: bolt
  count: 2
  thread: M6x1.0
  class: "8.8"
  head: hex 10 mm
  condition: dry
  tighten: [10 N·m]
  source: sheet 1
```

```{procedure} tighten-lamp
vehicle: hatch
revision: A
```

```{preparation}
```

:::{step} Loosen and tighten the lamp bolts
---
do:
  - loosen lamp-bolts
  - tighten lamp-bolts
---
Bring them to {torque}`lamp-bolts`.
:::

```{expect} Sheet 1
lamp-bolts: 89 lbf·in
```

"""

GUIDE = """# Guide

```python
>>> 1 + 1
2
```
"""


class Tried:
    """A manual of one page, collected by sybil."""

    def __init__(self, folder: Path, text: str, name: str = "lamp.md") -> None:
        docs = folder / "docs"
        self.path = docs / name
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.path.write_text(text, encoding="utf-8")
        self.prover = Prover(docs, folder / "shop.toml")
        self.examples = list(self.prover.sybil().parse(self.path).examples())

    def failures(self) -> dict[int, str]:
        """The line and message of each test that fails."""
        found = {}
        for example in self.examples:
            try:
                example.evaluate()
            except AssertionError as error:
                found[example.line] = str(error)
        return found


def starts(examples: list[Example]) -> list[str]:
    """The first line of each test's text."""
    return [e.document.text[e.start : e.end].split("\n")[0] for e in examples]


def test_every_block_step_row_and_example_is_a_test(tmp_path: Path) -> None:
    tried = Tried(tmp_path, PAGE)
    assert tried.failures() == {}
    assert starts(tried.examples) == [
        "",  # the page around the blocks
        "```{vehicle} hatch",
        "```{fasteners}",
        "```{procedure} tighten-lamp",
        "```{preparation}",
        ":::{step} Loosen and tighten the lamp bolts",
        "```{expect} Sheet 1",
        "lamp-bolts: 89 lbf·in",
    ]


def test_an_example_on_a_page_of_the_guide_is_a_test(tmp_path: Path) -> None:
    tried = Tried(tmp_path, GUIDE, "writing/lamp.md")
    assert tried.failures() == {}
    assert starts(tried.examples) == ["", ">>> 1 + 1"]


@pytest.mark.parametrize(
    ("old", "new", "test", "says"),
    [
        ("[10 N·m]", "[11 N·m]", "lamp-bolts: 89 lbf·in", "the block says 11"),
        ("89 lbf·in", "98 lbf·in", "lamp-bolts: 98 lbf·in", "expect-disagrees"),
        ("[10 N·m]", "[10]", "```{fasteners}", "no-unit"),
        ("name: Small hatch", "nam: Small hatch", "```{vehicle} hatch", "unknown-field"),
        ("- loosen lamp-bolts", "- loosen lamp-bolt", ":::{step}", "unknown-id"),
        ("{torque}`lamp-bolts`", "10 N·m", ":::{step}", "hand-typed-number"),
        (">>> 1 + 1\n2", ">>> 1 + 1\n3", ">>> 1 + 1", "Expected"),
        ("# Lamp\n", "# Lamp\n\nAbout 10 N·m.\n", "# Lamp", "hand-typed-number"),
        ("```python\n>>> 1 + 1\n2\n", "```toml\na = [\n", "```toml", "this is no toml"),
        ("```python\n>>> 1 + 1\n2\n", "```rust\nfn\n", "```rust", "is not run by anything"),
        ("```python\n>>> 1 + 1\n2\n", "```console\n$ rm x\n", "```console", "only `procedures"),
    ],
)
def test_a_fault_fails_the_test_at_its_line(
    tmp_path: Path, old: str, new: str, test: str, says: str
) -> None:
    page = PAGE if old in PAGE else GUIDE
    assert old in page
    text = page.replace(old, new)
    line = 1 + next(n for n, each in enumerate(text.split("\n")) if each.startswith(test))
    name = "lamp.md" if page == PAGE else "writing/lamp.md"
    failures = Tried(tmp_path, text, name).failures()
    assert says in failures[line]
    assert f"lamp.md, line {line}," in failures[line]


def test_a_sample_must_give_just_the_findings_that_it_names(tmp_path: Path) -> None:
    sample = PAGE.replace("[10 N·m]", "[10]").replace("```", "~~~")
    sample = sample.split("~~~{expect}")[0].replace("~~~", "```")
    for finds, fails in (("[no-unit]", False), ("[no-unit, bad-id]", True), ("[]", True)):
        opening = f"`````{{page-example}} A number alone\n:finds: {finds}\n\n"
        text = f"# Guide\n\n{opening}{sample}`````\n"
        failures = Tried(tmp_path, text).failures()
        assert bool(failures) is fails, failures


def test_console_examples_run_the_command_line(tmp_path: Path) -> None:
    good = "# Guide\n\n```console\n$ procedures table --help\nUsage: ...\n```\n"
    assert Tried(tmp_path, good, "using/lamp.md").failures() == {}
    bad = good.replace("Usage: ...", "No such thing")
    assert "prints" in Tried(tmp_path, bad, "using/lamp.md").failures()[3]
