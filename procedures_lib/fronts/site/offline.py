"""What a device keeps of the site to work without a network, and the worker for it."""

from __future__ import annotations

import json
import re
import zlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from procedures_lib.fronts.formats.procedure_files import write_if_other
from procedures_lib.fronts.site.pictures import pages_by_picture
from procedures_lib.fronts.site.state import Site, is_whole
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import SUPERSEDED
from procedures_lib.manual.names import humanised

if TYPE_CHECKING:
    from sphinx.application import Sphinx


FORMAT = 1
HASH_DIGITS = 20
"""How many hexadecimal digits of a SHA-256 name a file's content: 80 bits."""

FOLDER = "offline/"
"""Where the two files stand, below the site's root."""

GUIDE = "guide"
GUIDE_INDEX = "find-guide"
"""The folder of the search index of the guide's pages."""
_GUIDE_FOLDERS = ("writing/", "checks/", "reference/", "changes.", f"{GUIDE_INDEX}/")
_LEFT_OUT = ("_sources/", "schema/", FOLDER, SUPERSEDED)
_LEFT_OUT_FILES = frozenset(
    {
        ".buildinfo",
        "objects.inv",
        "worker.js",
        "worker-2.js",
        "find/files.json",
        "_static/sign-in.html",
        "404.html",
    }
)
_WORKER = "worker.js"
_WORKERS = (_WORKER, "worker-2.js")
"""The worker, twice: where one file is damaged on its way, a page takes the other."""
WORKER_PARTS = tuple(
    f"_static/{name}.js"
    for name in (
        "offline/kept",
        "offline/version",
        "offline/fetching",
        "offline/answer",
        "offline/talk",
        "worker",
    )
)
"""The scripts that the worker at the top of the site is made of, in their order."""
_BESIDE_PAGE = re.compile(r"(?:--[^/]*)?(?:-torque\.csv|-parts\.csv|\.html|\.pdf)$")
_FOR_A_CAR = re.compile(r"--for--[^/]*\.pdf$")
"""The card of one car: each procedure may have many, and paper needs a printer, so a network."""


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file of the site: its path, the hash of its content, its bytes when packed and as it is."""

    path: str
    hash: str
    packed: int
    size: int


def is_guide(path: str) -> bool:
    """Tell whether a file of the site is for writers, and no technician misses it."""
    return path.startswith(_GUIDE_FOLDERS)


def is_kept(path: str) -> bool:
    """Tell whether a file of the site is for people: data for programs needs a network.

    A name that begins with a dot is a tool's own, such as what Sphinx keeps from build to build.
    """
    if path.startswith(".") or "/." in path or _FOR_A_CAR.search(path):
        return False
    if path in {*_LEFT_OUT_FILES, *WORKER_PARTS} or path.startswith(_LEFT_OUT):
        return False
    return not path.endswith(".json") or path.startswith(("find/", f"{GUIDE_INDEX}/", "_static/"))


def kept_file(path: str, content: bytes) -> KeptFile:
    """Return what is noted of a file; packed as a web server does it, with gzip's method."""
    digits = sha256(content).hexdigest()[:HASH_DIGITS]
    return KeptFile(path, digits, len(zlib.compress(content, 6)), len(content))


