"""How long reading and checking takes, and how it grows: ``python -m tests.benchmarks.reading``.

Takes numbers of pages (100, 500 and 2,000 unless said); ``--spaced`` takes pages of 425 lines
instead of 247. Prints, for each in a process of its own on one core: processor milliseconds a page
for reading and for checking, those that MyST-Parser alone takes in the same process to turn such a
page without our blocks into a document tree, the ratio, peak memory; then, from size to size, the
growth for twice the pages, and what one page takes alone once everything is loaded.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.generated import plain, procedure_page, spaced, write_manual
from tests.benchmarks.growth import growth

SIZES = (100, 500, 2000)
SMALLEST = ("1 2", "1 --spaced")
"""The smallest runs, which the tests start."""
ROUNDS = 30
BASELINE = 10
"""Pages that the baseline is taken of, before and again after."""


def measure(pages: int, *, wide: bool = False) -> dict[str, float]:
    """Read and check a manual of that many pages in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "docs"
        write_manual(root, pages, spaced if wide else str)
        code = f"from tests.benchmarks.reading import once; once({str(root)!r})"
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True
        )
    found: dict[str, float] = json.loads(done.stdout)
    return found


def once(root: str) -> None:
    """Read and check one manual, and print what it took as JSON."""
    import resource  # noqa: PLC0415

    from procedures_lib.judging.checks import check_manual  # noqa: PLC0415
    from procedures_lib.manual import Manual  # noqa: PLC0415

    alone = _myst_alone(Path(root))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    manual = Manual.read(Path(root))
    read = time.process_time()
    findings = check_manual(manual)
    checked = time.process_time()
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    found = {
        "read": read - start,
        "check": checked - read,
        "kB": after,
        "grown": after - before,
        "findings": len(findings),
        "alone": (alone + _myst_alone(Path(root))) / 2,
        "one": _one_page(Path(root), manual.contents),
    }
    print(json.dumps(found))


def _myst_alone(root: Path) -> float:
    """Processor seconds of MyST-Parser for one page whose blocks are code and headings."""
    from docutils.core import publish_doctree  # noqa: PLC0415
    from myst_parser.parsers.docutils_ import Parser  # noqa: PLC0415

    from procedures_lib.manual.folder import uncollected  # noqa: PLC0415

    texts = [
        plain(page.read_text(encoding="utf-8"))
        for page in sorted((root / "procedures").glob("p*.md"))[:BASELINE]
    ]
    quiet = {"report_level": 5, "_disable_config": True}
    publish_doctree(texts[0], parser=Parser(), settings_overrides=quiet)
    with uncollected():
        start = time.process_time()
        for text in texts:
            publish_doctree(text, parser=Parser(), settings_overrides=quiet)
        return (time.process_time() - start) / len(texts)


def _one_page(root: Path, contents: object) -> float:
    """Processor seconds for reading and checking one page anew, the others being read."""
    from procedures_lib.judging.checks import check_page  # noqa: PLC0415
    from procedures_lib.manual import Manual  # noqa: PLC0415
    from procedures_lib.manual.folder import read_content  # noqa: PLC0415

    assert isinstance(contents, dict)
    name = "procedures/p00000.md"
    near = {each: contents[each] for each in (name, "vehicles/p00000.md")}
    taken = []
    for _ in range(ROUNDS):
        start = time.process_time()
        near[name] = read_content(name, root)
        check_page(Manual(near.values()), name)
        taken.append(time.process_time() - start)
    return median(taken)


def main(words: list[str]) -> None:
    """Print the table for the sizes named on the command line."""
    wide = "--spaced" in words
    sizes = tuple(int(word) for word in words if word != "--spaced") or SIZES
    lines = (spaced if wide else str)(procedure_page(0)).count("\n")
    print(f"one page has {lines} lines")
    print(
        "pages   read ms/page   check ms/page   MyST alone   ratio   seconds   peak MB   kB/page"
        "   findings"
    )
    rows = {}
    for size in sizes:
        row = rows[size] = measure(size, wide=wide)
        print(
            f"{size:5}   {row['read'] / size * 1000:12.2f}   {row['check'] / size * 1000:13.2f}"
            f"   {row['alone'] * 1000:10.1f}"
            f"   {(row['read'] + row['check']) / size / row['alone']:5.2f}"
            f"   {row['read'] + row['check']:7.1f}   {row['kB'] / 1000:7.0f}"
            f"   {row['grown'] / size:7.1f}   {row['findings']:8.0f}",
            flush=True,
        )
    seconds = growth({size: row["read"] + row["check"] for size, row in rows.items()})
    memory = growth({size: row["kB"] for size, row in rows.items()})
    for (small, large), factor in seconds.items():
        print(
            f"{small} to {large}: for twice the pages {factor:.2f} times the time,"
            f" {memory[small, large]:.2f} times the memory"
        )
    print(f"one page alone: {rows[sizes[0]]['one'] * 1000:.1f} ms")


if __name__ == "__main__":
    main(sys.argv[1:])
