"""Checking through an executor: the same findings, in the same order, as in one process."""

from __future__ import annotations

import shutil
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.executors import check_through
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import Shop, read_shop

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

PROJECT = Path(__file__).resolve().parents[2]
SHOP, _ = read_shop(PROJECT / "conf" / "shop.toml")

SLIPS = (
    ("vehicles/tarrow-finch.md", "cooler-bolts", "cooler-bolt"),
    ("vehicles/tarrow-finch.md", "transmission: [manual, automatic]", "gearbox: [manual]"),
    ("vehicles/tarrow-finch.md", "```{vehicle} tarrow-finch", "```{vehicle} tarow-finch"),
    ("kits/tf-220.md", "```{kit} tf-220", "```{kit} tf-22"),
    ("kits/tf-220.md", "qty: 4", "qty: 3"),
    ("procedures/fit-tf-220.md", "- disconnect", "- connect"),
    ("procedures/fit-tf-140.md", "```{procedure} fit-tf-140", "```{procedure} fit-tf-220"),
    ("procedures/fit-tf-140.md", "```{procedure} fit-tf-140", "```{procedure} fit-tf 140"),
    ("common/isolate-battery.md", "- isolate battery", "- isolate batery"),
    ("common/raise-car.md", "raise vehicle", "lower vehicle"),
    ("jobs/finch-clutch-and-cooler.md", "fit-tf-180", "fit-tf-140"),
    ("common/shop-rules.md", "about: [raise]\n", ""),
    ("vehicles/tarrow-finch.md", "called-by: [front-springs]", "called-by: [front-sprngs]"),
)
"""Slips whose findings turn up on other pages too: (page, what stands there, what is typed)."""


class InTurn(Executor):
    """Does everything at once, in the process that asks."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do it now."""
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


@pytest.fixture(scope="module")
def broken(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with a slip in each of four pages, one of them unreadable."""
    root = copied(tmp_path_factory.mktemp("broken"))
    for page, old, new in (SLIPS[4], SLIPS[5], SLIPS[9]):
        typed(root, page, old, new)
    root.joinpath("kits/bd-310.md").write_bytes(b"\xff\xfe\x00 not text")
    return root


def copied(folder: Path) -> Path:
    """Return a copy of the demo's pages and their data."""
    root = folder / "docs"
    for name in ("vehicles", "kits", "procedures", "common", "jobs", "results", "pictures"):
        shutil.copytree(PROJECT / "docs" / name, root / name)
    return root


def typed(root: Path, page: str, old: str, new: str) -> None:
    """Type a slip."""
    path = root / page
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip[0]}: {slip[2]}")
def test_a_slip_is_found_as_in_one_process(slip: tuple[str, str, str], tmp_path: Path) -> None:
    root = copied(tmp_path)
    typed(root, *slip)
    found = check_manual(Manual.read(root, SHOP))
    assert found
    assert check_through(InTurn(), root, SHOP) == found


def test_a_clean_manual_is_clean() -> None:
    assert check_through(InTurn(), PROJECT / "docs", SHOP) == []


def test_small_batches_find_the_same(broken: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = check_manual(Manual.read(broken, SHOP))
    for size in (1, 3):
        monkeypatch.setattr("procedures_lib.judging.checks.executors.LEAST", size)
        assert check_through(InTurn(), broken, SHOP) == found


def test_a_process_pool_finds_the_same(broken: Path) -> None:
    found = check_manual(Manual.read(broken, SHOP))
    told: list[int] = []
    with ProcessPoolExecutor(2) as pool:
        assert check_through(pool, broken, SHOP, told.append) == found
    assert sum(told) == 2 * len(Manual.read(broken).contents)


def test_an_empty_manual(tmp_path: Path) -> None:
    assert check_through(InTurn(), tmp_path, Shop()) == []


@pytest.fixture(scope="module")
def cluster() -> Iterator[Executor]:
    """The executor of a real Dask cluster on this machine, with two worker processes."""
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=40
        ) as local,
        distributed.Client(local) as client,
    ):
        yield client.get_executor()


def test_a_dask_cluster_finds_the_same(broken: Path, cluster: Executor) -> None:
    found = check_manual(Manual.read(broken, SHOP))
    assert check_through(cluster, broken, SHOP) == found
