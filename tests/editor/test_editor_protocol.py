"""The server over its protocol, as an editor talks to it: another program at the other end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException

from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from tests.cli.world import make_manual, write
from tests.editor.talking import Editor, edited, place_of, quoted

CAR, WORK = "vehicles/mule.md", "procedures/renew-cover.md"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_manual(tmp_path_factory.mktemp("shop") / "project")


@pytest.fixture(scope="module")
def running(folder: Path) -> Iterator[Editor]:
    with Editor(folder) as editor:
        yield editor


@pytest.fixture
def editor(running: Editor) -> Iterator[Editor]:
    """The server with both pages open, as their files have them."""
    for page in (CAR, WORK):
        running.open(page)
    yield running
    for page in (CAR, WORK):
        running.close(page)
    assert running.faults == []


def labels(items: list[lsp.CompletionItem]) -> set[str]:
    return {item.label for item in items}


def text_after(text: str, item: lsp.CompletionItem) -> str:
    assert isinstance(item.text_edit, lsp.TextEdit)
    return edited(text, [item.text_edit])


def plain(text: str | None) -> str:
    """A text with common blanks only."""
    return (text or "").replace("\u00a0", " ")


def test_it_says_what_it_can_do(editor: Editor) -> None:
    assert editor.can.position_encoding == "utf-16"
    assert editor.can.text_document_sync is not None
    assert editor.can.rename_provider == lsp.RenameOptions(prepare_provider=True)
    for offered in (
        editor.can.completion_provider,
        editor.can.hover_provider,
        editor.can.definition_provider,
        editor.can.references_provider,
    ):
        assert offered


def test_findings_come_while_one_types_and_go_again(editor: Editor) -> None:
    text = editor.read(WORK)
    wrong = text.replace("fit cover", "fit covr")
    editor.type(WORK, wrong)
    editor.wait_for_findings(WORK, ["unknown-id"])
    (found,) = editor.findings[WORK]
    assert (found.severity, found.source) == (lsp.DiagnosticSeverity.Error, "procedures")
    assert "did you mean `cover`?" in found.message
    assert quoted(wrong, found.range) == "covr"
    editor.type(WORK, text)
    editor.wait_for_findings(WORK, [])


def test_what_is_not_saved_counts_on_other_pages(editor: Editor) -> None:
    text = editor.read(CAR)
    editor.type(CAR, text.replace("side-bolt]", "side-bolt, end-bolt]"))
    editor.wait_for_findings(CAR, ["unknown-id"])
    editor.type(CAR, text.replace("side-bolt:\n", "end-bolt:\n"))
    editor.wait_for_findings(WORK, ["unknown-id", "unknown-id"])
    editor.close(CAR)
    editor.wait_for_findings(WORK, [])
    editor.open(CAR)


def test_a_file_changed_by_another_program_is_read_again(editor: Editor, folder: Path) -> None:
    page = "procedures/other.md"
    write(folder, {f"docs/{page}": "# Other\n\n```{procedur} other\nvehicle: mule\n```\n"})
    editor.saved_elsewhere(page)
    editor.wait_for_findings(page, ["unknown-block", "missing-field"])
    (folder / "docs" / page).unlink()
    editor.saved_elsewhere(page)
    editor.wait_for_findings(page, [])


def test_actions_are_completed_by_verbs_and_by_what_they_work_on(editor: Editor) -> None:
    text = editor.read(WORK).replace("  - fit cover\n", "  - fit cover\n  - \n")
    editor.type(WORK, text)
    verbs = editor.complete(WORK, place_of(text, "  - \n", 4))
    assert labels(verbs) >= {"remove", "fit", "tighten", "inspect"}
    text = text.replace("  - \n", "  - loosen co\n")
    editor.type(WORK, text)
    things = editor.complete(WORK, place_of(text, "loosen co", 9))
    assert labels(things) == {"cover-bolts", "side-bolt"}
    bolts = next(item for item in things if item.label == "cover-bolts")
    assert plain(bolts.detail) == "Cover bolts: hand, then 10 N·m (89 lbf·in)"
    assert "  - loosen cover-bolts\n" in text_after(text, bolts)


def test_fields_and_words_of_closed_lists_are_completed(editor: Editor) -> None:
    text = editor.read(CAR).replace("  name: Side bolt\n", "  name: Side bolt\n  con\n")
    editor.type(CAR, text)
    fields = editor.complete(CAR, place_of(text, "  con\n", 5))
    assert "condition" not in labels(fields)
    assert labels(fields) >= {"into", "reach", "recheck"}
    reach = next(item for item in fields if item.label == "reach")
    assert "\n  reach: \n" in text_after(text, reach)
    text = text.replace("  con\n", "").replace("kind: bolt\n  thread: M10", "kind: \n  thread: M10")
    editor.type(CAR, text)
    words = editor.complete(CAR, place_of(text, "kind: \n", 6))
    assert labels(words) >= {"bolt", "nut", "cotter-pin"}


def test_conditions_are_completed_from_the_options_of_the_car(editor: Editor) -> None:
    text = editor.read(WORK).replace(":tools:", ":when: trans\n:tools:")
    editor.type(WORK, text)
    tests = editor.complete(WORK, place_of(text, "when: trans", 11))
    assert labels(tests) == {"transmission=manual", "transmission=automatic", "not"}
    text = text.replace("when: trans", "when: not transmission=")
    editor.type(WORK, text)
    values = editor.complete(WORK, place_of(text, "transmission=", 13))
    assert labels(values) == {"manual", "automatic"}


def test_roles_and_blocks_are_completed(editor: Editor) -> None:
    text = editor.read(WORK).replace("In that order.", "Then {")
    editor.type(WORK, text)
    assert "torque" in labels(editor.complete(WORK, place_of(text, "Then {", 6)))
    text = text.replace("Then {", "Then {torque}`")
    editor.type(WORK, text)
    ids = labels(editor.complete(WORK, place_of(text, "{torque}`", 9)))
    assert ids == {"cover-bolts", "side-bolt"}
    text = text + "\n```{tor"
    editor.type(WORK, text)
    assert "torque-table" in labels(editor.complete(WORK, place_of(text, "```{tor", 7)))


def test_the_facts_of_a_thing_are_shown(editor: Editor) -> None:
    shown = editor.hover(WORK, place_of(editor.read(WORK), "tighten cover-bolts", 10))
    for fact in (
        "**Cover bolts** — fastener `cover-bolts`",
        "Kind: bolt",
        "Thread: M6x1.0, 8.8",
        "Tighten: hand, then 10 N·m (89 lbf·in)",
        "Source: Mule sheet 1",
        f"{CAR}:14",
    ):
        assert fact in plain(shown)
    verb = editor.hover(WORK, place_of(editor.read(WORK), "tighten cover-bolts", 2))
    assert "started or loose → tight" in verb
    field = editor.hover(CAR, place_of(editor.read(CAR), "thread: M6", 1))
    assert field.startswith("`thread`: ")


def test_the_way_leads_to_where_a_thing_is_described(editor: Editor) -> None:
    found = editor.definition(WORK, place_of(editor.read(WORK), "fit cover", 5))
    assert found is not None
    assert editor.page_of(found.uri) == CAR
    car = editor.read(CAR)
    assert found.range.start == place_of(car, "cover: {name")
    assert quoted(car, found.range) == "cover"


def test_every_place_of_a_thing_is_found(editor: Editor) -> None:
    place = place_of(editor.read(CAR), "cover-bolts:", 3)
    found = editor.references(CAR, place)
    lines = sorted((editor.page_of(each.uri), each.range.start.line + 1) for each in found)
    by_hand = [
        (page, n)
        for page in (WORK, CAR)
        for n, line in enumerate(editor.read(page).split("\n"), start=1)
        if "cover-bolts" in line
    ]
    assert lines == by_hand
    assert len(editor.references(CAR, place, whole=False)) == len(found) - 1


def test_an_id_is_renamed_on_all_pages(editor: Editor, folder: Path) -> None:
    work = editor.read(WORK).replace("Lift it off.", "Lift 🔧 {part}`cover` off.")
    editor.type(WORK, work)
    place = place_of(work, "{part}`cover`", 8)
    assert editor.prepare(WORK, place).placeholder == "cover"
    edits = editor.rename(WORK, place, " lid ")
    texts = {
        WORK: edited(work, edits[WORK]),
        CAR: edited(editor.read(CAR), edits[CAR]),
    }
    assert "Lift 🔧 {part}`lid` off." in texts[WORK]
    assert "remove cover-bolts, side-bolt, lid\n" in texts[WORK]
    assert "lid: {name: Top cover, held-by: [cover-bolts, side-bolt]}" in texts[CAR]
    write(folder / "renamed", texts)
    assert check_manual(Manual.read(folder / "renamed")) == []


@pytest.mark.parametrize(
    ("found", "new", "why"),
    [
        ("fit cover", "side-bolt", "`side-bolt` is taken on vehicles/mule.md"),
        ("fit cover", "Top cover", "write `top-cover`"),
        ("fit cover", "battery", "a word of the page language"),
        ("Take the cover", "lid", "no id stands here"),
    ],
)
def test_a_rename_that_would_clash_is_refused(
    editor: Editor, found: str, new: str, why: str
) -> None:
    place = place_of(editor.read(WORK), found, 5)
    with pytest.raises(JsonRpcException, match=why):
        editor.rename(WORK, place, new)


def test_half_typed_pages_are_answered(editor: Editor) -> None:
    text = editor.read(WORK)
    for end in range(0, len(text), 23):
        begun = text[:end]
        editor.type(WORK, begun)
        last = place_of(begun + "\0", "\0")
        assert isinstance(editor.complete(WORK, last), list)
        assert isinstance(editor.hover(WORK, last), str)
    editor.type(WORK, text)
    editor.wait_for_findings(WORK, [])


def test_a_page_outside_the_manual_gives_nothing(editor: Editor, folder: Path) -> None:
    write(folder, {"README.md": "# About\n\n```{parts}\nlid: {nam: Lid}\n```\n"})
    outside = "../README.md"
    editor.open(outside)
    text = editor.read(outside)
    place = place_of(text, "lid", 1)
    assert editor.complete(outside, place) == []
    assert editor.hover(outside, place) == ""
    assert editor.definition(outside, place) is None
    assert editor.references(outside, place) == []
    assert editor.rename(outside, place, "cap") == {}
    editor.wait_for_findings(WORK, [])
    assert outside not in editor.findings


def test_columns_are_counted_in_units_of_utf_16(editor: Editor) -> None:
    """An emoji is two units there (Unicode 15, 3.9, D91), and one character of Python's."""
    text = editor.read(WORK).replace("In that order.", "🔧🔧 {torque}`side-bolt` 🔧 {part}`covr`")
    editor.type(WORK, text)
    editor.wait_for_findings(WORK, ["unknown-id"])
    assert quoted(text, editor.findings[WORK][0].range) == "covr"
    assert "Side bolt" in editor.hover(WORK, place_of(text, "`side-bolt`", 1))
    assert editor.hover(WORK, place_of(text, "`side-bolt`", -9)) == ""


def test_it_ends_when_it_is_told_to(folder: Path) -> None:
    with Editor(folder, "--manual", "docs") as editor:
        editor.open(CAR)
        editor.wait_for_findings(CAR, [])
        assert editor.end() == 0
