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


EVERYDAY = [
    # Words that technicians say for the verbs of the list: common practice.
    ("install top-cover", "write `fit`"),
    ("instal top-cover", "write `fit`"),
    ("install cover-screws", "write `fit` or `start`"),
    ("unplug lamp-plug", "write `disconnect`"),
    ("plug in lamp-plug", "write `connect`"),
    ("torque cover-screws", "write `tighten`"),
    ("unbolt top-cover", "write `remove`"),
    ("undo cover-screws", "write `loosen`"),
    ("undo lamp-plug", "write `disconnect`"),
    ("jack up vehicle", "write `raise`"),
    ("flush oil", "write `drain`"),
    ("replace top-cover", "write `remove` or `fit`"),
]


@pytest.mark.parametrize(("action", "hint"), EVERYDAY)
def test_a_word_of_the_trade_is_told_as_the_verb_that_it_stands_for(action: str, hint: str) -> None:
    assert hint_on(action) == hint


FITTING = {
    "wobble top-cover": ("`remove`, `fit`, ", {"tighten", "connect", "raise"}),
    "wobble cover-screws": ("`remove`, `fit`, `loosen`, `start`, `tighten`", {"lift", "connect"}),
    "wobble lamp-plug": ("`disconnect`, `connect`, ", {"remove", "tighten"}),
    "wobble vehicle": ("`raise`, `lower`, ", {"remove", "tighten", "fill"}),
    "wobble battery": ("`isolate`, `relieve`, ", {"remove", "tighten"}),
    "seal top-cover": ("`remove`, `fit`, ", {"cover", "tighten"}),
    "wobble it": (
        "`remove`, `fit`, `disconnect`, `connect`, `loosen`, `start`, `tighten`, ",
        set(),
    ),
}


@pytest.mark.parametrize("action", FITTING)
def test_the_verbs_listed_work_on_what_the_action_names(action: str) -> None:
    first, without = FITTING[action]
    hint = hint_on(action)
    assert hint.startswith(f"known here: {first}")
    assert not {word for word in without if f"`{word}`" in hint}


def hint_on(action: str) -> str:
    steps = STEPS.replace(":do: inspect top-cover", f":do: {action}")
    (found,) = findings_of({"car.md": CAR.encode(), "look.md": steps.encode()})
    assert found.check == "unknown-verb"
    return found.hint
