"""Landing pages: what a card says is what the heads and steps say, and is made anew with them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.cards import card_of, card_said, session_on
from procedures_lib.fronts.site.landing import MOST, finder_html, grouped_html
from tests.helpers import manual_from
from tests.site.building import CONF, PROCEDURE, VEHICLE, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

KIT = """# Cover kit

```{kit} ck-1
name: Cover kit
fits: {vehicle: hatch, when: transmission=manual}
revision: B
contents:
  - {supply: Cable tie, number: CK-1-01}
needs: {fuel: 91 AKI}
claims: {power: +3 hp}
```
"""
WORK = PROCEDURE.replace("vehicle: hatch\n", "vehicle: hatch\nkit: ck-1\n").replace(
    ":time: 5 min\n", ":time: 5 min\n:people: 2\n:supplies: Cable tie\n"
)
OTHER = """# Small van

```{vehicle} van
name: Small <van>
options: {drive: [front, all]}
```
"""
OTHER_WORK = """# Look at it

```{procedure} raise-van
vehicle: van
revision: C
hazards: [raised-vehicle]
```

:::{step} Look at it
:do: inspect tyres
:::
"""
PAGES = {
    "hatch.md": VEHICLE,
    "van.md": OTHER,
    "ck.md": KIT,
    "work.md": WORK,
    "van-work.md": OTHER_WORK,
}
LIST = "# List\n\n```{toctree}\n\n%s\n```\n"


def lines(page: str) -> list[str]:
    """What a card says, line by line."""
    card = card_of(manual_from(PAGES), page)
    assert card is not None
    return [f"{line.label} {line.text}".strip().replace("\xa0", " ") for line in card.lines]


def test_a_procedures_card_has_kit_steps_time_people_revision_and_grave_hazards() -> None:
    assert lines("work") == [
        "Cover kit, CK-1", "2 steps · 5 min · 2 people", "Revision A, reviewed 2026-01-10",
    ]  # fmt: skip
    assert lines("van-work") == ["1 step", "Revision C", "DANGER Raised vehicle"]
    card = card_of(manual_from(PAGES), "work")
    assert card is not None
    assert (card.only, card.car) == ("transmission=manual", "hatch")


def test_cards_of_kits_and_cars_lead_on() -> None:
    assert lines("ck") == [
        "Cover kit, CK-1, revision B", "Needs fuel at least 91 AKI", "The maker claims +3 hp",
        "Lift the cover",
    ]  # fmt: skip
    assert lines("hatch") == ["Years 2018–2022", "1 procedure, 1 kit", "Differs in transmission"]
    assert card_of(manual_from({**PAGES, "x.md": "# X\n"}), "x") is None


BESIDE = {
    "lift.md": """# Lift it

```{common} lift
name: Lift
```

:::{step} Up
:do: raise vehicle
:time: 5 min
:people: 2
Slowly.
:::
""",
    "rules.md": """# House rules

```{rule} quiet
---
name: Be <quiet>
about: [raise]
source: rule 1
---
Nobody shouts.
```
""",
    "dyno.md": """# On the rollers

```{dyno-session} hatch-1
vehicle: hatch
procedure: lift-cover
date: 2026-02-03
dyno: {kind: chassis}
correction: none
before: [{pull: gone.csv}]
after: [{pull: gone.csv}]
```
""",
}


def test_cards_of_common_steps_rules_and_results() -> None:
    manual = manual_from({**PAGES, **BESIDE})
    found = {page: card_of(manual, page) for page in ("lift", "rules", "dyno")}
    told = {page: [each.text for each in card.lines] for page, card in found.items() if card}
    assert told["lift"] == ["1 step · 5 min · 2 people", "Raised vehicle"]
    assert told["rules"] == ["1 rule", "Be <quiet>"]
    assert told["dyno"] == [
        "No gain is given: these pulls can't be compared.", "2026-02-03", "Lift the cover",
    ]  # fmt: skip
    assert session_on(manual, "dyno") == "hatch-1"
    assert "No gain" not in card_said(manual, "dyno")
    html = grouped_html([card for card in found.values() if card])
    assert re.findall(r"<h2>([^<]*)</h2>", html) == ["Any car", "Small hatch"]
    assert "Be &lt;quiet&gt;" in html


def test_a_page_with_a_car_is_about_the_car() -> None:
    both = {"hatch.md": BESIDE["lift.md"] + VEHICLE.partition("\n")[2]}
    card = card_of(manual_from(both), "hatch")
    assert card is not None
    assert card.kind == "vehicle"


def test_cards_stand_below_their_car_and_names_are_text() -> None:
    manual = manual_from(PAGES)
    cards = [card for page in ("van-work", "work") if (card := card_of(manual, page))]
    html = grouped_html(cards)
    assert re.findall(r"<h2>([^<]*)</h2>", html) == ["Small &lt;van&gt;", "Small hatch"]
    assert 'data-procedure="work"' not in html
    assert 'data-procedure="lift-cover" data-when="transmission=manual"' in html
    assert "<h2>" not in grouped_html(cards[:1])


def test_more_than_sixty_procedures_are_a_list() -> None:
    many = {f"w{n}.md": OTHER_WORK.replace("raise-van", f"raise-{n}") for n in range(MOST)}
    html, pages = finder_html(manual_from({**PAGES, **many}))
    assert pages == ()
    assert "sd-" not in html
    assert html.count('class="to-procedure"') == MOST + 2
    html, pages = finder_html(manual_from(PAGES))
    assert sorted(pages) == ["van-work", "work"]
    assert html.count("sd-card-body") == 2


@pytest.fixture
def built(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path, CONF.replace('"basic"', '"bench"'), {**PAGES,
        "index.md": "# Manual\n\n```{find-procedure}\n```\n\n"
                    "```{toctree}\n\ncars\nmixed\nck\nwork\nvan-work\n```\n",
        "cars.md": LIST % "hatch\nvan",
        "mixed.md": LIST % "text\nother-text", "text.md": "# Text\n", "other-text.md": "# Other\n",
    })  # fmt: skip


def test_a_list_of_such_pages_becomes_cards_and_any_other_stays(built: SmallManual) -> None:
    first = built.build()
    assert not first.warnings
    assert first.page("cars").count("sd-card-body") == 2
    assert 'href="hatch.html"' in first.page("cars")
    assert "toctree-wrapper" in first.page("mixed")
    assert "sd-card" not in first.page("mixed")
    built.change("work.md", "revision: A", "revision: Q")
    again = built.build()
    assert "Revision</span> Q, reviewed" in again.page("index")
    assert sorted(again.read) == ["index", "work"]
