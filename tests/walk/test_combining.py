"""Jobs: several procedures in one visit, shared work once, precedences kept, conflicts told."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.fronts.tables.procedure_tables import visit_table
from procedures_lib.judging.checks import check_page
from procedures_lib.language.entities.work import Job, Procedure
from procedures_lib.manual import Manual
from procedures_lib.walk.visit import Visit, clashes, combine
from tests.helpers import findings_of, manual_from

CAR = """
# Small hatch

```{vehicle} hatch
name: Small hatch
```

```{parts}
tray: {name: Undertray, held-by: tray-screws}
cooler: {name: Cooler, held-by: cooler-bolts, behind: tray}
mount: {name: Mount, held-by: mount-bolts, behind: tray}
```

```{fasteners}
tray-screws: {name: Tray screws, kind: screw}
cooler-bolts:
  {name: Cooler bolts, kind: bolt, thread: M8x1.25, class: "8.8", condition: dry, source: s,
   tighten: 20 N·m}
mount-bolts:
  {name: Mount bolts, kind: bolt, thread: M8x1.25, class: "8.8", condition: dry, source: s,
   tighten: 20 N·m}
```
"""


def work(name: str) -> str:
    """A procedure that looks behind the undertray at one part, by taking it out and in again."""
    return f"""
# The {name}

```{{procedure}} do-{name}
vehicle: hatch
revision: A
```

```{{preparation}}
```

:::{{step}} Take the undertray off
:do: remove tray-screws, tray
:time: 10 min
:::

:::{{step}} Take the {name} out and put it back
---
do:
  - remove {name}-bolts, {name}
  - fit {name}
  - start {name}-bolts
  - tighten {name}-bolts
time: 20 min
---
:::

:::{{step}} Put the undertray back
:do: [fit tray, fit tray-screws]
:time: 15 min
:::
"""


JOB = """
# Both

