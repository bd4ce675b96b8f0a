"""The pictures of a site: coded once for each file, noted with the pages that show them."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.formats.procedure_files import write_if_other
from procedures_lib.fronts.site.state import is_whole
from procedures_lib.manual.picture_coding import coded, recipe

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment

FOLDER = "_images"
"""Where the pictures stand, below the site's root."""

_KEPT = re.compile(r"([0-9]+)x([0-9]+)-([0-9a-f]{12})\.webp")
_OURS = re.compile(r".+-[0-9a-f]{12}-[0-9]+\.webp")


@dataclass(frozen=True, slots=True)
class SitePicture:
    """A picture in one width: its path below the site's root, its size, and where it is kept."""

    path: str
    width: int
    height: int
    kept: Path


def site_pictures(cache: Path, file: Path, name: str) -> tuple[SitePicture, ...]:
    """Return a picture in each width, narrowest first; coded only if its file is another.

    Its name on the site tells its content: what was loaded once need not be loaded again.
    ``PictureError`` for a file that can't be read.
    """
    digest = blake2b(file.read_bytes(), digest_size=16, person=recipe()[:16].encode()).hexdigest()
    folder = cache / digest
    if not folder.is_dir():
        _keep(file, folder)
    found = []
    for path in folder.iterdir():
        match = _KEPT.fullmatch(path.name)
        if match:
            width, height, content = int(match[1]), int(match[2]), match[3]
            where = f"{FOLDER}/{name}-{content}-{width}.webp"
            found.append(SitePicture(where, width, height, path))
    return tuple(sorted(found, key=lambda each: each.width))


def _keep(file: Path, folder: Path) -> None:
    """Code a picture into a folder, which is there with all of it or not at all."""
    made = coded(file)
    folder.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(dir=folder.parent, prefix="."))
    try:
        for each in made:
            content = blake2b(each.data, digest_size=6).hexdigest()
            (work / f"{each.width}x{each.height}-{content}.webp").write_bytes(each.data)
        os.rename(work, folder)
    except OSError:
        if not folder.is_dir():  # another process was faster
            raise
    finally:
        shutil.rmtree(work, ignore_errors=True)


def pictures_by_page(env: BuildEnvironment) -> dict[str, dict[str, str]]:
    """For each page (by docname) its pictures: path on the site, and where it is kept."""
    if not hasattr(env, "procedures_pictures"):
        env.procedures_pictures = {}  # type: ignore[attr-defined]
    found: dict[str, dict[str, str]] = env.procedures_pictures  # type: ignore[attr-defined]
    return found


def pages_by_picture(env: BuildEnvironment) -> Mapping[str, frozenset[str]]:
    """The pages (docnames) that show each picture, by its path on the site."""
    pages: dict[str, set[str]] = defaultdict(set)
    for docname, shown in pictures_by_page(env).items():
        for path in shown:
            pages[path].add(docname)
    return {path: frozenset(found) for path, found in pages.items()}


def cache_of(app: Sphinx) -> Path:
    """The folder in which coded pictures are kept from build to build."""
    return Path(app.doctreedir) / "pictures"


_BEFORE_LISTS = 600
"""The priority of what comes before the lists of all files."""


def add_pictures(app: Sphinx) -> None:
    """Have the pictures that pages show stand in the site, and no others of ours."""
    app.connect("env-purge-doc", _purge)
    app.connect("env-merge-info", _merge)
    app.connect("build-finished", _finished, priority=_BEFORE_LISTS)


def _purge(_app: Sphinx, env: BuildEnvironment, docname: str) -> None:
    pictures_by_page(env).pop(docname, None)


def _merge(_app: Sphinx, env: BuildEnvironment, docnames: AbstractSet[str], other: Any) -> None:
    theirs = pictures_by_page(other)
    pictures_by_page(env).update({name: theirs[name] for name in docnames if name in theirs})


def _finished(app: Sphinx, error: Exception | None) -> None:
    if error is not None or app.builder.format != "html":
        return
    wanted = {path: kept for shown in pictures_by_page(app.env).values()
              for path, kept in shown.items()}  # fmt: skip
    for path, kept in sorted(wanted.items()):
        write_if_other(Path(app.outdir) / path, Path(kept).read_bytes())
    for left in _left_over(Path(app.outdir), frozenset(wanted)):
        left.unlink(missing_ok=True)
    if is_whole():
        used = {Path(kept).parent.name for kept in wanted.values()}
        for folder in cache_of(app).glob("*"):
            if folder.name not in used:
                shutil.rmtree(folder, ignore_errors=True)


def _left_over(root: Path, wanted: frozenset[str]) -> Iterator[Path]:
    """Yield the pictures of an earlier build that no page shows any more."""
    folder = root / FOLDER
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if f"{FOLDER}/{path.name}" not in wanted and _OURS.fullmatch(path.name):
            yield path
