"""Names that are nearly right: whatever kind of name it is, the hint has the one that was meant."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of

CAR = """\
# Finch

```{vehicle} finch
name: Finch
options: {transmission: [manual, automatic]}
fixed: [harness]
```

```{parts}
top-cover: {name: Top cover, held-by: cover-screws}
```

```{connections}
lamp-plug: {name: Lamp plug, kind: plug, between: [top-cover, harness]}
```

```{fasteners}
cover-screws: {name: Screws, kind: screw, count: 2, tighten: 2 N·m, source: Sheet 1}
```
"""
STEPS = """\
# Look

```{procedure} look-below
vehicle: finch
revision: A
```

:::{step} Look
:do: inspect top-cover
:id: first-look
Look.
:::
"""


@pytest.mark.parametrize(
    ("page", "right", "wrong"),
    [
        ("car", "held-by: cover-screws", "held-by: cover-screw"),
        ("car", "held-by:", "heldby:"),
        ("car", "kind: screw", "kind: scrw"),
        ("car", "kind: plug", "kind: plgu"),
        ("car", "{fasteners}", "{fastener}"),
        ("car", "between: [top-cover,", "between: [top-covr,"),
        ("car", "2 N·m", "2 Nwm"),
        ("look", "inspect", "inspct"),
        ("look", "vehicle: finch", "vehicle: finhc"),
        ("look", "revision:", "revison:"),
        ("look", "{step}", "{setp}"),
        ("look", "Look.", "{part}`top-covr`", ),
        ("look", "Look.", "{prt}`top-cover`"),
        ("look", "Look.", "{step}`first-lok`"),
        ("look", ":do: inspect", ":doo: inspect"),
        ("look", ":do: inspect top-cover", ":when: transmision=manual"),
        ("look", ":do: inspect top-cover", ":when: transmission=manul"),
        ("look", ":do: inspect top-cover", ":do: remove top-covers"),
        ("look", ":do: inspect top-cover", ":hazards: batery"),
    ],
)  # fmt: skip
def test_the_hint_has_the_name_that_was_meant(page: str, right: str, wrong: str) -> None:
    pages = {"car": CAR, "look": STEPS}
    assert right in pages[page]
    pages[page] = pages[page].replace(right, wrong, 1)
    found = findings_of({f"{name}.md": text.encode() for name, text in pages.items()})
    meant = {"{part}`top-covr`": "top-cover", "{prt}`top-cover`": "part",
             "{step}`first-lok`": "first-look", ":when: transmision=manual": "transmission",
             ":when: transmission=manul": "manual", ":do: remove top-covers": "top-cover",
             ":hazards: batery": "battery"}.get(wrong)  # fmt: skip
    words = [word.strip(" :{}[],.\n") for word in (right, wrong)]
    wanted = meant or next(
        part for part, other in zip(words[0].split(), words[1].split(), strict=True)
        if part != other
    ).strip(":[],{}")  # fmt: skip
    assert found, "the slip is found"
    assert any(wanted in finding.hint for finding in found), [(f.text(), f.hint) for f in found]


def test_what_was_meant_is_right() -> None:
    assert findings_of({"car.md": CAR.encode(), "look.md": STEPS.encode()}, "unknown-id") == []
