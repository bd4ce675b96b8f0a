"""The stages of a joint: ``12 ± 1 N·m``, ``+45°``, ``back off 180°``, ``next slot, at most …``."""

from __future__ import annotations

import enum
import re
from collections.abc import Sequence
from dataclasses import dataclass

from procedures_lib.engineering.quantities import (
    Quantity,
    QuantityError,
    convert,
    quantity_of,
    read_quantity,
    show_torque,
)
from procedures_lib.engineering.quantities.conversion import TORQUE_LEADS

_BACK_OFF = re.compile(r"back off\b\s*(.*)$", re.IGNORECASE)
_NEXT_SLOT = re.compile(r"next slot\b\s*,?\s*(?:at most\s+(.+))?$", re.IGNORECASE)
_NUMERIC = re.compile(r"\d|\b(?:nan|inf|infinity)\b", re.IGNORECASE)
_WORDS = "hand, snug, 12 N·m, +45°, back off 180°, next slot, drag 2.0–2.6 N·m"


class StageKind(enum.StrEnum):
    """What a stage asks for."""

    HAND = "hand"
    SNUG = "snug"
    TORQUE = "torque"
    ANGLE = "angle"
    BACK_OFF = "back off"
    NEXT_SLOT = "next slot"
    DRAG = "drag"


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage, done on every fastener of the group before the next begins.

    ``amount`` is the torque, the angle (of ``+45°`` and ``back off 180°``), the most torque of
    ``next slot`` or the drag; None for ``hand``, ``snug`` and ``back off fully``. ``order`` is an
    order of its own, () when the group's order holds.
    """

    kind: StageKind
    amount: Quantity | None = None
    order: tuple[str, ...] = ()

    @property
    def torque(self) -> Quantity | None:
        """The torque that a wrench must reach in this stage, if any."""
        kinds = {StageKind.TORQUE, StageKind.NEXT_SLOT, StageKind.DRAG}
        return self.amount if self.kind in kinds else None

    @property
    def degrees(self) -> float | None:
        """The nominal angle in degrees: positive for tightening, negative for backing off."""
        if self.kind not in {StageKind.ANGLE, StageKind.BACK_OFF} or self.amount is None:
            return None
        angle = float(self.amount.exact_nominal("°"))
        return -angle if self.kind is StageKind.BACK_OFF else angle

    def written(self) -> str:
        """The stage in the writer's own figures, spelled the one way."""
        return self._text(self.amount.tidy if self.amount else "")

    def shown(self) -> str:
        """The stage for a technician: a torque in N·m first, with its customary unit."""
        torque = self.torque
        if torque is not None:
            return self._text(show_torque(torque))
        return self.written()

    def in_unit(self, unit: str) -> str:
        """The stage with its torque in one unit; as written when that is the unit."""
        torque = self.torque
        if torque is None or torque.unit == unit:
            return self.written()
        return self._text(convert(torque, unit).text)

    def led_by(self, unit: str) -> str:
        """The stage with its torque in one unit first and N·m in brackets: ``89 lbf·in (10 N·m)``.

        For N·m, and where there is no torque, as :meth:`shown`.
        """
        torque = self.torque
        if torque is None or unit == TORQUE_LEADS:
            return self.shown()
        return self._text(f"{convert(torque, unit).text} ({convert(torque, TORQUE_LEADS).text})")

    def _text(self, amount: str) -> str:
        match self.kind:
            case StageKind.TORQUE:
                return amount
            case StageKind.ANGLE:
                return f"+{amount.lstrip('+')}"
            case StageKind.BACK_OFF:
                return f"back off {amount or 'fully'}"
            case StageKind.NEXT_SLOT:
                return f"next slot, at most {amount}"
            case StageKind.DRAG:
                return f"drag {amount}"
            case _:
                return str(self.kind)


def read_stage(text: str) -> Stage:
    """Read one stage as section 4 of the writer's guide lists them.

    Raises :class:`QuantityError`, ``unknown-stage`` among its checks.
    """
    text = text.strip()
    lower = text.lower()
    if lower in {"hand", "snug"}:
        return Stage(StageKind(lower))
    if match := _BACK_OFF.match(text):
        return _back_off(match[1])
    if match := _NEXT_SLOT.match(text):
        return _next_slot(match[1])
    if lower.startswith("drag"):
        return Stage(StageKind.DRAG, read_quantity(text[4:], "torque"))
    if text.startswith("+"):
        return Stage(StageKind.ANGLE, _positive_angle(text[1:], text))
    return _torque(text)


def read_stages(texts: list[str]) -> tuple[Stage, ...]:
    """Read stages in their order, joined as :func:`join_stages` says."""
    return tuple(read_stage(text) for _, text in join_stages(texts))


def join_stages(texts: Sequence[str]) -> list[tuple[int, str]]:
    """Return each stage's text, with the index of its first part.

    ``next slot`` and the ``at most …`` after it count as one stage: a YAML list splits them.
    """
    joined: list[tuple[int, str]] = []
    for n, text in enumerate(texts):
        first, before = joined[-1] if joined else (0, "")
        if text.strip().lower().startswith("at most") and before.lower() == "next slot":
            joined[-1] = first, f"{before}, {text.strip()}"
        else:
            joined.append((n, text.strip()))
    return joined


def _torque(text: str) -> Stage:
    try:
        return Stage(StageKind.TORQUE, read_quantity(text, "torque"))
    except QuantityError as error:
        if error.check == "wrong-dimension" and _is_angle(text):
            hint = f"write `+{text}` to go on by that angle, `back off {text}` to loosen"
            message = f"`{text}` does not say which way"
            raise QuantityError("wrong-dimension", message, hint) from error
        if error.check == "not-a-number" and not _NUMERIC.search(text):
            message = f"`{text}` is no stage"
            raise QuantityError("unknown-stage", message, f"stages: {_WORDS}") from error
        raise


def _is_angle(text: str) -> bool:
    quantity = quantity_of(text)
    return quantity is not None and quantity.kind == "angle"


def _back_off(rest: str) -> Stage:
    if rest.lower() == "fully":
        return Stage(StageKind.BACK_OFF)
    if not rest:
        message = "`back off` does not say how far"
        raise QuantityError("unknown-stage", message, "`back off 180°`, `back off fully`")
    return Stage(StageKind.BACK_OFF, _positive_angle(rest, f"back off {rest}"))


def _next_slot(limit: str | None) -> Stage:
    if not limit:
        hint = "write the most it may take: `next slot, at most 60 N·m`"
        raise QuantityError("unknown-stage", "`next slot` does not say where to stop", hint)
    return Stage(StageKind.NEXT_SLOT, read_quantity(limit, "torque"))


def _positive_angle(text: str, whole: str) -> Quantity:
    angle = read_quantity(text, "angle")
    if angle.low <= 0 or angle.exact("°")[1] > 1080:
        message = f"`{whole}` is no tightening angle"
        raise QuantityError("out-of-range", message, "over 0°, to 1080°")
    return angle
