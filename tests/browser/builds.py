"""A site as its next build would be: a copy with some texts changed, and its lists made anew."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from procedures_lib.fronts.site.offline import is_kept, kept_file, offline_files
from procedures_lib.manual import Manual

PROJECT = Path(__file__).resolve().parents[2]


def next_build(old: Path, new: Path, changes: dict[str, tuple[str, str]]) -> Path:
    """Copy a site to ``new`` and replace a text in some of its files (paths in the site)."""
    shutil.copytree(old, new)
    for path, (before, after) in changes.items():
        text = (new / path).read_text("utf-8")
        assert before in text, path
        (new / path).write_text(text.replace(before, after), "utf-8")
    names = sorted(p.relative_to(new).as_posix() for p in new.rglob("*") if p.is_file())
    kept = [kept_file(name, (new / name).read_bytes()) for name in names if is_kept(name)]
    for name, text in offline_files(Manual.read(PROJECT / "docs"), kept).items():
        (new / name).write_text(text, "utf-8")
    return new


def made_large(site: Path, path: str, packed: int) -> None:
    """Have the list of a site say that one of its files has so many bytes."""
    listed = site / "offline" / "files.json"
    content = json.loads(listed.read_text("utf-8"))
    parts = [content["parts"][part] for part in content["files"][path][2:]]
    for total in (*parts, content["all"]):
        total["packed"] += packed - content["files"][path][1]
    content["files"][path][1] = packed
    listed.write_text(json.dumps(content), "utf-8")
