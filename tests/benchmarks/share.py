"""What the search index takes of a build: its functions timed inside a build of the site."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.site import search as find
from tests.benchmarks.generated import write_manual
from tests.benchmarks.named import named
from tests.site.building import SmallManual

if TYPE_CHECKING:
    from collections.abc import Callable

PROJECT = Path(__file__).resolve().parents[2]
PARTS = {"rows": "rows_of_page", "index": "make_index", "files": "index_files", "writing": "_write"}


def _timed(function: Callable[..., Any], taken: dict[str, float], name: str) -> Callable[..., Any]:
    def run(*given: Any) -> Any:
        begun = time.process_time()
        try:
            return function(*given)
        finally:
            taken[name] += time.process_time() - begun

    return run


def print_share(pages: int) -> None:
    """Build a manual, then build it again with one page changed; print the times."""
    taken: dict[str, float] = defaultdict(float)
    for name, function in PARTS.items():
        setattr(find, function, _timed(getattr(find, function), taken, name))
    with tempfile.TemporaryDirectory() as folder:
        manual = SmallManual.__new__(SmallManual)
        manual.root = Path(folder)
        write_manual(manual.root / "docs", pages, named)
        shutil.copytree(PROJECT / "conf", manual.root / "conf")
        _print_build("whole", manual, taken)
        manual.change("procedures/p00000.md", "off\n:do:", "away\n:do:")
        _print_build("one page", manual, taken)


def _print_build(name: str, manual: SmallManual, taken: dict[str, float]) -> None:
    taken.clear()
    begun = time.process_time()
    manual.build()
    whole = time.process_time() - begun
    parts = ", ".join(f"{part} {taken[part]:.2f} s" for part in PARTS)
    share = sum(taken.values()) / whole
    print(f"{name}: {whole:.1f} s, of which the search {share:.1%}: {parts}")
