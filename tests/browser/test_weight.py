"""What a page weighs, and that a very long one is usable."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.benchmarks.weight import weigh
from tests.browser.serving import Served
from tests.site.building import project_manual

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

BUDGET = 150_000
"""Bytes over the wire for a procedure's page with all that it loads at once (design: budgets).

Pictures further down come as they are scrolled to, each within a budget of its own.
"""


def test_a_procedure_is_within_its_budget(site: Served, phone: Page, demo_html: Path) -> None:
    for path in sorted((demo_html / "procedures").glob("*.html")):
        phone.context.clear_cookies()
        site.sent.clear()
        phone.goto(site.page(f"procedures/{path.stem}"))
        phone.wait_for_load_state("networkidle")
        assert 5_000 < site.bytes_sent() < BUDGET, path.stem


SHIFTS = """
window.shifts = [];
new PerformanceObserver((list) => {
  for (const { value, sources } of list.getEntries()) {
    window.shifts.push([value, sources.map(({ node }) => node?.className ?? "")]);
  }
}).observe({ type: "layout-shift", buffered: true });
"""


@pytest.mark.parametrize("name", ["procedures/fit-tf-180", "vehicles/tarrow-finch", "index"])
def test_nothing_moves_while_a_page_loads(site: Served, phone: Page, name: str) -> None:
    """On a slow network and processor; 0.1 counts as good (web.dev, Cumulative Layout Shift)."""
    tools = phone.context.new_cdp_session(phone)
    tools.send("Network.enable")
    slow = {"latency": 150, "downloadThroughput": 200_000, "uploadThroughput": 90_000}
    tools.send("Network.emulateNetworkConditions", {"offline": False, **slow})
    tools.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    phone.add_init_script(SHIFTS)
    phone.goto(site.page(name))
    expect(phone.locator(".this-phone")).to_be_visible()
    phone.wait_for_load_state("networkidle")
    shifts = phone.evaluate("shifts")
    assert sum(value for value, _ in shifts) < 0.05, shifts
    phone.evaluate("document.querySelector('main').style.paddingTop = '400px'")
    phone.wait_for_function("shifts.reduce((sum, [value]) => sum + value, 0) > 0.05")


def test_the_benchmark_weighs_a_page_of_each_kind(
    site: Served, browser: Browser, capsys: pytest.CaptureFixture[str]
) -> None:
    weigh(site, browser, {"first page": "index", "procedure": "procedures/fit-tf-220"})
    _, *rows = capsys.readouterr().out.splitlines()
    assert [row.partition("  ")[0] for row in rows] == ["first page", "procedure"]
    assert all(float(row.split()[-3]) > 1 for row in rows)


def test_five_hundred_steps(tmp_path: Path, phone: Page) -> None:
    manual = project_manual(tmp_path / "long")
    for page in (tmp_path / "long" / "docs").rglob("*.md"):
        page.unlink()
    head = (
        "# Long\n\n```{vehicle} v\nname: V\n```\n\n```{procedure} p\nvehicle: v\nrevision: A\n```\n"
    )
    steps = "".join(f"\n:::{{step}} Look at place {n}\nLook well.\n:::\n" for n in range(1, 501))
    manual.write("index.md", head + steps)
    served = Served(manual.build().html)
    phone.goto(f"{served.url}index.html#step-500")
    expect(phone.locator("#step-500")).to_be_in_viewport()
    expect(phone.locator("section.step")).to_have_count(500)
    assert phone.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    phone.locator("#step-400 .step-number").click()
    expect(phone.locator("#step-400")).to_be_in_viewport()
    assert served.bytes_sent() < 2 * BUDGET
    served.close()
