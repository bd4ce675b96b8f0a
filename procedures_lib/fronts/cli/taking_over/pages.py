"""The page that a list goes to: the one that has its head, or one that is begun for it."""

from __future__ import annotations

from procedures_lib.fronts.cli.taking_over.cells import blank, scalar

USUAL = {
    "torque": "vehicle",
    "fluids": "vehicle",
    "packing": "kit",
    "tools": "procedure",
    "steps": "procedure",
}
"""The kind of page that each kind of list goes to, unless another is named."""

_CAR = blank("id of the car", "tarrow-finch")
_YEARS = blank("model years", "2018-2022")
_TAIL = """
## Torques

```{torque-table}
```

## Parts

```{parts-list}
```

## Tools

```{tool-list}
```

## Close up

```{close-up}
```

## Handover

```{handover}
```
"""


def new_page(kind: str, name: str, title: str, has_contents: bool) -> tuple[str, str]:
    """Return the beginning and the end of a page: its head with blanks, and what comes last."""
    if kind == "vehicle":
        fields = [f"name: {scalar(title)}", f"years: {_YEARS}"]
    elif kind == "kit":
        fields = [f"name: {scalar(title)}", "fits:", f"  vehicle: {_CAR}", f"  years: {_YEARS}",
                  "revision: A", "contents:"]  # fmt: skip
        if not has_contents:
            fields.append(f"  - part: {blank('id of a new part', 'new-cover')}")
    else:
        fields = [f"vehicle: {_CAR}", "revision: A"]
    about = {
        "vehicle": blank("what a reader must know before a kit goes on", "The car as it arrives."),
        "kit": blank("what the kit is for", "A cover that lets the lamp be changed from above."),
        "procedure": blank("what is done and why", "The new cover is easier to open."),
    }[kind]
    head = [f"# {title}", "", about, "", f"```{{{kind}}} {name}", *fields, "```", ""]
    if kind != "procedure":
        return "\n".join(head), ""
    return "\n".join([*head, "```{preparation}", "```", ""]), _TAIL
