"""Makes the pulls of the demo: an engine that is known exactly, weather, and noise. All invented.

``python conf/demo_pulls.py`` writes the files below ``docs/results/data`` and ``docs/checks/data``
anew, the same to the byte each time. What a session should find is ``TRUTH``: the curves before
noise, in the reference air. The scripts of the library take no part in it: the factor by which the
air changes an engine is worked out here a second time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from random import Random

PROJECT = Path(__file__).resolve().parents[1]
SEED = 20260914
KW_RPM = 60000 / (2 * math.pi)
HP_KW = 0.745699872
LBF_FT = 1.3558179483
INHG_HPA = 33.86389


@dataclass(frozen=True)
class Engine:
    """Torque at the wheels in N·m over speed in rpm, on straight lines between points."""

    points: tuple[tuple[float, float], ...]

    def torque(self, rpm: float) -> float:
        """The torque at a speed, rounded off at the corners by a cosine."""
        for (here, low), (there, high) in zip(self.points, self.points[1:], strict=False):
            if rpm <= there:
                share = max(0.0, (rpm - here) / (there - here))
                return low + (high - low) * (1 - math.cos(math.pi * share)) / 2
        return self.points[-1][1]


@dataclass(frozen=True)
class Truth:
    """One side of a session: the engine, and how its pulls scatter (shares of the torque)."""

    engine: Engine
    from_pull_to_pull: float = 0.003
    from_sample_to_sample: float = 0.002


FINCH = Engine(((1500, 120), (2300, 205), (4200, 212), (5600, 190), (6500, 160)))
FINCH_100 = Engine(((1500, 126), (2300, 226), (4200, 243), (5600, 210), (6500, 172)))
FINCH_220 = Engine(((1500, 119), (2300, 223), (4200, 245), (5600, 214), (6500, 186)))
DROVER = Engine(((1400, 250), (3000, 290), (4200, 305), (5400, 262), (6200, 220)))
DROVER_420 = Engine(((1400, 242), (3000, 288), (4200, 321), (5400, 281), (6200, 240)))

TRUTH = {
    "finch-tf-100": (Truth(FINCH), Truth(FINCH_100)),
    "finch-tf-220": (Truth(FINCH), Truth(FINCH_220)),
    "drover-bd-420": (Truth(DROVER), Truth(DROVER_420)),
}
"""What each session would find without noise: before, after."""

AIR = {
    "finch-tf-100": ((19, 1002, 52), (21, 1001, 48)),
    "finch-tf-220": ((22, 984, 45), (24, 986, 41)),
    "drover-bd-420": ((25, 29.23 * INHG_HPA, 38), ((82 - 32) / 1.8, 29.21 * INHG_HPA, 35)),
}
"""°C, hPa and % of each side; on the page of the Drover they are 77 °F and 82 °F, and inHg."""


def vapour(temperature: float, humidity: float) -> float:
    """Vapour pressure in hPa after Magnus (WMO No. 8): another formula than the library's."""
    return 6.112 * math.exp(17.62 * temperature / (243.12 + temperature)) * humidity / 100


def factor(session: str, air: tuple[float, float, float]) -> float:
    """What the standard of a session multiplies by: ISO 1585 for the TF-100, else SAE J1349."""
    temperature, pressure, humidity = air
    dry = pressure - vapour(temperature, humidity)
    absolute = temperature + 273
    if session == "finch-tf-100":
        return float((990 / dry) ** 1.2 * (absolute / 298) ** 0.6)
    return 1.18 * (990 / dry) * math.sqrt(absolute / 298) - 0.18


def samples(truth: Truth, factor: float, random: Random, step: float) -> list[tuple[float, float]]:
    """One pull: speeds and measured torques, from the engine's first speed to its last."""
    first, last = truth.engine.points[0][0], truth.engine.points[-1][0]
    whole = 1 + random.gauss(0, truth.from_pull_to_pull)
    rows, rpm = [], first + random.uniform(0, step)
    while rpm <= last:
        noise = 1 + random.gauss(0, truth.from_sample_to_sample)
        rows.append((rpm, truth.engine.torque(rpm) * whole * noise / factor))
        rpm += step * random.uniform(0.85, 1.15)
    return rows


