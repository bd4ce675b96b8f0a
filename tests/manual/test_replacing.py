"""What takes another thing's place: the packing list may be all that is said of it."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.manual import Scope
from procedures_lib.manual.names import humanised, name_of
from tests.helpers import manual_from, slips_of

PAGE = """
    ```{vehicle} finch
    name: Finch
    fixed: [turbo-outlet]
    ```
    ```{parts}
    cooler: {name: Cooler, held-by: cooler-bolts}
    ```
    ```{connections}
    hot-pipe: {name: Hot pipe, kind: pipe, between: [cooler, turbo-outlet], clamp: hot-clamp}
    ```
    ```{fasteners}
    cooler-bolts:
      name: Cooler bolts
      kind: bolt
      count: 4
      class: "8.8"
      positions: {a: [0, 0], b: [1, 0], c: [1, 1], d: [0, 1]}
      order: [a, c, b, d]
      tighten: [10 N·m, +45°]
      recheck: 100 km
      source: Sheet 1
    hot-clamp: {name: Hot clamp, kind: clamp, tighten: 5 N·m}
    ```
    ```{kit} tf-1
    name: Kit
    fits: {vehicle: finch}
    contents:
      - {part: cooler-2, name: Large cooler, number: TF-1, replaces: cooler}
      - {part: bracket, number: TF-2, qty: 3, spare: 1}
      - {connection: hose-2, number: TF-3, replaces: hot-pipe, when: a=b}
      - {fastener: bolts-2, number: TF-4, qty: 5, spare: 1, replaces: cooler-bolts}
      - {fastener: clamp-2, number: TF-5, replaces: hot-clamp}
    ```
    ```{fasteners}
    bolts-2: {name: New bolts, kind: bolt, count: 4, class: "10.9"}
    ```
    """


def scope() -> Scope:
    return manual_from({"page.md": PAGE}).scope("page.md")


def test_the_page_has_no_findings() -> None:
    assert slips_of(PAGE, "unknown-id") == []


def test_a_part_that_no_block_describes_is_like_what_it_replaces() -> None:
    cooler, bracket = scope().of(Part, "cooler-2"), scope().of(Part, "bracket")
    assert cooler is not None
    assert bracket is not None
    assert (cooler.name, cooler.number, cooler.replaces) == ("Large cooler", "TF-1", "cooler")
    assert (cooler.held_by, cooler.place.line) == (("bolts-2",), 28)
    assert (bracket.name, bracket.count, bracket.replaces) == ("", 2, None)
    assert name_of(bracket, scope()) == "Bracket"


def test_a_connection_joins_the_new_neighbours() -> None:
    hose = scope().of(Connection, "hose-2")
    assert hose is not None
    assert (hose.kind, hose.between, hose.clamp) == (
        "pipe",
        ("cooler-2", "turbo-outlet"),
        ("clamp-2",),
    )
    assert (hose.name, str(hose.when)) == ("Hot pipe", "a=b")


def test_the_torque_belongs_to_the_joint() -> None:
    bolts, clamp = scope().of(Fastener, "bolts-2"), scope().of(Fastener, "clamp-2")
    assert bolts is not None
    assert clamp is not None
    assert (bolts.name, bolts.class_, bolts.kind) == ("New bolts", "10.9", "bolt")
    assert [stage.written() for stage in bolts.tighten] == ["10\u00a0N·m", "+45°"]
    assert (bolts.order, bolts.source) == (("a", "c", "b", "d"), "Sheet 1")
    assert bolts.recheck is not None
    assert [stage.written() for stage in clamp.tighten] == ["5\u00a0N·m"]
    assert (clamp.id, clamp.number) == ("clamp-2", "TF-5")


def test_a_fastener_with_its_own_stages_keeps_them_alone() -> None:
    text = PAGE.replace('class: "10.9"}', 'class: "10.9", tighten: 12 N·m}')
    bolts = manual_from({"page.md": text}).scope("page.md").of(Fastener, "bolts-2")
    assert bolts is not None
    assert ([stage.written() for stage in bolts.tighten], bolts.source) == (["12\u00a0N·m"], "")


def test_another_count_does_not_take_the_pattern_over() -> None:
    text = PAGE.replace('count: 4, class: "10.9"', 'count: 6, class: "10.9"')
    bolts = manual_from({"page.md": text}).scope("page.md").of(Fastener, "bolts-2")
    assert bolts is not None
    assert (len(bolts.tighten), bolts.positions, bolts.order) == (2, (), ())


def test_a_fastener_may_name_what_it_replaces_itself() -> None:
    text = PAGE.replace(", replaces: cooler-bolts}", "}").replace(
        'class: "10.9"}', 'class: "10.9", replaces: cooler-bolts}'
    )
    bolts = manual_from({"page.md": text}).scope("page.md").of(Fastener, "bolts-2")
    assert bolts is not None
    assert len(bolts.tighten) == 2


def test_the_digest_of_what_takes_a_place_follows_the_joint() -> None:
    one = manual_from({"page.md": PAGE}).scope("page.md").get("bolts-2")
    two = manual_from({"page.md": PAGE.replace("10 N·m", "11 N·m")}).scope("page.md").get("bolts-2")
    assert one is not None
    assert two is not None
    assert one.digest != two.digest


def test_an_id_as_words() -> None:
    assert humanised("charge-cooler") == "Charge cooler"
