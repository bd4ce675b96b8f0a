"""Sentences, the words that changed in them, and what turns them; words held against difflib."""

from __future__ import annotations

import difflib
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.judging.compare import Act, Group, Harm, compare
from procedures_lib.judging.compare.sentences import marked, operations, sentences_of, turns
from procedures_lib.language.reading.reader import read_page
from tests.compare.small import COVER, OFF, after, edited, only, plain, told
from tests.helpers import manual_from

VOCABULARY = ["set", "the", "stand", "jack", "under", "it", "not", "left", "right", "8", "N·m"]
WORDS = st.lists(st.sampled_from(VOCABULARY))
MARK = re.compile(r"\[-(.*?)-\]|\{\+(.*?)\+\}")


def unmarked(text: str, side: int) -> str:
    """One of the two texts again, without its spaces."""
    return "".join(MARK.sub(lambda found: found[side] or "", text).split())


@given(WORDS, WORDS)
def test_marks_hold_both_texts(old: list[str], new: list[str]) -> None:
    text = marked(" ".join(old), " ".join(new))
    if "…" not in text:
        assert (unmarked(text, 1), unmarked(text, 2)) == ("".join(old), "".join(new))


@given(WORDS, WORDS)
def test_the_words_that_differ_are_those_of_difflib(old: list[str], new: list[str]) -> None:
    """Against ``difflib.ndiff``: what its lines keep on both sides, a replay of ours gives too."""
    assert list(difflib.restore(difflib.ndiff(old, new), 1)) == old
    steps = operations(old, new)
    assert [word for _, a, b, _, _ in steps for word in old[a:b]] == old
    assert [word for _, _, _, c, d in steps for word in new[c:d]] == new
    assert all((name == "equal") == (old[a:b] == new[c:d]) for name, a, b, c, d in steps)
    kept = sum(b - a for name, a, b, _, _ in steps if name == "equal")
    matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
    assert kept == sum(block.size for block in matcher.get_matching_blocks())


def test_long_rows_of_words_are_trimmed_at_their_ends() -> None:
    old = [str(n) for n in range(5_000)]
    new = [*old[:100], "x", *old[101:]]
    changed = [each for each in operations(old, new) if each[0] != "equal"]
    assert changed == [("replace", 100, 101, 100, 101)]
    assert len(marked(" ".join(old), " ".join(new))) < 100


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("Set the stand in.", "Set the jack in.", "Set the [-stand-] {+jack+} in."),
        ("Wear gloves.", "Wear no gloves.", "Wear {+no+} gloves."),
        ("Never reach in.", "Reach in.", "[-Never reach-] {+Reach+} in."),
        ("10 mm", "10 cm", "10 [-mm-] {+cm+}"),
        ("one two three four five six seven eight a", "one two three four five six seven eight b",
         "… five six seven eight [-a-] {+b+}"),
        ("Within {q}`3 m`.", "Within {q}`30 m`.", "Within [-3-] {+30+} m."),
    ],
)  # fmt: skip
def test_marks(old: str, new: str, expected: str) -> None:
    assert marked(old, new) == expected


TURNED = [
    ("Set it down.", "Never set it down."),
    ("Pull to the left.", "Pull to the right."),
    ("Before you lower it, look.", "After you lower it, look."),
    ("Wait 3 turns.", "Wait 4 turns."),
    ("Tighten it, then lower it.", "Lower it, then tighten it."),
    ("Turn it clockwise.", "Turn it anticlockwise."),
    ("Only by hand.", "By hand."),
    ("Three turns.", "Two turns."),
    ("Set it on stands.", "Set it on ramps."),
    ("It must click.", "It may click."),
]
OTHERWISE = [
    ("Lift it off.", "Lift it away."),
    ("Wipe the face with a rag.", "Wipe the face with a cloth."),
    ("It goes stiffly.", "It moves stiffly."),
]


@pytest.mark.parametrize(("old", "new"), TURNED)
def test_turned(old: str, new: str) -> None:
    """Common practice, no source."""
    assert turns(old, new)
    assert turns(new, old)


@pytest.mark.parametrize(("old", "new"), OTHERWISE)
def test_said_otherwise(old: str, new: str) -> None:
    assert not turns(old, new)


def test_sentences_have_their_numbers_and_lines() -> None:
    page = read_page(
        b"One {q}`3 mm`\nof `code` here.\nTwo {part}`lid` to {torque}`bolts`. Three!\n", "p.md"
    )
    found = sentences_of(page.prose, page.roles, str)
    assert [(each.text, each.line, each.lines) for each in found] == [
        ("One 3 mm of … here.", 1, (1,)),
        ("Two lid to torque of bolts.", 3, (3,)),
        ("Three!", 3, ()),
    ]


