"""The field ``tighten``: how tight a joint has to be, the same on all cars or by condition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.engineering.tightening import Stage, StageKind, join_stages, read_stage
from procedures_lib.engineering.tightening.stage_text import last_torque, share_in
from procedures_lib.language.entities.field_types import (
    STRINGS,
    many,
    one,
    one_or_more,
    plain,
    refuse,
)
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS, Condition, ConditionError, read_condition
from procedures_lib.spelling import nearest

Stages = tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class HowTight:
    """The stages of a joint, for the cars of each condition.

    Nothing is said where there are none; one condition that always holds is for every car.
    """

    by_condition: tuple[tuple[Condition, Stages], ...] = ()

    def __bool__(self) -> bool:
        """Whether anything is said, for any car."""
        return bool(self.by_condition)

    @property
    def stages(self) -> Stages:
        """The stages that are the same on every car; () where they are not, or none are given."""
        return self.by_condition[0][1] if self.is_plain else ()

    @property
    def is_plain(self) -> bool:
        """Whether the stages are the same on every car."""
        return len(self.by_condition) == 1 and self.by_condition[0][0] == ALWAYS

    def written(self) -> str:
        """The stages in the writer's own figures, each with its cars where they differ."""
        return self._text(lambda stages: [stage.written() for stage in stages])

    def _text(self, texts: Callable[[Stages], list[str]]) -> str:
        said = ((str(when), ", ".join(texts(stages))) for when, stages in self.by_condition)
        return "; ".join(": ".join(filter(None, pair)) for pair in said)

    def __str__(self) -> str:
        """As :meth:`written`, with the orders that stages have of their own."""
        return self._text(_listed)

    @property
    def every(self) -> Stages:
        """All stages, whatever the car."""
        return tuple(stage for _, stages in self.by_condition for stage in stages)


NOTHING_SAID = HowTight()


def on_every_car(stages: Stages) -> HowTight:
    """Return what these stages say of every car."""
    return HowTight(((ALWAYS, stages),) if stages else ())


_IN_WORDS = {"until": StageKind.UNTIL, "see": StageKind.SEE}
STAGE_KEYS = frozenset({"stage", "order", "only", *_IN_WORDS})

_EXAMPLE = "write `{stage: +45°, order: [a, b, c]}`, `{stage: 10 N·m, only: [a, b]}`"


def read_how_tight(value: Any) -> HowTight:
    """Read the field: stages, or a mapping from conditions to stages."""
    if not isinstance(value, dict) or value.keys() & STAGE_KEYS:
        return on_every_car(_stages(value))
    pairs = [(_condition(key), _stages(given)) for key, given in value.items()]
    return HowTight(tuple((when, stages) for when, stages in pairs if stages))


def _condition(key: Scalar) -> Condition:
    if "=" not in key and " in " not in key:
        near = nearest(key, STAGE_KEYS)
        refuse("unknown-field", f"`{key}` is neither a condition nor a word of a stage",
               f"did you mean `{near}`?" if near else
               'write `{"option=value": [20 N·m], …}`, `{see: "…"}` or `{until: "…"}`',
               key.line)  # fmt: skip
    try:
        return read_condition(key)
    except ConditionError as error:
        refuse(error.check, error.message, error.hint, key.line)


@dataclass(frozen=True, slots=True)
class _Written:
    """A stage as it is written: its text or words, and what is said of its positions."""

    text: str
    line: int
    kind: StageKind | None = None
    order: tuple[str, ...] = ()
    only: tuple[str, ...] = ()


def _stages(value: Any) -> Stages:
    written = _written(value)
    whole = {n: _stage(each) for n, each in enumerate(written) if not _is_share(each)}
    last = last_torque(whole.values())
    return tuple(
        whole[n] if n in whole else _read(each, lambda text: read_stage(text, last))
        for n, each in enumerate(written)
    )


def _is_share(each: _Written) -> bool:
    return each.kind is None and share_in(each.text) is not None


def _stage(each: _Written) -> Stage:
    if each.kind is not None:
        return Stage(each.kind, words=each.text).on(each.order, each.only)
    return _read(each, read_stage)


def _read(each: _Written, read: Any) -> Stage:
    try:
        stage: Stage = read(each.text)
    except QuantityError as error:
        refuse(error.check, error.message, error.hint, each.line)
    return stage.on(each.order, each.only)


def _written(value: Any) -> list[_Written]:
    found: list[_Written] = []
    pending: list[str] = []
    for item in [value] if isinstance(value, dict) else many(value):
        if isinstance(item, dict):
            found += [*_texts(pending), _mapped(item)]
            pending = []
        else:
            pending.append(one(item))
    return [*found, *_texts(pending)]


def _texts(texts: list[str]) -> list[_Written]:
    joined = join_stages(texts)
    return [_Written(text, getattr(texts[first], "line", 0)) for first, text in joined]


def _mapped(item: dict[Any, Any]) -> _Written:
    """Read a stage with an order, with positions of its own, or in words."""
    said = [key for key in item if key in {"stage", *_IN_WORDS}]
    if len(said) != 1 or set(item) - STAGE_KEYS:
        strange = next(iter(set(item) - STAGE_KEYS), "")
        near = nearest(strange, STAGE_KEYS)
        hint = f"did you mean `{near}`?" if near else _EXAMPLE
        if " " in strange and not item[strange]:
            hint = "a text with a comma in it needs quotes inside `{ }`"
        refuse("unknown-field", "a stage as a mapping has one of `stage`, `until` and `see`, and"
               " may have `order` and `only`", hint)  # fmt: skip
    text = one(item[said[0]])
    kind = _IN_WORDS.get(str(said[0]))
    words = text.strip()
    if kind is not None and words.lower().startswith(f"{kind} "):
        words = words[len(kind) :].strip()
    order = tuple(map(str, _names(item, "order")))
    return _Written(words, text.line, kind, order, _names(item, "only"))


def _names(item: dict[Any, Any], key: str) -> tuple[str, ...]:
    texts = (one(name) for name in many(item.get(key, [])))
    return tuple(Scalar(text.strip(), text.line) for text in texts)


_TEXT = {"type": "string"}
_WORDS = ("stage", *_IN_WORDS)
_STAGE_SCHEMA = {
    "anyOf": [
        _TEXT,
        {
            "type": "object",
            "properties": {**dict.fromkeys(_WORDS, _TEXT), "order": STRINGS, "only": STRINGS},
            "oneOf": [{"required": [word]} for word in _WORDS],
            "additionalProperties": False,
        },
    ]
}
CONDITION_KEY = "=| in "
"""A pattern of the keys that are conditions."""
STAGES = one_or_more(_STAGE_SCHEMA)
"""The schema of the stages for the cars of one condition."""
_BY_CONDITION = {
    "type": "object",
    "propertyNames": {"pattern": CONDITION_KEY},
    "additionalProperties": STAGES,
}
_ONE, _LIST = STAGES["anyOf"]
SCHEMA = {"anyOf": [_ONE, _BY_CONDITION, _LIST]}

OF_ONE_STAGE = _STAGE_SCHEMA["anyOf"][1]
"""The schema of one stage as a mapping."""


def _dumped(how: HowTight) -> list[str] | dict[str, list[str]]:
    if how.is_plain or not how:
        return _listed(how.stages)
    return {str(when): _listed(stages) for when, stages in how.by_condition}


def _listed(stages: Stages) -> list[str]:
    return [
        stage.written() + (f" (order {', '.join(stage.order)})" if stage.order else "")
        for stage in stages
    ]


Tighten = Annotated[HowTight, *plain(read_how_tight, SCHEMA, _dumped)]