def rolled(rows: list[tuple[float, float]], random: Random) -> list[tuple[float, float]]:
    """A pull as a logger keeps it: rolled up to speed before, coasting down behind."""
    first, last = rows[0][0], rows[-1][0]
    held = [(first - 4 + random.uniform(-3, 3), random.uniform(14, 18)) for _ in range(12)]
    down = [(last - 60 * n, -12 - n / 2 + random.uniform(-1, 1)) for n in range(1, 25)]
    return [*held, *rows, *down]


def plain(rows: list[tuple[float, float]]) -> str:
    """Speed and torque, comma and point."""
    return "speed [rpm],torque [N·m]\n" + "".join(f"{n:.1f},{t:.2f}\n" for n, t in rows)


def decimal_comma(rows: list[tuple[float, float]]) -> str:
    """Power in kW and speed, semicolons and decimal commas, with a mark at the start (BOM)."""
    lines = [f"{t * n / KW_RPM:.3f};{n:.1f}\r\n".replace(".", ",") for n, t in rows]
    return "\ufeffpower [kW];speed [rpm]\r\n" + "".join(lines)


def both(rows: list[tuple[float, float]]) -> str:
    """Time, speed, torque in lbf·ft and power in hp: a file with more than is asked for."""
    lines = [
        f"{0.04 * k:.2f},{n:.1f},{t / LBF_FT:.2f},{t * n / KW_RPM / HP_KW:.2f}\n"
        for k, (n, t) in enumerate(rows)
    ]
    return "time [s],speed [rpm],torque [lbf·ft],power [hp]\n" + "".join(lines)


FORMS = {"finch-tf-100": plain, "finch-tf-220": decimal_comma, "drover-bd-420": both}
COUNTS = {"finch-tf-100": 3, "finch-tf-220": 3, "drover-bd-420": 4}


def session_files(session: str) -> dict[str, str]:
    """The files of one session of the demo, by their names below ``docs/results/data``."""
    random = Random(f"{SEED} {session}")  # noqa: S311 - noise, no secret
    files = {}
    for side, truth, air in zip(("before", "after"), TRUTH[session], AIR[session], strict=True):
        for n in range(1, COUNTS[session] + 1):
            rows = samples(truth, factor(session, air), random, 22)
            if session == "finch-tf-100":
                rows = rolled(rows, random)
            files[f"{session}-{side}-{n}.csv"] = FORMS[session](rows)
    return files


SMALL = Engine(((2000, 150), (4000, 200), (6000, 160)))
LARGER = Engine(((2000, 158), (4000, 214), (6000, 172)))


def example_files() -> dict[str, str]:
    """The files of the examples on the pages of the checks, below ``docs/checks/data``."""
    random = Random(SEED)  # noqa: S311 - noise, no secret
    sides = {
        "before": Truth(SMALL), "after": Truth(LARGER), "no-gain": Truth(SMALL, 0.006),
    }  # fmt: skip
    files = {
        f"{side}-{n}.csv": plain([(round(rpm, -1), t) for rpm, t in
                                  samples(truth, 1.0, random, 100)])
        for side, truth in sides.items() for n in (1, 2, 3)
    }  # fmt: skip
    rows = [(rpm, SMALL.torque(rpm)) for rpm in range(2000, 6001, 250)]
    files["both.csv"] = "speed [rpm],torque [N·m],power [kW]\n" + "".join(
        f"{n},{t:.1f},{t * n / KW_RPM:.1f}\n" for n, t in rows
    )
    files["both-mixed-up.csv"] = files["both.csv"].replace("[kW]", "[hp]")
    files["no-unit.csv"] = files["before-1.csv"].replace(" [N·m]", "")
    return files | faulty_files()


