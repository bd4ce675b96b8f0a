"""The closed list of what a page may bring: as the writers' page has it, and each rule of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from docutils.parsers.rst import directives as rst_directives

from procedures_lib.language.reading import allow_list as allowed
from procedures_lib.language.reading.allow_list import (
    DIRECTIVES,
    LANGUAGES,
    ROLES,
    SCHEMES,
    SETTINGS,
    address_fault,
    block_faults,
    role_fault,
    settings_above,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.language.reading.directive import directive_faults
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual.folder import DOWNLOADS, PICTURES

PAGE = Path(__file__).resolve().parents[2] / "docs" / "writing" / "allowed.md"


def part(title: str) -> str:
    """The text of the writers' page below a heading."""
    return PAGE.read_text("utf-8").split(f"## {title}\n")[1].split("\n## ")[0]


def test_the_writers_page_lists_the_directives_with_their_options() -> None:
    rows = re.findall(r"^\| `\{([a-z-]+)\}[^`]*` \| (.*?) \| ?(.*?) ?\|$", part("Directives"), re.M)
    listed = {name: (purpose, re.findall("`(.*?)`", options)) for name, purpose, options in rows}
    assert listed == {d.name: (d.purpose, list(d.options)) for d in DIRECTIVES.values()}


def test_the_writers_page_lists_all_else() -> None:
    assert dict(re.findall(r"\{(\w+)\}`.*? `` \| (.*?) \|$", part("Roles"), re.M)) == ROLES
    addresses = part("Links and pictures")
    assert set(re.findall(r"`([a-z]+):`", addresses)) == set(SCHEMES)
    kinds = addresses.split("A page may show ")[1]
    assert set(re.findall(r"`(\.\w+)`", kinds.split("and offer")[0])) == PICTURES
    assert set(re.findall(r"`(\.\w+)`", kinds)) == DOWNLOADS
    assert set(re.findall(r"`(\w+): ", part("Above a page"))) == set(SETTINGS)
    coloured = part("Code").split("In any other")[0]
    assert set(re.findall(r"`(\w+)`", coloured)) == set(LANGUAGES)


TABS = ":::::{tab-set}\n::::{tab-item} One\n%s\n::::\n:::::"


def registered() -> set[str]:
    """Every directive that docutils, Sphinx, MyST-Parser and sphinx-design bring."""
    import sphinx.directives.code  # noqa: PLC0415
    import sphinx.directives.other  # noqa: PLC0415, F401
    from sphinx.domains.std import StandardDomain  # noqa: PLC0415

    more = {"figure-md", "button-link", "button-ref", "card-carousel", "div", "article-info",
            "tab-set-code", "toctree", "literalinclude", "only"}  # fmt: skip
    names = vars(rst_directives)
    return {*names["_directive_registry"], *names["_directives"], *StandardDomain.directives, *more}


def test_no_other_directive_is_let_pass() -> None:
    names = registered() - DIRECTIVES.keys() - BLOCK_KINDS.keys()
    assert len(names) > 40
    for name in names:
        faults = list(block_faults(name))
        assert faults, name
        assert all(fault.hint for fault in faults), name


@pytest.mark.parametrize(
    "name", ["raw", "math", "ref", "doc", "download", "code", "py:func", "KBD"]
)
def test_no_other_role_is_let_pass(name: str) -> None:
    fault = role_fault(name)
    assert fault is not None
    assert fault.hint


