"""The recipes of DEVELOPERS.md, each carried out on a copy of the library.

A recipe may edit nothing but the files that it names: where one forgets a file, it fails here.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

from tests.test_developers import LIBRARY, PAGE

_PATH = re.compile(r"`((?:judging|language|fronts|walk|engineering)/[a-z_/]*(?:\.[a-z]+)?)`")
_THEME = "theme"

READ = """
from pathlib import Path
from procedures_lib.judging.checks import check_page
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual

def manual(text):
    return Manual([build(read_page(text.encode(), "page.md"))])

def found(text):
    return [each.check for each in check_page(manual(text), "page.md")]
"""


class Copy:
    """A copy of the library, in which one recipe is carried out."""

    def __init__(self, folder: Path, recipe: str) -> None:
        text = PAGE.read_text(encoding="utf-8")
        steps = text[text.index(f"**A {recipe}**") :].split("\n\n")[0]
        self.named = set(_PATH.findall(steps))
        self.edited: set[str] = set()
        self._folder = folder
        shutil.copytree(
            LIBRARY,
            folder / LIBRARY.name,
            ignore=shutil.ignore_patterns("__pycache__", "bench", "types"),
        )

    def edit(self, name: str, before: str, after: str) -> None:
        """Replace a text that stands once in a file which the recipe names."""
        folder = f"{name.rpartition('/')[0]}/"
        assert self.named & {name, folder}, f"the recipe does not name {name}"
        self.edited |= self.named & {name, folder}
        path = self._folder / LIBRARY.name / name
        text = path.read_text(encoding="utf-8")
        assert text.count(before) == 1, f"{before!r} in {name}"
        path.write_text(text.replace(before, after), encoding="utf-8")

    def append(self, name: str, text: str) -> None:
        """Write a text below all else in a file which the recipe names."""
        path = self._folder / LIBRARY.name / name
        self.edit(name, path.read_text(encoding="utf-8"), f"{path.read_text()}\n\n{text}")

    def run(self, program: str) -> str:
        """Run a program with this copy; return what it prints."""
        done = subprocess.run(  # noqa: S603 - our own program
            [sys.executable, "-c", READ + program],
            cwd=self._folder,
            env={"PYTHONPATH": str(self._folder), "PATH": ""},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def nothing_named_in_vain(self, *others: str) -> None:
        """Every file that the recipe names was needed, but for some that it has for other cases."""
        assert self.named - self.edited == set(others)


def test_a_check(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "check")
    copy.edit(
        "judging/checks/catalogue.py",
        '        unreadable_page="',
        '        odd_title="a title that is odd",\n        unreadable_page="',
    )
    copy.append(
        "judging/checks/prose.py",
        "def odd_title(manual: Manual, page: str) -> Iterator[Finding]:\n"
        '    """Find titles that are odd."""\n'
        '    if manual.contents[page].page.title == "Odd":\n'
        '        yield Finding(Place(page, 1), "odd-title", "the title is odd", "write another")\n',
    )
    copy.edit(
        "judging/checks/registry.py",
        "    prose.hand_typed,",
        "    prose.odd_title,\n    prose.hand_typed,",
    )
    program = 'print(found("# Odd\\n"), found("# Even\\n"))'
    assert copy.run(program) == "['odd-title'] []"
    copy.nothing_named_in_vain()


BULLETIN = """
class Bulletin(Entity):
    \"\"\"A bulletin of the car's maker.\"\"\"

    KIND: ClassVar[str] = "bulletin"

    name: Text = ""
    asks: Text
    note: Text = ""
