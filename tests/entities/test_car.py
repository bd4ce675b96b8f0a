"""What is on a car: every field of vehicle, parts, connections, openings, fasteners, fluids."""

from __future__ import annotations

from fractions import Fraction

import pytest

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part, Vehicle
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.variants import ALWAYS
from tests.helpers import content_from, entity_from, only_slip, slips_of

PAGE = """
    ```{vehicle} tarrow-finch
    name: Tarrow Finch 1.6 turbo
    years: 2018-2022
    options:                       # what differs from car to car
      transmission: [manual, automatic]
      tow-eye: [fitted, absent]
    fixed: [harness, body]
    note: invented
    ```

    ```{parts}
    undertray: {name: Front undertray, held-by: undertray-screws}
    bumper: {name: Front bumper cover, held-by: [bumper-bolts, bumper-clips], behind: undertray}
    map-sensor: {name: Boost-pressure sensor, on: bumper}
    tow-cover: {name: Tow-eye cover, on: bumper, when: tow-eye=fitted}
    seal: {name: Seal, kind: o-ring, count: 2, number: 010, replaces: old-seal, note: oil it}
    kept-seal: {kind: gasket, reuse: true, thread: M8x1.25}
    ```

    ```{connections}
    fog-plug: {name: Fog-lamp plug, kind: plug, count: 2, between: [bumper, harness]}
    hot-hose: {kind: hose, between: [bumper, turbo-outlet], clamp: clamp-hot, held-by: strap}
    feed-line: {kind: line, between: [bumper, body], carries: fuel, alike: fuel-lines}
    level-plug: {kind: plug, between: [bumper, harness], reach: lifted, behind: undertray}
    ```

    ```{openings}
    turbo-mouth: {name: Turbo outlet, exposed-by: hot-hose}
    sump: {exposed-by: [undertray, bumper], dirt-sensitive: false, when: tow-eye=absent}
    ```

    ```{fluids}
    coolant: {name: Coolant, kind: coolant, quantity: 5.2 L, spec: 50/50, drain: radiator-tap}
    engine-oil: {kind: oil, fill: at the cap, bleed: true}
    brake-fluid: {kind: brake-fluid, bleed: false}
    ```

    ```{hazards}
    brake-dust:
      name: Brake dust
      signal: CAUTION
      harm: Harms the lungs.
      avoid: Wet it.
      called-by: [bumper]
      made-safe-by: wet it
      licensed: true
    ```
    """

FASTENER = """
    ```{fasteners}
    cooler-bolts:
      name: Charge-air cooler bolts
      kind: bolt
      count: 4
      thread: M6x1.0
      class: "8.8"
      head: hex 10 mm
      into: {material: aluminium, engagement: 12 mm, part: bumper}
      condition: dry
      reuse: false
      reach: 150 mm extension
      positions: {lower left: [0, 0], lower right: [420, -1.5], upper left: [0, 180]}
      front: toward you
      order: [lower left, upper left, lower right]
      tighten: [10 N·m, {stage: +45°, order: [upper left, lower left, lower right]}]
      at: ride-height
      turns: left
      recheck: 100 km
      grip: 20 mm
      when: transmission=manual
      replaces: old-bolts
      number: TF-07
      source: Tarrow workshop sheet 12-3, 2021
      note: from below
    plain: {kind: clip}
    ```
    """


def fastener(fields: str) -> Fastener:
    made = entity_from(f"```{{fasteners}}\nx: {{kind: bolt, {fields}}}\n```\n", "x")
    assert isinstance(made, Fastener)
    return made


def test_a_vehicle() -> None:
    car = entity_from(PAGE, "tarrow-finch")
    assert isinstance(car, Vehicle)
    assert (car.name, str(car.years), car.note) == (
        "Tarrow Finch 1.6 turbo",
        "2018–2022",
        "invented",
    )
    assert car.options == (
        ("transmission", ("manual", "automatic")),
        ("tow-eye", ("fitted", "absent")),
    )
    assert car.fixed == ("harness", "body")
    assert car.place.line == 1


def test_parts() -> None:
    bumper = entity_from(PAGE, "bumper")
    assert isinstance(bumper, Part)
    assert (bumper.name, bumper.held_by, bumper.behind) == (
        "Front bumper cover",
        ("bumper-bolts", "bumper-clips"),
        ("undertray",),
    )
    assert (bumper.kind, bumper.count, bumper.when, bumper.reusable) == ("part", 1, ALWAYS, True)
    assert (bumper.place.line, bumper.held_by[0].line) == (13, 13)
    cover = entity_from(PAGE, "tow-cover")
    assert isinstance(cover, Part)
    assert (cover.on, str(cover.when)) == ("bumper", "tow-eye=fitted")


def test_one_way_parts_are_new_every_time_unless_the_page_says_so() -> None:
    seal, kept = entity_from(PAGE, "seal"), entity_from(PAGE, "kept-seal")
    assert isinstance(seal, Part)
    assert isinstance(kept, Part)
    assert (seal.kind, seal.count, seal.number, seal.replaces) == ("o-ring", 2, "010", "old-seal")
    assert (seal.reusable, kept.reusable) == (False, True)
    assert kept.thread is not None
    assert kept.thread.written == "M8x1.25"


