"""The stages of a joint: ``12 ± 1 N·m``, ``+45°``, ``50 %``, ``stretch 0.34–0.47 mm`` and so on."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from procedures_lib.engineering.quantities import (
    NO_BREAK_SPACE,
    Quantity,
    convert,
    show_torque,
    with_conversion,
)
from procedures_lib.engineering.quantities.conversion import TORQUE_LEADS


class StageKind(enum.StrEnum):
    """What a stage asks for."""

    HAND = "hand"
    SNUG = "snug"
    TORQUE = "torque"
    ANGLE = "angle"
    STRETCH = "stretch"
    BACK_OFF = "back off"
    BACK_OFF_AT_MOST = "back off at most"
    NEXT_SLOT = "next slot"
    TORQUE_OR_SLOT = "torque or next slot"
    DRAG = "drag"
    UNTIL = "until"
    SEE = "see"


LOOSENING = frozenset({StageKind.BACK_OFF, StageKind.BACK_OFF_AT_MOST})
"""Stages that take tightness away."""

IN_WORDS = frozenset({StageKind.UNTIL, StageKind.SEE})
"""Stages that no figure says: how tight they leave a joint is not known here."""

_TORQUES = frozenset(
    {StageKind.TORQUE, StageKind.NEXT_SLOT, StageKind.TORQUE_OR_SLOT, StageKind.DRAG}
)

_FORMS = {
    StageKind.HAND: "hand",
    StageKind.SNUG: "snug",
    StageKind.TORQUE: "{}",
    StageKind.ANGLE: "+{}",
    StageKind.NEXT_SLOT: "next slot, at most {}",
    StageKind.TORQUE_OR_SLOT: "{} or next slot",
}
"""How a stage is put in words, where that is not its kind with what it says after it."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage, done on every fastener of the group before the next begins.

    ``amount`` is the torque, the angle (of ``+45°`` and ``back off 180°``), the most torque of
    ``next slot``, the drag or the stretch; None for ``hand``, ``snug``, ``back off fully`` and what
    ``words`` say: a criterion, or where the source gives the number. ``share`` tells a torque that
    is given as a share of the joint's last one: 1/2 for ``50 %``. ``order`` is an order of its own,
    () when the group's order holds; ``only`` are the positions that it is for, () for all.
    """

    kind: StageKind
    amount: Quantity | None = None
    order: tuple[str, ...] = ()
    words: str = ""
    share: Fraction | None = None
    only: tuple[str, ...] = ()

    @property
    def torque(self) -> Quantity | None:
        """The torque that a wrench must reach in this stage, if any."""
        return self.amount if self.kind in _TORQUES else None

    @property
    def degrees(self) -> float | None:
        """The nominal angle in degrees: positive for tightening, negative for backing off."""
        if (self.kind is not StageKind.ANGLE and self.kind not in LOOSENING) or not self.amount:
            return None
        angle = float(self.amount.exact_nominal("°"))
        return -angle if self.kind in LOOSENING else angle

    def written(self) -> str:
        """The stage in the writer's own figures, spelled the one way."""
        return self._text(self.amount.tidy if self.amount else "")

    def shown(self) -> str:
        """The stage for a technician: a torque in N·m first, with its customary unit."""
        torque = self.torque
        if torque is not None:
            return self._text(show_torque(torque))
        if self.kind is StageKind.STRETCH and self.amount:
            return self._text(with_conversion(self.amount))
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

    def on(self, order: tuple[str, ...] = (), only: tuple[str, ...] = ()) -> Stage:
        """The stage with an order of its own, or for some positions only."""
        return replace(self, order=order, only=only)

    def _text(self, amount: str) -> str:
        only = f" (only {', '.join(self.only)})" if self.only else ""
        share = f"{percent_text(self.share)} = " if self.share is not None else ""
        said = self.words or amount.lstrip("+") or "fully"
        return share + _FORMS.get(self.kind, f"{self.kind} {{}}").format(said) + only


def percent_text(share: Fraction) -> str:
    """A share as per cent: 1/2 is ``50 %``."""
    return f"{float(share * 100):g}{NO_BREAK_SPACE}%"


Course = tuple[tuple[int, Stage], ...]
"""The stages that one fastener of a group goes through, each with its number in the joint."""


def courses(stages: Sequence[Stage]) -> tuple[Course, ...]:
    """Return the different courses that fasteners of one group take, each once.

    There is one, unless stages are for some positions only.
    """
    named = dict.fromkeys(name for stage in stages for name in stage.only)
    found = {
        tuple((n, stage) for n, stage in enumerate(stages, start=1) if not stage.only
              or name in stage.only)
        for name in (*named, "")
    }  # fmt: skip
    return tuple(sorted(filter(None, found), key=lambda course: [n for n, _ in course]))
