"""Links, pictures, contents and files: where they lead to nothing or out, and where they don't."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.checks import check_manual, check_page
from procedures_lib.judging.checks.links import slug
from procedures_lib.judging.checks.publishing import path_from
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from pathlib import Path

PICTURE = b"\x89PNG\r\n\x1a\n"
INDEX = "# Index\n\n```{toctree}\n:glob:\n\nkits/*\nmore\n```\n"


def manual(root: Path, **pages: str) -> Manual:
    """A manual in a folder: an index, a page `more`, a page `kits/lamp`, a picture, a table."""
    docs = root / "docs"
    texts = {"index": INDEX, "more": "# More\n\n## The second part\n", "kits/lamp": "# Lamp\n"}
    for name, text in {**texts, **pages}.items():
        path = docs / f"{name}.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    (docs / "kits" / "p.png").write_bytes(PICTURE)
    (docs / "kits" / "t.csv").write_text("a\n")
    (root / "secret.png").write_bytes(PICTURE)
    return Manual.read(docs)


def told(found: Manual) -> list[tuple[str, int, str]]:
    """Page, line and check of each finding."""
    return [(f.place.page, f.place.line, f.check) for f in check_manual(found)]


@pytest.mark.parametrize(
    "text",
    [
        "[x](../more.md) [x](/more.md#the-second-part) [x](../more.md#the-second-part)",
        "![x](p.png) ![x](/kits/p.png) [x](t.csv) [x](p.png)",
        "[x](#lamp) <https://web.example> [x](mailto:a@b.example)",
        "[x]\n\n[x]: ../more.md",
        "a[^n] b[^n]\n\n[^n]: c",
        "(here)=\n## Two\n\n[x](#here) [x](#two)",
        "## `when` and *so* on\n\n[x](#when-and-so-on)",
        "## Two\n\n## Two\n\n[x](#two-1)",
        "```{image} p.png\n:alt: A lamp\n```",
    ],
)
def test_what_leads_somewhere_is_let_pass(tmp_path: Path, text: str) -> None:
    assert told(manual(tmp_path, **{"kits/lamp": f"# Lamp\n\n{text}\n"})) == []


@pytest.mark.parametrize(
    ("text", "check"),
    [
        ("[x](nowhere.md)", "broken-link"),
        ("[x](../more.md#nowhere)", "broken-link"),
        ("[x](#nowhere)", "broken-link"),
        ("[x]()", "broken-link"),
        ("[x](t2.csv)", "broken-link"),
        ("![x](q.png)", "broken-link"),
        ("[x]\n\n[x]: nowhere.md", "broken-link"),
        ("[x](../kits)", "broken-link"),
        ("![x](t.csv)", "foreign-file"),
        ("a[^n]", "loose-footnote"),
        ("[^n]: a", "loose-footnote"),
        ("#### Four", "heading-skips"),
        ("(search)=\n## Two", "stands-twice"),
        ("```{toctree}\nnowhere\n```", "broken-link"),
        ("```{toctree}\n:glob:\n\nno*\n```", "broken-link"),
        ("```{toctree}\n/index\n```", "endless-contents"),
    ],
)
def test_what_leads_nowhere_is_told(tmp_path: Path, text: str, check: str) -> None:
    found = check_manual(manual(tmp_path, **{"kits/lamp": f"# Lamp\n\n{text}\n"}))
    assert [f.check for f in found] == [check]
    assert found[0].place.page in {"kits/lamp.md", "index.md"}
    assert found[0].place.line > 2
    assert found[0].hint


@pytest.mark.parametrize(
    "target", ["../../secret.png", "/../secret.png", "%2e%2e/%2e%2e/secret.png", "link.png"]
)
def test_paths_that_lead_out_are_told(tmp_path: Path, target: str) -> None:
    made = manual(tmp_path, **{"kits/lamp": f"# Lamp\n\n![x]({target})\n\n[x]({target})\n"})
    (tmp_path / "docs" / "kits" / "link.png").symlink_to(tmp_path / "secret.png")
    found = [place for place in told(made) if place[0] == "kits/lamp.md"]
    assert found == [("kits/lamp.md", 3, "outside-manual"), ("kits/lamp.md", 5, "outside-manual")]


def test_what_is_called_a_picture_and_is_none(tmp_path: Path) -> None:
    made = manual(tmp_path, **{"kits/lamp": "# Lamp\n\n![x](p.png)\n"})
    (tmp_path / "docs" / "kits" / "p.png").write_text("<script>")
    assert told(made) == [("kits/lamp.md", 3, "foreign-file")]


def test_a_page_that_no_contents_lead_to_is_a_warning(tmp_path: Path) -> None:
    made = manual(tmp_path, lone="# Lone\n", meant="---\norphan: true\n---\n# Meant\n")
    found = check_manual(made)
    assert [(f.place.page, f.check, f.level) for f in found] == [
        ("lone.md", "not-in-contents", "warning")
    ]


def test_a_page_without_a_title_is_told_where_it_is_listed(tmp_path: Path) -> None:
    made = manual(tmp_path, more="Words\n")
    assert told(made) == [("index.md", 7, "broken-link")]
    assert "more.md" in check_manual(made)[0].message


def test_a_line_of_contents_that_stands_twice(tmp_path: Path) -> None:
    made = manual(tmp_path, index="# I\n\n```{toctree}\nmore\n/more.md\nkits/lamp\n```\n")
    assert told(made) == [("index.md", 5, "stands-twice")]


def test_a_label_on_two_pages(tmp_path: Path) -> None:
    made = manual(tmp_path, more="(a)=\n# More\n", **{"kits/lamp": "# Lamp\n\n(A)=\n## B\n"})
    assert told(made) == [("kits/lamp.md", 3, "stands-twice"), ("more.md", 1, "stands-twice")]


def test_common_steps_are_seen_from_other_folders(tmp_path: Path) -> None:
    text = "# Raise\n\n```{common} raise\n```\n\n:::{step} Raise\n"
    text += "[x](more.md) [x](/more.md) a[^n]\n:::\n"
    made = manual(
        tmp_path, more="# More\n", raised=text, index=INDEX.replace("more", "more\nraised")
    )
    found = [f for f in check_manual(made) if f.place.line == 7]
    assert sorted(f.check for f in found) == ["broken-link", "loose-footnote", "stands-twice"]
    assert any("`/more.md`" in f.hint for f in found)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("conftest.py", "x"),
        ("kits/x.js", "x"),
        ("kits/x.svg", "<svg/>"),
        ("x.rst", "X"),
        ("_drafts/x.py", "x"),
        ("search.md", "# S"),
        ("what?.md", "# W"),
        ("offline/x.csv", "a"),
        ("kits/page.html/x.csv", "a"),
        ("kits/P.PNG", "x"),
        (f"{'n' * 160}.csv", "a"),
        ("More.csv", "a"),
    ],
)
def test_files_that_a_manual_is_not_made_of(tmp_path: Path, name: str, content: str) -> None:
    manual(tmp_path)
    path = tmp_path / "docs" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(content)
    (tmp_path / "docs" / "more.csv").write_text("a\n")
    found = [f for f in check_manual(Manual.read(tmp_path / "docs")) if f.check == "foreign-file"]
    assert found
    assert found[0].hint


def test_hidden_files_are_passed_over(tmp_path: Path) -> None:
    manual(tmp_path)
    (tmp_path / "docs" / ".hidden.py").write_text("x")
    (tmp_path / "docs" / ".git").mkdir()
    assert told(Manual.read(tmp_path / "docs")) == []


def test_links_in_the_folder(tmp_path: Path) -> None:
    manual(tmp_path)
    docs = tmp_path / "docs"
    (docs / "out").symlink_to(tmp_path)
    (docs / "round").symlink_to(docs)
    (docs / "gone.csv").symlink_to("nowhere")
    os.mkfifo(docs / "pipe.csv")
    found = {(f.place.page, f.check) for f in check_manual(Manual.read(docs))}
    assert found == {
        ("out", "outside-manual"),
        ("round", "foreign-file"),
        ("gone.csv", "broken-link"),
        ("pipe.csv", "foreign-file"),
    }


def test_a_single_page_is_told_what_concerns_it(tmp_path: Path) -> None:
    made = manual(tmp_path, **{"kits/lamp": "# Lamp\n\n[x](nowhere.md)\n"})
    assert [f.check for f in check_page(made, "kits/lamp.md")] == ["broken-link"]
    assert check_page(made, "more.md") == []


def test_paths() -> None:
    assert path_from("kits/a.md", "b.png") == "kits/b.png"
    assert path_from("kits/a.md", "../b.png") == "b.png"
    assert path_from("kits/a.md", "/b/./c.png") == "b/c.png"
    assert path_from("kits/a.md", "../../b.png") == ""
    assert path_from("a.md", "..") == ""


def test_names_of_headings_are_those_of_myst() -> None:
    from myst_parser.mdit_to_docutils.base import default_slugify  # noqa: PLC0415

    for title in ("Two words", "A, b: c!", "Ä ö — ü", "1. One", "a_b-c", "What?"):
        assert slug(title) == default_slugify(title.strip())
