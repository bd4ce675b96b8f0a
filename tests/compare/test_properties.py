"""What holds for any two states: nothing differs from itself, and back is there, mirrored."""

from __future__ import annotations

import json
import pickle
import re
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from procedures_lib.judging.compare import Act, Change, compare
from procedures_lib.judging.compare.markdown import markdown_report
from procedures_lib.judging.compare.report import json_report, text_report
from procedures_lib.manual import Manual
from tests.compare.small import plain_pages
from tests.helpers import manual_from

DEMO = Path(__file__).resolve().parents[2] / "docs"
TURNED = {Act.ADDED: Act.DROPPED, Act.DROPPED: Act.ADDED}
WORDS = ["cover-bolts", "side-bolt", "8 N·m", "cover", "4", "dry", "fit", "tighten", "A", "step",
         "manual", "caution", "2021", "stage 1", "", "\n", "```", "hand", "seat", "x"]  # fmt: skip


@st.composite
def changed_pages(draw: st.DrawFn) -> dict[str, str]:
    """The small manual after some edits: a word replaced, a line dropped, doubled or moved."""
    pages = plain_pages()
    for _ in range(draw(st.integers(1, 4))):
        name = draw(st.sampled_from(sorted(pages)))
        lines = pages[name].split("\n")
        at = draw(st.integers(0, len(lines) - 1))
        match draw(st.sampled_from(["word", "drop", "double", "move"])):
            case "word":
                words = re.split(r"(\W+)", lines[at])
                words[draw(st.integers(0, len(words) - 1))] = draw(st.sampled_from(WORDS))
                lines[at] = "".join(words)
            case "drop":
                del lines[at]
            case "double":
                lines.insert(at, lines[at])
            case _:
                line = lines.pop(at)
                lines.insert(draw(st.integers(0, len(lines))), line)
        pages[name] = "\n".join(lines)
    return pages


def core(change: Change) -> tuple[object, ...]:
    """A change without what differs by its nature: notes, users, and numbers of steps."""
    texts = (re.sub(r"^step \d+$", "", change.old), re.sub(r"^step \d+$", "", change.new))
    return (change.group, change.topic, change.thing.kind, change.act, *texts)


def mirrored(change: Change) -> tuple[object, ...]:
    """The core of the change that the way back has to give."""
    group, topic, kind, act, old, new = core(change)
    return (group, topic, kind, TURNED.get(change.act, act), new, old)


@settings(max_examples=150, deadline=None)
@given(changed_pages())
def test_the_way_back_is_the_way_there_mirrored(pages: dict[str, str]) -> None:
    """Where an id was renamed, texts have the later of its names: without them, then.

    Where two things share an id, which is an error of its own, none of the two is sure.
    """
    old, new = manual_from(plain_pages()), manual_from(pages)
    ids = [entity.id for content in new.contents.values() for entity in content.entities]
    assume(len(ids) == len(set(ids)))
    there, back = compare(old, new), compare(new, old)
    renamed = any(change.topic == "id" for change in there.changes)
    said = slice(0, 4) if renamed else slice(0, 6)
    assert sorted(repr(mirrored(change)[said]) for change in there.changes) == sorted(
        repr(core(change)[said]) for change in back.changes
    )


@settings(max_examples=50, deadline=None)
@given(changed_pages())
def test_nothing_differs_from_itself(pages: dict[str, str]) -> None:
    manual, again = manual_from(pages), manual_from(pages)
    comparison = compare(manual, again)
    assert (comparison.changes, comparison.findings) == ((), ())


@settings(max_examples=50, deadline=None)
@given(changed_pages())
def test_reports_are_always_made(pages: dict[str, str]) -> None:
    """Sorted, the same twice, and each change in each form."""
    old, new = manual_from(plain_pages()), manual_from(pages)
    comparison = compare(old, new)
    ranks = [change.rank for change in comparison.changes]
    assert ranks == sorted(ranks)
    assert compare(old, manual_from(pages)) == comparison
    assert pickle.loads(pickle.dumps(comparison)) == comparison  # noqa: S301
    value = json_report(comparison, str, ("old", "new"))
    assert len(json.loads(json.dumps(value))["changes"]) == len(comparison.changes)
    lines = text_report(comparison, str, ("old", "new")).splitlines()
    assert sum(line.startswith("  ") and line[2] != " " for line in lines) == len(
        comparison.changes
    )
    assert markdown_report(comparison, str, ("old", "new")).startswith("**`old` → `new`: ")


@pytest.mark.parametrize("name", ["vehicles/tarrow-finch.md", "procedures/fit-tf-220.md"])
def test_the_demo_does_not_differ_from_itself(name: str) -> None:
    manual, again = Manual.read(DEMO), Manual.read(DEMO)
    assert name in manual.contents
    assert compare(manual, again).changes == ()