```{job} both
name: Both
vehicle: hatch
procedures: [do-cooler, do-mount]
```
"""

PAGES = {"car.md": CAR, "cooler.md": work("cooler"), "mount.md": work("mount"), "both.md": JOB}


def visit_of(manual: Manual, name: str = "both") -> Visit:
    job = manual.head(Job, name)
    assert job is not None
    visit = combine(manual, job)
    assert visit is not None
    return visit


def test_shared_work_is_done_once() -> None:
    visit = visit_of(manual_from(PAGES))
    titles = [(each.step.step.title, each.shared) for each in visit.steps]
    assert titles == [
        ("Take the undertray off", True),
        ("Take the cooler out and put it back", False),
        ("Take the mount out and put it back", False),
        ("Put the undertray back", True),
    ]
    assert [each.step.number for each in visit.steps] == [1, 2, 3, 4]


def test_the_time_saved_is_that_of_the_steps_left_out() -> None:
    visit = visit_of(manual_from(PAGES))
    assert visit.seconds == (10 + 20 + 20 + 15) * 60
    assert visit.saved_seconds == (10 + 15) * 60


def test_the_visit_walks_clean_and_the_page_has_no_finding() -> None:
    assert findings_of(PAGES) == []


def test_each_procedure_keeps_its_own_order() -> None:
    manual = manual_from(PAGES)
    visit = visit_of(manual)
    for name in visit.order:
        procedure = manual.head(Procedure, name)
        assert procedure is not None
        numbers = [n for each in visit.steps for at, n in each.at if at == name]
        assert numbers == [step.number for step in manual.plan(procedure).steps]


def test_a_step_that_does_more_serves_for_one_that_does_less() -> None:
    more = work("mount").replace("remove tray-screws, tray", "remove tray-screws, tray, flap")
    more = more.replace("[fit tray, fit tray-screws]", "[fit flap, fit tray, fit tray-screws]")
    car = CAR.replace("```{fasteners}", "```{parts}\nflap: {name: Flap}\n```\n\n```{fasteners}")
    visit = visit_of(manual_from({**PAGES, "car.md": car, "mount.md": more}))
    assert len(visit.steps) == 4
    assert "flap" in visit.steps[0].step.step.actions[0].objects
    assert visit.findings == ()


def test_steps_for_other_cars_are_not_shared() -> None:
    car = CAR.replace("name: Small hatch", "name: Small hatch\noptions: {gearbox: [hand, auto]}")
    mount = work("mount").replace(":time: 10 min", ":time: 10 min\n:when: gearbox=auto")
    visit = visit_of(manual_from({**PAGES, "car.md": car, "mount.md": mount}))
    assert [each.step.step.title for each in visit.steps].count("Take the undertray off") == 2


def kit(name: str) -> str:
    return (
        f"# Kit {name}\n\n```{{kit}} kit-{name}\nname: Kit {name}\nfits: {{vehicle: hatch}}\n"
        f"contents:\n  - {{part: cooler-{name}, name: Cooler {name}, replaces: cooler}}\n```\n"
    )


@pytest.fixture
def rivals() -> dict[str, str]:
    """Two kits that both replace the cooler, and a job that wants both."""
    pages = {"car.md": CAR, "both.md": JOB.replace("do-cooler, do-mount", "fit-one, fit-two")}
    for name in ("one", "two"):
        page = work("cooler").replace("do-cooler", f"fit-{name}")
        page = page.replace("vehicle: hatch", f"vehicle: hatch\nkit: kit-{name}")
        page = page.replace("fit cooler\n", f"fit cooler-{name}\n")
        pages[f"fit-{name}.md"], pages[f"kit-{name}.md"] = page, kit(name)
    return pages


def test_two_kits_that_replace_one_part_are_a_conflict(rivals: dict[str, str]) -> None:
    manual = manual_from(rivals)
    job = manual.head(Job, "both")
    assert job is not None
    assert [(clash.what, clash.procedures) for clash in clashes(manual, job)] == [
        ("cooler", ("fit-one", "fit-two"))
    ]
    found = [f for f in check_page(manual, "both.md") if f.check == "job-conflict"]
    assert [f.message for f in found] == [
        "`fit-one` and `fit-two` can't be done in one visit: both replace Cooler"
    ]


def test_a_fault_of_one_procedure_is_told_there_and_not_again_for_the_visit() -> None:
    late = work("mount").replace("remove tray-screws, tray", "remove tray, tray-screws")
    manual = manual_from({**PAGES, "mount.md": late})
    assert "still-held" in {f.check for f in check_page(manual, "mount.md")}
    assert check_page(manual, "both.md") == []


def test_the_sequence_of_procedures_that_works_is_found(rivals: dict[str, str]) -> None:
    del rivals["fit-two.md"], rivals["kit-two.md"]
    rivals["look.md"] = work("cooler").replace("do-cooler", "look-at-cooler")
    rivals["both.md"] = JOB.replace("do-cooler, do-mount", "fit-one, look-at-cooler")
    visit = visit_of(manual_from(rivals))
    assert visit.order == ("look-at-cooler", "fit-one")
    assert visit.findings == ()


def swap(new: str, other: str) -> dict[str, str]:
    """A kit that replaces one part, and its procedure, which takes another part out on the way."""
    page = work(new).replace("vehicle: hatch", f"vehicle: hatch\nkit: kit-{new}")
    page = page.replace(
        f"remove {new}-bolts, {new}", f"remove {new}-bolts, {new}, {other}-bolts, {other}"
    )
    page = page.replace(f"- fit {new}\n", f"- fit {new}-2\n  - fit {other}\n")
    page = page.replace(f"start {new}-bolts", f"start {new}-bolts, {other}-bolts")
    page = page.replace(f"tighten {new}-bolts", f"tighten {new}-bolts, {other}-bolts")
    box = kit("x").replace("kit-x", f"kit-{new}").replace("replaces: cooler", f"replaces: {new}")
    return {f"{new}.md": page, f"kit-{new}.md": box.replace("cooler-x", f"{new}-2")}


def test_a_visit_that_can_not_work_is_told_on_the_job_page() -> None:
    pages = {"car.md": CAR, "both.md": JOB, **swap("cooler", "mount"), **swap("mount", "cooler")}
    manual = manual_from(pages)
    assert check_page(manual, "cooler.md") == check_page(manual, "mount.md") == []
    found = check_page(manual, "both.md")
    assert found
    assert all(f.message.startswith("in this visit: ") for f in found)
    assert all(f.related for f in found)


def test_a_job_without_procedures_that_exist_is_no_crash() -> None:
    found = findings_of({**PAGES, "both.md": JOB.replace("do-cooler, do-mount", "nothing")})
    assert {f.check for f in found} == {"unknown-id"}


def test_the_table_names_where_each_step_is_written() -> None:
    table = visit_table(visit_of(manual_from(PAGES)), {"do-cooler": "Cooler", "do-mount": "Mount"})
    first = table.records()[0]
    assert first["from"].replace("\u00a0", " ") == "Cooler, step 1, Mount, step 1"
    assert first["shared"] == "once for 2 procedures"


def test_the_demo_jobs_are_clean_and_save_time() -> None:
    manual = Manual.read(Path(__file__).resolve().parents[2] / "docs")
    jobs = manual.heads(Job)
    assert len(jobs) >= 2
    for job in jobs:
        visit = visit_of(manual, job.id)
        assert visit.findings == (), job.id
        assert visit.saved_seconds > 0


FOR_SOME = """
# Kit

```{kit} kit
name: Kit
fits: {vehicle: hatch, when: gearbox=manual}
contents:
  - {paper: Card}
```

```{procedure} do-kit
vehicle: hatch
kit: kit
revision: A
```

:::{step} Look
Look.
:::

# Job

```{job} visit
vehicle: hatch
procedures: [do-kit]
when: WHEN
```
"""


@pytest.mark.parametrize(
    ("when", "expected"),
    [("gearbox=automatic", ["never-true"]), ("gearbox=manual", []), ("eye=fitted", [])],
)
def test_a_job_for_other_cars_than_its_procedure_is_for(when: str, expected: list[str]) -> None:
    car = CAR.replace(
        "name: Small hatch\n",
        "name: Small hatch\noptions:\n  gearbox: [manual, automatic]\n  eye: [fitted, absent]\n",
    )
    pages = {"car.md": car, "job.md": FOR_SOME.replace("WHEN", when)}
    assert [found.check for found in findings_of(pages)] == expected
