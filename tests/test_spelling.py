"""Hints for misspelt words: what was meant, and never a thing of another meaning."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities import car, dyno_session, kit, work
from procedures_lib.language.entities.entity import Model, fields_of
from procedures_lib.language.entities.field_types import OneOf
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, ROLE_NAMES
from procedures_lib.spelling import SHOWN, _distance, likely_first, nearest, suggestion

SLIPS = {
    # Damerau (1964, from memory): a letter too many, missing, another, two exchanged: most slips.
    "boltt": "bolt", "scrw": "screw", "plog": "plug", "blot": "bolt", "setp": "step",
    # Two in a long word; in two words of a name.
    "conection-bolst": "connection-bolts", "disconecct": "disconnect",
    # What joins words, and capitals, make no difference.
    "heldby": "held-by", "lock washer": "lock-washer", "Remove": "remove",
    "front_cover": "front-cover",
    # Singular and plural.
    "bumper-bolt": "bumper-bolts", "seals": "seal",
}  # fmt: skip

OTHER_WORDS = [
    ("air", "airbag"), ("washer", "lock-washer"), ("washer", "crush-washer"), ("wire", "lock-wire"),
    ("fuel", "fuel-vapour"), ("power", "power-steering"), ("oil", "coil"), ("cool", "coolant"),
    ("left-bolts", "right-bolts"), ("upper-hose", "lower-hose"), ("front-plug", "rear-plug"),
    ("belt", "bolt"), ("seal", "seat"), ("hole", "hose"), ("coil", "cool"), ("link", "line"),
    ("stem", "step"), ("boot", "bolt"), ("drive-belt", "drive-bolt"), ("nut", "net"),
    ("tap", "tag"),
    ("cover", "uncover"), ("connect", "disconnect"), ("heat", "seat"), ("tf-220", "tf-230"),
    ("tf-1", "tf-12"), ("8.8", "9.8"), ("grade 5", "grade 8"), ("A2-70", "A4-70"),
]  # fmt: skip


@pytest.mark.parametrize(("written", "meant"), SLIPS.items())
def test_a_slip_is_seen_through(written: str, meant: str) -> None:
    assert nearest(written, ["inspect", meant, "gasket"]) == meant
    assert suggestion(written, ["inspect", meant, "gasket"]) == f"did you mean `{meant}`?"


@pytest.mark.parametrize(("written", "other"), OTHER_WORDS)
def test_another_word_is_no_slip(written: str, other: str) -> None:
    """Common practice: words of the trade that differ by a letter, or begin or end alike."""
    assert nearest(written, [other]) == ""
    assert suggestion(written, [other]) == f"known here: `{other}`"


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        ("kitten", "sitting", 3),  # the usual example of Levenshtein's distance
        ("sunday", "saturday", 3),  # another of them
        ("ca", "abc", 3),  # what sets optimal string alignment (3) apart from Damerau's own (2)
        ("blot", "bolt", 1),
        ("", "abc", 3),
        ("same", "same", 0),
    ],
)
def test_the_distance_is_that_of_the_books(one: str, other: str, distance: int) -> None:
    assert _distance(one, other) == _distance(other, one) == distance


def closed_lists() -> dict[str, set[str]]:
    """Every closed list of the page language: verbs, blocks, roles, fields, and words of fields."""
    found = {"verbs": set(VERBS), "blocks": set(BLOCK_KINDS), "roles": set(ROLE_NAMES)}
    for module in (car, kit, work, dyno_session):
        for model in vars(module).values():
            if not (isinstance(model, type) and issubclass(model, Model)):
                continue
            found[model.__name__] = set(fields_of(model))
            for name, field in model.model_fields.items():
                for mark in field.metadata:
                    if isinstance(mark, OneOf):
                        found[f"{model.__name__}.{name}"] = set(mark.words)
    return found


def test_no_word_of_the_language_is_taken_for_a_slip_of_another() -> None:
    lists = closed_lists()
    words = {word for known in lists.values() for word in known}
    wrong = {
        (word, near, name)
        for name, known in lists.items()
        for word in words - known
        if (near := nearest(word, known)) and near.rstrip("s") != word.rstrip("s")
    }
    assert len(words) > 150
    assert {each for each in wrong if not same_thing(*each[:2])} == set()


def same_thing(word: str, near: str) -> bool:
    """Tell whether two words are forms of one: `hazard` and `hazards`, `DANGER` and `danger`."""
    return word.casefold() == near.casefold()


def test_no_part_of_a_word_is_taken_for_it() -> None:
    for known in closed_lists().values():
        for word in known:
            parts = word.split("-")
            for part in parts if len(parts) > 1 else ():
                assert nearest(part, known - {part}).rstrip("s") in {"", part.rstrip("s")}, part


def test_of_two_the_nearer_is_meant() -> None:
    assert nearest("lid-screw-2", ["lid-screws-2", "lid-screws-1"]) == "lid-screws-2"
    assert nearest("transmision", ["transmissions", "transmission"]) == "transmission"


def test_the_choices_are_listed_likely_ones_first() -> None:
    carries = ["fuel", "coolant", "charge-air", "vacuum", "airbag"]
    assert suggestion("air", carries) == (
        "known here: `charge-air`, `airbag`, `fuel`, `coolant`, `vacuum`"
    )
    likely = likely_first("washer", ["bolt", "nut", "seal", "crush-washer", "lock-washer"])
    assert likely == ["lock-washer", "crush-washer", "bolt", "nut", "seal"]


def test_a_long_list_is_cut_after_the_likely_ones() -> None:
    many = [f"thing-{chr(97 + n)}x" for n in range(20)]
    hint = suggestion("rear-mount", [*many, "rear-engine-mount"])
    assert hint.startswith("known here: `rear-engine-mount`, `thing-ax`, ")
    assert hint.endswith(" …")
    assert hint.count("`") == 2 * SHOWN


def test_the_order_given_is_kept_and_a_set_is_sorted() -> None:
    assert suggestion("zzz", ["b", "a", "b"]) == "known here: `b`, `a`"
    assert suggestion("zzz", {"b", "a"}) == "known here: `a`, `b`"
    assert suggestion("zzz", []) == ""
