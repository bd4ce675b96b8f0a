"""Generated manuals with names of their own: cars, parts, threads, torques and part numbers."""

from __future__ import annotations

import random
import re

PLACES = (
    "front", "rear", "left", "right", "upper", "lower", "inner", "outer", "centre", "side", "main",
    "short",
)  # fmt: skip
THINGS = (
    "oil cooler", "turbo outlet", "intake pipe", "strut tower", "brake caliper", "fuel rail",
    "throttle body", "water pump", "exhaust header", "heat shield", "engine mount", "gear lever",
    "coolant tank", "air box", "battery tray", "wheel hub", "steering rack", "subframe",
    "driveshaft", "clutch cover", "flywheel", "valve cover", "timing cover", "sump",
)  # fmt: skip
TORQUES = ("8", "10", "12", "15", "22", "25", "33", "45", "60", "90")
SIZES = (("M6x1.0", "10"), ("M8x1.25", "13"), ("M10x1.5", "16"))
_WORDS = (
    "mark", "clean", "check", "look", "feel", "turn", "gently", "dirt", "edge", "paint", "clip",
    "seal", "cable", "corner", "loom", "bracket", "cover", "again", "before", "after", "both",
    "sides", "slowly", "cloth", "tape", "lamp", "drain", "catch", "hold", "press", "pull", "snap",
    "listen", "click", "grease", "thread", "hole", "dowel", "gasket", "face", "straight", "square",
    "level", "gap", "even", "order", "note",
)  # fmt: skip
_SYLLABLES = ("bra", "dov", "el", "fen", "gor", "hal", "ist", "jun", "kes", "lor", "mav", "nor")


def car_name(car: int) -> str:
    """An invented name: "Dovel 3"."""
    first, second = _SYLLABLES[car % 12], _SYLLABLES[(car // 12 * 5 + car + 1) % 12]
    return f"{(first + second).capitalize()} {car}"


def thing_name(car: int, number: int) -> str:
    """The name of a part of a car; no two of the first 288 are alike."""
    n = (car * 6 + number) % (len(PLACES) * len(THINGS))
    return f"{PLACES[n % len(PLACES)]} {THINGS[n // len(PLACES)]}"


def part_number(car: int, number: int) -> str:
    """The number of a part: "KX-017-05"."""
    return f"KX-{car:03}-{number:02}"


def torque_of(car: int, group: int) -> str:
    """The torque of a group of bolts, in N·m."""
    return TORQUES[(car * 7 + group * 3) % len(TORQUES)]


def named(text: str) -> str:
    """Give the things on a generated page names, numbers, threads and torques of their own."""
    car = int(re.search(r"\bcar-(\d+)", text)[1]) if "car-" in text else 0  # type: ignore[index]
    if "```{vehicle}" in text:
        return _vehicle(text, car)
    if "```{procedure}" in text:
        return _procedure(text, car)
    return text


def _vehicle(text: str, car: int) -> str:
    text = text.replace(f"Car {car}\n", f"{car_name(car)}\n")
    text = re.sub(
        r"name: Part number (\d+)",
        lambda m: f"name: {thing_name(car, int(m[1]))}, number: {part_number(car, int(m[1]))}",
        text,
    )
    text = re.sub(r"name: Plug (\d+)", lambda m: f"name: {thing_name(car, int(m[1]))} plug", text)
    return re.sub(r"bolts-(\d+):\n.*?sheet \d+", lambda m: _bolts(m, car), text, flags=re.DOTALL)


def _bolts(match: re.Match[str], car: int) -> str:
    group = int(match[1])
    size, head = SIZES[(car + group) % len(SIZES)]
    text = match[0].replace(f"Bolts {group}", f"{thing_name(car, group)} bolts")
    text = text.replace("M8x1.25", size).replace("hex 13 mm", f"hex {head} mm")
    return re.sub(r"tighten: \[.*?\]", f"tighten: [{torque_of(car, group)} N·m]", text)


def _procedure(text: str, car: int) -> str:
    number = int(re.search(r"work-(\d+)", text)[1])  # type: ignore[index]
    rng = random.Random(number)  # noqa: S311
    title = f"Fit the ZR-{number:04} {THINGS[number % len(THINGS)]} kit to the {car_name(car)}"
    text = text.replace(f"# Procedure {number}\n", f"# {title}\n")
    text = re.sub(
        r"part (\d+) (off|back)\n",
        lambda m: f"the {thing_name(car, int(m[1]))} {m[2]}\n",
        text,
    )
    return re.sub(r"Pull |It clicks home\.|Some words", lambda m: f"{_prose(rng)} {m[0]}", text)


def _prose(rng: random.Random) -> str:
    words = rng.choices(_WORDS, k=8)
    return f"{' '.join(words).capitalize()}."
