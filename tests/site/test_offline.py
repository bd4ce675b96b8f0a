"""The list of what a device keeps: hashes, sizes, parts, and the version that names them all."""

from __future__ import annotations

import gzip
import json
from typing import Any

import pytest

from procedures_lib.fronts.site.offline import (
    KeptFile,
    cars_of_pages,
    is_kept,
    kept_file,
    offline_files,
)
from procedures_lib.manual import Manual
from tests.helpers import manual_from

PAGES = {
    "vehicles/a.md": "```{vehicle} a\nname: car A\n```\n",
    "vehicles/b.md": "```{vehicle} b\nname: Car B\n```\n",
    "kits/k.md": "```{kit} k\nfits: {vehicle: b}\ncontents:\n  - {paper: Card}\n```\n",
    "procedures/p.md": "```{procedure} p\nvehicle: a\nrevision: C\n```\n",
    "common/c.md": "```{common} c\nname: C\n```\n",
    "jobs/j.md": "```{job} j\nvehicle: a\nprocedures: [p]\n```\n",
    "procedures/lost.md": "```{procedure} q\nvehicle: nowhere\nrevision: A\n```\n",
}
FILES = ("index.html", "_static/a.css", "find/start.json", "vehicles/a.html", "kits/k.html",
         "procedures/p.html", "procedures/p-torque.csv", "procedures/p--two-parts.csv",
         "procedures/lost.html", "common/c.html", "jobs/j.html", "checks/x.html")  # fmt: skip


def listed(names: tuple[str, ...] = FILES, manual: Manual | None = None) -> Any:
    files = [kept_file(name, name.encode()) for name in names]
    texts = offline_files(manual or manual_from(PAGES), files)
    content = json.loads(texts["offline/files.json"])
    assert json.loads(texts["offline/version.json"]) == {"format": 1, "version": content["version"]}
    return content


def test_the_hash_is_that_of_the_standard() -> None:
    # SHA-256 of "abc": FIPS 180-4, and NIST's example file SHA256.pdf.
    assert kept_file("a", b"abc").hash == "ba7816bf8f01cfea4141"


def test_the_size_is_near_what_a_server_sends() -> None:
    content = b"torque table " * 500
    assert abs(kept_file("a", content).packed - len(gzip.compress(content, 6))) <= 12  # its frame


def test_each_file_is_in_the_part_of_its_car() -> None:
    content = listed()
    names = [part["id"] for part in content["parts"]]
    assert names == ["", "a", "b", "guide"]
    found = {path: [names[n] for n in file[2:]] for path, file in content["files"].items()}
    for path in ("index.html", "_static/a.css", "find/start.json", "common/c.html",
                 "procedures/lost.html"):  # fmt: skip
        assert found[path] == [""], path
    for path in ("vehicles/a.html", "procedures/p.html", "procedures/p-torque.csv",
                 "procedures/p--two-parts.csv", "jobs/j.html"):  # fmt: skip
        assert found[path] == ["a"], path
    assert found["kits/k.html"] == ["b"]
    assert found["checks/x.html"] == ["guide"]


def test_the_parts_tell_their_size_and_name() -> None:
    content = listed()
    part = content["parts"][1]
    own = [file[1] for file in content["files"].values() if file[2:] == [1]]
    assert (part["files"], part["packed"]) == (5, sum(own))
    assert part["size"] == sum(
        len(path) for path in content["files"] if content["files"][path][2:] == [1]
    )
    assert part["name"] == "Car A"


def test_a_page_about_two_cars_belongs_to_both() -> None:
    pages = {**PAGES, "procedures/p.md": PAGES["procedures/p.md"]
             + "```{procedure} r\nvehicle: b\nrevision: D\n```\n"}  # fmt: skip
    manual = manual_from(pages)
    assert cars_of_pages(manual)["procedures/p"] == {"a", "b"}
    content = listed(manual=manual)
    assert content["files"]["procedures/p.html"][2:] == [1, 2]
    assert content["all"] == {  # it is counted once
        "files": len(FILES),
        "packed": sum(file[1] for file in content["files"].values()),
        "size": sum(len(name) for name in FILES),
    }
    assert content["revisions"] == {"procedures/lost.html": "A"}  # two revisions on one page: none


def test_the_version_follows_the_content_and_nothing_else() -> None:
    assert listed() == listed(FILES[::-1])
    changed = [kept_file(name, b"x") for name in FILES]
    other = json.loads(offline_files(manual_from(PAGES), changed)["offline/files.json"])
    assert other["version"] != listed()["version"]
    assert listed(FILES[1:])["version"] != listed()["version"]
    assert listed(("a.html", "b.html"))["version"] != listed(("a.html", "c.html"))["version"]


@pytest.mark.parametrize(
    ("path", "kept"),
    [
        ("procedures/p.html", True),
        ("procedures/p-torque.csv", True),
        ("find/rows/0.json", True),
        ("_static/first.js", True),
        ("procedures/p.json", False),
        ("procedures.json", False),
        ("schema/procedure.json", False),
        ("objects.inv", False),
        ("procedures/p.pdf", True),
        ("procedures/p--for--tow-eye-fitted.pdf", False),
        ("worker.js", False),
        ("worker-2.js", False),
        ("_static/worker.js", False),
        ("_static/offline/talk.js", False),
        ("_static/offline/panel.js", True),
        ("find/files.json", False),
        ("offline/files.json", False),
    ],
)
def test_files_for_programs_are_not_kept(path: str, kept: bool) -> None:
    assert is_kept(path) == kept


def test_a_manual_without_pages_has_a_list_too() -> None:
    content = listed((), Manual(()))
    assert content["files"] == {}
    assert [part["files"] for part in content["parts"]] == [0, 0]


def test_odd_names_stay_readable() -> None:
    text = offline_files(Manual(()), [KeptFile('a"·<b>.html', "0" * 20, 1, 1)])[
        "offline/files.json"
    ]
    assert json.loads(text)["files"] == {'a"·<b>.html': ["0" * 20, 1, 0]}
