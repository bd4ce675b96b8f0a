"""Code outside the guide and the reference: what is there to be run is found, the rest is not."""

from __future__ import annotations

import pytest

from procedures_lib.judging.checks.prose import GUIDES, RUN, may_run
from tests.helpers import content_from, findings_of, summary

HEAD = """\
# Page

```{{{head}}} finch
{fields}
```
"""
HEADS = {
    "vehicle": "name: Finch",
    "kit": "name: Kit\nfits: {vehicle: finch}\ncontents:\n  - {paper: Card}",
    "procedure": "vehicle: finch\nrevision: A",
    "common": "name: Wait",
    "job": "vehicle: finch\nprocedures: []",
    "dyno-session": "vehicle: finch",
}
CODE = "\n```{language}\n1 + 1\n```\n"


def page(head: str, language: str) -> str:
    return HEAD.format(head=head, fields=HEADS[head]) + CODE.format(language=language)


@pytest.mark.parametrize("head", HEADS)
def test_code_is_found_on_every_page_of_the_work(head: str) -> None:
    (found,) = findings_of({"page.md": page(head, "python").encode()}, "code-in-page")
    assert found.place.line == page(head, "python").split("\n").index("```python") + 1
    assert "below `writing/`, `using/`, `reference/`, `checks/`" in found.hint
    assert "call it `text`" in found.hint


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("folder", GUIDES)
def test_a_head_makes_a_page_of_the_work_of_a_guide_page(folder: str, head: str) -> None:
    text = page(head, "python")
    assert not may_run(content_from(text.encode(), f"{folder}/page.md"))
    assert len(findings_of({f"{folder}/page.md": text.encode()}, "code-in-page")) == 1


@pytest.mark.parametrize("language", [*sorted(RUN), "Bash", "python numbered"])
def test_what_is_there_to_be_run(language: str) -> None:
    assert len(findings_of(page("vehicle", language).encode(), "code-in-page")) == 1


@pytest.mark.parametrize("language", ["", "text", "json", "yaml", "toml", "csv", "md"])
def test_what_is_only_read_is_let_pass(language: str) -> None:
    assert findings_of(page("vehicle", language).encode(), "code-in-page") == []


@pytest.mark.parametrize("folder", GUIDES)
def test_a_page_of_guide_or_reference_may_hold_code(folder: str) -> None:
    text = b"# Guide\n" + CODE.format(language="python").encode()
    for name in (f"{folder}/index.md", f"{folder}/more/page.md"):
        assert findings_of({name: text}, "code-in-page") == []


@pytest.mark.parametrize(
    "name",
    ["index.md", "evil.md", "procedures/index.md", "writing.md", "checks2/a.md", "a/checks/b.md",
     "Writing/a.md", "kits/writing/a.md"],
)  # fmt: skip
def test_any_other_page_may_not_be_it_without_a_head(name: str) -> None:
    text = b"# Page\n" + CODE.format(language="console").encode()
    (found,) = findings_of({name: text}, "code-in-page")
    assert (found.place.page, found.place.line) == (name, 3)
    assert "outside the guide and the reference" in found.message


FENCE = "```{0}\nx\n```\n"
NESTED = {
    "list": ("- a\n\n  ```{0}\n  x\n  ```\n", 5),
    "quote": ("> ```{0}\n> x\n> ```\n", 3),
    "quoted list": ("> 1. a\n>\n>    ```{0}\n>    x\n>    ```\n", 5),
    "note": (f":::{{{{note}}}}\n{FENCE}:::\n", 4),
    "nested note": (f"::::{{{{note}}}}\n- a\n\n:::{{{{tip}}}}\n{FENCE}:::\n::::\n", 7),
    "warning": (f":::{{{{warning}}}} Hot\n{FENCE}:::\n", 4),
    "example": (f"````{{{{page-example}}}} A\n# P\n\n{FENCE}````\n", 6),
    "with options": (f"````{{{{page-example}}}} A\n:finds: []\n\n# P\n\n{FENCE}````\n", 8),
    "example of an example": (
        "`````{{page-example}} A\n# P\n\n"
        f"````{{{{page-example}}}} B\n# Q\n\n{FENCE}````\n`````\n",
        9,
    ),
}


@pytest.mark.parametrize("where", NESTED)
@pytest.mark.parametrize("language", ["python", "console", "bash"])
def test_code_is_found_however_deep_it_stands(where: str, language: str) -> None:
    text, line = NESTED[where]
    found = findings_of(f"# Page\n\n{text.format(language)}".encode(), "code-in-page")
    assert [finding.place.line for finding in found] == [line]


def test_code_inside_steps_and_boxes_is_found() -> None:
    text = HEAD.format(head="vehicle", fields=HEADS["vehicle"]) + (
        "\n```{procedure} look\nvehicle: finch\nrevision: A\n```\n"
        "\n::::{step} Look\n:::{note}\n```console\n$ procedures check\n```\n:::\n::::\n"
    )
    assert summary(findings_of(text.encode(), "code-in-page")) == [(14, "code-in-page")]


def test_a_head_that_can_not_be_read_is_a_head() -> None:
    text = "# P\n\n```{procedure} look\nrevision: A\n```\n" + CODE.format(language="sh")
    assert len(findings_of(text.encode(), "code-in-page")) == 1
