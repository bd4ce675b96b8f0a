"""Builds small manuals with Sphinx, in the test's own process."""

from __future__ import annotations

import io
import json
import os
import shutil
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from filelock import FileLock
from sphinx.application import Sphinx
from sphinx.util.console import strip_colors
from sphinx.util.docutils import docutils_namespace, patch_docutils

if TYPE_CHECKING:
    import pytest

PROJECT = Path(__file__).resolve().parents[2]

CONF = """
extensions = ["myst_parser", "sphinx_design", "procedures_lib.fronts.site"]
myst_enable_extensions = ["colon_fence", "deflist"]
project = "Small manual"
html_theme = "basic"
html_copy_source = False
"""

VEHICLE = """# Small hatch

```{vehicle} hatch
name: Small hatch
years: 2018-2022
options:
  transmission: [manual, automatic]
```

```{parts}
cover: {name: Engine cover, held-by: cover-bolts}
```

```{fasteners}
cover-bolts:
  name: Cover bolts
  kind: bolt
  count: 2
  thread: M6x1.0
  class: "8.8"
  head: hex 10 mm
  condition: dry
  tighten: [10 N·m]
  positions: {left: [0, 0], right: [100, 0]}
  order: [left, right]
  source: sheet 1
other-bolts:
  {name: Other bolts, kind: bolt, thread: M8x1.25, tighten: [20 N·m], condition: dry, source: s}
```
"""

PROCEDURE = """# Lift the cover

```{procedure} lift-cover
vehicle: hatch
revision: A
reviewed: 2026-01-10
```

```{preparation}
```

:::{step} Take the cover off
:do: remove cover-bolts, cover
:time: 5 min
Both {fastener}`cover-bolts` come out.
:::

:::{step} Put the cover back
---
do:
  - fit cover
  - start cover-bolts
  - tighten cover-bolts
---
Bring them to {torque}`cover-bolts`, in the order drawn.

```{order-drawing} cover-bolts
```
:::

```{torque-table}
```
"""

INDEX = "# Manual\n\n```{find-procedure}\n```\n\n```{toctree}\n:glob:\n\n*\n```\n"


@dataclass
class Built:
    """What one build did: its warnings, the pages it read, and where its files are."""

    status: int
    warnings: str
    read: list[str]
    html: Path
    notes: str = ""

    def page(self, name: str) -> str:
        """The HTML of a page."""
        return self.html.joinpath(f"{name}.html").read_text(encoding="utf-8")


@dataclass
class SmallManual:
    """A manual in a folder of its own, built as often as a test likes."""

    root: Path
    conf: str = CONF
    pages: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        (self.root / "docs").mkdir(parents=True)
        (self.root / "conf").mkdir()
        (self.root / "conf" / "conf.py").write_text(self.conf, encoding="utf-8")
        for name, text in (self.pages or self.usual()).items():
            self.write(name, text)

    @staticmethod
    def usual() -> dict[str, str]:
        """A car, a procedure on it, and an index."""
        return {"index.md": INDEX, "hatch.md": VEHICLE, "lift-cover.md": PROCEDURE}

    def write(self, name: str, text: str) -> None:
        """Write a page."""
        path = self.root / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def change(self, name: str, old: str, new: str) -> None:
        """Replace a text that stands on a page."""
        path = self.root / "docs" / name
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    def build(self, jobs: int = 1, fatal: bool = False, builder: str = "html") -> Built:
        """Build into the folder's ``out``; what was built before is used again."""
        warning, status = io.StringIO(), io.StringIO()
        out = self.root / f"out-{builder}"
        with patch_docutils(str(self.root / "conf")), docutils_namespace():
            app = Sphinx(
                self.root / "docs",
                self.root / "conf",
                out,
                self.root / "doctrees",
                builder,
                status=status,
                warning=warning,
                warningiserror=fatal,
                parallel=jobs,
            )
            read: list[str] = []
            app.connect("env-before-read-docs", lambda _a, _e, names: read.extend(names))
            app.build()
            code = app.statuscode
        told = strip_colors(warning.getvalue())
        return Built(code, told, sorted(read), out, strip_colors(status.getvalue()))


def project_manual(root: Path) -> SmallManual:
    """A copy of the project's own manual with the project's own settings."""
    shutil.copytree(PROJECT / "docs", root / "docs")
    shutil.copytree(PROJECT / "conf", root / "conf")
    manual = SmallManual.__new__(SmallManual)
    manual.root = root
    return manual


def built_once(factory: pytest.TempPathFactory) -> Built:
    """The project's own manual, built by the first that asks; nothing may write into it.

    Where pytest runs in several processes, they share it.
    """
    root = factory.getbasetemp() / "demo"
    if "PYTEST_XDIST_WORKER" in os.environ:  # each process has a folder of its own in that of all
        root = root.parents[1] / "demo"
    told = root / "built.json"
    with FileLock(root.with_suffix(".lock")):
        if not told.exists():
            shutil.rmtree(root, ignore_errors=True)
            built = asdict(project_manual(root).build())
            told.write_text(json.dumps(built, default=str), "utf-8")
    kept = json.loads(told.read_text("utf-8"))
    return Built(**{**kept, "html": Path(kept["html"])})
