"""The states of things, by kind, and the names of what stands for itself."""

from __future__ import annotations

FITTED, LIFTED, OFF, NEW, GONE = "fitted", "lifted", "off", "new", "gone"
"""Of a part; ``new`` lies in the box, ``gone`` is in the scrap or the customer's box."""

MADE, OPEN = "made", "open"
"""Of a connection, beside ``new`` and ``gone``."""

TIGHT, LOOSE, STARTED, OUT = "tight", "loose", "started", "out"
"""Of a group of fasteners, beside ``new``, ``gone`` and ``stage 1``, ``stage 2`` …"""

CLEAR, COVERED = "clear", "covered"
"""Of an opening; whether it is exposed follows from what exposes it."""

FULL, EMPTY = "full", "empty"
"""Of a fluid; whether there is air in it is a state of its own."""

LIVE, SAFE = "live", "safe"
"""Of a hazard."""

ON_WHEELS, RAISED = "on its wheels", "raised"
OLD, LOADED = "old", "new calibration"
NO, YES, DEAD = "no", "yes", "without power"

VEHICLE, BATTERY, ENGINE = "vehicle", "battery", "engine"
FUEL_PRESSURE, CALIBRATION = "fuel-pressure", "calibration"

AIR = "air in "
TAG = "tag on "
PARENT = "what carries "
FUEL_TEST, BRAKE_TEST = "fuel leak test", "brake test"
SOFT_TEST = "brake test with air in the brakes"
"""Names of tracks beside those of things, each before or instead of an id."""

IN_PLACE = frozenset({FITTED, LIFTED})
NOT_THERE = frozenset({OFF, NEW, GONE})
IS_FITTED = frozenset({FITTED})
IS_LIFTED = frozenset({LIFTED})
IS_MADE = frozenset({MADE})
IS_OPEN = frozenset({OPEN})
IS_TIGHT = frozenset({TIGHT})
IS_LOOSE = frozenset({LOOSE})
IS_NEW = frozenset({NEW})
IS_GONE = frozenset({GONE})
IS_COVERED = frozenset({COVERED})
IS_EMPTY = frozenset({EMPTY})
IS_SAFE = frozenset({SAFE})
IS_LIVE = frozenset({LIVE})
IS_RAISED = frozenset({RAISED})
IS_DEAD = frozenset({DEAD})
IS_OLD = frozenset({OLD})
IS_YES = frozenset({YES})
IS_OUT = frozenset({OUT, NEW, GONE})
SLACK = frozenset({LOOSE, STARTED, OUT, NEW, GONE})


def stage_state(stage: int) -> str:
    """Return the state of a group that has reached a stage, but not its last."""
    return f"stage {stage}"


def stage_reached(state: str) -> int:
    """Return the stage that a state stands for, 0 when none."""
    return int(state[6:]) if state.startswith("stage ") else 0
