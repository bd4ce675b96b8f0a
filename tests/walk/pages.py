"""Small cars and procedures for the walk's tests: one page, checked whole."""

from __future__ import annotations

from textwrap import dedent
from typing import TYPE_CHECKING

from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.manual import Manual
from procedures_lib.walk import Walk, walk
from tests.helpers import findings_of, manual_from

if TYPE_CHECKING:
    from procedures_lib.findings import Finding

CAR = """
```{vehicle} car
name: Car
options:
  gearbox: [manual, automatic]
  tow-eye: [fitted, absent]
fixed: [harness, body, engine]
```
"""
HEAD = """
```{procedure} work
vehicle: car
revision: A
```
"""


def page(blocks: str, *steps: str, kit: str = "", head: str = HEAD) -> str:
    """Return a page: a car with these blocks, a kit, and steps.

    A step is its actions, one a line; a line ``:option: value`` is an option, one that begins with
    ``{`` a signal word and its title.
    """
    text = "# Work\n" + CAR + "\n" + dedent(blocks).strip() + "\n" + kit + head
    return text + "".join(_step(n, step) for n, step in enumerate(steps, start=1))


def _step(number: int, text: str) -> str:
    lines = [line.strip() for line in dedent(text).strip().splitlines()]
    options = "".join(f"{line[1:]}\n" for line in lines if line.startswith(":"))
    signals = "".join(_signal(line) for line in lines if line.startswith("{"))
    actions = "".join(f"\n  - {line}" for line in lines if line and line[0] not in ":{")
    do = f"do:{actions}\n" if actions else ""
    header = f"---\n{do}{options}id: s{number}\n---\n"
    return f"\n::::{{step}} Step {number}\n{header}{signals}Do it.\n::::\n"


def _signal(line: str) -> str:
    word, _, rest = line.partition("}")
    title, _, hazard = rest.partition("|")
    option = f":hazard: {hazard.strip()}\n" if hazard else ""
    return f":::{word}}} {title.strip()}\n{option}Mind it.\n:::\n\n"


def found(blocks: str, *steps: str, kit: str = "", head: str = HEAD) -> list[tuple[str, str]]:
    """Return (check, variants) of all findings of such a page."""
    findings = _findings(page(blocks, *steps, kit=kit, head=head))
    return [(finding.check, finding.variants) for finding in findings]


def _findings(text: str) -> list[Finding]:
    """All findings but those about the numbers of a joint."""
    return [
        finding
        for finding in findings_of(text)
        if CATALOGUE[finding.check].family != "tightening" or finding.check == "stage-skipped"
    ]


def checks(blocks: str, *steps: str, kit: str = "", head: str = HEAD) -> list[str]:
    """Return the names of all findings of such a page."""
    return [check for check, _ in found(blocks, *steps, kit=kit, head=head)]


def one(blocks: str, *steps: str, kit: str = "", head: str = HEAD) -> Finding:
    """Return the only finding of such a page."""
    findings = _findings(page(blocks, *steps, kit=kit, head=head))
    assert len(findings) == 1, [finding.text() for finding in findings]
    return findings[0]


def walked(blocks: str, *steps: str, kit: str = "", head: str = HEAD) -> Walk:
    """Return the walk of such a page's procedure."""
    manual: Manual = manual_from({"page.md": page(blocks, *steps, kit=kit, head=head)})
    (plan,) = manual.plans()
    return walk(plan, manual)


FRONT = """
```{parts}
undertray: {name: Undertray, held-by: tray-screws}
bumper: {name: Bumper, held-by: [bumper-bolts, bumper-clips], behind: undertray}
cooler: {name: Cooler, held-by: cooler-bolts, behind: bumper}
sensor: {name: Sensor, on: cooler, held-by: sensor-screw}
tow-cover: {name: Tow cover, on: bumper, when: tow-eye=fitted}
```
```{connections}
fog-plug: {name: Fog plug, kind: plug, between: [bumper, harness], carries: signal}
sensor-plug: {name: Sensor plug, kind: plug, between: [sensor, harness], carries: signal}
hot-hose: {name: Hot hose, kind: hose, between: [cooler, engine], clamp: hot-clamp}
```
```{openings}
turbo-mouth: {name: Turbo outlet, exposed-by: hot-hose}
```
```{fasteners}
tray-screws: {name: Tray screws, kind: screw, tighten: 5 N·m, source: Sheet, condition: dry}
bumper-bolts: {name: Bumper bolts, kind: bolt, tighten: 8 N·m, source: Sheet, condition: dry}
bumper-clips: {name: Bumper clips, kind: clip}
cooler-bolts: {name: Cooler bolts, kind: bolt, tighten: [5 N·m, 10 N·m], source: S, condition: dry}
sensor-screw: {name: Sensor screw, kind: screw, tighten: 4 N·m, source: Sheet, condition: dry}
hot-clamp: {name: Hot clamp, kind: clamp, tighten: 5 N·m, source: Sheet, condition: dry}
```
"""
"""The front of a car: three layers, a sensor on the innermost, one hose that opens the turbo."""

TRAY_OFF = "remove tray-screws, undertray"
TRAY_ON = "fit undertray\ntighten tray-screws"
BUMPER_OFF = f"{TRAY_OFF}\ndisconnect fog-plug\nremove bumper-bolts, bumper-clips, bumper"
BUMPER_ON = f"fit bumper, bumper-clips\ntighten bumper-bolts\nconnect fog-plug\n{TRAY_ON}"
HOSE_OFF = "loosen hot-clamp\ndisconnect hot-hose\ncover turbo-mouth"
HOSE_ON = "uncover turbo-mouth\nconnect hot-hose\ntighten hot-clamp"
COOLER_OFF = "disconnect sensor-plug\nremove cooler-bolts, cooler"
COOLER_ON = "fit cooler\ntighten cooler-bolts\nconnect sensor-plug"
