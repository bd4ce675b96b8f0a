"""Joints on a page: what is found, at which level and line, and what is left alone."""

from __future__ import annotations

import pytest

from procedures_lib.findings import Finding
from tests.helpers import findings_of

FIELDS = {
    "kind": "bolt",
    "count": "2",
    "thread": "M8x1.25",
    "class": '"8.8"',
    "head": "hex 13 mm",
    "condition": "dry",
    "tighten": "[10 N·m, 22 N·m]",
    "source": "Sheet 1",
}


def page(**changes: str | None) -> str:
    """A car with one group of bolts; None leaves a field out."""
    fields = {**FIELDS, **{name.rstrip("_"): value for name, value in changes.items()}}
    lines = "\n".join(f"  {name}: {value}" for name, value in fields.items() if value is not None)
    return f"# V\n\n```{{vehicle}} v\nname: V\n```\n\n```{{fasteners}}\nbolts:\n{lines}\n```\n"


def found(**changes: str | None) -> list[tuple[str, str]]:
    return [(one.check, str(one.level)) for one in findings_of(page(**changes))]


def only(**changes: str | None) -> Finding:
    (finding,) = findings_of(page(**changes))
    return finding


def test_a_usual_joint_has_no_finding() -> None:
    assert found() == []


@pytest.mark.parametrize(
    ("changes", "check", "level"),
    [
        ({"tighten": "220 N·m"}, "torque-implausible", "error"),
        ({"tighten": "22 lbf·in"}, "torque-implausible", "warning"),
        ({"tighten": "[22 N·m, 10 N·m]"}, "stage-falls", "error"),
        ({"tighten": "[10 N·m, +1800°]"}, "out-of-range", "error"),
        ({"tighten": "[10 N·m, +1080°]", "grip": "20 mm"}, "angle-implausible", "error"),
        ({"class": '"9.7"'}, "unknown-class", "error"),
        ({"class": "grade 5"}, "unknown-class", "error"),
        ({"condition": None}, "condition-missing", "warning"),
        ({"source": None}, "no-source", "warning"),
        (
            {
                "tighten": "45 N·m",
                "class": '"12.9"',
                "into": "{material: aluminium, engagement: 1 mm}",
            },
            "thread-strip",
            "error",
        ),
        (
            {"tighten": "[20 N·m, +180°]", "grip": "40 mm"},
            "reused-past-yield",
            "warning",
        ),
        ({"tighten": "0 N·m"}, "out-of-range", "error"),
        ({"tighten": "-5 N·m"}, "out-of-range", "error"),
    ],
)
def test_what_is_wrong_is_one_finding(
    changes: dict[str, str | None], check: str, level: str
) -> None:
    assert found(**changes) == [(check, level)]


@pytest.mark.parametrize("class_", ["unknown", None, "titanium"])
def test_a_bolt_of_no_known_strength_is_not_judged(class_: str | None) -> None:
    assert found(class_=class_, tighten="900 N·m") == []


@pytest.mark.parametrize("class_", ["unknown", None])
def test_no_condition_is_asked_for_where_nothing_is_known(class_: str | None) -> None:
    assert found(class_=class_, condition=None) == []


@pytest.mark.parametrize("kind", ["clamp", "plug"])
def test_clamps_and_plugs_are_not_judged(kind: str) -> None:
    assert found(kind=kind, tighten="900 N·m", condition=None) == []
    assert found(kind=kind, source=None) == [("no-source", "warning")]


@pytest.mark.parametrize("tighten", ["hand", "[snug, +90°]"])
def test_without_a_torque_neither_source_nor_condition_is_asked_for(tighten: str) -> None:
    assert found(tighten=tighten, source=None, condition=None) == []


def test_the_finding_names_the_bolts_and_what_to_look_at() -> None:
    finding = only(tighten="89 lbf·ft", thread="M6x1.0", head="hex 10 mm")
    assert str(finding.place) == "page.md:8"
    assert finding.message.startswith("`bolts`: 89\N{NO-BREAK SPACE}lbf·ft on M6x1 8.8 comes to ")
    assert "89 lbf·in would be usual" in finding.hint


def test_a_misspelt_class_gets_the_nearest_name() -> None:
    finding = only(class_='"9.7"')
    assert "`9.7` is no grade" in finding.message
    assert "9.8" in finding.hint


def test_a_torque_that_could_not_be_read_is_one_finding() -> None:
    assert found(tighten="35 pounds", source=None, condition=None) == [("ambiguous-unit", "error")]


KIT = """
    # K

    ```{kit} k
    name: K
    fits: {vehicle: v}
    contents:
      - {fastener: new-bolts, qty: 2, replaces: bolts}
    ```

    ```{fasteners}
    new-bolts: {name: New bolts, kind: bolt, count: 2, thread: M8x1.25, class: CLASS, reuse: false}
    ```
    """


def test_a_weaker_bolt_keeps_the_torque_of_its_joint_and_is_judged_on_it() -> None:
    """02, 2: the torque belongs to the joint. 60 N·m is for 12.9, and too much for 4.6."""
    car = page(tighten="60 N·m", class_='"12.9"')
    for grade, wanted in (('"12.9"', []), ('"4.6"', ["torque-implausible"])):
        pages = {"v.md": car, "k.md": KIT.replace("CLASS", grade)}
        assert [one.check for one in findings_of(pages) if one.check != "not-used"] == wanted