def test_connections() -> None:
    plug, hose = entity_from(PAGE, "fog-plug"), entity_from(PAGE, "hot-hose")
    line, level = entity_from(PAGE, "feed-line"), entity_from(PAGE, "level-plug")
    assert isinstance(plug, Connection)
    assert isinstance(hose, Connection)
    assert isinstance(line, Connection)
    assert isinstance(level, Connection)
    assert (plug.kind, plug.count, plug.between, plug.reuse) == (
        "plug",
        2,
        ("bumper", "harness"),
        True,
    )
    assert hose.holders == ("clamp-hot", "strap")
    assert (line.carries, line.alike, line.reach) == ("fuel", "fuel-lines", None)
    assert (level.reach, level.behind) == ("lifted", ("undertray",))


def test_openings() -> None:
    mouth, sump = entity_from(PAGE, "turbo-mouth"), entity_from(PAGE, "sump")
    assert isinstance(mouth, Opening)
    assert isinstance(sump, Opening)
    assert (mouth.exposed_by, mouth.dirt_sensitive) == (("hot-hose",), True)
    assert (sump.exposed_by, sump.dirt_sensitive) == (("undertray", "bumper"), False)


def test_fluids() -> None:
    coolant, oil, brake = (
        entity_from(PAGE, name) for name in ("coolant", "engine-oil", "brake-fluid")
    )
    assert isinstance(coolant, Fluid)
    assert isinstance(oil, Fluid)
    assert isinstance(brake, Fluid)
    assert coolant.quantity is not None
    assert coolant.quantity.exact("L") == (Fraction(52, 10), Fraction(52, 10))
    assert (coolant.spec, coolant.drain) == ("50/50", ("radiator-tap",))
    assert (coolant.needs_bleeding, oil.needs_bleeding, brake.needs_bleeding) == (True, True, False)


def test_declared_hazards() -> None:
    dust = entity_from(PAGE, "brake-dust")
    assert isinstance(dust, Hazard)
    assert (dust.signal, dust.harm, dust.avoid) == ("CAUTION", "Harms the lungs.", "Wet it.")
    assert (dust.called_by, dust.made_safe_by, dust.licensed) == (("bumper",), "wet it", True)


def test_every_field_of_a_fastener() -> None:
    bolts = entity_from(FASTENER, "cooler-bolts")
    assert isinstance(bolts, Fastener)
    assert (bolts.kind, bolts.count, bolts.class_, bolts.head) == ("bolt", 4, "8.8", "hex 10 mm")
    assert bolts.thread is not None
    assert (bolts.thread.written, float(bolts.thread.thread.pitch)) == ("M6x1.0", 1.0)
    assert bolts.into is not None
    assert bolts.into.engagement is not None
    assert (bolts.into.material, bolts.into.engagement.si, bolts.into.part) == (
        "aluminium",
        0.012,
        "bumper",
    )
    assert (bolts.condition, bolts.reusable, bolts.reach) == ("dry", False, "150 mm extension")
    assert bolts.positions == (
        ("lower left", (0.0, 0.0)),
        ("lower right", (420.0, -1.5)),
        ("upper left", (0.0, 180.0)),
    )
    assert (bolts.front, bolts.pattern) == ("toward you", "")
    assert bolts.order == ("lower left", "upper left", "lower right")
    assert [stage.written() for stage in bolts.tighten] == ["10\u00a0N·m", "+45°"]
    assert bolts.tighten[1].order == ("upper left", "lower left", "lower right")
    assert (bolts.at, bolts.turns) == ("ride-height", "left")
    assert bolts.recheck is not None
    assert bolts.grip is not None
    assert (bolts.recheck.written, bolts.grip.written) == ("100 km", "20 mm")
    assert (str(bolts.when), bolts.replaces, bolts.number) == (
        "transmission=manual",
        "old-bolts",
        "TF-07",
    )
    assert (bolts.source, bolts.note) == ("Tarrow workshop sheet 12-3, 2021", "from below")


def test_a_fastener_has_defaults() -> None:
    clip = entity_from(FASTENER, "plain")
    assert isinstance(clip, Fastener)
    assert (clip.count, clip.reusable, clip.turns, clip.tighten, clip.order) == (
        1,
        True,
        "right",
        (),
        (),
    )


@pytest.mark.parametrize(
    "kind",
    [
        "bolt",
        "screw",
        "nut",
        "stud",
        "clip",
        "clamp",
        "tie",
        "push-pin",
        "cotter-pin",
        "lock-washer",
    ],
)
def test_kinds_of_fastener(kind: str) -> None:
    made = entity_from(f"```{{fasteners}}\nx: {{kind: {kind}}}\n```\n", "x")
    assert isinstance(made, Fastener)
    assert made.reusable is (kind not in {"cotter-pin", "lock-washer"})


