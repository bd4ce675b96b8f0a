"""A dyno session worked out: its files read, corrected, compared, and what stands against that."""

from __future__ import annotations

import hashlib
from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from procedures_lib.engineering.dyno.correction_factor import (
    CorrectionError,
    Engine,
    correct,
)
from procedures_lib.engineering.dyno.curve import common_grid, smoothed
from procedures_lib.engineering.dyno.drift import Turns, in_turns, turns_of
from procedures_lib.engineering.dyno.gain import Gain, gain_of
from procedures_lib.engineering.dyno.limits import FEWEST_COMMON_RPM, GRID_STEP_RPM
from procedures_lib.engineering.dyno.noise import noise_share, without_leaps
from procedures_lib.engineering.dyno.pull import Pull, PullError, Rows, disagreement
from procedures_lib.engineering.dyno.pull_csv import read_pull
from procedures_lib.engineering.dyno.soundness import Doubt, Sides, Trace, doubts
from procedures_lib.findings import Finding, Place
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFileError, DataFiles
from procedures_lib.view.dyno_pulls import (
    SIDES,
    MeasuredPull,
    air_doubts,
    entries,
    water_can_be,
    word_findings,
)


@dataclass(frozen=True, slots=True)
class Measured:
    """A session worked out. ``gains`` holds power and torque, and nothing when it is refused.

    ``readable`` is False where the files beside the page are out of reach (a page by itself),
    ``whole`` where the session itself could not be read without a finding. ``doubts`` are what
    in air and pulls speaks against the gains.
    """

    session: DynoSession
    before: tuple[MeasuredPull, ...]
    after: tuple[MeasuredPull, ...]
    findings: tuple[Finding, ...] = ()
    gains: tuple[Gain, ...] = ()
    readable: bool = True
    whole: bool = True
    doubts: tuple[Doubt, ...] = ()

    @property
    def pulls(self) -> tuple[MeasuredPull, ...]:
        """All pulls, those before first."""
        return self.before + self.after

    def gain(self, quantity: str) -> Gain | None:
        """The gain in ``power`` or ``torque``."""
        return next((gain for gain in self.gains if gain.quantity == quantity), None)

    def different(self, side: str) -> tuple[MeasuredPull, ...]:
        """The pulls of a side that repeat no other of it."""
        pulls: tuple[MeasuredPull, ...] = getattr(self, side)
        return tuple(pull for pull in pulls if not pull.repeats)


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
    findings += word_findings(session, [*before, *after])
    done = _corrected(session, [*before, *after], findings)
    corrected = done[: len(before)], done[len(before) :]
    if files is None:
        old, new = map(tuple, corrected)
        return Measured(session, old, new, tuple(findings), readable=False)
    read = [[_read(files, session, pull, findings) for pull in side] for side in corrected]
    old, new = map(_marked, read)
    findings += _on_both_sides(old, new)
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
        if not water_can_be(pull.weather):
            done.append(pull)
            continue
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
    samples = _samples(curve)
    curve, leaps = without_leaps(curve)
    pull = replace(pull, samples=samples, leaps=leaps)
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


def _on_both_sides(
    before: tuple[MeasuredPull, ...], after: tuple[MeasuredPull, ...]
) -> Iterator[Finding]:
    """Find files that are named before and after: one finding for the session."""
    seen = {each.samples: each for each in before if each.samples}
    twice = [(seen[each.samples], each) for each in after if each.samples in seen]
    if twice:
        (old, new), names = twice[0], ", ".join(f"{b.name} is {a.name}" for a, b in twice)
        yield Finding(new.entry.place, "not-comparable",
                      f"{names}: the same samples stand on both sides",
                      "name the file that was measured on that side",
                      related=(old.entry.place,))  # fmt: skip


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
    turns = _turns(sides)
    gains = []
    for quantity in ("power", "torque"):
        curves = [_curves(side, quantity) for side in pulls]
        gains.append(gain_of(quantity, curves[0], curves[1], grid, _band(session), turns))
    old, new = (list(map(_trace, side)) for side in sides)
    minutes = [_minutes(side) for side in sides]
    doubted = doubts(Sides.of(old, new, grid), gains, minutes)
    found_in_air = air_doubts([*sides[0], *sides[1]])
    return replace(measured, gains=tuple(gains), doubts=(*found_in_air, *doubted))


def _turns(sides: Sequence[Sequence[MeasuredPull]]) -> Turns | None:
    """What takes a drift out of pulls made in turns, None where they were not."""
    if any(each.minutes is None for side in sides for each in side):
        return None
    minutes = [_minutes(side) for side in sides]
    return turns_of(*minutes) if in_turns(*minutes) else None


def _minutes(side: Sequence[MeasuredPull]) -> list[float]:
    """When the pulls of a side were made; their order, where they have no times."""
    return [float(n) if each.minutes is None else each.minutes for n, each in enumerate(side)]


def _trace(each: MeasuredPull) -> Trace:
    pull = each.pull
    if pull is None:
        return Trace(each.name, (), ())
    noise = noise_share(pull.speed, pull.torque)
    return Trace(each.name, pull.speed, pull.torque, noise, pull.time, each.leaps)


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


def sessions_of(manual: Manual, procedure: str) -> tuple[DynoSession, ...]:
    """Return the dyno sessions about a procedure, by page and line."""
    found = manual.heads(DynoSession)
    return tuple(session for session in found if str(session.procedure or "") == procedure)
