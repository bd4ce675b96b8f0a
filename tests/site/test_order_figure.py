"""The figures of a joint's orders: one, or one for each order that differs; and their rebuild."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.order_figure import order_figure
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.names import name_of
from tests.helpers import manual_from
from tests.site.building import SmallManual

if TYPE_CHECKING:
    from pathlib import Path

SQUARE = "{ul: [0, 9], ur: [9, 9], lr: [9, 0], ll: [0, 0]}"


def figure(tighten: str, order: str, positions: str = SQUARE, count: int = 4) -> tuple[str, str]:
    page = f"""
    ```{{fasteners}}
    bolts:
      name: Cover bolts
      kind: bolt
      count: {count}
      tighten: {tighten}
      order: {order}
      {f"positions: {positions}" if positions else "head: hex 8 mm"}
    ```
    """
    scope = manual_from({"page.md": page}).scope("page.md")
    fastener = scope.of(Fastener, "bolts")
    assert fastener is not None
    html, words = order_figure(fastener, name_of(fastener, scope))
    return html.replace("\u00a0", " "), words.replace("\u00a0", " ")


def captions(html: str) -> list[str]:
    return re.findall(r"<figcaption>(.*?)</figcaption>", html)


def test_one_order_is_one_drawing_that_says_how_to_work() -> None:
    html, words = figure("[10 N·m, 20 N·m]", "[ul, lr, ur, ll]")
    assert (html.count("<figure"), html.count("<svg")) == (1, 1)
    assert captions(html)[0].startswith(
        "Cover bolts: 10 N·m (89 lbf·in), then 20 N·m (15 lbf·ft)."
        " Every bolt through stage 1 before stage 2. Seen from"
    )
    assert words.endswith("Every bolt through stage 1 before stage 2.")
    assert "1 ul, 2 lr, 3 ur, 4 ll" in words


def test_each_order_that_differs_has_a_drawing_with_its_stages() -> None:
    html, words = figure(
        "[snug, 10 N·m, {stage: +45°, order: [ul, lr, ur, ll]}]", "[ll, ur, lr, ul]"
    )
    assert (html.count("<figure"), html.count("<svg")) == (2, 2)
    first, second = captions(html)
    assert first.startswith("Cover bolts, stages 1 and 2: snug, then 10 N·m (89 lbf·in).")
    assert second.startswith("Cover bolts, stage 3: +45°.")
    assert "stages 1 and 2. Tightening order of 4: 1 ll, 2 ur, 3 lr, 4 ul." in words
    assert "stage 3. Tightening order of 4: 1 ul, 2 lr, 3 ur, 4 ll." in words


def test_a_stage_that_names_the_same_order_again_adds_no_drawing() -> None:
    html, _ = figure("[10 N·m, {stage: +45°, order: [ll, ur, lr, ul]}]", "[ll, ur, lr, ul]")
    assert html.count("<svg") == 1


def test_without_positions_the_order_is_told_in_words() -> None:
    html, words = figure("[10 N·m, 20 N·m]", "[a, b, c, d]", positions="")
    assert html == f"<p>{words}</p>"
    assert words == (
        "Cover bolts: 10 N·m (89 lbf·in), then 20 N·m (15 lbf·ft). Order: a, b, c, d."
        " Every bolt through stage 1 before stage 2."
    )


@pytest.mark.parametrize(("count", "wide"), [(12, False), (200, True)])
def test_a_crowded_drawing_is_scrolled(count: int, wide: bool) -> None:
    turns = {f"n{n}": 2 * math.pi * n / count for n in range(count)}
    places = ", ".join(
        f"{name}: [{300 * math.sin(turn):.2f}, {300 * math.cos(turn):.2f}]"
        for name, turn in turns.items()
    )
    html, _ = figure("10 N·m", "cross", f"{{{places}}}", count)
    assert ('<div class="wide" tabindex="0"><svg' in html) is wide


def test_names_without_room_are_listed_in_order_below_the_drawing() -> None:
    names = [f"bolt at the place {n}" for n in "abcdef"]
    places = ", ".join(f"{name}: [{30 * n}, 0]" for n, name in enumerate(names))
    html, _ = figure("10 N·m", f"[{', '.join(names)}]", f"{{{places}}}", 6)
    listed = "".join(f"<li>{name}</li>" for name in names)
    assert f'<ol class="order-names">{listed}</ol>' in html
    assert "order-names" not in figure("10 N·m", "[ul, lr, ur, ll]")[0]


def test_a_stages_order_that_changes_rebuilds_the_page_that_draws_it(tmp_path: Path) -> None:
    small = SmallManual(tmp_path / "manual")
    old = "tighten: [10 N·m]"
    staged = "tighten: [10 N·m, {stage: +45°, order: [left, right]}]"
    small.change("hatch.md", old, staged)
    assert small.build().status == 0
    assert small.build().read == []
    small.change("hatch.md", staged, staged.replace("order: [left, right]", "order: [right, left]"))
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    assert built.page("lift-cover").count('<figure class="order-drawing">') == 2


def test_the_torque_table_says_that_stages_go_all_round(tmp_path: Path) -> None:
    small = SmallManual(tmp_path / "manual")
    said = "Every bolt through stage 1 before stage 2."
    assert said not in small.build().page("lift-cover")
    small.change("hatch.md", "tighten: [10 N·m]", "tighten: [5 N·m, 10 N·m]")
    page = small.build().page("lift-cover")
    table = page[page.index('<table class="facts facts-torque"') :]
    assert f"<small>{said}</small>" in table[: table.index("</table>")]
