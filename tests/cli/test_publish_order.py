"""The order in which a site is published: no list is ahead of the files that it names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.cli import publish as publishing

if TYPE_CHECKING:
    from pathlib import Path

    import pytest


def test_lists_come_after_pages_and_pages_after_what_they_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built, order = tmp_path / "built", []
    for name in ("offline/files.json", "a.html", "_static/z.css", "offline/version.json", "z.csv"):
        (built / name).parent.mkdir(parents=True, exist_ok=True)
        (built / name).write_text(name)
    monkeypatch.setattr(publishing, "_replace", lambda new, _old: order.append(new))
    publishing.publish(built, tmp_path / "served")
    names = [path.relative_to(built).as_posix() for path in order]
    assert names == [
        "_static/z.css", "z.csv", "a.html", "offline/files.json", "offline/version.json"
    ]  # fmt: skip
