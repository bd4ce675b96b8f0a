"""Every field has its line, and every line its field."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities import car, hazard, kit, picture, work
from procedures_lib.language.entities import dyno_session as dyno
from procedures_lib.language.entities.entity import ANY, Model, field_notes, fields_of, note_on

MODELS = {
    name: model
    for module in (car, dyno, hazard, kit, picture, work)
    for name, model in vars(module).items()
    if isinstance(model, type) and issubclass(model, Model) and model.__module__ == module.__name__
}


@pytest.mark.parametrize("name", MODELS)
def test_every_field_has_a_line(name: str) -> None:
    notes = [note_on(MODELS[name], field) for field in fields_of(MODELS[name])]
    assert notes
    assert all((note and note[0] != note[0].upper()) or note.startswith("`") for note in notes)
    assert not any(note.endswith(".") for note in notes)


def test_every_line_has_a_field() -> None:
    for name, notes in field_notes().items():
        models = MODELS.values() if name == ANY else [MODELS[name]]
        known = {field for model in models for field in fields_of(model)}
        assert notes.keys() <= known, name
