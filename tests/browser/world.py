"""A manual made for a test, built with the project's own settings and theme, and served."""

from __future__ import annotations

import shutil
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Iterator

PROJECT = Path(__file__).resolve().parents[2]
LONG = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtenbolzen" * 2

HEAD = f"""# {LONG} long

```{{vehicle}} long-car
name: {LONG}
options:
  {"very-" * 20}long-option: [{"quite-" * 12}yes, "no"]
```

```{{parts}}
cover: {{name: {LONG} cover, held-by: cover-bolts}}
```

```{{fasteners}}
cover-bolts:
  name: {LONG}
  kind: bolt
  count: 2
  thread: M6x1.0
  class: "8.8"
  head: hex 10 mm
  condition: dry
  tighten: [10 N·m]
  source: sheet 1
```

```{{procedure}} long
vehicle: long-car
revision: A
```

:::{{step}} Take the cover off {LONG}
:do: remove cover-bolts, cover
Off.
:::
"""
LAST = """:::{step} Put the cover on
---
do:
  - fit cover
  - tighten cover-bolts
---
On.
:::
"""
MIDDLE = ":::{{step}} Look at place {n}\n:do: inspect place {n}\nLook.\n:::\n"


def long_page(steps: int) -> str:
    """A procedure of so many steps, with names as long as names get."""
    middle = "\n".join(MIDDLE.format(n=n) for n in range(2, steps))
    return f"{HEAD}\n{middle}\n{LAST}"


@contextmanager
def built_manual(root: Path, steps: int) -> Iterator[Served]:
    """Serve a manual whose page `long` is that procedure."""
    docs = root / "docs"
    docs.mkdir()
    docs.joinpath("index.md").write_text("# Manual\n\n```{toctree}\nlong\n```\n", "utf-8")
    docs.joinpath("long.md").write_text(long_page(steps), "utf-8")
    shutil.copytree(PROJECT / "conf", root / "conf")
    words = ["-q", "-c", str(root / "conf"), str(docs), str(root / "html")]
    subprocess.run([sys.executable, "-m", "sphinx", *words], cwd=PROJECT, check=True)  # noqa: S603
    served = Served(root / "html")
    try:
        yield served
    finally:
        served.close()
