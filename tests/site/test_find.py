"""The search index in a build: every hit leads somewhere, rebuilds are exact, bytes the same."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.site.building import CONF, Built, SmallManual

THEMED = CONF.replace('"basic"', '"bench"')
HOSTILE = '<img src=x onerror=alert(1)> & "bolts" \'</script>'


def files_of(html: Path) -> dict[str, bytes]:
    """The files of the index by their paths."""
    return {f.relative_to(html).as_posix(): f.read_bytes() for f in (html / "find").rglob("*.json")}


def hits_of(html: Path) -> list[tuple[str, str, str, str]]:
    """Every place of every hit: kind, name, what is shown, and the address."""
    start = json.loads((html / "find/start.json").read_bytes())
    found = []
    for n in range(0, len(start["pages"]), start["pagesAFile"]):
        together = json.loads((html / f"find/rows/{n // start['pagesAFile']}.json").read_bytes())
        for kind, called, shown, _when, places, *_facts in (
            row for page in together for row in page["rows"]
        ):
            for anchor, pages in places:
                for page in pages:
                    uri = start["pages"][page][1]
                    found.append((kind, called, shown, f"{uri}#{anchor}"))
    return found


def test_every_hit_of_the_demo_leads_to_an_anchor(demo_built: Built) -> None:
    ids: dict[str, set[str]] = {}
    hits = hits_of(demo_built.html)
    assert len(hits) > 1000
    for *_, address in hits:
        uri, _, anchor = address.partition("#")
        if uri not in ids:
            text = (demo_built.html / uri).read_text(encoding="utf-8")
            ids[uri] = {"", *re.findall(r'\bid="([^"]+)"', text)}
        assert anchor in ids[uri], address
    targets = [address for kind, *_, address in hits if kind in "fst"]
    assert all(not address.endswith("#") for address in targets)


def test_the_list_names_all_files_and_sphinx_makes_no_index_of_its_own(tmp_path: Path) -> None:
    built = SmallManual(tmp_path, THEMED).build(fatal=True)
    listed = json.loads((built.html / "find/files.json").read_bytes())["files"]
    assert {*listed, "find/files.json"} == set(files_of(built.html))
    assert not (built.html / "searchindex.js").exists()
    page = built.page("search")
    assert "<noscript>" in page
    assert 'name="q"' in page
    for name in ("base-stemmer.js", "english-stemmer.js", "find.js"):
        assert (built.html / "_static" / name).is_file()


@pytest.mark.parametrize("page", ["index", "lift-cover", "search"])
def test_each_page_has_one_box_that_leads_to_the_search_page(tmp_path: Path, page: str) -> None:
    text = SmallManual(tmp_path, THEMED).build().page(page)
    forms = re.findall(r'<form class="find" data-find="(\w+)" action="([^"]+)"', text)
    assert [action.split("#")[0] or "search.html" for _, action in forms] == ["search.html"]


def test_a_changed_number_changes_the_hits_of_every_page_that_shows_it(tmp_path: Path) -> None:
    manual = SmallManual(tmp_path, THEMED)
    manual.build()
    manual.change("hatch.md", "tighten: [10 N·m]", "tighten: [12 N·m]")
    built = manual.build()
    shown = {text for _, name, text, _ in hits_of(built.html) if name == "Cover bolts"}
    assert {text.replace("\xa0", " ") for text in shown} == {"12 N·m (106 lbf·in), 2 × M6x1.0"}
    step = [text for kind, _, text, _ in hits_of(built.html) if kind == "s" and text]
    assert ["12\xa0N·m" in text for text in step] == [True]


def test_a_rebuild_has_the_bytes_of_a_build_from_nothing(tmp_path: Path) -> None:
    manual = SmallManual(tmp_path / "a", THEMED)
    manual.build()
    manual.change("lift-cover.md", "Put the cover back", "Put the engine cover back")
    manual.change("hatch.md", "name: Small hatch", "name: Small red hatch")
    manual.write("other.md", "# Another page\n\nOf words.\n")
    rebuilt = files_of(manual.build().html)
    fresh = SmallManual(tmp_path / "b", THEMED)
    for name in ("lift-cover.md", "hatch.md", "other.md"):
        fresh.write(name, (tmp_path / "a/docs" / name).read_text(encoding="utf-8"))
    assert rebuilt == files_of(fresh.build().html)


def test_two_processes_make_the_same_index(tmp_path: Path) -> None:
    pages = SmallManual.usual() | {f"more-{n}.md": f"# More {n}\n\nWords.\n" for n in range(12)}
    one = SmallManual(tmp_path / "a", THEMED, dict(pages)).build()
    two = SmallManual(tmp_path / "b", THEMED, dict(pages)).build(jobs=2)
    assert files_of(one.html) == files_of(two.html)


def test_a_page_that_is_gone_leaves_the_index(tmp_path: Path) -> None:
    manual = SmallManual(tmp_path, THEMED)
    manual.build()
    (tmp_path / "docs/lift-cover.md").unlink()
    built = manual.build()
    assert all("lift-cover" not in address for *_, address in hits_of(built.html))


def test_another_theme_keeps_its_own_search(tmp_path: Path) -> None:
    built = SmallManual(tmp_path).build()
    assert (built.html / "searchindex.js").is_file()
    assert not (built.html / "find").exists()


def test_hostile_names_stay_text_in_the_files(tmp_path: Path) -> None:
    manual = SmallManual(tmp_path, THEMED)
    manual.change("hatch.md", "name: Cover bolts", f"name: {json.dumps(HOSTILE)}")
    names = [name for _, name, *_ in hits_of(manual.build().html)]
    assert HOSTILE in names