def faulty_files() -> dict[str, str]:
    """Pulls in which something went wrong, three of each kind, for the checks that find it."""
    random = Random(f"{SEED} faulty")  # noqa: S311 - noise, no secret
    files: dict[str, str] = {}
    for n in (1, 2, 3):
        files[f"noisy-{n}.csv"] = tidy(samples(Truth(LARGER, 0.003, 0.03), 1.0, random, 40))
        files[f"quiet-{n}.csv"] = tidy(samples(Truth(SMALL, 0.003, 0.002), 1.0, random, 40))
        files[f"spike-{n}.csv"] = tidy(raised(samples(Truth(LARGER), 1.0, random, 40), 1.4, 1))
        files[f"bump-{n}.csv"] = tidy(raised(samples(Truth(SMALL), 1.0, random, 25), 1.25, 4))
        files[f"lag-{n}.csv"] = tidy([
            (rpm, t * SMALL.torque(rpm - 200) / SMALL.torque(rpm))
            for rpm, t in samples(Truth(SMALL), 1.0, random, 40)
        ])  # fmt: skip
        files[f"pounds-{n}.csv"] = tidy([
            (rpm, t / LBF_FT) for rpm, t in samples(Truth(LARGER), 1.0, random, 100)
        ])  # fmt: skip
        files[f"drift-{n}.csv"] = tidy([
            (rpm, t * 1.02) for rpm, t in samples(Truth(SMALL, 0.001), 1.0, random, 40)
        ])  # fmt: skip
        files[f"steady-{n}.csv"] = tidy(samples(Truth(SMALL, 0.001), 1.0, random, 40))
        for name, engine, gear in (
            ("timed-before", SMALL, 1.0), ("timed-after", LARGER, 1.0), ("third-gear", LARGER, 1.8),
        ):  # fmt: skip
            files[f"{name}-{n}.csv"] = timed(samples(Truth(engine), 1.0, random, 100), gear)
    return files


def tidy(rows: list[tuple[float, float]]) -> str:
    """A plain file, with speeds rounded to ten."""
    return plain([(round(rpm, -1), t) for rpm, t in rows])


def raised(rows: list[tuple[float, float]], factor: float, count: int) -> list[tuple[float, float]]:
    """Rows of which so many, from 5200 rpm on, are higher by a factor."""
    first = next(n for n, (rpm, _) in enumerate(rows) if rpm >= 5200)
    return [
        (rpm, t * factor if first <= n < first + count else t) for n, (rpm, t) in enumerate(rows)
    ]


def timed(rows: list[tuple[float, float]], gear: float) -> str:
    """Time, speed and torque of an engine that turns rollers: more torque, shorter time."""
    at, last, lines = 0.0, rows[0][0], []
    for rpm, t in rows:
        at, last = at + (rpm - last) / (2 * t * gear), rpm
        lines.append(f"{at:.3f},{round(rpm, -1):.1f},{t:.2f}\n")
    return "time [s],speed [rpm],torque [N·m]\n" + "".join(lines)


def all_files() -> dict[Path, str]:
    """Every file with its text."""
    found = {
        Path("docs/results/data", name): text
        for session in TRUTH
        for name, text in session_files(session).items()
    }
    found |= {Path("docs/checks/data", name): text for name, text in example_files().items()}
    return found


def main() -> None:
    """Write them."""
    for name, text in all_files().items():
        path = PROJECT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode("utf-8"))
    for session, (before, after) in TRUTH.items():
        told = []
        for quantity, unit in (("power", HP_KW * KW_RPM), ("torque", LBF_FT)):
            peaks = [
                max(e.torque(n) * (n if quantity == "power" else 1) / unit
                    for n in range(1500, 6201))
                for e in (before.engine, after.engine)
            ]  # fmt: skip
            told.append(f"{quantity} {peaks[0]:.1f} to {peaks[1]:.1f}, {peaks[1] - peaks[0]:+.1f}")
        print(f"{session}: {'; '.join(told)} (hp, lbf·ft)")


if __name__ == "__main__":
    main()