def offline_files(
    manual: Manual,
    files: Iterable[KeptFile],
    pictures: Mapping[str, frozenset[str]] = MappingProxyType({}),
) -> dict[str, str]:
    """Return the two files that the site's worker reads: paths below the root, with their texts.

    ``version.json`` is small and names the build by the hash of everything in it; ``files.json``
    lists its files, each with its hash, its packed size and the numbers of its parts, and the
    parts with the sums of their files. Part 0 is what every page needs; each vehicle is a part, and
    so is the writers' guide. ``pictures`` tells
    which pages (docnames) show each picture: it is of all their parts.
    """
    listed = sorted(files, key=lambda file: file.path)
    names = {vehicle.id: humanised(vehicle.name) for vehicle in manual.heads(Vehicle)}
    parts = {"": "Lists and search", **names, GUIDE: "Guide for writers"}
    numbers = {part: number for number, part in enumerate(parts)}
    cars = {**cars_of_pages(manual)}
    for path, pages in pictures.items():
        cars[path] = frozenset().union(*(parts_of(f"{page}.html", cars) for page in pages))
    placed = {
        file.path: sorted(numbers[part] for part in parts_of(file.path, cars)) for file in listed
    }
    lines = "".join(f"{file.path}\0{file.hash}\n" for file in listed)
    version = sha256(lines.encode()).hexdigest()[:HASH_DIGITS]
    totals = [
        {"id": part, "name": name, **_total(f for f in listed if numbers[part] in placed[f.path])}
        for part, name in parts.items()
    ]
    content = {
        "format": FORMAT,
        "version": version,
        "parts": totals,
        "all": _total(listed),
        "revisions": _revisions(manual),
        "files": {file.path: [file.hash, file.packed, *placed[file.path]] for file in listed},
    }
    return {
        f"{FOLDER}version.json": _json({"format": FORMAT, "version": version}),
        f"{FOLDER}files.json": _json(content),
    }


def cars_of_pages(manual: Manual) -> Mapping[str, frozenset[str]]:
    """Return the vehicles that each page is about, by docname; no entry for pages about none."""
    cars: dict[str, set[str]] = defaultdict(set)
    for kind in (Vehicle, Kit, Procedure, Job, DynoSession, Common):
        for head in manual.heads(kind):
            name = _vehicle_of(head)
            if name and manual.head(Vehicle, name):
                cars[head.place.page.removesuffix(".md")].add(name)
    return {page: frozenset(found) for page, found in cars.items()}


def _vehicle_of(head: Entity) -> str:
    match head:
        case Vehicle():
            return head.id
        case Kit():
            return str(head.fits.vehicle)
        case Procedure() | Job() | DynoSession() | Common():
            return str(head.vehicle or "")
    return ""


def parts_of(path: str, cars: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """Return the parts that a file belongs to: vehicles, the guide, or "" for every page's part."""
    about = cars.get(_BESIDE_PAGE.sub("", path))
    if about:
        return about
    return frozenset({GUIDE if is_guide(path) else ""})


def _total(files: Iterable[KeptFile]) -> dict[str, int]:
    sizes = [(file.packed, file.size) for file in files]
    packed, size = (sum(each) for each in zip(*sizes, strict=True)) if sizes else (0, 0)
    return {"files": len(sizes), "packed": packed, "size": size}


def _revisions(manual: Manual) -> dict[str, str]:
    """The revision of each procedure's page, by its path; of pages with one procedure only."""
    found: dict[str, set[str]] = defaultdict(set)
    for procedure in manual.heads(Procedure):
        page = procedure.place.page.removesuffix(".md")
        found[f"{page}.html"].add(str(procedure.revision))
    return {path: min(said) for path, said in sorted(found.items()) if len(said) == 1}


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"


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
        shown = pages_by_picture(app.env)
        for name, text in offline_files(site.manual, _kept(root), shown).items():
            write_if_other(root / name, text.encode("utf-8", "backslashreplace"))
        for name in _WORKERS:
            write_if_other(root / name, worker_text(root).encode())

    app.connect("build-finished", finished, priority=_LAST)


def worker_text(root: Path) -> str:
    """Return the worker of a site as one script, from its parts below the site's ``_static``.

    It is one function, called with the hash of its own text, which it compares before it takes
    over; in a block, so that no beginning of the script is a script.
    """
    parts = [(root / name).read_text("utf-8") for name in WORKER_PARTS]
    function = f"function manualWorker(wholeHash) {{\n{''.join(parts)}}}"
    digits = sha256(function.encode()).hexdigest()[:HASH_DIGITS]
    return f'{{ ({function})("{digits}"); }}\n'


def _kept(root: Path) -> Iterator[KeptFile]:
    for path in sorted(root.rglob("*")):
        name = path.relative_to(root).as_posix()
        if path.is_file() and is_kept(name):
            yield kept_file(name, path.read_bytes())
