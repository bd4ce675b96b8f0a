"""The list of checks is closed: what is emitted is on it, and what is on it can be triggered."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import procedures_lib
from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.catalogue import CATALOGUE, FAMILIES, CheckInfo
from procedures_lib.judging.compare.review import REVIEW
from tests.helpers import manual_from, slips_of

LIBRARY = Path(procedures_lib.__file__).parent

CAR = "```{vehicle} v\nname: V\n```\n```{parts}\nbumper: {name: B}\n```\n"
HEAD = "```{procedure} p\nvehicle: v\nrevision: A\n```\n"

# One page (beside the car's) that triggers each check of the families reading, quantities, drift.
TRIGGERS: dict[str, str | bytes] = {
    "unreadable-page": b"\xff",
    "unreadable-block": "```{parts}\na: {\n```\n",
    "unreadable-condition": "```{parts}\na: {when: x}\n```\n",
    "blank-left": "‹what it is about, such as The car as it arrives.›\n",
    "unseen-text": "```{include} x.md\n```\n",
    "duplicate-key": "```{parts}\na: {name: A}\na: {name: B}\n```\n",
    "unknown-block": "```{wibble}\n```\n",
    "unknown-role": "{torqe}`x`\n",
    "unknown-field": "```{parts}\na: {wibble: x}\n```\n",
    "missing-field": "```{fasteners}\na: {count: 2}\n```\n",
    "wrong-shape": "```{parts}\na: {name: [x]}\n```\n",
    "bad-id": "```{parts}\nA b: {name: x}\n```\n",
    "unknown-word": "```{fasteners}\na: {kind: blot}\n```\n",
    "unknown-thread": "```{fasteners}\na: {kind: bolt, thread: M6x10}\n```\n",
    "unknown-stage": "```{fasteners}\na: {kind: bolt, tighten: twist}\n```\n",
    "unknown-id": HEAD + "{part}`bumpr`\n",
    "wrong-kind": HEAD + "{fastener}`bumper`\n",
    "duplicate-id": HEAD + "```{parts}\nbumper: {name: B}\n```\n{part}`bumper`\n",
    "unknown-verb": HEAD + ":::{step} S\n:do: remvoe bumper\n:::\n",
    "wrong-verb": HEAD + ":::{step} S\n:do: cover bumper\n:::\n",
    "endless-steps": "```{common} c\n```\n:::{common-steps} c\n:::\n",
    "step-without-head": ":::{step} S\n:::\n",
    "raw-html": "Look <b>here</b>.\n",
    "code-in-page": HEAD + "```python\n1 + 1\n```\n",
    "unused-entity": HEAD + "```{parts}\na: {name: A}\n```\n",
    "no-unit": "```{fasteners}\na: {kind: bolt, tighten: 12}\n```\n",
    "ambiguous-unit": "```{fasteners}\na: {kind: bolt, tighten: 35 pounds}\n```\n",
    "wrong-dimension": "```{fasteners}\na: {kind: bolt, tighten: 12 mm}\n```\n",
    "bad-tolerance": "```{fasteners}\na: {kind: bolt, tighten: 12–10 N·m}\n```\n",
    "out-of-range": "```{fasteners}\na: {kind: bolt, count: 0}\n```\n",
    "not-a-number": "```{fasteners}\na: {kind: bolt, tighten: NaN N·m}\n```\n",
    "hand-typed-number": HEAD + "Tighten to 12 N·m.\n",
    "expect-disagrees": (
        "```{fasteners}\na: {kind: bolt, tighten: 12 N·m}\n```\n```{expect} Sheet\na: 13 N·m\n```\n"
    ),
    "side-ambiguous": HEAD + "On the driver's side.\n",
    "merge-mark": "<<<<<<< mine\nOld.\n",
    "foreign-joint": (
        "```{fasteners}\na: {kind: clamp, tighten: hand}\nb: {kind: clamp, tighten: hand}\n```\n"
        + HEAD
        + "```{step} S\n---\ndo: tighten a\n---\n{torque}`b`\n```\n"
    ),
    "prose-disagrees": HEAD + "```{step} S\n---\ndo: inspect a\n---\nOne of you looks.\n```\n",
    "octane-differs": HEAD.replace("A\n", "A\nkit: k\n")
    + (
        "```{kit} k\nname: K\nfits: {vehicle: v}\ncontents: [{paper: P}]\n"
        "needs: {fuel: 93 AKI}\n```\n{q}`91 AKI`\n"
    ),
    "revision-differs": (
        "```{kit} k\nname: K\nfits: {vehicle: v}\nrevision: B\ncontents: [{fastener: a}]\n```\n"
        "```{fasteners}\na: {kind: clip, source: 'Sheet K, revision A'}\n```\n"
    ),
    "not-at-hand": HEAD
    + "```{step} A\n:id: a\n:tools: [awl]\n```\n```{step} B\n{tool}`awl`\n```\n",
    "foreign-sign": (
        HEAD + "````{step} S\n---\ndo: lift bumper\n---\n"
        "```{danger} Cold\n:hazard: refrigerant\nMind.\n```\n````\n"
    ),
    "unlike-practice": "```{fluids}\na: {kind: brake-fluid, quantity: 9 L}\n```\n",
    "carries-missing": "```{connections}\nbrake-hose: {kind: hose, between: [bumper, x]}\n```\n",
}
EMITTING = {
    "Fault",
    "Finding",
    "PathFault",
    "QuantityError",
    "__init__",
    "_find",
    "find",
    "refuse",
}
READ_FAMILIES = {"reading", "quantities", "drift"}
OF_THE_SHOP = {"no-witness"}  # asked for by the shop's file: tests/checks/test_witness.py
NAMES = sorted(
    name
    for name, check in CATALOGUE.items()
    if check.family in READ_FAMILIES and name not in OF_THE_SHOP
)


def test_every_check_of_these_families_has_a_trigger() -> None:
    assert sorted(TRIGGERS) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_check_is_triggered_alone(name: str) -> None:
    found = slips_of({"car.md": CAR, "page.md": TRIGGERS[name]})
    assert [(finding.check, finding.place.page) for finding in found] == [(name, "page.md")]
    assert found[0].message
    assert found[0].hint
    assert found[0].place.line >= 1


def test_names_are_kebab_case_and_families_known() -> None:
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", name) for name in CATALOGUE)
    assert {check.family for check in CATALOGUE.values()} == set(FAMILIES)
    assert all(check.finds for check in CATALOGUE.values())


def emitted(path: Path) -> set[str]:
    """Names of checks that a module passes to a finding or an error, as literal text."""
    calls = [
        node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)
    ]
    names = set()
    for call in calls:
        name = (
            call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        )
        if name in EMITTING:
            texts = [
                a.value
                for a in call.args
                if isinstance(a, ast.Constant) and isinstance(a.value, str)
            ]
            names |= {text for text in texts[:1] if re.fullmatch(r"[a-z]+(-[a-z]+)+", text)}
    return names


def test_every_name_that_the_code_emits_is_in_the_catalogue() -> None:
    found = {name for path in LIBRARY.rglob("*.py") for name in emitted(path)}
    assert found - set(CATALOGUE) == set(REVIEW)  # these compare two states of a manual
    assert len(found) > 25


def test_every_name_of_these_families_is_emitted_somewhere() -> None:
    found = {name for path in LIBRARY.rglob("*.py") for name in emitted(path)}
    assert set(NAMES) - found == set()


def test_an_unlisted_name_would_be_noticed() -> None:
    whole = dict(CATALOGUE)  # put back in its order, which the list in the docs follows
    manual = manual_from({"page.md": TRIGGERS["unknown-field"]})
    del CATALOGUE["unknown-field"]
    try:
        with pytest.raises(KeyError, match="unknown-field"):
            check_page(manual, "page.md")
    finally:
        CATALOGUE.clear()
        CATALOGUE.update(whole)


def test_a_check_that_only_warns_makes_warnings(monkeypatch: pytest.MonkeyPatch) -> None:
    info = CheckInfo("unknown-field", "reading", "x", Level.WARNING)
    monkeypatch.setitem(CATALOGUE, "unknown-field", info)
    (found,) = slips_of(TRIGGERS["unknown-field"])
    assert found.level is Level.WARNING


def test_findings_sort_by_place_and_show_as_one_line() -> None:
    late, early = (Finding(Place("a.md", line), "no-unit", "12 has no unit") for line in (10, 9))
    assert sorted([late, early]) == [early, late]
    assert early.text() == "a.md:9: error: no-unit: 12 has no unit"
    some = Finding(Place("a.md", 9), "no-unit", "x", variants="transmission=manual")
    assert some.text().endswith("x [transmission=manual]")
    assert len({early, Finding(Place("a.md", 9), "no-unit", "12 has no unit")}) == 1


def test_quantity_errors_only_use_names_of_the_catalogue() -> None:
    doc = QuantityError.__doc__ or ""
    names = set(re.findall(r"``([a-z]+(?:-[a-z]+)+)``", doc))
    assert names
    assert names <= set(CATALOGUE)
