"""What a source can print of a thing: its fields by the words of a row, read as the field is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, get_args, get_origin

from pydantic import ConfigDict, PydanticUserError, TypeAdapter, ValidationError

from procedures_lib.engineering.quantities import Quantity, read_quantity
from procedures_lib.findings import SlipError
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part, Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Model, fields_of
from procedures_lib.language.entities.field_types import Packed, many, one, refuse
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import StepOptions

STEP = "step"
THINGS = tuple(model.KIND for model in (Fastener, Part, Connection, Opening, Fluid))
SAYS = "says"
"""The amounts that the prose of a step, a rule or a page states with ``{q}``."""

PRINTED_OF: Mapping[str, type[Model]] = MappingProxyType(
    {
        **{model.KIND: model for model in (Fastener, Part, Connection, Opening, Fluid)},
        **{model.KIND: model for model in (Vehicle, Kit, DynoSession)},
        STEP: StepOptions,
    }
)
"""What a row of double entry may be about, with the model that has its fields."""

_NOT_PRINTED = frozenset(
    {"name", "also", "note", "source", "tighten", "order", "before", "after", "do", "id", "hazards"}
)
_CONTENTS = ("contents",)
_NEVER = frozenset({"never", "new every time"})

Path = tuple[str, ...]


@cache
def paths_of(kind: str) -> Mapping[str, Path]:
    """Return the fields a row may have of a kind, by their words, with the attributes they are.

    What stands inside another field has its own name where that tells enough: ``engagement`` is
    ``into engagement``, ``fuel`` what a kit ``needs``.
    """
    own: dict[str, Path] = {}
    inner: dict[str, Path] = {}
    for written, attribute in fields_of(PRINTED_OF[kind]).items():
        if written not in _NOT_PRINTED:
            own[written] = (attribute,)
            for name, part in _inside(PRINTED_OF[kind], attribute):
                own[f"{written} {name}"] = (attribute, part)
                inner.setdefault(name, (attribute, part))
    return MappingProxyType({**inner, **own})


def _inside(model: type[Model], attribute: str) -> Iterator[tuple[str, str]]:
    """Yield the fields of the model that a field holds, if it holds one."""
    held = _held(model, attribute)
    for written, part in fields_of(held).items() if held else ():
        if written not in _NOT_PRINTED:
            yield written, part


def _held(model: type[Model], attribute: str) -> type[Model] | None:
    annotation = model.model_fields[attribute].annotation
    kinds = () if get_origin(annotation) is tuple else (annotation, *get_args(annotation))
    return next((k for k in kinds if isinstance(k, type) and issubclass(k, Model)), None)


def words() -> frozenset[str]:
    """Return every word by which a row may say a field."""
    return _words()


@cache
def _words() -> frozenset[str]:
    found = {name for kind in PRINTED_OF for name in paths_of(kind)}
    return frozenset(found | {SAYS})


def kinds_with(fields: Sequence[str]) -> tuple[str, ...]:
    """Return the kinds of thing that have all of these fields."""
    return tuple(kind for kind in PRINTED_OF if all(name in paths_of(kind) for name in fields))


def read_printed(kinds: tuple[str, ...], name: str, given: Any) -> Any:
    """Return what a source prints of a field, read as the field of these kinds is.

    SlipError when none of them reads it. Of a packing list it is the number of each part number.
    """
    if name == SAYS:
        return tuple(read_quantity(one(text)) for text in many(given))
    wrong: SlipError | None = None
    for kind in kinds:
        path = paths_of(kind)[name]
        try:
            return _packing_list(given) if path == _CONTENTS else _read(kind, path, given)
        except SlipError as error:
            wrong = wrong or error
    if wrong is None:
        refuse("unknown-field", f"nothing has a field `{name}`")
    raise wrong


def _read(kind: str, path: Path, given: Any) -> Any:
    if path[-1] == "reuse" and isinstance(given, str) and given.strip() in _NEVER:
        return False
    return _validated(_adapter(kind, path), given, "write it as the block of the thing has it")


def _validated(adapter: TypeAdapter[Any], given: Any, hint: str) -> Any:
    try:
        return adapter.validate_python(given)
    except ValidationError as error:
        slip = error.errors()[0].get("ctx", {}).get("error")
        if isinstance(slip, SlipError):
            raise slip from None
        raise SlipError("wrong-shape", "the value has the wrong shape", hint) from None


@cache
def _adapter(kind: str, path: Path) -> TypeAdapter[Any]:
    model: type[Model] = PRINTED_OF[kind]
    for attribute in path[:-1]:
        model = _held(model, attribute) or model
    field = model.model_fields[path[-1]]
    marks = tuple(field.metadata)
    annotation: Any = Annotated[(field.annotation, *marks)] if marks else field.annotation
    try:
        return TypeAdapter(annotation, config=ConfigDict(arbitrary_types_allowed=True))
    except PydanticUserError:  # a model or a dataclass: it has a configuration of its own
        return TypeAdapter(annotation)


_PACKED: TypeAdapter[int | Quantity] = TypeAdapter(Packed)


def _packing_list(given: Any) -> tuple[tuple[str, int | Quantity], ...]:
    if not isinstance(given, dict):
        refuse("wrong-shape", "a packing list is a mapping from part numbers to how many",
               "write `contents: {TF-220-01: 1, TF-220-07: 4}`")  # fmt: skip
    pairs = ((str(number), of) for number, of in given.items())
    return tuple((number, _validated(_PACKED, of, f"write `{number}: 4`")) for number, of in pairs)


def field_value(thing: Any, path: Path) -> Any:
    """Return the value of a field of a thing; None where it, or what holds it, is not given.

    ``reuse``, ``bleed`` and ``needs-support`` are what follows for the thing, given or not.
    """
    effective = _EFFECTIVE.get(path[0])
    if effective and hasattr(thing, effective):
        return getattr(thing, effective)
    return stated_value(thing, path)


def stated_value(thing: Any, path: Path) -> Any:
    """Return what stands in a field itself; of a packing list, how many of each part number."""
    for attribute in path:
        thing = getattr(thing, attribute, None)
    if path == _CONTENTS:
        return tuple((str(item.number), item.qty) for item in thing or () if item.number)
    return thing


_EFFECTIVE = {"reuse": "reusable", "bleed": "needs_bleeding", "needs_support": "is_heavy"}


def shown(value: Any) -> str:
    """Return a value in words, as a writer would type it; "" for none."""
    if value is None or value in ("", ()):
        return ""
    if isinstance(value, Quantity):
        return value.tidy
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return ", ".join(filter(None, map(_item, value)))
    return str(getattr(value, "written", value))


def _item(value: Any) -> str:
    if isinstance(value, tuple) and len(value) == 2:
        key, of_key = value
        if isinstance(of_key, tuple):
            of_key = f"[{', '.join(f'{number:g}' for number in of_key)}]"
        return f"{key}: {shown(of_key)}" if key else shown(of_key)
    return shown(value)