@pytest.mark.parametrize(
    "condition", ["dry", "oiled", "thread-locker", "anti-seize", "as supplied"]
)
def test_conditions_of_the_thread(condition: str) -> None:
    assert fastener(f"condition: {condition}").condition == condition


@pytest.mark.parametrize("pattern", ["cross", "centre-out"])
def test_orders_given_by_a_word(pattern: str) -> None:
    assert fastener(f"order: {pattern}").pattern == pattern


@pytest.mark.parametrize(
    ("written", "kind", "shown"),
    [
        ("hand", StageKind.HAND, "hand"),
        ("snug", StageKind.SNUG, "snug"),
        ("12 N·m", StageKind.TORQUE, "12 N·m (106 lbf·in)"),
        ("12 ± 1 N·m", StageKind.TORQUE, "12 ± 1 N·m (98–115 lbf·in)"),
        ("10–12 N·m", StageKind.TORQUE, "10–12 N·m (89–106 lbf·in)"),
        ("+45°", StageKind.ANGLE, "+45°"),
        ("+1/6 turn", StageKind.ANGLE, "+1/6 turn"),
        ("back off 180°", StageKind.BACK_OFF, "back off 180°"),
        ("back off fully", StageKind.BACK_OFF, "back off fully"),
        (
            '"next slot, at most 60 N·m"',
            StageKind.NEXT_SLOT,
            "next slot, at most 60 N·m (44 lbf·ft)",
        ),
        ("drag 2.0–2.6 N·m", StageKind.DRAG, "drag 2.0–2.6 N·m (18–23 lbf·in)"),
    ],
)
def test_every_form_of_stage(written: str, kind: StageKind, shown: str) -> None:
    (stage,) = fastener(f"tighten: [{written}]").tighten
    assert stage.kind is kind
    assert stage.shown().replace("\u00a0", " ") == shown


def test_a_list_in_yaml_does_not_part_next_slot_from_its_limit() -> None:
    stages = fastener("tighten: [50 N·m, next slot, at most 60 N·m]").tighten
    assert [stage.kind for stage in stages] == [StageKind.TORQUE, StageKind.NEXT_SLOT]


def test_a_single_stage_needs_no_list() -> None:
    assert len(fastener("tighten: 10 N·m").tighten) == 1


@pytest.mark.parametrize(
    "carries",
    [
        "fuel",
        "fuel-vapour",
        "coolant",
        "oil",
        "brake-fluid",
        "charge-air",
        "vacuum",
        "exhaust",
        "refrigerant",
        "signal",
        "power",
        "airbag",
    ],
)
def test_what_a_connection_carries(carries: str) -> None:
    text = f"```{{connections}}\nx: {{kind: line, between: [a, b], carries: {carries}}}\n```\n"
    made = entity_from(text, "x")
    assert isinstance(made, Connection)
    assert made.carries == carries


@pytest.mark.parametrize(
    "kind", ["plug", "hose", "pipe", "line", "cable", "linkage", "belt", "wire"]
)
def test_kinds_of_connection(kind: str) -> None:
    made = entity_from(f"```{{connections}}\nx: {{kind: {kind}, between: [a, b]}}\n```\n", "x")
    assert isinstance(made, Connection)
    assert made.kind == kind


@pytest.mark.parametrize(
    ("options", "check"),
    [
        ("transmission: [manual]", "wrong-shape"),
        ("transmission: [manual, manual]", "wrong-shape"),
        ("transmission: manual", "wrong-shape"),
        ("transmission: [with clutch, automatic]", "wrong-shape"),
        ("gear box: [manual, automatic]", "bad-id"),
        ("not: [manual, automatic]", "bad-id"),
    ],
)
def test_options_that_no_condition_could_name(options: str, check: str) -> None:
    text = f"```{{vehicle}} x\nname: X\noptions:\n  {options}\n```\n"
    found = only_slip(text)
    assert (found.check, found.place.line) == (check, 4)
    assert [entity.id for entity in content_from(text).entities] == ["x"]


def test_years_that_run_backwards() -> None:
    found = only_slip("```{vehicle} x\nname: X\nyears: 2022-2018\n```\n")
    assert (found.check, found.place.line, found.hint) == ("bad-tolerance", 3, "write `2018-2022`")


@pytest.mark.parametrize(
    "at",
    [
        "[1]",
        "[1, 2, 3]",
        "7",
        "[a, b]",
        "{x: 1}",
        "[nan, 0]",
        "[1_0, 0]",
        "[inf, 0]",
        "[[1, 2], 3]",
    ],
)
def test_a_position_is_two_numbers(at: str) -> None:
    text = (
        f"```{{fasteners}}\nx:\n  kind: bolt\n  positions:\n    one: [0, 0]\n    two: {at}\n```\n"
    )
    found = slips_of(text)
    assert [(f.check, f.place.line) for f in found] == [("wrong-shape", 6)]
    assert found[0].hint == "write `two: [x, y]`, in mm"


def test_a_position_off_the_car() -> None:
    found = only_slip("```{fasteners}\nx: {kind: bolt, positions: {one: [100001, 0]}}\n```\n")
    assert found.check == "out-of-range"
