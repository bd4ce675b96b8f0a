"""A dyno session worked out: its files read, corrected, compared, and what stands against that."""

from __future__ import annotations

import hashlib
from array import array
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from procedures_lib.dyno.agreement import disagreement
from procedures_lib.dyno.correcting import CorrectionError, Engine, correct
from procedures_lib.dyno.curve import common_grid, smoothed
from procedures_lib.dyno.entries import condition_findings, entries
from procedures_lib.dyno.gain import gain_of
from procedures_lib.dyno.limits import FEWEST_COMMON_RPM, GRID_STEP_RPM
from procedures_lib.dyno.measured import SIDES, Measured, MeasuredPull
from procedures_lib.dyno.pull import Pull, PullError
from procedures_lib.dyno.pull_csv import read_pull
from procedures_lib.findings import Finding, Place
from procedures_lib.manual.data_files import DataFileError, DataFiles

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from procedures_lib.dyno.pull import Rows
    from procedures_lib.entities.dyno import DynoSession
    from procedures_lib.manual import Manual


def measure(manual: Manual, session: DynoSession) -> Measured:
    """Work a session out, once for each manual; what stands against it is among the findings."""
    if manual.is_damaged(session):
        return Measured(session, (), (), whole=False)
    place = session.place
    key = ("dyno-session", place.page, str(place.line), session.id)
    return manual.once(key, partial(_measure, manual.files, session))


def _measure(files: DataFiles | None, session: DynoSession) -> Measured:
    findings: list[Finding] = []
    before, after = (entries(session, side) for side in SIDES)
    findings += condition_findings(session, [*before, *after])
    done = _corrected(session, [*before, *after], findings)
    corrected = done[: len(before)], done[len(before) :]
    if files is None:
        old, new = map(tuple, corrected)
        return Measured(session, old, new, tuple(findings), readable=False)
    read = [[_read(files, session, pull, findings) for pull in side] for side in corrected]
    old, new = map(_marked, read)
    measured = Measured(session, old, new, tuple(findings))
    if findings or not (old and new):
        return measured
    return _with_gains(measured)


def _corrected(
    session: DynoSession, pulls: list[MeasuredPull], findings: list[Finding]
) -> list[MeasuredPull]:
    """Give each pull its correction; what can't be corrected for one reason is one finding."""
    kind = session.engine
    engine = Engine(kind.ignition, kind.charging, kind.corrected_fuel)
    done, refused = [], dict[tuple[str, str], list[MeasuredPull]]()
    for pull in pulls:
        try:
            correction = correct(session.correction, pull.weather, engine)
        except CorrectionError as error:
            refused.setdefault((error.message, error.hint), []).append(pull)
            done.append(pull)
        else:
            done.append(replace(pull, correction=correction))
    for (message, hint), without in refused.items():
        names = ", ".join(pull.name for pull in without)
        findings.append(Finding(without[0].entry.place, "not-comparable",
                                f"{names} can't be corrected: {message}", hint))  # fmt: skip
    return done


def _read(
    files: DataFiles, session: DynoSession, pull: MeasuredPull, findings: list[Finding]
) -> MeasuredPull:
    page, name, place = session.place.page, pull.entry.pull, pull.entry.place
    try:
        with files.lines(page, name) as lines:
            curve, rows = read_pull(lines)
    except DataFileError as error:
        findings.append(Finding(place, "unreadable-pull", error.message, error.hint))
        return pull
    except PullError as error:
        at = Place(files.page_of(page, name), error.line)
        findings.append(Finding(place, "unreadable-pull", f"{at}: {error.message}", error.hint,
                                related=(at,)))  # fmt: skip
        return pull
    wrong = _disagreeing(rows, Place(files.page_of(page, name), 1), place)
    if wrong is not None:
        findings.append(wrong)
    pull = replace(pull, samples=_samples(curve))
    if session.smoothing:
        width = float(session.smoothing.exact_nominal("rpm"))
        curve = replace(curve, torque=smoothed(curve.speed, curve.torque, width),
                        power=smoothed(curve.speed, curve.power, width))  # fmt: skip
    return replace(pull, pull=curve.times(pull.correction.factor) if pull.correction else curve)


def _disagreeing(rows: Rows, file: Place, place: Place) -> Finding | None:
    found = disagreement(rows)
    if found is None:
        return None
    at = Place(file.page, found.line)
    said = f"{at}: {found.stated_kw:.1f} kW stands there, torque times speed is"
    said += f" {found.computed_kw:.1f} kW; over the pull, power is {found.ratio:.3f} times as much"
    meant = f", {found.meant}" if found.meant else ""
    return Finding(place, "power-torque-disagree", said + meant,
                   "look at the units in the header; the torque has to be that at the speed given",
                   related=(at,))  # fmt: skip


def _marked(side: list[MeasuredPull]) -> tuple[MeasuredPull, ...]:
    """Mark the pulls that are copies of an earlier one of their side."""
    seen: dict[str, str] = {}
    marked = []
    for each in side:
        marked.append(replace(each, repeats=seen.get(each.samples, "")))
        if each.samples:
            seen.setdefault(each.samples, each.name)
    return tuple(marked)


def _samples(pull: Pull) -> str:
    """What tells whether two pulls are one: a hash of their samples before any correction."""
    found = hashlib.blake2b(digest_size=12)
    for values in (pull.speed, pull.power):
        found.update(array("d", values).tobytes())
    return found.hexdigest()


def _with_gains(measured: Measured) -> Measured:
    session = measured.session
    sides = [measured.different(side) for side in SIDES]
    pulls = [[each.pull for each in side if each.pull is not None] for side in sides]
    grid = common_grid([pull.speed for side in pulls for pull in side])
    found = list(_too_narrow(session, grid))
    if found:
        return replace(measured, findings=(*measured.findings, *found))
    band = _band(session)
    gains = tuple(
        gain_of(quantity, _curves(pulls[0], quantity), _curves(pulls[1], quantity), grid, band)
        for quantity in ("power", "torque")
    )
    return replace(measured, gains=gains)


def _curves(pulls: list[Pull], quantity: str) -> list[tuple[Sequence[float], Sequence[float]]]:
    return [(pull.speed, getattr(pull, quantity)) for pull in pulls]


def _band(session: DynoSession) -> tuple[float, float] | None:
    if session.band is None:
        return None
    low, high = session.band.exact("rpm")
    return float(low), float(high)


def _too_narrow(session: DynoSession, grid: tuple[float, ...]) -> Iterator[Finding]:
    if not grid or grid[-1] - grid[0] < FEWEST_COMMON_RPM:
        reach = f"{grid[0]:g}–{grid[-1]:g} rpm" if grid else "no speed"
        yield Finding(session.place, "not-comparable", f"all pulls together reach only {reach}",
                      "make the pulls over the same speeds")  # fmt: skip
        return
    band = _band(session)
    inside = [speed for speed in grid if band and band[0] <= speed <= band[1]]
    if band and (len(inside) < 2 or band[0] < grid[0] - GRID_STEP_RPM
                 or band[1] > grid[-1] + GRID_STEP_RPM):  # fmt: skip
        yield Finding(session.place, "not-comparable",
                      f"`band` is {band[0]:g}–{band[1]:g} rpm, all pulls together reach"
                      f" {grid[0]:g}–{grid[-1]:g} rpm",
                      f"write `band: {grid[0]:g}–{grid[-1]:g} rpm`, or less")  # fmt: skip