@pytest.mark.parametrize(
    ("name", "argument", "content", "told"),
    [
        ("note", "", "", "needs something in it"),
        ("admonition", "", "x", "needs its text on the same line"),
        ("note", "", ":class: x\n\ny", "has no option `class`"),
        ("note", "", "---\nclass: x\n---\ny", "takes its options as lines"),
        ("dropdown", "T", " :open:\n\ny", "is no plain option"),
        ("dropdown", "T", ":open: no\n\ny", "`no` can't be the option `open`"),
        ("image", "p.png", ":alt: a: b", "can't be the option `alt`"),
        ("image", "p.png", ":alt: a #b", "can't be the option `alt`"),
        ("image", "p.png", ':alt: "x"', "can't be the option `alt`"),
        ("image", "p.png", "text", "holds options only"),
        ("image", "", "", "needs its text"),
        ("image", "a b.png", "", "has a space or a % in it"),
        ("image", "https://x.example/p.png", "", "is not in the manual"),
        ("toctree", "x", "", "can't stand after"),
        ("toctree", "", ":maxdepth: 99\n\nx", "can't be the option `maxdepth`"),
        ("grid", "13", "x", "can't stand after"),
        ("card", "T", "a\n^^^\nb", "parts this card"),
        ("code-block", "<x>", "x", "is no language of code"),
        ("tab-set", "", "", "needs something in it"),
    ],
)
def test_what_is_wrong_with_a_directive(name: str, argument: str, content: str, told: str) -> None:
    faults = list(directive_faults(name, argument, content))
    assert [fault for fault in faults if told in fault.message], faults
    assert all(fault.hint for fault in faults)


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("::::{tab-set}\n:::{note}\nx\n:::\n::::", 4, "can't stand in `{tab-set}`"),
        ("::::{tab-set}\ntext\n:::{tab-item} T\nx\n:::\n::::", 3, "holds text of its own"),
        (":::{tab-item} T\nx\n:::", 3, "stands outside of `{tab-set}`"),
        (TABS % ":::{step} S\nx\n:::", 5, "not seen until its `{tab-item}` is opened"),
        (TABS % "```{common-steps} c\n```", 5, "not seen until its `{tab-item}` is opened"),
        (":::{dropdown} D\n```{danger} E\nx\n```\n:::", 4, "until its `{dropdown}` is opened"),
        ("```{figure} p.png\n\n- x\n```", 3, "is no paragraph"),
        (":::{note}\n```{toctree}\nx\n```\n:::", 4, "stands inside a block"),
        ("```{toctree}\nself\n```", 4, "names no page"),
        ("```{toctree}\nmailto:a@b.example\n```", 4, "names no page"),
        ("```{toctree}\nW <https:web.example>\n```", 4, "names no page"),
        (":::sd-d-none\nx\n:::", 3, "is no block here"),
        ("a\u202eb", 3, "U+202E"),
        ("![x]", 3, "a picture without its path"),
        (":::{note}\n--- x\ny\n---\nz\n:::", 4, "is taken for settings"),
    ],
)
def test_what_is_wrong_on_a_page(text: str, line: int, told: str) -> None:
    found = read_page(f"# T\n\n{text}\n".encode(), "page.md").findings
    assert [f for f in found if told in f.message and f.place.line == line], found


def test_work_that_is_hidden_twice_is_found_once_and_what_is_only_read_stays() -> None:
    folded = TABS % ":::{dropdown} D\n```{step} S\nx\n```\n:::"
    found = read_page(f"# T\n\n{folded}\n".encode(), "page.md").findings
    assert [(each.check, each.place.line) for each in found] == [("wrong-shape", 6)]
    for inner in ("```{parts}\na: {name: A}\n```", ":::{notice} N\nx\n:::", "```{handover}\n```"):
        assert read_page(f"# T\n\n{TABS % inner}\n".encode(), "page.md").findings == ()


@pytest.mark.parametrize(
    "address", ["page.md#x", "https://web.example/a:b", "mailto:a@b.example", "#x", "/a/b.png"]
)
def test_addresses_that_may_stand(address: str) -> None:
    assert address_fault(address) is None


@pytest.mark.parametrize(
    "address",
    ["ftp://x.example", "HTTP://x.example", "//x.example", "a\\b", "a%5Cb", "inv:x", "x\x01y",
     "java\tscript:1", " data:x", "project:x", "path:x", "C:/x"],
)  # fmt: skip
def test_addresses_that_may_not_stand(address: str) -> None:
    fault = address_fault(address)
    assert fault is not None
    assert fault.hint


def test_pictures_come_from_the_manual_alone() -> None:
    assert address_fault("https://x.example/p.png", picture=True) is not None
    assert address_fault("p.png", picture=True) is None


@pytest.mark.parametrize(
    ("front", "line"),
    [("myst: {}", 1), ("orphan: true\ntitle: x", 2), ("tocdepth: 10", 1), ("- a", 1), ("a: [", 1)],
)
def test_settings_that_a_page_may_not_make(front: str, line: int) -> None:
    settings = settings_above(front)
    assert settings.faults[0].line == line
    assert settings.faults[0].hint


def test_settings_that_a_page_may_make() -> None:
    settings = settings_above("orphan: true\ntocdepth: 2")
    assert settings == ({"orphan": 1, "tocdepth": 2}, ())


def test_what_stands_instead_is_said_of_nothing_that_is_allowed() -> None:
    assert not allowed._INSTEAD.keys() & {*DIRECTIVES, *ROLES, *BLOCK_KINDS}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("| a |\n" * 3000 + "|" * 90, "a line of 90 `|`"),
        ("# A\n" * 501, "more than 500 headings"),
        ("".join(f"[^{n}]: x\n" for n in range(501)), "more than 500 footnotes"),
    ],
)
def test_pages_that_would_take_hours_are_refused(text: str, told: str) -> None:
    found = read_page(text.encode(), "page.md").findings
    assert told in " ".join(f.message for f in found if f.check == "unreadable-page")
