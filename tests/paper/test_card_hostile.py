"""Cards of pages that nobody would write: very long, very wide, and meant to break something."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.paper import SIZES, card_pdf
from procedures_lib.fronts.paper.card import FAULTY, Card, make_card
from procedures_lib.language.variants import ALWAYS
from tests.helpers import manual_from
from tests.paper.pdf_text import pages_of

HEAD = """# {title}

```{{vehicle}} hatch
name: {name}
options:
  transmission: [manual, automatic]
```

```{{fasteners}}
bolts:
  name: {name}
  kind: bolt
  count: 4
  thread: M8x1.25
  tighten: [{stages}]
  positions: {{a: [0, 0], b: [90, 0], c: [0, 40], d: [90, 40]}}
  order: [a, d, b, c]
  source: sheet 1
```

```{{procedure}} fit-it
vehicle: hatch
revision: A
```
"""
STEP = """
:::{{step}} {title}
---
do:
  - tighten bolts
---
{prose}
:::
"""


def page(title: str, steps: int, name: str, prose: str, stages: str = "10 N·m") -> str:
    head = HEAD.format(title=title, name=name, stages=stages)
    return head + "".join(STEP.format(title=f"{title} {n}", prose=prose) for n in range(steps))


def card_of(text: str, faulty: bool = False) -> Card:
    manual = manual_from({"page.md": text.encode()})
    plan = manual.plan_of_page("page.md")
    assert plan is not None
    return make_card(manual, plan, ALWAYS, faulty)


def test_five_hundred_steps() -> None:
    text = " ".join(pages_of(card_pdf(card_of(page("Turn", 500, "Bolts", "Slowly. " * 60)))))
    for n in (1, 250, 500):
        assert f" {n} Turn {n - 1} " in text
    assert text.count("Tighten 4 × Bolts: 10 N·m (89 lbf·in)") == 500


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "name",
    ["bolt " * 800, "b" * 5000, "<b>&amp;</b> ({[%$ ) >> endobj\u200b\u00ad", "ÅØ→½ " * 200],
    ids=["words", "one-word", "odd-signs", "accents"],
)
def test_names_without_end(name: str, size: str) -> None:
    text = page("Fit it", 2, f'"{name}"', "As drawn.")
    pages = pages_of(card_pdf(card_of(text), size))
    assert "10 N·m (89 lbf·in)" in " ".join(pages)
    assert f"1 of {len(pages)}" in pages[0]


def test_a_title_without_end() -> None:
    pages = pages_of(card_pdf(card_of(page("Fit the very long thing " * 300, 1, "Bolts", "So."))))
    assert "10 N·m (89 lbf·in)" in " ".join(pages)


def test_a_step_of_many_pages() -> None:
    pages = pages_of(card_pdf(card_of(page("Turn", 1, "Bolts", "And once more. " * 3000))))
    assert len(pages) > 4
    assert "1 (continued)" in pages[3]


def test_forty_stages() -> None:
    stages = ", ".join(f"{n} N·m" for n in range(5, 45))
    text = " ".join(pages_of(card_pdf(card_of(page("Turn", 1, "Bolts", "So.", stages)))))
    assert "44 N·m (32 lbf·ft)" in text


@pytest.mark.parametrize(
    "prose",
    [
        "`code` and ![a picture](x.png) and [words](https://x.example) and <b>bold</b>",
        "| a | b |\n|---|---|\n| 1 | 2 |",
        "- one\n- two\n\n1. first\n2. second",
        "```text\n  kept  lines\n\n  so\n```",
        "{torque}`nothing` {part}`` {q}`no quantity` {step}`none` {unknown}`word`",
        "%PDF-1.4 (endstream) \\( \\) ) ( >> << /JS (app.alert(1))",
    ],
)
def test_any_prose_is_set(prose: str) -> None:
    assert "Tighten 4 × Bolts" in " ".join(
        pages_of(card_pdf(card_of(page("Turn", 1, "Bolts", prose))))
    )


def test_a_card_from_pages_with_errors_says_so_at_its_head() -> None:
    first = pages_of(card_pdf(card_of(page("Turn", 1, "Bolts", "So."), faulty=True)))[0]
    assert FAULTY in first
    assert FAULTY not in pages_of(card_pdf(card_of(page("Turn", 1, "Bolts", "So."))))[0]


def test_a_procedure_without_steps() -> None:
    first = pages_of(card_pdf(card_of(page("Turn", 0, "Bolts", ""))))[0]
    assert "Steps 0" in first
