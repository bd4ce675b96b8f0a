"""The kinds of faults seed what a page has, also in words that the demo has no use for."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from tests.faults import running  # noqa: F401  (puts the kinds on the list)
from tests.faults.demo import Demo
from tests.faults.kinds import KINDS
from tests.faults.source import Source, edited

CAR = """\
# Car

```{vehicle} car
name: Car
options:
  model: [long, short]
fixed: [body]
```

```{parts}
front-wheel: {name: Front wheel, held-by: front-nuts, mass: 18 kg}
rear-wheel: {name: Rear wheel, held-by: rear-nuts}
axle: {name: Axle, held-by: axle-nut, needs-support: true, reached-from: below}
```

```{fasteners}
axle-nut:
  name: Axle nut
  kind: nut
  with: [axle-bolt, axle-washer]
  hidden-by: [front-wheel]
  tighten: {"model=long": [380 N·m], "model=short": [231 N·m]}
axle-bolt: {name: Axle bolt, kind: bolt}
axle-washer: {name: Axle washer, kind: washer}
front-nuts: {name: Front nuts, kind: nut, tighten: 110 N·m}
rear-nuts: {name: Rear nuts, kind: nut, tighten: [20 N·m, 50 %]}
```
"""
FIT = """\
# Fit

```{procedure} fit
vehicle: car
revision: A
ends-with: [wheels-off]
```

:::{step} Take it out
---
do:
  - support axle
  - remove axle-nut, axle
  - release axle
  - adjust front-wheel to 12 mm
---
Text.
:::
"""


@pytest.fixture(scope="module")
def small() -> Demo:
    pages = {"vehicles/car.md": CAR, "procedures/fit.md": FIT}
    contents = [build(read_page(text.encode(), name)) for name, text in pages.items()]
    assert [finding.text() for content in contents for finding in content.findings] == []
    named = {content.page.name: content for content in contents}
    return Demo(Manual(contents), {name: Source(named[name], text) for name, text in pages.items()})


@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("wrong `with`", "axle-nut: with without `axle-washer`"),
        ("wrong `hidden-by`", "axle-nut: hidden-by `rear-wheel` for `front-wheel`"),
        ("wrong `hidden-by`", "axle-nut: hidden-by without `front-wheel`"),
        ("wrong `reached-from`", "axle: reached-from left out"),
        ("wrong `needs-support`", "axle: needs-support `false` for `true`"),
        ("wrong `mass`", "front-wheel: mass `81 kg` for `18 kg`"),
        ("another amount in an action",
         "“Take it out”: `adjust front-wheel to 21 mm` for `adjust front-wheel to 12 mm`"),
        ("swap two stages, or two conditions", "axle-nut: swap [380 N·m] and [231 N·m]"),
        ("swap two stages, or two conditions", "axle-nut: none for model=short"),
        ("another digit of a torque or angle", "axle-nut: `321 N·m` for `231 N·m`"),
        ("wrong head of a procedure or job", "fit, ends-with: drop `wheels-off`"),
        ("drop an action: hazards, covers, tags, support", "“Take it out”: drop `release axle`"),
        ("another verb in an action", "“Take it out”: `release axle` for `support axle`"),
    ],
)  # fmt: skip
def test_what_a_page_has_is_seeded(small: Demo, kind: str, what: str) -> None:
    found = {fault.what: fault for fault in KINDS[kind].seed(small)}
    assert what in found
    (page, edits), *rest = found[what].by_page().items()
    assert rest == []
    assert edited(small.sources[page].text, edits) != small.sources[page].text