"""


def test_a_block(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "block")
    copy.edit(
        "language/reading/block_kinds.py",
        '    _data("hazards",',
        '    _data("bulletins", "", "bulletins of the maker"),\n    _data("hazards",',
    )
    copy.append("language/entities/car.py", BULLETIN)
    copy.append(
        "language/entities/field_notes.toml", '[Bulletin]\nasks = "what it asks the shop to do"\n'
    )
    builder = "language/entities/builder.py"
    copy.edit(
        builder, '    "hazards": Hazard,\n', '    "hazards": Hazard, "bulletins": Bulletin,\n'
    )
    copy.edit(builder, "car import ", "car import Bulletin, ")
    copy.edit("judging/compare/change.py", 'Group.NUMBERS: "count', 'Group.NUMBERS: "asks count')
    tables = "fronts/tables/definitions.py"
    copy.edit(
        tables,
        '    "hazards": (_NAME,',
        '    "bulletins": (_NAME, Column("asks", "Asks")),\n    "hazards": (_NAME,',
    )
    copy.edit(
        tables,
        "        case Hazard():\n",
        "        case Bulletin():\n            found = (name, cell(entity.asks))\n"
        "        case Hazard():\n",
    )
    copy.edit(tables, "car import ", "car import Bulletin, ")
    program = """
from procedures_lib.fronts.formats.block_schema import block_schema
from procedures_lib.fronts.site.directives import CollectionDirective, _class_for
from procedures_lib.fronts.tables.definitions import definition_table
from procedures_lib.judging.compare.change import group_of

page = "# Page\\n\\n```{bulletins}\\nb-1: {name: Bulletin 1, asks: look}\\n```\\n"
one = manual(page)
table = definition_table("bulletins", one.entities_on("page.md").values(), one.scope("page.md"))
print(table.records(), found(page), group_of("asks", "bulletin").name)
print("what it asks the shop to do" in str(block_schema("bulletins")))
print(_class_for("bulletins") is CollectionDirective)
"""
    told = copy.run(program).splitlines()
    assert told == [
        "[{'name': 'Bulletin 1', 'asks': 'look', 'when': ''}] [] NUMBERS",
        "True",
        "True",
    ]
    copy.nothing_named_in_vain("fronts/site/directives.py")


FLUSH = """
def flush(run: Run, fluid: Fluid, cars: Region) -> None:
    \"\"\"Rinse the old fluid out: what is left is empty.\"\"\"
    drain(run, fluid, cars)
"""

FLUSHED = """
page = (
    "# Page\\n\\n```{vehicle} mule\\nname: Mule\\n```\\n```{fluids}\\n"
    "coolant: {name: Coolant, kind: coolant, quantity: 5 L}\\n```\\n"
    "```{procedure} rinse\\nvehicle: mule\\nrevision: A\\n```\\n"
    ":::{step} Rinse\\n---\\ndo: [WORD coolant]\\n---\\nWith water.\\n:::\\n"
)
print([found(page.replace("WORD", word)) for word in ("drain", "flush")])
"""


def test_a_verb(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "verb")
    copy.edit(
        "language/entities/verbs.py",
        '    _verb("fill", "fluid",',
        '    _verb("flush", "fluid", "full → empty", opens=True),\n    _verb("fill", "fluid",',
    )
    copy.append("walk/fluids.py", FLUSH)
    copy.edit(
        "walk/walk.py",
        '    ("fill", states.FLUID)',
        '    ("flush", states.FLUID): fluids.flush,\n    ("fill", states.FLUID)',
    )
    told = copy.run(FLUSHED)
    assert told == str([["hazard-live", "left-drained"]] * 2)
    copy.nothing_named_in_vain()


def test_a_unit(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "unit")
    copy.edit(
        "engineering/quantities/units.toml",
        '  { symbol = "kgf·m"',
        '  { symbol = "cN·m", pint = "centinewton_metre", spellings = ["cNm"],'
        ' source = "SI brochure, 9th ed., table 7" },\n  { symbol = "kgf·m"',
    )
    copy.edit(
        "engineering/quantities/definitions.txt",
        "kilonewton = ",
        "centinewton_metre = 0.01 * newton * metre\nkilonewton = ",
    )
    program = (
        "from procedures_lib.engineering.quantities import convert, read_quantity\n"
        'print(read_quantity("250 cNm").tidy, convert(read_quantity("250 cNm"), "N·m").text)'
    )
    assert copy.run(program).replace("\u00a0", " ") == "250 cN·m 2.5 N·m"
    copy.nothing_named_in_vain()
