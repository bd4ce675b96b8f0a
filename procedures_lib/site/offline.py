"""The site without a network: its list of files and its worker, made when all else is there."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.exports.offline import is_kept, kept_file, offline_files
from procedures_lib.exports.writing import write_if_other
from procedures_lib.site.state import is_whole

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sphinx.application import Sphinx

    from procedures_lib.exports.offline import KeptFile
    from procedures_lib.site.state import Site

_WORKER = "worker.js"
_LAST = 900
"""The priority of what comes after all others at the end of a build."""


def add_offline(app: Sphinx, site: Site) -> None:
    """Have the list of files made at the end of every HTML build whose theme has a worker."""

    def finished(app: Sphinx, error: Exception | None) -> None:
        root = Path(app.outdir)
        worker = root / "_static" / _WORKER
        if error is not None or app.builder.format != "html" or not worker.is_file():
            return
        if not is_whole():
            return
        for name, text in offline_files(site.manual, _kept(root)).items():
            write_if_other(root / name, text.encode("utf-8", "backslashreplace"))
        write_if_other(root / _WORKER, worker.read_bytes())

    app.connect("build-finished", finished, priority=_LAST)


def _kept(root: Path) -> Iterator[KeptFile]:
    for path in sorted(root.rglob("*")):
        name = path.relative_to(root).as_posix()
        if path.is_file() and is_kept(name):
            yield kept_file(name, path.read_bytes())
