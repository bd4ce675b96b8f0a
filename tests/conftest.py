"""Fixtures that several folders of tests share."""

from __future__ import annotations

import signal
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings
from xdist.scheduler import LoadFileScheduling

from procedures_lib.manual.shop import Shop, TorqueWrench

if TYPE_CHECKING:
    from xdist.remote import Producer

SHARED = ("tests/browser/", "tests/site/")
"""Folders whose tests share one build of the demo site: and a browser, those of the first."""

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")  # the machine is noisy: no test asserts a time

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # A shell that starts the tests in the background has them, and all that they start, deaf to it.
    signal.signal(signal.SIGINT, signal.default_int_handler)


class Sharing(LoadFileScheduling):  # type: ignore[misc]
    """Where pytest runs in several processes, each file of tests goes to one of them, whole.

    The examples of a page of docs follow from one another. Folders whose tests share what takes
    long to make go to one process whole, too.
    """

    def _split_scope(self, nodeid: str) -> str:
        folders = (folder for folder in SHARED if nodeid.startswith(folder))
        return next(folders, None) or str(super()._split_scope(nodeid))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> Sharing:
    """Hand tests out to the processes."""
    return Sharing(config, log)


@pytest.fixture
def shop() -> Shop:
    """A shop with three torque wrenches whose scales overlap."""
    scales = {"small": "2–10 N·m", "middle": "5–25 N·m", "large": "20–100 N·m"}
    wrenches = tuple(
        TorqueWrench.model_validate({"id": name, "name": f"Wrench {scale}", "range": scale})
        for name, scale in scales.items()
    )
    return Shop(name="Test shop", torque_wrenches=wrenches)
