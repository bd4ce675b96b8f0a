"""A dyno session worked out: its files read, corrected, compared, and what stands against that."""

from __future__ import annotations

import hashlib
from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from procedures_lib.engineering.dyno.comparability import MUST_AGREE, missing, same, tidy
from procedures_lib.engineering.dyno.correction_factor import (
    Correction,
    CorrectionError,
    Engine,
    Weather,
    correct,
)
from procedures_lib.engineering.dyno.curve import common_grid, smoothed
from procedures_lib.engineering.dyno.gain import Gain, gain_of
from procedures_lib.engineering.dyno.limits import FEWEST_COMMON_RPM, GRID_STEP_RPM
from procedures_lib.engineering.dyno.pull import Pull, PullError, Rows, disagreement
from procedures_lib.engineering.dyno.pull_csv import read_pull
from procedures_lib.findings import Finding, Place
from procedures_lib.language.entities.dyno_session import Air, DynoSession
from procedures_lib.language.entities.dyno_session import Pull as PullEntry
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFileError, DataFiles

SIDES = ("before", "after")


@dataclass(frozen=True, slots=True)
class MeasuredPull:
    """One pull: what the page says of it, and the corrected curve (None when it can't be used).

    ``name`` tells which it is: ``before 1``. ``conditions`` are the session's with its own.
    ``samples`` is a hash of what was measured; ``repeats`` names an earlier pull of its side that
    has the same.
    """

    name: str
    entry: PullEntry
    conditions: dict[str, str]
    weather: Weather | None
    correction: Correction | None = None
    pull: Pull | None = None
    samples: str = ""
    repeats: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """A session worked out. ``gains`` holds power and torque, and nothing when it is refused.

    ``readable`` is False where the files beside the page are out of reach (a page by itself),
    ``whole`` where the session itself could not be read without a finding.
    """

    session: DynoSession
    before: tuple[MeasuredPull, ...]
    after: tuple[MeasuredPull, ...]
    findings: tuple[Finding, ...] = ()
    gains: tuple[Gain, ...] = ()
    readable: bool = True
    whole: bool = True

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


def entries(session: DynoSession, side: str) -> list[MeasuredPull]:
    """Return the pulls of a side as the page names them, not read yet."""
    entries: tuple[PullEntry, ...] = getattr(session, side)
    common = tidy(session.conditions)
    dyno = session.dyno.name or session.dyno.kind
    return [
        MeasuredPull(
            f"{side} {n}",
            entry,
            {"dyno": dyno, "correction": session.correction, **common, **tidy(entry.conditions)},
            weather_of(entry.air),
        )
        for n, entry in enumerate(entries, start=1)
    ]


def weather_of(air: Air | None) -> Weather | None:
    """Return the air of a pull in the units of the formulas."""
    if air is None:
        return None
    humidity = float(air.humidity.nominal) if air.humidity else None
    return Weather(
        float(air.temperature.exact_nominal("°C")),
        float(air.pressure.exact_nominal("hPa")),
        humidity,
    )


def condition_findings(session: DynoSession, pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Yield what forbids to compare the pulls: one finding for each condition and value of it."""
    anywhere = {name: "known" for pull in pulls for name, text in pull.conditions.items() if text}
    for name in missing(anywhere):
        yield Finding(session.place, "not-comparable",
                      f"`{name}` is not written down, so nobody knows whether it was the same",
                      f"write it into `conditions: {{{name}: …}}`")  # fmt: skip
    for name in MUST_AGREE:
        usual, *others = _groups(name, pulls)
        for group in others:
            first = group[0]
            told = f"{', '.join(pull.name for pull in group)}: {name}"
            told += f" {_said(first, name)}, {usual[0].name}: {_said(usual[0], name)}"
            yield Finding(first.entry.place, "not-comparable", told,
                          "make the pulls again under the same conditions",
                          related=(usual[0].entry.place,))  # fmt: skip


def _groups(name: str, pulls: list[MeasuredPull]) -> list[list[MeasuredPull]]:
    """Part the pulls by what they say of a condition, the largest group first."""
    groups: list[list[MeasuredPull]] = [[]]
    for pull in pulls:
        text = pull.conditions.get(name, "")
        for group in groups:
            if not group or same(name, group[0].conditions.get(name, ""), text):
                group.append(pull)
                break
        else:
            groups.append([pull])
    return sorted(groups, key=len, reverse=True)


def _said(pull: MeasuredPull, name: str) -> str:
    text = pull.conditions.get(name, "")
    return f"`{text}`" if text else "not given"


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


def sessions_of(manual: Manual, procedure: str) -> tuple[DynoSession, ...]:
    """Return the dyno sessions about a procedure, by page and line."""
    found = manual.heads(DynoSession)
    return tuple(session for session in found if str(session.procedure or "") == procedure)
