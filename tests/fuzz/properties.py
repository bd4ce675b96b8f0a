"""What has to hold of any input, however odd: each a function that fails where it does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.judging.checks import check_manual, check_page
from procedures_lib.judging.checks.walks import gap_in, is_sound
from procedures_lib.judging.compare import Act, Group, compare
from procedures_lib.judging.compare.markdown import markdown_report
from procedures_lib.judging.compare.report import json_report, text_report
from procedures_lib.judging.fixing import fix_page
from procedures_lib.judging.unjudged import KINDS, unjudged_in
from procedures_lib.language.reading.paragraphs import paragraphs
from procedures_lib.walk.walk import walk
from tests.fuzz.everything import everything
from tests.fuzz.manuals import WITNESS, bases, content_of, raw_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.findings import Finding
    from procedures_lib.judging.compare import Change
    from tests.fuzz.manuals import Spoilt


def lines_in(raw: bytes) -> int:
    """Return how many lines a page has, whatever its line ends."""
    return raw.replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n") + 1


def told_well(findings: Iterable[Finding], lines: dict[str, int]) -> None:
    """Every finding has a line that its page has, says something, and says what to do."""
    for found in findings:
        for place in (found.place, *found.related):
            assert 1 <= place.line <= lines[place.page], found
        assert found.message.strip(), found
        assert found.hint.strip(), found


def any_bytes(raw: bytes) -> None:
    """Bytes as the only page: read, typed, checked, and rendered as plain words."""
    text = raw.decode("utf-8", "surrogateescape")
    manual = bases()["bearing"].manual.with_pages([content_of("odd.md", text)])
    lines = {name: lines_in(raw_of(text)) for name, text in bases()["bearing"].texts.items()}
    told_well(check_page(manual, "odd.md"), {**lines, "odd.md": lines_in(raw)})
    for block in manual.contents["odd.md"].page.walk():
        paragraphs(block.body)


def page_alone(spoilt: Spoilt) -> None:
    """Findings stand well, are the same in a second reading, and hide none of another page."""
    after, again = spoilt.after, spoilt.after
    found = check_manual(after)
    lines = {name: lines_in(raw_of(text)) for name, text in bases()[spoilt.base].texts.items()}
    told_well(found, {**lines, spoilt.page: lines_in(raw_of(spoilt.text))})
    assert found == check_manual(again)
    assert of_witness(found) == of_witness(check_page(spoilt.before, WITNESS))
    assert of_witness(found)


def of_witness(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings on the page that leans on no other."""
    return [each for each in found if each.place.page == WITNESS]


def all_of_it(spoilt: Spoilt) -> None:
    """Whatever is drawn from the page and from those that lean on it, is drawn; and twice alike."""
    after, again = spoilt.after, spoilt.after
    leaning = [name for name in after.contents if spoilt.page in after.scope(name).pages]
    for page in dict.fromkeys([spoilt.page, *leaning[:3]]):
        assert everything(after, page) == everything(again, page)


def fixed(spoilt: Spoilt) -> None:
    """A rewrite says what the page said, needs no second one, and loses no line."""
    before, raw = spoilt.after, raw_of(spoilt.text)
    new = fix_page(before, spoilt.page, raw)
    if new == raw:
        return
    after = before.with_pages([content_of(spoilt.page, new.decode())])
    assert fix_page(after, spoilt.page, new) == new
    assert len(new) * 4 > len(raw)
    told = compare(before, after)
    said = [each for each in told.changes if not _harmless(each)]
    assert not said, said


def _harmless(change: Change) -> bool:
    """Words of the text alone differ: an amount is spelled otherwise, or now stands in a role."""
    roled = change.topic.endswith(" in the text") and not change.old
    return change.same or roled or change.act is Act.REWORDED or change.group is Group.PROSE


def compared(spoilt: Spoilt) -> None:
    """Nothing differs from itself; what differs can be told in every form."""
    after = spoilt.after
    same = compare(after, spoilt.after)
    assert not same.changes
    assert not same.findings
    for told in (compare(spoilt.before, after), compare(after, spoilt.before)):
        names = ("old", "new")
        assert text_report(told, str, names)
        assert markdown_report(told, str, names)
        assert json_report(told, str, names)


def unjudged(spoilt: Spoilt) -> None:
    """What can't be judged is told on lines that are there; what is walked is told as that."""
    after = spoilt.after
    found = unjudged_in(after)
    lines = {name: lines_in(raw_of(text)) for name, text in bases()[spoilt.base].texts.items()}
    lines[spoilt.page] = lines_in(raw_of(spoilt.text))
    for each in found:
        assert all(1 <= place.line <= lines[place.page] for place in (each.place, *each.related))
        assert each.kind in KINDS, each
        assert each.what.strip(), each
        assert each.why.strip(), each
    assert found == unjudged_in(spoilt.after)
    for plan in [plan for plan in after.plans() if spoilt.page in plan.scope.pages][:3]:
        if is_sound(after, plan):
            assert walk(plan, after).unsure == (gap_in(after, plan) is not None), plan.head.id
