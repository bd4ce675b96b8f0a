"""A small manual to change: a car, a kit, common steps and two procedures."""

from __future__ import annotations

from procedures_lib.judging.compare import Change, Comparison, compare
from tests.helpers import manual_from, raw_of

VEHICLE = """
    # The mule

    ```{vehicle} mule
    name: Workshop mule
    years: 2018-2022
    options:
      transmission: [manual, automatic]
    ```

    ```{parts}
    cover: {name: Top cover, held-by: [cover-bolts, side-bolt]}
    ```

    ```{connections}
    fan-plug: {name: Fan plug, kind: plug, between: [cover, harness]}
    ```

    ```{fasteners}
    cover-bolts:
      name: Cover bolts
      kind: bolt
      count: 4
      thread: M6x1.0
      class: "8.8"
      head: hex 10 mm
      condition: dry
      positions: {a: [0, 0], b: [90, 0], c: [90, 60], d: [0, 60]}
      order: [a, c, b, d]
      tighten: [hand, 8 N·m]
      source: Mule sheet 1, 2021
    side-bolt:
      name: Side bolt
      kind: bolt
      thread: M10x1.5
      class: "8.8"
      head: hex 16 mm
      condition: dry
      tighten: [20 N·m, +60°]
      source: Mule sheet 1, 2021
      when: transmission=manual
    ```
    """
KIT = """
    # The vent

    ```{kit} vent-kit
    name: Vent kit
    fits: {vehicle: mule}
    revision: A
    contents:
      - {part: vent, number: V-1}
      - {fastener: vent-screws, number: V-2, qty: 5, spare: 1}
    claims: {power: +10 hp}
    ```

    ```{parts}
    vent: {name: Vent, held-by: vent-screws}
    ```

    ```{fasteners}
    vent-screws:
      name: Vent screws
      kind: screw
      count: 4
      head: torx T25
      condition: dry
      tighten: 3 N·m
      source: Vent maker's sheet, page 2
    ```
    """
COMMON = """
    # Safe battery

    ```{common} battery-off
    ```

    :::{step} Take the negative clamp off
    ---
    do:
      - isolate battery
    hazards: [battery]
    ---
    Wait {q}`3 min`.
    :::
    """
PROCEDURE = """
    # Renew the cover

    ```{procedure} renew-cover
    vehicle: mule
    revision: A
    ```

    Mind your fingers.

    :::{common-steps} battery-off
    :::

    ::::{step} Take the cover off
    ---
    do:
      - disconnect fan-plug
      - remove cover-bolts, side-bolt, cover
    tools: [trim lever]
    time: 5 min
    ---
    :::{caution} Sharp edge
    Wear gloves.
    :::

    Lift it off.
    ::::

    :::{step} Look at the seal
    :do: inspect seal
    It must be whole.
    :::

    :::{step} Put the cover on
    ---
    do:
      - fit cover
      - tighten cover-bolts
      - tighten side-bolt
      - connect fan-plug
    id: cover-on
    ---
    Both to {torque}`cover-bolts` and {torque}`side-bolt`. Leave {q}`2 mm` of air.
    :::

    :::{step} Try it
    :do: test leaks coolant
    Run it warm.
    :::

    ```{torque-table}
    ```

    ```{expect} Mule sheet 1, 2021
    cover-bolts: hand, 8 N·m
    ```
    """
VENTING = """
    # Fit the vent

    ```{procedure} fit-vent
    vehicle: mule
    kit: vent-kit
    revision: B
    ```

    :::{step} Screw the vent on
    ---
    do:
      - remove cover-bolts
      - fit vent
      - tighten vent-screws
      - tighten cover-bolts
    ---
    Straight on.
    :::
    """
PAGES = {
    "vehicles/mule.md": VEHICLE,
    "kits/vent.md": KIT,
    "common/battery-off.md": COMMON,
    "procedures/renew-cover.md": PROCEDURE,
    "procedures/fit-vent.md": VENTING,
}
CAR, BOX, OFF, COVER, VENT = PAGES


def plain_pages() -> dict[str, str]:
    """The pages as text, without the indentation."""
    return {name: raw_of(text).decode() for name, text in PAGES.items()}


def edited(*edits: tuple[str, str, str]) -> dict[str, str]:
    """The pages after some edits: (page, text that stands there, text for it)."""
    pages = plain_pages()
    for page, before, after in edits:
        assert before in pages[page], before
        pages[page] = pages[page].replace(before, after)
    return pages


def after(*edits: tuple[str, str, str]) -> Comparison:
    """Compare the small manual with itself after some edits."""
    return compare(manual_from(plain_pages()), manual_from(edited(*edits)))


def told(comparison: Comparison) -> list[tuple[str, str, str, str, str]]:
    """What a comparison says, short: (topic, id or name, act, old, new)."""
    return [
        (c.topic, c.thing.id or c.thing.name, str(c.act), plain(c.old), plain(c.new))
        for c in comparison.changes
    ]


def only(comparison: Comparison) -> Change:
    """The one change of a comparison."""
    assert len(comparison.changes) == 1, told(comparison)
    return comparison.changes[0]


def plain(text: str) -> str:
    """A text with plain spaces."""
    return text.replace("\u00a0", " ")
