"""Code on pages of the work: what the tests would run is found, what is only read is not."""

from __future__ import annotations

import pytest

from procedures_lib.checks.code_examples import RUN
from tests.helpers import findings_of, summary

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
    assert "guide page" in found.hint


@pytest.mark.parametrize("language", [*sorted(RUN), "Bash", "python numbered"])
def test_what_is_there_to_be_run(language: str) -> None:
    assert len(findings_of(page("vehicle", language).encode(), "code-in-page")) == 1


@pytest.mark.parametrize("language", ["", "text", "json", "yaml", "toml", "csv", "md"])
def test_what_is_only_read_is_let_pass(language: str) -> None:
    assert findings_of(page("vehicle", language).encode(), "code-in-page") == []


def test_a_guide_page_may_hold_code() -> None:
    assert findings_of(b"# Guide\n" + CODE.format(language="python").encode(), "code-in-page") == []


def test_code_inside_steps_and_boxes_is_found() -> None:
    text = HEAD.format(head="vehicle", fields=HEADS["vehicle"]) + (
        "\n```{procedure} look\nvehicle: finch\nrevision: A\n```\n"
        "\n::::{step} Look\n:::{note}\n```console\n$ procedures check\n```\n:::\n::::\n"
    )
    assert summary(findings_of(text.encode(), "code-in-page")) == [(14, "code-in-page")]


def test_a_head_that_can_not_be_read_is_a_head() -> None:
    text = "# P\n\n```{procedure} look\nrevision: A\n```\n" + CODE.format(language="sh")
    assert len(findings_of(text.encode(), "code-in-page")) == 1
