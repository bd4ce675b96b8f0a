"""``procedures joint``: the clamp load of a torque, and whether it goes with the bolt."""

from __future__ import annotations

from typing import Any

import click

from procedures_lib.engineering.quantities import QuantityError, read_quantity
from procedures_lib.engineering.threads import ThreadError, read_thread
from procedures_lib.engineering.threads.bolt_grades import GradeError
from procedures_lib.engineering.tightening import read_stages
from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.joint import JUDGED_KINDS, Fault, Joint, Verdict
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.engineering.tightening.stage_order import falling_stages
from procedures_lib.engineering.tightening.verdict_words import note_rows, stress_rows
from procedures_lib.findings import Level
from procedures_lib.fronts.cli.arguments import with_width
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, folded, write_json
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.language.entities.car import CONDITIONS


@click.command(epilog=EXIT_CODES)
@click.argument("thread")
@click.argument("grade", metavar="CLASS")
@click.argument("stages", nargs=-1, required=True, metavar="STAGE…")
@click.option("--kind", type=click.Choice(sorted(JUDGED_KINDS)), default="bolt", show_default=True)
@click.option("--condition", type=click.Choice(CONDITIONS), help="What is on the threads.")
@click.option("--head", default="", help='As on a page: "hex 13 mm".')
@click.option("--into", "material", default="", help="What the thread is in: aluminium, steel …")
@click.option("--engagement", metavar="LENGTH", help='How deep it goes in: "12 mm".')
@click.option("--grip", metavar="LENGTH", help='The clamped length, for angles: "40 mm".')
@click.option("--json", "as_json", is_flag=True, help="Print the figures for a program.")
@with_width
def joint(
    thread: str, grade: str, stages: tuple[str, ...], as_json: bool, width: int | None,
    **details: str | None,
) -> int:  # fmt: skip
    """Print what a torque does to a bolt: clamp load, share of proof load, stress, verdict.

    THREAD and CLASS are written as on a page, `M8x1.25 8.8` or `"1/2-13 UNC" "grade 5"`; the stages
    too, with commas between: `20 N·m, +90°`. Every figure is a pair of bounds: friction is never
    known. It is help for a technician, never a replacement for judgement.
    """
    verdict = _judged(thread, grade, _stage_texts(stages), details)
    faults = (*falling_stages(verdict.basis.joint.stages), *verdict.faults)
    if as_json:
        write_json(_value(verdict, faults))
    else:
        click.echo(folded(_text(verdict, faults), columns(width)))
    wrong = any(fault.level is Level.ERROR for fault in faults)
    return ExitCode.FINDINGS if wrong else ExitCode.CLEAN


def _stage_texts(words: tuple[str, ...]) -> list[str]:
    """The stages that the words name: separated by commas, or each in quotes of its own."""
    if any(" " in word.strip() for word in words) and "," not in "".join(words):
        return list(words)
    return [text.strip() for text in " ".join(words).split(",") if text.strip()]


def _judged(thread: str, grade: str, stages: list[str], details: dict[str, str | None]) -> Verdict:
    if not stages:
        raise Refused("There is no stage; write `25 N·m`, or `20 N·m, +90°`.")
    try:
        asked = Joint(
            read_thread(thread),
            grade,
            read_stages(stages),
            kind=details["kind"] or "bolt",
            condition=details["condition"] or "",
            head=details["head"] or "",
            material=details["material"] or "",
            engagement=_millimetres(details["engagement"]),
            grip=_millimetres(details["grip"]),
        )
        verdict = judge(asked)
    except (ThreadError, QuantityError, GradeError) as error:
        raise Refused(f"{error.message}; {error.hint}") from error
    if verdict is None:
        raise Refused(f"Nothing is known of the strength of `{asked.grade}`.")
    return verdict


def _millimetres(length: str | None) -> float | None:
    return None if length is None else float(read_quantity(length, "length").exact_nominal("mm"))


def _text(verdict: Verdict, faults: tuple[Fault, ...]) -> str:
    rows = (*note_rows(verdict), *stress_rows(verdict))
    wide = max(len(label) for label, _ in rows)
    lines = [f"{label:<{wide}}  {value}" for label, value in rows]
    told = [f"{each.level}: {each.check}: {each.message}\n    {each.hint}" for each in faults]
    return "\n".join([*lines, "", *(told or ["Nothing here is implausible."])])


def _value(verdict: Verdict, faults: tuple[Fault, ...]) -> dict[str, Any]:
    basis = verdict.basis
    strip = verdict.strip
    return {
        "format": 1,
        "thread": str(basis.joint.thread),
        "class": basis.strength.grade,
        "stress_area_mm2": basis.thread.stress_area,
        "proof_stress_MPa": basis.strength.proof_stress,
        "proof_load_N": basis.proof_load,
        "friction": _pair(basis.friction.range),
        "nut_factor": _pair(verdict.nut_factor),
        "clamp_load_N": _pair(verdict.load),
        "share_of_proof_load": _pair(verdict.share),
        "combined_stress_MPa": _pair(verdict.stress),
        "strip_load_N": [strip.low, strip.high] if strip else None,
        "past_yield": verdict.past_yield,
        "findings": [
            {
                "check": fault.check,
                "level": str(fault.level),
                "stage": fault.stage,
                "message": fault.message,
                "hint": fault.hint,
            }
            for fault in faults
        ],
    }


def _pair(bounds: Interval | None) -> list[float] | None:
    return None if bounds is None else [bounds.low, bounds.high]
