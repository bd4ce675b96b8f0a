"""A table as a value for JSON: the texts of the page, and the numbers of a torque table."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.exports.spacing import spaced
from procedures_lib.tables.torque import joints

if TYPE_CHECKING:
    from procedures_lib.tables.table import Table
    from procedures_lib.tables.uses import Uses
    from procedures_lib.tightening import Stage

FORMAT = 1


def table_json(table: Table, uses: Uses) -> dict[str, Any]:
    """Return ``{format, procedure, table, when, rows}``.

    A row maps the keys of the columns to texts. A row of the torque table also has the fastener's
    ``id`` and ``stages``, a list of ``{kind, text, N_m_low, N_m_high, degrees}``.
    """
    rows: list[dict[str, Any]] = [
        {key: spaced(text) for key, text in record.items()} for record in table.records()
    ]
    if table.kind == "torque":
        rows = [
            {"id": fastener.id, **row, "stages": list(map(stage_value, fastener.tighten))}
            for row, fastener in zip(rows, joints(uses), strict=True)
        ]
    return {
        "format": FORMAT,
        "procedure": uses.plan.head.id,
        "table": table.kind,
        "when": str(uses.when),
        "rows": rows,
    }


def stage_value(stage: Stage) -> dict[str, Any]:
    """Return a stage with its numbers, None where it has none.

    ``N_m_low`` and ``N_m_high`` are converted exactly and not rounded, the two ends of a tolerance
    or range, the same for a plain torque; ``degrees`` is negative for backing off.
    """
    low, high = stage.torque.exact("N·m") if stage.torque else (None, None)
    return {
        "kind": str(stage.kind),
        "text": spaced(stage.written()),
        "N_m_low": None if low is None else float(low),
        "N_m_high": None if high is None else float(high),
        "degrees": stage.degrees,
    }
