"""Reads the stages of a joint from a writer's words; what is no stage is told the likely ones."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from procedures_lib.engineering.quantities import (
    Quantity,
    QuantityError,
    quantity_of,
    read_quantity,
)
from procedures_lib.engineering.quantities.conversion import share_of
from procedures_lib.engineering.tightening.stage import Stage, StageKind, percent_text

_BACK_OFF = re.compile(r"back off\b[\s,]*(.*)$", re.IGNORECASE)
_AT_MOST = re.compile(r"at most\s+(.+)$", re.IGNORECASE)
_NEXT_SLOT = re.compile(r"next slot\b\s*,?\s*(?:at most\s+(.+))?$", re.IGNORECASE)
_OR_SLOT = re.compile(r"(.*?)[\s,]*\bor\s+(?:the\s+)?next slot$", re.IGNORECASE)
_STRETCH = re.compile(r"stretch\b\s*(.*)$", re.IGNORECASE)
_DRAG = re.compile(r"drag(.*)$", re.IGNORECASE)
_FURTHER = re.compile(r"\+(.*)$")
_SHARE = re.compile(r"(\d{1,4}(?:\.\d{1,4})?)\s*%$")
_NUMERIC = re.compile(r"\d|\b(?:nan|inf|infinity)\b", re.IGNORECASE)

_FORMS = {
    "hand": "finger by hand",
    "snug": "touch contact tight firm secure seat",
    "12 N·m": "torque lbf newton",
    "+45°": "angle degree turn further",
    "50 %": "percent per pct half %",
    "20 N·m or next slot": "slot castle cotter align pin hole",
    "next slot, at most 60 N·m": "slot castle cotter align pin hole",
    "stretch 0.34–0.47 mm": "stretch elongate elongation length",
    "back off 180°": "back loosen slacken undo",
    "back off at most 1/4 turn": "back loosen slacken undo",
    "back off fully": "back loosen slacken undo",
    "drag 2.0–2.6 N·m": "drag preload rotate rolling resistance",
    '{until: "2 teeth show"}': "until till criterion",
    '{see: "sheet 4"}': "see refer per sheet page table chart",
}
"""The forms of a stage, each with words that may have been meant for it."""

_PER_CENT = re.compile(r"(\d[\d.]*)\s*(?:per\s?cent|pct|p\.c\.)\.?$", re.IGNORECASE)
_OPENED = re.compile(r"(until|till|see|refer to)\b[\s:]*(.*)$", re.IGNORECASE)


def read_stage(text: str, last: Quantity | None = None) -> Stage:
    """Read one stage as section 4 of the writer's guide lists them.

    ``last`` is the joint's last torque, of which ``50 %`` is a share. Raises
    :class:`QuantityError`, ``unknown-stage`` among its checks.
    """
    text = text.strip()
    if text.lower() in {"hand", "snug"}:
        return Stage(StageKind(text.lower()))
    if (share := share_in(text)) is not None:
        return _share(share, last)
    for form, read in _READERS:
        if match := form.match(text):
            return read(match[1] or "")
    return _torque(text)


def read_stages(texts: Sequence[str]) -> tuple[Stage, ...]:
    """Read stages in their order, joined as :func:`join_stages` says."""
    joined = [text for _, text in join_stages(texts)]
    whole = {text: read_stage(text) for text in joined if share_in(text) is None}
    last = last_torque(whole[text] for text in joined if text in whole)
    return tuple(whole[text] if text in whole else read_stage(text, last) for text in joined)


def last_torque(stages: Iterable[Stage]) -> Quantity | None:
    """Return the last torque that stages set by themselves, not as a share of another."""
    kinds = {StageKind.TORQUE, StageKind.TORQUE_OR_SLOT}
    found = [stage.amount for stage in stages if stage.kind in kinds and stage.share is None]
    return found[-1] if found else None


def share_in(text: str) -> Fraction | None:
    """Return the share that a text states, 1/2 for ``50 %``; None when it states none."""
    match = _SHARE.match(text.strip())
    return Fraction(match[1]) / 100 if match else None


def join_stages(texts: Sequence[str]) -> list[tuple[int, str]]:
    """Return each stage's text, with the index of its first part.

    A YAML list splits stages at their commas: ``next slot`` or ``back off`` and the ``at most …``
    after it count as one stage, and so do a torque and ``or next slot``. A decimal comma that was
    split so raises ``not-a-number``.
    """
    for one, other in pairwise(text.strip() for text in texts):
        if one.isdecimal() and other[:1].isdecimal():
            message = f"`{one},{other}`: a comma parts a list, so these are two stages"
            hint = f"write {one}.{other} if the comma is a decimal one, else give {one} its unit"
            raise QuantityError("not-a-number", message, hint)
    joined: list[tuple[int, str]] = []
    for n, text in enumerate(texts):
        part = text.strip()
        first, before = joined[-1] if joined else (0, "")
        if part.lower().startswith("at most") and before.lower() in {"next slot", "back off"}:
            joined[-1] = first, f"{before}, {part}"
        elif part.lower() in {"or next slot", "or the next slot"} and before:
            joined[-1] = first, f"{before} {part}"
        else:
            joined.append((n, part))
    return joined


def _torque(text: str) -> Stage:
    try:
        return Stage(StageKind.TORQUE, read_quantity(text, "torque"))
    except QuantityError as error:
        kind = getattr(quantity_of(text), "kind", "")
        if error.check == "wrong-dimension" and kind == "angle":
            hint = f"write `+{text}` to go on by that angle, `back off {text}` to loosen"
            message = f"`{text}` does not say which way"
            raise QuantityError("wrong-dimension", message, hint) from error
        if error.check == "wrong-dimension" and kind == "length":
            hint = f"write a torque in N·m, or `stretch {text}` for a bolt whose length is measured"
            raise QuantityError("wrong-dimension", f"`{text}` is no torque", hint) from error
        if hint := _meant(text):
            raise QuantityError("unknown-stage", f"`{text}` is no stage", hint) from error
        if error.check == "not-a-number" and not _NUMERIC.search(text):
            hint = f"stages: {', '.join(_likely(text))}"
            raise QuantityError("unknown-stage", f"`{text}` is no stage", hint) from error
        raise


def _meant(text: str) -> str:
    """What to write for words that plainly mean one form, "" for any other."""
    if match := _PER_CENT.match(text):
        return f"write `{match[1]} %`"
    if match := _OPENED.match(text):
        word = "until" if match[1].lower() in {"until", "till"} else "see"
        return f'write `{{{word}: "{match[2] or "…"}"}}`'
    return ""


def _likely(text: str) -> list[str]:
    """All forms of a stage, those first whose words are in the text."""
    words = set(re.findall(r"[a-z]+|%", text.lower()))

    def unlikely(form: str) -> bool:
        about = _FORMS[form].split()
        return not any(word.startswith(each) for word in words for each in about)

    return sorted(_FORMS, key=unlikely)


def _share(share: Fraction, last: Quantity | None) -> Stage:
    written = percent_text(share)
    if not 0 < share <= 1:
        message = f"`{written}` is no share of the joint's last torque"
        raise QuantityError("out-of-range", message, "over 0 %, to 100 %")
    if last is None:
        message = f"`{written}` is a share of the joint's last torque, and no stage gives one"
        hint = f"add the whole torque as a later stage: `[{written}, 60 N·m]`"
        raise QuantityError("unknown-stage", message, hint)
    return Stage(StageKind.TORQUE, share_of(last, share), share=share)


def _back_off(rest: str) -> Stage:
    if rest.lower() == "fully":
        return Stage(StageKind.BACK_OFF)
    if not rest:
        message = "`back off` does not say how far"
        hint = "`back off 180°`, `back off at most 1/4 turn`, `back off fully`"
        raise QuantityError("unknown-stage", message, hint)
    if match := _AT_MOST.match(rest):
        angle = _positive_angle(match[1], f"back off {rest}")
        return Stage(StageKind.BACK_OFF_AT_MOST, angle)
    return Stage(StageKind.BACK_OFF, _positive_angle(rest, f"back off {rest}"))


def _next_slot(limit: str) -> Stage:
    if not limit:
        hint = "write the most it may take: `next slot, at most 60 N·m`"
        raise QuantityError("unknown-stage", "`next slot` does not say where to stop", hint)
    return Stage(StageKind.NEXT_SLOT, read_quantity(limit, "torque"))


def _or_slot(torque: str) -> Stage:
    if not _NUMERIC.search(torque):
        said = f"`{torque}` is no torque" if torque else "`or next slot` has no torque before it"
        raise QuantityError("unknown-stage", said, "write `20 N·m or next slot`")
    return Stage(StageKind.TORQUE_OR_SLOT, read_quantity(torque, "torque"))


def _stretch(length: str) -> Stage:
    if not length:
        hint = "write by how much: `stretch 0.34–0.47 mm`"
        raise QuantityError("unknown-stage", "`stretch` does not say how far", hint)
    amount = read_quantity(length, "length")
    if amount.low <= 0 or amount.exact("mm")[1] > 10:
        message = f"`stretch {length}` is no stretch of a bolt"
        raise QuantityError("out-of-range", message, "over 0 mm, to 10 mm")
    return Stage(StageKind.STRETCH, amount)


def _drag(torque: str) -> Stage:
    return Stage(StageKind.DRAG, read_quantity(torque, "torque"))


def _further(angle: str) -> Stage:
    return Stage(StageKind.ANGLE, _positive_angle(angle, f"+{angle}"))


_READERS = (
    (_BACK_OFF, _back_off),
    (_NEXT_SLOT, _next_slot),
    (_OR_SLOT, _or_slot),
    (_STRETCH, _stretch),
    (_DRAG, _drag),
    (_FURTHER, _further),
)
"""The forms of a stage that begin or end with words of their own, and what reads them."""


def _positive_angle(text: str, whole: str) -> Quantity:
    angle = read_quantity(text, "angle")
    if angle.low <= 0 or angle.exact("°")[1] > 1080:
        message = f"`{whole}` is no tightening angle"
        raise QuantityError("out-of-range", message, "over 0°, to 1080°")
    return angle
