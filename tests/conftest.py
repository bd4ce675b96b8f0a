"""Fixtures that several folders of tests share."""

from __future__ import annotations

import signal

import pytest
from hypothesis import settings

from procedures_lib.manual.shop import Shop, TorqueWrench

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")  # the machine is noisy: no test asserts a time

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell that starts the tests in the background has them, and all that they start, deaf to it.
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def shop() -> Shop:
    """A shop with three torque wrenches whose scales overlap."""
    scales = {"small": "2–10 N·m", "middle": "5–25 N·m", "large": "20–100 N·m"}
    wrenches = tuple(
        TorqueWrench.model_validate({"id": name, "name": f"Wrench {scale}", "range": scale})
        for name, scale in scales.items()
    )
    return Shop(name="Test shop", torque_wrenches=wrenches)
