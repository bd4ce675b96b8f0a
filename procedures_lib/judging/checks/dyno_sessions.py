"""The dyno: pulls that can't be read or compared, and gains that the pulls do not bear out."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.engineering.dyno.limits import FEWEST_PULLS
from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import whole_things
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual
from procedures_lib.view.claims import claims_of
from procedures_lib.view.dyno_pulls import SIDES
from procedures_lib.view.dyno_result import Measured, measure


def sessions(manual: Manual, page: str) -> Iterator[Finding]:
    """Work out the dyno sessions of a page, and say what stands against their results.

    A session that was not read whole is left alone: that is a finding already.
    """
    for session in whole_things(manual, page, DynoSession):
        measured = measure(manual, session)
        yield from measured.findings
        yield from _out_of_range(measured)
        yield from _too_few(measured)
        yield from _doubted(measured)
        yield from _within_noise(measured)
        yield from _claims(manual, measured)


def _out_of_range(measured: Measured) -> Iterator[Finding]:
    """Find factors outside the range of their standard: one finding for the session."""
    outside = [each for each in measured.pulls if each.correction and each.correction.outside]
    if outside:
        first = outside[0]
        names = ", ".join(each.name for each in outside)
        reasons = "; ".join(first.correction.outside) if first.correction else ""
        said = f"{measured.session.correction} does not hold in this air ({names}): {reasons}"
        yield Finding(first.entry.place, "correction-out-of-range", said,
                      "measure in other weather, or write `correction: none`; the report says"
                      " what the air was")  # fmt: skip


def _too_few(measured: Measured) -> Iterator[Finding]:
    session = measured.session
    few = {side: len(measured.different(side)) for side in SIDES}
    if min(few.values()) >= FEWEST_PULLS:
        return
    copies = [f"{p.name} is a copy of {p.repeats}" for p in measured.pulls if p.repeats]
    counted = ", ".join(f"{number} {side}" for side, number in few.items())
    said = f"too few pulls to know how far they scatter: {counted}"
    hint = f"make {FEWEST_PULLS} pulls a side, or more, under the same conditions"
    yield Finding(session.place, "too-few-pulls", "; ".join([said, *copies]), hint)


def _doubted(measured: Measured) -> Iterator[Finding]:
    """Find what in air and pulls speaks against the gain."""
    places = {each.name: each.entry.place for each in measured.pulls}
    for doubt in measured.doubts:
        place = places.get(doubt.pull, measured.session.place)
        yield Finding(place, doubt.check, doubt.message, doubt.hint)


def _within_noise(measured: Measured) -> Iterator[Finding]:
    power = measured.gain("power")
    if power is None or not power.within_noise or power.at_peak.half is None:
        return
    gained, half = power.at_peak.estimate, power.at_peak.half
    yield Finding(measured.session.place, "gain-within-noise",
                  f"the gain in peak power, {gained:+.1f} ± {half:.1f} kW, is no larger than what"
                  " the pulls differ among themselves; nor is the mean over the band",
                  "make more pulls, or say that no gain was found")  # fmt: skip


def _claims(manual: Manual, measured: Measured) -> Iterator[Finding]:
    for claim in claims_of(manual, measured):
        if claim.is_broken:
            yield Finding(measured.session.place, "claim-not-met",
                          f"the kit's maker claims {claim.written} {claim.verdict.quantity};"
                          f" {claim.measured_text} was measured at the peak, {claim.band_text} over"
                          f" the band: {claim.verdict.why}",
                          "tell the customer what was measured; ask the maker how the claim was",
                          related=(claim.place,))  # fmt: skip