# -- on pages ----------------------------------------------------------------------------------


def test_a_sentence_that_is_turned_says_so_and_ranks_higher() -> None:
    change = only(after((COVER, "It must be whole.", "It must not be whole.")))
    assert (change.turned, change.harm, change.comes_first) == (True, Harm.DAMAGES, True)
    other = only(after((COVER, "It must be whole.", "It must be entire.")))
    assert (other.turned, other.harm, other.comes_first) == (False, Harm.WASTES, False)


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ("Run it on the stand.", "Run it on the floor."),
        ("Look at {part}`cover`.", "Look at {connection}`fan-plug`."),
    ],
)
def test_another_thing_turns_a_sentence(before: str, now: str) -> None:
    old, new = ((COVER, "Run it warm.", text) for text in (before, now))
    change = only(compare(manual_from(edited(old)), manual_from(edited(new))))
    assert (change.topic, change.turned, change.comes_first) == ("sentence", True, True)


def test_sentences_that_came_went_and_moved() -> None:
    gone = only(after((COVER, "Leave {q}`2 mm` of air.", "Leave {q}`2 mm` of air. Wipe it.")))
    assert (gone.topic, gone.act, gone.new) == ("sentence", Act.ADDED, "Wipe it.")
    both = "Both to {torque}`cover-bolts` and {torque}`side-bolt`."
    air = "Leave {q}`2 mm` of air."
    moved = only(after((COVER, f"{both} {air}", f"{air} {both}")))
    assert (moved.topic, moved.act) == ("sentence", Act.MOVED)


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ("It must be whole.", "It must be whole.\n======="),
        ("Run `key` warm.", "Run `door` warm."),
        ("See [there](renew-cover.md).", "See [there](fit-vent.md)."),
    ],
)
def test_what_is_no_word_is_told_too(before: str, now: str) -> None:
    old, new = (edited((COVER, "It must be whole.", text)) for text in (before, now))
    change = only(compare(manual_from(old), manual_from(new)))
    assert (change.topic, change.note, change.harm) == (
        "prose", "code, links or signs", Harm.WASTES,
    )  # fmt: skip


@pytest.mark.parametrize(
    "said", ["It must be whole. <!-- ask -->", "% ask\n\nIt must be whole.", "It must\nbe whole."]
)
def test_a_comment_is_no_difference(said: str) -> None:
    assert after((COVER, "It must be whole.", said)).changes == ()


def test_what_follows_a_comment_is_compared() -> None:
    old, new = (f"% ask\n\nIt must be whole. Use `{key}`." for key in ("oil", "tar"))
    pages = [edited((COVER, "It must be whole.", text)) for text in (old, new)]
    change = only(compare(manual_from(pages[0]), manual_from(pages[1])))
    assert change.note == "code, links or signs"


def test_two_torques_that_change_places() -> None:
    swapped = "{torque}`side-bolt` and {torque}`cover-bolts`"
    change = only(after((COVER, "{torque}`cover-bolts` and {torque}`side-bolt`", swapped)))
    assert (change.group, change.topic, change.act) == (
        Group.SAFETY, "torque in the text", Act.MOVED,
    )  # fmt: skip
    assert (change.old, change.new) == ("cover-bolts, side-bolt", "side-bolt, cover-bolts")


def test_two_amounts_in_two_sentences_that_change_places() -> None:
    base = (COVER, "Leave {q}`2 mm` of air.", "Leave {q}`2 mm` of air. Wait {q}`5 min` then.")
    new = (COVER, "Leave {q}`2 mm` of air.", "Leave {q}`5 min` of air. Wait {q}`2 mm` then.")
    both = after(base), after(new)
    assert {row[0] for row in told(both[0])} == {"sentence", "amount in the text"}
    change = only(compare(manual_from(edited(base)), manual_from(edited(new))))
    assert (change.act, change.old, change.new) == (Act.MOVED, "2 mm, 5 min", "5 min, 2 mm")


def test_an_amount_of_a_wait_is_held_against_the_source_of_nothing() -> None:
    change = only(after((OFF, "{q}`3 min`", "{q}`1 min`")))
    assert (plain(change.old), change.unjudged, change.source) == ("3 min", True, "")
    assert change.harm is Harm.INJURES
