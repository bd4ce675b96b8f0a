"""Torques as lists have them: stages, an angle after them, the same torque in two units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from procedures_lib.engineering.quantities import (
    QuantityError,
    agrees,
    quantity_of,
    read_quantity,
)
from procedures_lib.fronts.cli.taking_over.cells import (
    blank,
    doubtful,
    is_blank,
    tidy,
    unread,
    with_unit,
)
from procedures_lib.fronts.cli.taking_over.columns import Column
from procedures_lib.fronts.cli.taking_over.sheet import Cell

_STAGES = re.compile(r"\s*[,;]\s+|\s+(?:then|plus)\s+|\s*\+\s*(?![/-])|\s+(?=\d\)|stage \d)", re.I)
_LABEL = re.compile(r"(?:\d\)|(?:stage|step) \d:?|\d(?:st|nd|rd|th)(?: stage)?:?)\s*", re.I)
_PAIR = re.compile(r"([^()/=]+?)\s*(?:\(|/|=)\s*([^()/=]+)\)?")
_BY_HAND = {"hand": "hand", "hand tight": "hand", "by hand": "hand", "snug": "snug"}
_EXAMPLE = "10 N·m"


def torque(cells: Sequence[tuple[Cell, Column]], unit: str, angle: Cell) -> str:
    """Return the stages that a row has in its columns of torque: "" for none.

    ``unit`` is the one that another column of the row gives. Columns in two units say one torque
    twice, and have to agree; what can't be read in one of them is a blank for all.
    """
    given = [(cell, column) for cell, column in cells if cell]
    texts = [_in_cell(cell, column.unit or unit) for cell, column in given]
    if not texts:
        return ""
    first = next((text for text in texts if is_blank(text)), texts[0])
    if len(texts) > 1 and not is_blank(first) and not _are_one(texts):
        shown = " and ".join(texts)
        first = blank(f"torque: the sheet has {shown}: two stages or two readings?", texts[0])
    return _with_angle(first, angle) if angle and not is_blank(first) else first


def _with_angle(stages: str, angle: Cell) -> str:
    turn = _stage(angle.text) or _stage(f"{angle.text}°")
    if not turn.startswith("+") or angle.doubt:
        said = f"torque: the sheet has {stages}: then {angle.text or angle.doubt}"
        return blank(said, _EXAMPLE)
    return f"[{stages.strip('[]')}, {turn}]"


def _are_one(texts: Iterable[str]) -> bool:
    """Tell whether torques in different units are one torque, each rounded by its source."""
    first, *others = [quantity_of(text, "torque") for text in texts]
    return first is not None and all(
        each is not None
        and each.unit != first.unit
        and (agrees(each, first) or agrees(first, each))
        for each in others
    )


def _in_cell(cell: Cell, unit: str) -> str:
    """The stages of one cell, or a blank."""
    if cell.doubt:
        return doubtful("torque", cell, _EXAMPLE)
    text = with_unit(cell.text, unit)
    try:
        return tidy(read_quantity(text, "torque"))
    except QuantityError as error:
        return _staged(text) or _twice(text) or unread("torque", "torque", text, error, _EXAMPLE)


def _staged(text: str) -> str:
    """Stages after one another, "" for anything else."""
    parts = [_LABEL.sub("", part) for part in _STAGES.split(text) if part]
    stages = [_stage(part) for part in parts]
    if not stages or not all(stages):
        return ""
    return f"[{', '.join(stages)}]" if len(stages) > 1 else stages[0]


def _stage(text: str) -> str:
    """A stage, "" for anything else."""
    if by_hand := _BY_HAND.get(text.casefold().strip()):
        return by_hand
    turned = quantity_of(text.lstrip("+ "), "angle")
    if turned is not None:
        return f"+{tidy(turned)}"
    tight = quantity_of(text, "torque")
    return tidy(tight) if tight is not None else ""


def _twice(text: str) -> str:
    """One torque in two units: ``110 Nm (81 ft-lb)``; "" for anything else."""
    pair = _PAIR.fullmatch(text)
    found = [quantity_of(each, "torque") for each in pair.groups()] if pair else []
    if not found or None in found:
        return ""
    texts = [tidy(each) for each in found if each]
    if _are_one(texts):
        return texts[0]
    return blank(f"torque: the sheet has {text}: the two do not agree", texts[0])
