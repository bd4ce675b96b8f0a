"""The box against the rest: its years, what goes back, what takes whose place, fuel, revision."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator

from procedures_lib.engineering.quantities import Quantity, find_quantities, quantity_of
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.mentions import plans_on, roles_of, things
from procedures_lib.judging.checks.replaced import Replacement, replacements
from procedures_lib.language.entities.car import Fastener, Fluid, Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import Manual, Plan


def years(manual: Manual, page: str) -> Iterator[Finding]:
    """Find kits for model years that the car's own page does not have."""
    for kit in things(manual, page, Kit):
        car = manual.scope(page).of(Vehicle, str(kit.fits.vehicle))
        if car is None or car.years is None or kit.fits.years is None:
            continue
        if kit.fits.years.first < car.years.first or kit.fits.years.last > car.years.last:
            said = f"the kit fits {kit.fits.years}, and the page of `{car.id}` is for {car.years}"
            hint = "correct one of the two: of other years nothing is known here"
            yield Finding(kit.place, "out-of-range", said, hint, related=(car.place,))


def returned(manual: Manual, page: str) -> Iterator[Finding]:
    """Find what a step puts into the customer's box and the kit's own list leaves out."""
    for plan in plans_on(manual, page):
        kits = [kit for kit in plan.kits or ([plan.kit] if plan.kit else []) if kit.returns]
        listed = {str(name) for kit in kits for name in kit.returns}
        known = all(map(plan.scope.get, listed))  # a slip in the list is a finding already
        for numbered in plan.steps if kits and known else ():
            for action in numbered.step.actions if numbered.page == page else ():
                odd = [n for n in action.objects if n not in listed and plan.scope.get(n)]
                if action.verb == "return" and odd:
                    said = f"`{action}`: the kit's `returns` does not name `{odd[0]}`"
                    hint = f"add it to `returns` of `{kits[0].id}`, or write `discard {odd[0]}`"
                    yield Finding(action.place, "not-returned", said, hint, Level.WARNING,
                                  related=(kits[0].place,))  # fmt: skip


def twofold(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two things that each take the whole place of one old thing, on one car."""
    by_old: dict[str, list[Replacement]] = defaultdict(list)
    for pair in replacements(manual, page):
        if pair.new.count == pair.old.count and not pair.is_explained:
            by_old[pair.old.id].append(pair)
    vehicles = manual.scope(page).all(Vehicle)
    options = vehicles[0].options if vehicles else ()
    for old, (first, *others) in by_old.items():
        for other in others:
            if possible(first.new.when & other.new.when, options):
                said = f"`{other.new.id}` replaces `{old}`, and so does `{first.new.id}`"
                hint = "correct one of the two, or say in a `note` how they share its place"
                place = other.item.place if other.item else other.new.place
                yield Finding(place, "unlike-replaced", said, hint, Level.WARNING,
                              related=(first.new.place,))  # fmt: skip


# -- fuel -----------------------------------------------------------------------------------------


def octane(manual: Manual, page: str) -> Iterator[Finding]:
    """Find fuel on the page of a procedure, or of a dyno session, that its kit does not ask for."""
    for plan in plans_on(manual, page):
        if plan.kit is not None and not manual.is_damaged(plan.kit):
            for fuel, place in _fuels_on(manual, page, plan):
                yield from _judged(fuel, place, plan.kit, plan)
    for session in things(manual, page, DynoSession):
        procedure = manual.head(Procedure, str(session.procedure))
        fitted = manual.plan(procedure) if procedure is not None else None
        kit = fitted.kit if fitted is not None else None
        conditions = [session.conditions, *(pull.conditions for pull in session.after)]
        for text in dict.fromkeys(dict(each).get("fuel", "") for each in conditions):
            burnt = quantity_of(text)
            if fitted is not None and kit is not None and burnt and _is_less(burnt, kit):
                yield from _judged(burnt, session.place, kit, fitted)


def _fuels_on(manual: Manual, page: str, plan: Plan) -> Iterator[tuple[Quantity, Place]]:
    for role in roles_of(manual.contents[page]):
        fuel = quantity_of(role.target) if role.name == "q" else None
        if fuel is not None and fuel.kind == "octane":
            yield fuel, Place(page, role.target.line)
    for text in plan.head.handover if isinstance(plan.head, Procedure) else ():
        for typed in find_quantities(text):
            fuel = quantity_of(typed.text) if typed.kind == "octane" else None
            if fuel is not None:
                yield fuel, Place(page, text.line)


def _is_less(fuel: Quantity, kit: Kit) -> bool:
    """Tell whether a fuel is below a kit's: a RON is higher than the AKI of the same fuel."""
    needed = kit.needs.fuel
    comparable = needed and (fuel.unit == needed.unit or (fuel.unit, needed.unit) == ("RON", "AKI"))
    if not needed or not comparable:
        return False
    least = needed.low if fuel.unit == needed.unit else needed.low + 1
    return fuel.low < least


def _judged(fuel: Quantity, place: Place, kit: Kit, plan: Plan) -> Iterator[Finding]:
    needed = kit.needs.fuel
    if needed is None:
        specs = [fluid.spec for fluid in plan.scope.all(Fluid)]
        if not any(fuel.written in spec for spec in specs):
            said = f"the text asks for {fuel.tidy}, and neither kit nor car says so"
            hint = f"write `needs: {{fuel: {fuel.written}}}` in the kit"
            yield Finding(place, "octane-differs", said, hint, Level.WARNING)
    elif _is_less(fuel, kit):
        said = f"{fuel.tidy} is below what the kit `{kit.id}` needs, {needed.tidy}"
        hint = "correct one of the two: an engine on less than its calibration knocks"
        yield Finding(place, "octane-differs", said, hint, related=(kit.place,))
    elif fuel.unit == needed.unit and fuel.low > needed.high:
        said = f"{fuel.tidy} is more than what the kit `{kit.id}` needs, {needed.tidy}"
        hint = "correct one of the two"
        yield Finding(place, "octane-differs", said, hint, Level.WARNING, related=(kit.place,))


# -- revisions ------------------------------------------------------------------------------------

_REVISION = re.compile(r"\b(?:revision|rev\.|issue) ([A-Za-z0-9.]+)", re.IGNORECASE)


def revisions(manual: Manual, page: str) -> Iterator[Finding]:
    """Find sheets of a kit cited in another revision than the kit has."""
    scope = manual.scope(page)
    kits = {kit.id.casefold(): kit for kit in scope.all(Kit) if kit.revision}
    if not kits:
        return
    content = manual.contents[page]
    cited = [(expect.source, expect.place) for expect in content.expects]
    cited += [(g.source, g.place) for g in content.entities if isinstance(g, Fastener)]
    for source, place in cited:
        match = _REVISION.search(source)
        kit = next((k for name, k in kits.items() if name in source.casefold()), None)
        if match and kit and match[1].casefold() != kit.revision.casefold():
            said = f"the source is in revision {match[1]}, and the kit `{kit.id}` in {kit.revision}"
            hint = (
                "compare the numbers with the sheet of this revision, then correct one of the two"
            )
            yield Finding(place, "revision-differs", said, hint, related=(kit.place,))
