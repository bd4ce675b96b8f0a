"""A small manual: one car, and one procedure."""

from __future__ import annotations

from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import read_condition
from procedures_lib.manual import Manual
from procedures_lib.view.uses import Uses, uses_of
from tests.helpers import manual_from

VEHICLE = """
    # The mule

    ```{vehicle} mule
    name: Workshop mule
    options:
      transmission: [manual, automatic]
    ```

    ```{parts}
    cover: {name: Top cover, held-by: [cover-bolts, side-bolt]}
    ```

    ```{fasteners}
    cover-bolts:
      name: Cover bolts
      kind: bolt
      count: 2
      thread: M6x1.0
      class: "8.8"
      head: hex 10 mm
      condition: dry
      tighten: [hand, 89 lbf·in]
      source: Mule sheet 1
    side-bolt:
      name: Side bolt
      kind: bolt
      thread: M10x1.5
      class: "8.8"
      head: hex 16 mm
      condition: dry
      tighten: [20–22 N·m, +1/6 turn]
      source: Mule sheet 1
      when: transmission=manual
    ```
    """
PROCEDURE = """
    # Renew the cover

    ```{procedure} renew-cover
    vehicle: mule
    revision: A
    ```

    :::{step} Take the cover off
    :do: remove cover-bolts, side-bolt, cover
    :tools: [trim lever]
    Lift it off.
    :::

    :::{step} Put the cover on
    ---
    do:
      - fit cover
      - tighten cover-bolts
      - tighten side-bolt
    ---
    In that order.
    :::
    """
PAGES = {"vehicles/mule.md": VEHICLE, "procedures/renew-cover.md": PROCEDURE}


def mule() -> Manual:
    """A manual of one car and one procedure."""
    return manual_from(PAGES)


def mule_uses(when: str = "") -> Uses:
    """The uses of the procedure's objects, on the cars that meet a condition."""
    manual = mule()
    head = manual.head(Procedure, "renew-cover")
    assert head is not None
    plan = manual.plan(head)
    return uses_of(plan, read_condition(when)) if when else uses_of(plan)
