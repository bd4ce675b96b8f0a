"""Words and numbers as a tired writer gets them wrong."""

from __future__ import annotations

import re

CONFUSED: dict[str, dict[str, tuple[str, ...]]] = {
    "carries": {
        "fuel": ("fuel-vapour", "oil"), "fuel-vapour": ("vacuum", "fuel"), "coolant": ("oil",),
        "oil": ("coolant",), "brake-fluid": ("hydraulic", "oil"),
        "hydraulic": ("oil", "brake-fluid"),
        "charge-air": ("vacuum", "air"), "air": ("charge-air", "vacuum"), "vacuum": ("charge-air",),
        "exhaust": ("charge-air",), "refrigerant": ("coolant",), "signal": ("power",),
        "power": ("signal",), "airbag": ("signal", "power"),
    },
    "condition": {
        "dry": ("oiled", "thread-locker"), "oiled": ("dry",), "thread-locker": ("dry", "oiled"),
        "anti-seize": ("dry", "thread-locker"), "greased": ("dry",),
        "as supplied": ("dry", "oiled"),
    },
    "class": {
        "5.8": ("8.8",), "8.8": ("10.9", "5.8"), "10.9": ("8.8", "12.9"), "12.9": ("10.9",),
        "A2-70": ("8.8",), "grade 2": ("grade 5",), "grade 5": ("grade 8", "8.8"),
        "grade 8": ("grade 5",), "unknown": ("8.8",),
    },
    "kind": {
        "bolt": ("screw", "stud"), "screw": ("bolt",), "nut": ("bolt",), "stud": ("bolt",),
        "clip": ("clamp", "push-pin"), "push-pin": ("clip",), "clamp": ("clip",),
        "cotter-pin": ("push-pin",), "crush-washer": ("washer",), "washer": ("crush-washer",),
        "lock-washer": ("washer",), "lock-wire": ("tie",), "plug": ("cable",),
        "hose": ("line", "pipe"),
        "line": ("hose",), "pipe": ("line",), "cable": ("plug",), "linkage": ("joint",),
        "joint": ("linkage",), "belt": ("hose",), "o-ring": ("seal",), "seal": ("gasket",),
        "gasket": ("seal",), "coolant": ("oil",), "brake-fluid": ("oil",), "fuel": ("oil",),
        "gear-oil": ("oil", "coolant"),
    },
    "turns": {"left": ("right",), "right": ("left",)},
    "reach": {"lifted": (), "150 mm extension": ("15 mm extension",),
              "250 mm extension": ("150 mm extension",), "450 mm extension": ("45 mm extension",)},
    "reuse": {"false": ("true",), "true": ("false",)},
    "reached-from": {"below": ("above",), "above": ("below",)},
    "needs-support": {"true": ("false",), "false": ("true",)},
    "front": {"left": ("right", "up"), "right": ("left", "up"), "up": ("down",), "down": ("up",),
              "toward you": ("away from you",), "away from you": ("toward you",)},
    "material": {"aluminium": ("steel",), "steel": ("aluminium",), "cast iron": ("aluminium",),
                 "plastic": ("steel",)},
    "signal": {"DANGER": ("WARNING",), "WARNING": ("CAUTION",), "CAUTION": ("NOTICE",)},
    "spec": {"DOT 4": ("DOT 3", "DOT 5"), "ethylene glycol 50/50": ("propylene glycol 50/50",),
             "75W-90 GL-5": ("75W-90 GL-4",), "91 AKI or better": ("87 AKI or better",)},
    "order": {"cross": ("centre-out",), "centre-out": ("cross",)},
    "bleed": {"true": ("false",), "false": ("true",)},
    "dirt-sensitive": {"false": ("true",), "true": ("false",)},
}  # fmt: skip
"""For each field, what is written for what: the word beside it on the list or on the bag."""

WRONG_VERBS = {
    "tighten": ("start",), "start": ("tighten",), "loosen": ("remove",),
    "remove": ("loosen", "lift"),
    "connect": ("disconnect",), "disconnect": ("connect",), "fit": ("position",),
    "seat": ("position",), "position": ("seat",), "discard": ("return",), "return": ("discard",),
    "cover": ("uncover",), "uncover": ("cover",), "isolate": ("restore",), "restore": ("isolate",),
    "relieve": ("restore",), "drain": ("fill",), "fill": ("drain", "bleed"), "bleed": ("fill",),
    "top-up": ("drain",), "raise": ("lower",), "lower": ("raise",), "support": ("release",),
    "release": ("support",), "lift": ("remove",), "adjust": ("inspect",), "tag": ("inspect",),
    "test": ("inspect",),
}  # fmt: skip
"""What is written for a verb: its opposite, or the one that goes half as far."""

OTHER_UNITS = {
    "N·m": "lbf·ft", "lbf·ft": "N·m", "lbf·in": "lbf·ft", "L": "US qt", "US qt": "L", "mL": "L",
    "mm": "in", "in": "mm", "kPa": "psi", "psi": "kPa", "bar": "kPa", "km": "mi", "mi": "km",
    "kg": "lb", "min": "s", "s": "min", "h": "min", "°C": "°F",
}  # fmt: skip


def slips(text: str) -> list[str]:
    """Return a number as it is mistyped: a digit beside it, two digits exchanged, a point lost.

    Only the last number of the text changes.
    """
    match = list(re.finditer(r"\d+(?:\.\d+)?", text))
    if not match:
        return []
    start, end = match[-1].span()
    number = match[-1][0]
    written = [_next_key(number), _exchanged(number), _point_lost(number)]
    return [f"{text[:start]}{new}{text[end:]}" for new in dict.fromkeys(written) if new != number]


def _next_key(number: str) -> str:
    digit = number[0]
    new = "8" if digit == "9" else str(int(digit) + 1)
    return new + number[1:]


def _exchanged(number: str) -> str:
    if len(number) > 1 and number[:2].isdigit() and number[1] != "0":
        return number[1] + number[0] + number[2:]
    return number


def _point_lost(number: str) -> str:
    return number.replace(".", "") if "." in number else f"{number}0"
