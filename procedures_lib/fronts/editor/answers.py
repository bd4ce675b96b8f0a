"""What is asked of a page, answered in the protocol's own values."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from lsprotocol import types as lsp

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.fronts.editor.completion import Choice, completions
from procedures_lib.fronts.editor.desk import Desk, Note
from procedures_lib.fronts.editor.hover import hover
from procedures_lib.fronts.editor.id_places import IdPlace
from procedures_lib.fronts.editor.positions import Lines
from procedures_lib.fronts.editor.rename import renamable, rename
from procedures_lib.fronts.editor.things import Occurrence, definition, id_at, meant, occurrences

_SORTS = {
    "field": lsp.CompletionItemKind.Property,
    "word": lsp.CompletionItemKind.EnumMember,
    "id": lsp.CompletionItemKind.Reference,
    "verb": lsp.CompletionItemKind.Function,
    "condition": lsp.CompletionItemKind.Value,
    "role": lsp.CompletionItemKind.Keyword,
    "block": lsp.CompletionItemKind.Class,
}
_IN_DATA = re.compile(r"\s*(?:- |:?[a-z][a-z-]*:|\{)")
"""A line on which a blank may be followed by something that is known."""

_QUOTED = re.compile(r"`([^`]+)`")


class Answers:
    """Answers about a page.

    ``uri_of`` tells the address of a page in the editor, ``units`` how long a text is there.
    """

    def __init__(self, uri_of: Callable[[Desk, str], str], units: Callable[[str], int]) -> None:
        self._uri_of = uri_of
        self._units = units

    def completion(
        self, desk: Desk, page: str, params: lsp.CompletionParams
    ) -> list[lsp.CompletionItem]:
        """Return what can stand at a place."""
        lines = self._lines(desk, page)
        line, column = self._here(lines, params.position)
        before, after = lines.line(line)[:column], lines.line(line)[column:]
        typed = params.context.trigger_character if params.context else None
        if typed in {" ", ":"} and not _IN_DATA.match(before):
            return []
        return [
            self._item(choice, n, self._range(lines, line, column - choice.replaces, column), after)
            for n, choice in enumerate(completions(desk, page, line, column))
        ]

    def _item(self, choice: Choice, n: int, place: lsp.Range, after: str) -> lsp.CompletionItem:
        there = after.lstrip().startswith(choice.after.strip() or "\n")
        return lsp.CompletionItem(
            choice.label,
            kind=_SORTS[choice.what],
            detail=choice.detail or None,
            sort_text=f"{n:05}",
            filter_text=choice.label,
            text_edit=lsp.TextEdit(place, choice.label + ("" if there else choice.after)),
        )

    def hover(self, desk: Desk, page: str, params: lsp.HoverParams) -> lsp.Hover | None:
        """Return the facts of what stands at a place."""
        lines = self._lines(desk, page)
        text = hover(desk, page, *self._here(lines, params.position))
        return lsp.Hover(lsp.MarkupContent(lsp.MarkupKind.Markdown, text)) if text else None

    def definition(
        self, desk: Desk, page: str, params: lsp.DefinitionParams
    ) -> lsp.Location | None:
        """Return the place where the thing at a place is described."""
        at = id_at(desk, page, *self._here(self._lines(desk, page), params.position))
        thing = meant(desk.manual, page, at) if at else None
        if thing is None:
            return None
        found = definition(desk, thing)
        return self._location(desk, found) if found else self._line_of(desk, thing.place)

    def references(
        self, desk: Desk, page: str, params: lsp.ReferenceParams
    ) -> list[lsp.Location] | None:
        """Return every place that means the thing at a place."""
        at = id_at(desk, page, *self._here(self._lines(desk, page), params.position))
        thing = meant(desk.manual, page, at) if at else None
        if thing is None:
            return None
        whole = params.context.include_declaration
        found = (each for each in occurrences(desk, thing) if whole or not each.at.defines)
        return [self._location(desk, each) for each in found]

    def prepare_rename(
        self, desk: Desk, page: str, params: lsp.PrepareRenameParams
    ) -> lsp.PrepareRenamePlaceholder:
        """Return the id that can be renamed at a place; ``RenameError`` where none can."""
        lines = self._lines(desk, page)
        at, thing = renamable(desk, page, *self._here(lines, params.position))
        return lsp.PrepareRenamePlaceholder(self._of_id(lines, at), thing.id)

    def rename(self, desk: Desk, page: str, params: lsp.RenameParams) -> lsp.WorkspaceEdit:
        """Return the edits that rename the id at a place on all pages; ``RenameError`` if not."""
        lines = self._lines(desk, page)
        new = params.new_name.strip()
        found = rename(desk, page, *self._here(lines, params.position), new)
        edits: dict[str, list[lsp.TextEdit]] = {}
        for each in found:
            place = self._location(desk, each)
            edits.setdefault(place.uri, []).append(lsp.TextEdit(place.range, new))
        return lsp.WorkspaceEdit(changes=edits)

    def diagnostics(
        self, desk: Desk, page: str, findings: Iterable[Finding], notes: Iterable[Note] = ()
    ) -> list[lsp.Diagnostic]:
        """Return the findings of a page as the editor shows them, and its notes as information."""
        lines = self._lines(desk, page)
        told = [self._diagnostic(desk, lines, finding) for finding in findings]
        return [*told, *(self._note(lines, line, text) for line, text in notes)]

    def _note(self, lines: Lines, line: int, text: str) -> lsp.Diagnostic:
        place = self._range(lines, line, *lines.written(line))
        level = lsp.DiagnosticSeverity.Information
        return lsp.Diagnostic(place, text, severity=level, source="procedures learn")

    def _diagnostic(self, desk: Desk, lines: Lines, finding: Finding) -> lsp.Diagnostic:
        cars = f" [{finding.variants}]" if finding.variants else ""
        hint = f"\n{finding.hint}" if finding.hint else ""
        grave = finding.level is Level.ERROR
        related = [
            lsp.DiagnosticRelatedInformation(self._line_of(desk, place), "see here")
            for place in finding.related
        ]
        return lsp.Diagnostic(
            self._range(lines, finding.place.line, *_columns(lines, finding)),
            f"{finding.message}{cars}{hint}",
            severity=lsp.DiagnosticSeverity.Error if grave else lsp.DiagnosticSeverity.Warning,
            code=finding.check,
            source="procedures",
            related_information=related or None,
        )

    # -- places --------------------------------------------------------------------------------

    def _lines(self, desk: Desk, page: str) -> Lines:
        return Lines(desk.text(page), self._units)

    def _here(self, lines: Lines, position: lsp.Position) -> tuple[int, int]:
        return lines.here(position.line, position.character)

    def _range(self, lines: Lines, line: int, start: int, end: int) -> lsp.Range:
        places = (lsp.Position(*lines.there(line, column)) for column in (start, end))
        return lsp.Range(*places)

    def _of_id(self, lines: Lines, at: IdPlace) -> lsp.Range:
        return self._range(lines, at.line, at.column, at.end)

    def _location(self, desk: Desk, found: Occurrence) -> lsp.Location:
        lines = self._lines(desk, found.page)
        return lsp.Location(self._uri_of(desk, found.page), self._of_id(lines, found.at))

    def _line_of(self, desk: Desk, place: Place) -> lsp.Location:
        lines = self._lines(desk, place.page)
        whole = self._range(lines, place.line, *lines.written(place.line))
        return lsp.Location(self._uri_of(desk, place.page), whole)


def _columns(lines: Lines, finding: Finding) -> tuple[int, int]:
    """The columns of the shortest word that a finding quotes from its line; else of the line."""
    line = lines.line(finding.place.line)
    there = [each for each in _QUOTED.findall(finding.message) if line.count(each) == 1]
    if not there:
        return lines.written(finding.place.line)
    word = min(there, key=len)
    return line.index(word), line.index(word) + len(word)
