"""A publication stopped at each of its operations on the disk: by an error, or for good."""

from __future__ import annotations

import errno
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from procedures_lib.fronts.cli.publishing import disk
from procedures_lib.fronts.cli.publishing.disk import disk_faults_told, disk_of
from procedures_lib.fronts.cli.publishing.publication import exchange, mend
from procedures_lib.fronts.cli.terminal import Refused
from tests.cli.sites import STATES, files_below, make_states, publish_state, put_foreign, state_in

if TYPE_CHECKING:
    from collections.abc import Callable

FIRST, SECOND = STATES
OPERATIONS = ("make_folder", "write", "copy", "link", "rename", "remove", "remove_folder")
EXCHANGE = "procedures_lib.fronts.cli.publishing.publication.exchange"
MANY = 400


class Killed(BaseException):
    """Nothing is done any more: neither what was begun nor any cleaning up."""


@dataclass
class Stop:
    """Stops a publication at one operation; ``dead`` stops all that come after it as well."""

    at: int
    dead: bool = False
    one_stroke: bool = True
    done: int = 0

    def into(self, patch: pytest.MonkeyPatch) -> None:
        for name in OPERATIONS:
            patch.setattr(disk, name, self.around(getattr(disk, name)))
        swap = exchange if self.one_stroke else lambda *_: False
        patch.setattr(EXCHANGE, self.around(swap))

    def around(self, operation: Callable[..., Any]) -> Callable[..., Any]:
        def stopping(*paths: Any) -> Any:
            self.done += 1
            if self.done == self.at and operation.__name__ in ("write", "copy"):
                Path(paths[0 if operation.__name__ == "write" else 1]).write_text("ha", "utf-8")
            if self.done == self.at or (self.dead and self.done > self.at):
                raise self.error(paths)
            return operation(*paths)

        return stopping

    def error(self, paths: tuple[Any, ...]) -> BaseException:
        if self.dead:
            return Killed()
        return OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(paths[-1]))


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A small site in its first state, with what others keep."""
    make_states(tmp_path, pages=2)
    publish_state(tmp_path, FIRST)
    put_foreign(tmp_path / "site")
    return tmp_path


def stopped(root: Path, state: str, stop: Stop) -> BaseException | None:
    """Publish a state until it is stopped; return by what, None when it was not."""
    with pytest.MonkeyPatch.context() as patch:
        stop.into(patch)
        try:
            with disk_faults_told(root / "site-work", root / "site"):
                publish_state(root, state)
        except (Refused, Killed) as error:
            return error
    return None


@pytest.mark.parametrize("one_stroke", [True, False], ids=["one stroke", "two strokes"])
@pytest.mark.parametrize("dead", [False, True], ids=["disk full", "killed"])
def test_stopped_anywhere_the_old_site_or_the_new_one_is_there_whole(
    root: Path, dead: bool, one_stroke: bool
) -> None:
    met, gone = set(), 0
    for at in range(1, MANY):
        error = stopped(root, SECOND, Stop(at, dead, one_stroke))
        if (root / "site").exists():
            met.add(state_in(root))
        else:
            gone += 1
        if isinstance(error, Refused):
            assert "No space left on device" in error.message
            assert f"mounted at {disk_of(root)};" in error.message
            assert "keeps the last good site" in error.message
        for state in (SECOND, FIRST):
            publish_state(root, state)
            assert state_in(root) == state
            assert files_below(root / "site-work" / "spare").keys() != {}
        if error is None:
            break
    assert error is None
    assert at > 30
    assert met == {FIRST, SECOND}
    # only where folders can't be exchanged, and only when killed between the two strokes
    assert gone == (1 if dead and not one_stroke else 0)


def test_a_build_begun_after_a_kill_between_two_strokes_has_the_old_site_back(root: Path) -> None:
    aside = root / "site-work" / "aside"
    at = next(n for n in range(1, MANY) if killed_between(root, n, aside))
    assert at
    mend(root / "site", root / "site-work")
    assert state_in(root) == FIRST
    assert not aside.exists()


def killed_between(root: Path, at: int, aside: Path) -> bool:
    stopped(root, SECOND, Stop(at, dead=True, one_stroke=False))
    if aside.exists() and not (root / "site").exists():
        return True
    publish_state(root, FIRST)
    return False


def test_an_empty_folder_made_meanwhile_is_not_in_the_way(root: Path) -> None:
    (root / "site").rename(root / "site-work" / "aside")
    (root / "site").mkdir()
    publish_state(root, SECOND)
    assert state_in(root) == SECOND


def test_another_site_put_there_meanwhile_is_left_alone(root: Path) -> None:
    publish_state(root, SECOND)
    (root / "site").rename(root / "site-work" / "aside")
    make_states(root / "site", pages=1)
    before = files_below(root)
    with pytest.raises(Refused, match="something else has come since"):
        publish_state(root, SECOND)
    assert files_below(root) == before


@pytest.mark.parametrize("number", [errno.EXDEV, errno.EBUSY])
def test_folders_on_two_disks_are_told(
    root: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number), "there")

    monkeypatch.setattr(EXCHANGE, refuse)
    with pytest.raises(Refused, match="--output"):
        publish_state(root, SECOND)
    assert state_in(root) == FIRST
