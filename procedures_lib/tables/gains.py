"""The dyno report: the gain in figures, the pulls with their air, claims, cautions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.dyno.measured import Measured
from procedures_lib.dyno.session import measure
from procedures_lib.dyno.verdicts import kit_of
from procedures_lib.entities.dyno import DynoSession
from procedures_lib.findings import Level
from procedures_lib.tables.gain_cautions import cautions
from procedures_lib.tables.gain_rows import claims_table, gain_table, more_table, pulls_table
from procedures_lib.tables.gain_units import gained, units_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from procedures_lib.entities.kit import Kit
    from procedures_lib.manual import Manual
    from procedures_lib.tables.table import Table


@dataclass(frozen=True, slots=True)
class GainReport:
    """A session as it is published. ``refused`` says why there is no gain, () where there is one.

    ``units`` maps power and torque to their units.
    """

    measured: Measured
    units: Mapping[str, str]
    headline: str
    facts: tuple[tuple[str, str], ...]
    gains: Table
    more: Table
    pulls: Table
    claims: Table
    cautions: tuple[str, ...]
    refused: tuple[str, ...] = ()


def gain_report(manual: Manual, session: DynoSession) -> GainReport:
    """Return the report of a session."""
    measured = measure(manual, session)
    units = units_of(manual, measured)
    return GainReport(
        measured,
        units,
        headline(measured, units),
        tuple(_facts(measured, kit_of(manual, session))),
        gain_table(measured, units),
        more_table(measured, units),
        pulls_table(measured, units),
        claims_table(manual, measured),
        cautions(measured),
        refused(measured),
    )


def refused(measured: Measured) -> tuple[str, ...]:
    """Return why a session gives no gain, each reason a sentence; () when it gives one."""
    if measured.gains:
        return ()
    if not measured.whole:
        return ("the session could not be read whole: what the checks find comes first",)
    found = [f.message for f in measured.findings if f.level is Level.ERROR]
    if not measured.readable:
        found.append("the files of the pulls are not at hand")
    return tuple(found) or ("there are no pulls on one of the sides",)


def headline(measured: Measured, units: Mapping[str, str]) -> str:
    """Return the result in a sentence."""
    if not measured.gains:
        return "No gain is given: these pulls can't be compared."
    parts = [f"{g.quantity} {gained(g.at_peak, g.quantity, units)}" for g in measured.gains]
    told = " and ".join(parts)
    if all(gain.within_noise for gain in measured.gains):
        return f"No gain could be told from the spread of the pulls ({told})."
    return f"{told[0].upper()}{told[1:]}, peak against peak."


def handover_lines(manual: Manual, procedure: str) -> tuple[tuple[str, str], ...]:
    """Return what the handover sheet of a procedure says of its dyno sessions."""
    return tuple(
        ("Measured gain", _handover_text(manual, session))
        for session in sessions_of(manual, procedure)
    )


def sessions_of(manual: Manual, procedure: str) -> tuple[DynoSession, ...]:
    """Return the dyno sessions about a procedure, by page and line."""
    found = manual.heads(DynoSession)
    return tuple(session for session in found if str(session.procedure or "") == procedure)


def _handover_text(manual: Manual, session: DynoSession) -> str:
    measured = measure(manual, session)
    said = headline(measured, units_of(manual, measured))
    if not measured.gains:
        return said
    day = f" on {session.date.isoformat()}" if session.date else ""
    counts = f"{len(measured.different('before'))} pulls before,"
    counts += f" {len(measured.different('after'))} after{day}"
    correction = "not corrected" if session.correction == "none" else session.correction
    sure = "" if measured.gains[0].limit is None else " ± is a 95\u00a0% interval from these pulls."
    return f"{said} {counts}; {correction}, {_where(session)}.{sure} This car, on this day."


def _where(session: DynoSession) -> str:
    places = {"chassis": "at the wheels", "hub": "at the hubs", "engine": "at the crank"}
    return places[session.dyno.kind]


def _facts(measured: Measured, kit: Kit | None) -> Iterator[tuple[str, str]]:
    session = measured.session
    if kit:
        yield "Fitted", f"{kit.name} ({kit.id.upper()})"
    if session.date:
        yield "Date", session.date.isoformat()
    dyno = [session.dyno.name, session.dyno.kind, session.dyno.rollers and
            f"{session.dyno.rollers} rollers"]  # fmt: skip
    yield "Dyno", ", ".join(text for text in dyno if text)
    if session.dyno.last_verified:
        yield "Verified", session.dyno.last_verified.isoformat()
    standard = next((p.correction.standard for p in measured.pulls if p.correction), None)
    if standard is None:
        yield "Correction", session.correction
    else:
        yield "Correction", f"{standard.called}: to {standard.reference}"
        yield "Holds for", standard.range_text
    for name, text in session.conditions:
        yield name.replace("-", " ").capitalize(), text
    if measured.gains:
        grid = measured.gains[0].grid
        yield "Compared", f"{grid[0]:g}–{grid[-1]:g} rpm, which all pulls reach"
