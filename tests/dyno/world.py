"""A small manual in a folder with a dyno session and its pulls, for tests."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual
from procedures_lib.view.dyno_result import Measured, measure

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from procedures_lib.findings import Finding

PAGE = """# Cooler on the dyno

```{vehicle} finch
name: Tarrow Finch 1.6 turbo
```

```{kit} tf-1
name: Cooler kit
fits: {vehicle: finch}
contents: []
claims: {power: +10 hp, torque: +20 lbf·ft}
emissions: {label: none, note: for the track only}
```

```{procedure} fit-tf-1
vehicle: finch
kit: tf-1
revision: A
```

:::{step} Fit it
It is fitted.
:::

```{dyno-session} run
vehicle: finch
procedure: fit-tf-1
dyno: {kind: chassis}
conditions: {gear: 4, fuel: 93 AKI, tyre-pressure: 240 kPa}
correction: SAE J1349
before:
  - {pull: data/before-1.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
  - {pull: data/before-2.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
  - {pull: data/before-3.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
after:
  - {pull: data/after-1.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
  - {pull: data/after-2.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
  - {pull: data/after-3.csv, air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}}
```

```{gain-report} run
```
"""
FIRST_PULL = PAGE[: PAGE.index("  - {pull")].count("\n") + 1
"""The line of the first pull."""

SESSION = PAGE[: PAGE.index("```{dyno-session}")].count("\n") + 1


def torque(rpm: float, peak: float = 200.0) -> float:
    """An engine's torque in N·m: a parabola with its peak at 4000 rpm."""
    return peak * (1 - ((rpm - 4000) / 5000) ** 2)


def csv_of(curve: Callable[[float], float], first: int = 2000, last: int = 6000) -> str:
    """A pull of 50 rpm steps."""
    rows = "".join(f"{rpm},{curve(rpm):.4f}\n" for rpm in range(first, last + 1, 50))
    return f"speed [rpm],torque [N·m]\n{rows}"


def pulls(before: float = 200.0, after: float = 240.0, spread: float = 0.5) -> dict[str, str]:
    """Three pulls a side whose peaks are a ``spread`` in N·m apart."""
    return {
        f"{side}-{n}.csv": csv_of(partial(torque, peak=peak + spread * (n - 2)))
        for side, peak in (("before", before), ("after", after))
        for n in (1, 2, 3)
    }


def write(root: Path, page: str = PAGE, files: Mapping[str, str | bytes] | None = None) -> Path:
    """Write the page and its files; files given replace those of ``pulls``."""
    data = root / "results" / "data"
    data.mkdir(parents=True, exist_ok=True)
    root.joinpath("results", "run.md").write_text(page, encoding="utf-8")
    for name, text in {**pulls(), **(files or {})}.items():
        raw = text if isinstance(text, bytes) else text.encode()
        data.joinpath(name).write_bytes(raw)
    return root


def measured_at(root: Path) -> Measured:
    """The session of a manual, worked out."""
    manual = Manual.read(root)
    return measure(manual, manual.heads(DynoSession)[0])


def dyno_findings(root: Path) -> list[Finding]:
    """The findings of the manual."""
    return check_manual(Manual.read(root))


def power_peak(peak: float) -> tuple[float, float]:
    """The true peak of power of ``torque``: rpm and kW, where d(T n)/dn is zero."""
    rpm = (2 * 4000 + math.sqrt(4 * 4000**2 - 3 * (4000**2 - 5000**2))) / 3
    return rpm, torque(rpm, peak) * rpm * math.pi / 30000
