"""What the page says of the pulls of a session, and what of it forbids to compare them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.dyno.comparable import MUST_AGREE, missing, same, tidy
from procedures_lib.dyno.correcting import Weather
from procedures_lib.dyno.measured import MeasuredPull
from procedures_lib.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.dyno import Air, DynoSession
    from procedures_lib.entities.dyno import Pull as PullEntry


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
