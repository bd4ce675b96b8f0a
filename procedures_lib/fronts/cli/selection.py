"""What a command is asked about: pages by their paths, or a procedure on some of its cars."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from procedures_lib.findings import Finding
from procedures_lib.fronts.cli.arguments import SHOP_PAGE, Folders, absolute, relative, unknown
from procedures_lib.fronts.cli.checked_manual import Checked, check_pages, read_manual
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition, ConditionError, read_condition
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.folder import OutsideError, page_name, page_names
from procedures_lib.spelling import nearest
from procedures_lib.view.uses import options_of


@dataclass(frozen=True, slots=True)
class Selection:
    """A procedure of a manual, and the cars that were asked about."""

    folders: Folders
    manual: Manual
    plan: Plan
    cars: Condition
    of_shop: tuple[Finding, ...]

    @property
    def cars_of_kit(self) -> Condition:
        """Those cars that the procedure's kit is for; :class:`Refused` when it is for none."""
        fits = self.plan.kit.fits.when if self.plan.kit else ALWAYS
        if not possible(self.cars & fits, options_of(self.plan)):
            raise Refused(f"--when: the kit is only for cars with `{fits}`")
        return self.cars & fits

    def behind(self) -> Checked:
        """Return what is found on the pages that the procedure is drawn from, and in the shop."""
        sources = (self.plan.head, self.plan.vehicle, self.plan.kit)
        pages = {source.place.page for source in sources if source}
        checked = check_pages(self.manual, pages | {step.page for step in self.plan.steps})
        found = checked.only(checked.pages).findings
        return Checked(checked.pages, (*self.of_shop, *found))


def select(folders: Folders, procedure: str, when: Iterable[str]) -> Selection:
    """Read the manual; return its procedure with this id, on the cars that meet all expressions.

    :class:`Refused` when no procedure has the id, and, with the car's options, when an expression
    can't be read, names an option or a value that the car does not have, or when no car meets them.
    """
    manual, of_shop = read_manual(folders)
    head = manual.head(Procedure, procedure)
    if head is None:
        raise unknown("procedure", procedure, (each.id for each in manual.heads(Procedure)))
    plan = manual.plan(head)
    return Selection(folders, manual, plan, _read_when(when, plan), of_shop)


def _read_when(texts: Iterable[str], plan: Plan) -> Condition:
    condition = ALWAYS
    for text in texts:
        try:
            condition &= read_condition(text)
        except ConditionError as error:
            raise _refused(f"{error.message}: {error.hint}", plan) from None
    options = options_of(plan)
    values = dict(options)
    for option, value in condition.tests():
        if option not in values:
            raise _refused(f"there is no option `{option}`{_meant(option, values)}", plan)
        if value not in values[option]:
            near = _meant(value, values[option])
            raise _refused(f"`{option}` is never `{value}`{near}", plan)
    if not possible(condition, options):
        raise _refused(f"no car meets `{condition}`", plan)
    return condition


def _meant(word: str, known: Iterable[str]) -> str:
    near = nearest(word, known)
    return f": did you mean `{near}`?" if near else ""


def _refused(message: str, plan: Plan) -> Refused:
    """The refusal of a condition, with the options that the car does have."""
    car = plan.vehicle.name if plan.vehicle else "this procedure's car"
    options = [f"  {option}: {', '.join(values)}" for option, values in options_of(plan)]
    lines = [f"The options of the {car}:", *options] if options else [f"{car} has no options."]
    return Refused("\n".join([f"--when: {message}", *lines]))


def choose(paths: Iterable[Path], folders: Folders) -> frozenset[str]:
    """Return the names of the files that the paths name: pages, all pages of a folder, the shop.

    :class:`Refused` for a path that does not exist, is outside the manual, or holds no page.
    """
    pages = page_names(folders.pages)
    return frozenset(name for path in paths for name in _named(path, pages, folders))


def _named(path: Path, pages: list[str], folders: Folders) -> list[str]:
    if absolute(path) == absolute(folders.shop):
        return [SHOP_PAGE]
    name = _name(path, folders)
    if not path.exists():
        near = nearest(name, pages)
        hint = f": did you mean {folders.way_to(near)}?" if near else "."
        raise Refused(f"{path} does not exist{hint}")
    found = [page for page in pages if name in {".", page} or page.startswith(f"{name}/")]
    if not found:
        raise Refused(
            f"{path} {'holds no page' if path.is_dir() else 'is no page'} of the manual: "
            "pages end in .md, and files and folders that begin with `.` or folders that "
            "begin with `_` are left out."
        )
    return found


def _name(path: Path, folders: Folders) -> str:
    """The path below the folder of pages; what a link is called counts, not where it leads."""
    try:
        return absolute(path).relative_to(folders.pages).as_posix()
    except ValueError:
        pass
    try:
        return page_name(path, folders.pages)
    except OutsideError:
        where = relative(folders.pages)
        raise Refused(
            f"{path} is outside the manual, whose pages are in {where}.\n"
            "Give a page or a folder in there, or name another manual with --manual."
        ) from None
