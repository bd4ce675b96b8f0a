"""Hazards: made safe first, restored last, proved after.

Sources: battery ground off first, on last: common practice (no source). A raised load is cribbed,
blocked or otherwise secured at once: 29 CFR 1910.244(a), 29 CFR 1926.305; nobody works under a load
raised only with jacks: WAC 296-307-22509. Warnings before cautions before notes, in the step that
they apply to: MIL-DTL-87268D and MIL-DTL-23618H, from memory. Rank of the signal words: ANSI
Z535.4-2007, 4.14, the same in Z535.6. Stabilised supply while programming: trade practice, no
public standard found. Which work calls for which hazard: the table of the page language.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.walk.way_back import back_out
from tests.helpers import findings_of
from tests.walk.pages import HEAD, checks, found, one, page, walked

if TYPE_CHECKING:
    from procedures_lib.findings import Finding

LINES = """
```{connections}
feed-line: {name: Feed line, kind: line, between: [body, engine], carries: fuel}
power-plug: {name: Power plug, kind: plug, between: [body, harness], carries: power}
signal-plug: {name: Signal plug, kind: plug, between: [body, harness], carries: signal}
brake-hose: {name: Brake hose, kind: hose, between: [body, engine], carries: brake-fluid}
heater-hose: {name: Heater hose, kind: hose, between: [body, engine], carries: coolant}
front-pipe: {name: Front pipe, kind: pipe, between: [body, engine], carries: exhaust}
ac-line: {name: Refrigerant line, kind: line, between: [body, engine], carries: refrigerant}
bag-plug: {name: Airbag plug, kind: plug, between: [body, harness], carries: airbag}
```
```{fluids}
coolant: {name: Coolant, kind: coolant}
brake-fluid: {name: Brake fluid, kind: brake-fluid}
```
```{parts}
computer: {name: Engine computer, kind: control-module}
```
```{connections}
computer-plug: {name: Computer plug, kind: plug, between: [computer, harness]}
```
"""
FUEL = ("relieve fuel-pressure", "isolate battery", "disconnect feed-line", "connect feed-line",
        "restore battery", "restore fuel-pressure", "test leaks fuel")  # fmt: skip


def test_fuel_in_the_right_order() -> None:
    assert checks(LINES, *FUEL) == []


@pytest.mark.parametrize(
    ("left_out", "check"),
    [
        ("relieve fuel-pressure", "hazard-live"),
        ("isolate battery", "hazard-live"),
        ("connect feed-line", "left-disconnected"),
        ("restore battery", "left-isolated"),
        ("restore fuel-pressure", "left-isolated"),
        ("test leaks fuel", "no-leak-test"),
    ],
)
def test_one_fuel_step_left_out(left_out: str, check: str) -> None:
    assert checks(LINES, *(step for step in FUEL if step != left_out)) == [check]


def test_a_leak_test_before_the_line_is_closed_proves_nothing() -> None:
    steps = [*FUEL[:3], "test leaks fuel", *FUEL[3:6]]
    assert checks(LINES, *steps) == ["no-leak-test"]


def test_a_leak_test_of_a_liquid_while_its_line_is_open() -> None:
    steps = [
        "cool engine",
        "drain coolant",
        "disconnect heater-hose",
        "test leaks coolant",
        "connect heater-hose",
        "fill coolant",
        "bleed coolant",
    ]
    assert checks(LINES, *steps) == ["no-leak-test"]
    steps.append(steps.pop(3))
    assert checks(LINES, *steps) == []


def test_isolated_too_late() -> None:
    steps = ["relieve fuel-pressure", "disconnect feed-line", "isolate battery", *FUEL[3:]]
    assert checks(LINES, *steps) == ["hazard-live"]


@pytest.mark.parametrize("plug", ["power-plug", "computer-plug"])
def test_battery_off_before_power_and_control_modules(plug: str) -> None:
    finding = one(LINES, f"disconnect {plug}", f"connect {plug}")
    assert finding.check == "hazard-live"
    assert "isolate battery" in finding.hint
    steps = "isolate battery", f"disconnect {plug}", f"connect {plug}", "restore battery"
    assert checks(LINES, *steps) == []


def test_a_signal_plug_needs_no_isolation() -> None:
    assert checks(LINES, "disconnect signal-plug", "connect signal-plug") == []


@pytest.mark.parametrize("plug", ["power-plug", "signal-plug", "feed-line"])
def test_the_battery_goes_on_last(plug: str) -> None:
    steps = ["relieve fuel-pressure", "isolate battery", f"disconnect {plug}", "restore battery",
             f"connect {plug}", "restore fuel-pressure", "test leaks fuel"]  # fmt: skip
    assert checks(LINES, *steps) == ["battery-order"]


def test_two_battery_cables_ground_off_first() -> None:
    cables = """
    ```{connections}
    plus-cable: {name: Positive cable, kind: cable, between: [body, engine], carries: power}
    ```
    """
    right = "isolate battery", "disconnect plus-cable", "connect plus-cable", "restore battery"
    assert checks(cables, *right) == []
    off_late = "disconnect plus-cable", "isolate battery", "connect plus-cable", "restore battery"
    assert checks(cables, *off_late) == ["hazard-live"]
    on_early = "isolate battery", "disconnect plus-cable", "restore battery", "connect plus-cable"
    assert checks(cables, *on_early) == ["battery-order"]


COOLANT = ("cool engine", "drain coolant", "disconnect heater-hose", "connect heater-hose",
           "fill coolant", "bleed coolant", "test leaks coolant")  # fmt: skip


def test_coolant_in_the_right_order() -> None:
    assert checks(LINES, *COOLANT) == []


@pytest.mark.parametrize(
    ("left_out", "expected"),
    [
        ("cool engine", ["hazard-live"]),
        ("drain coolant", ["not-drained"]),
        ("connect heater-hose", ["left-disconnected"]),
        ("fill coolant", ["nothing-to-undo"]),
        ("bleed coolant", ["left-unbled"]),
    ],
)
def test_one_coolant_step_left_out(left_out: str, expected: list[str]) -> None:
    assert checks(LINES, *(step for step in COOLANT if step != left_out)) == expected


def test_neither_filled_nor_bled() -> None:
    assert checks(LINES, *COOLANT[:4]) == ["left-drained"]


def test_filled_while_a_hose_is_open() -> None:
    steps = [*COOLANT[:3], "fill coolant", "connect heater-hose", *COOLANT[5:]]
    assert checks(LINES, *steps) == ["filled-while-open"]


def test_a_hot_exhaust() -> None:
    assert checks(LINES, "disconnect front-pipe", "connect front-pipe") == ["hazard-live"]
    assert checks(LINES, "cool engine", "disconnect front-pipe", "connect front-pipe") == []


BRAKES = ("disconnect brake-hose", "connect brake-hose", "bleed brake-fluid", "test brakes",
          "test road")  # fmt: skip


def test_brakes_in_the_right_order() -> None:
    assert checks(LINES, *BRAKES) == []


@pytest.mark.parametrize(
    ("left_out", "check"),
    [("bleed brake-fluid", "left-unbled"), ("test brakes", "no-brake-test")],
)
def test_one_brake_step_left_out(left_out: str, check: str) -> None:
    assert checks(LINES, *(step for step in BRAKES if step != left_out)) == [check]


def test_a_pedal_with_air_under_it_proves_nothing() -> None:
    steps = [*BRAKES[:2], "test brakes", "bleed brake-fluid", "test road"]
    assert checks(LINES, *steps) == ["no-brake-test"]


def test_the_pedal_is_tested_before_the_road() -> None:
    steps = [*BRAKES[:3], "test road", "test brakes"]
    assert checks(LINES, *steps) == ["no-brake-test"]


@pytest.mark.parametrize(("line", "hazard"), [("ac-line", "refrigerant"), ("bag-plug", "airbag")])
def test_licensed_work_is_left_to_licensed_people(line: str, hazard: str) -> None:
    bare = "isolate battery", f"disconnect {line}", f"connect {line}", "restore battery"
    assert checks(LINES, *bare) == ["licensed-work"]
    said = (bare[0], f"{bare[1]}\n{{danger}} Certified people only | {hazard}", *bare[2:])
    assert checks(LINES, *said) == []


RAISE = "raise vehicle"


@pytest.mark.parametrize(
    "stood",
    [
        (RAISE + "\n:tools: [trolley jack, axle stands]",),
        (RAISE, "inspect axle stands"),
        (RAISE, ":tools: [axle stands]"),
        (RAISE + "\n:tools: [two-post lift]",),
    ],
)
def test_a_raised_car_stands_on_something(stood: tuple[str, ...]) -> None:
    assert checks("", *stood, "lower vehicle") == []


def test_a_car_on_its_jack_alone() -> None:
    steps = RAISE + "\n:tools: [trolley jack]", "inspect sill", "inspect floor", "lower vehicle"
    assert checks("", *steps) == ["under-unsupported-car"]


def test_stands_on_some_cars_only() -> None:
    steps = RAISE, "inspect axle stands\n:when: gearbox=manual", "lower vehicle"
    assert found("", *steps) == [("under-unsupported-car", "gearbox=automatic")]


def test_left_raised() -> None:
    assert checks("", RAISE + "\n:tools: [axle stands]") == ["left-raised"]


WHEELS = """
```{parts}
front-wheels: {name: Front wheels, held-by: wheel-nuts}
steering-wheel: {name: Steering wheel}
```
```{fasteners}
wheel-nuts: {name: Wheel nuts, kind: nut, tighten: 110 N·m, condition: dry, source: S}
```
"""


def test_lowered_without_wheels() -> None:
    up, off = RAISE + "\n:tools: [two-post lift]", "remove wheel-nuts, front-wheels"
    on, tight = "fit front-wheels\nstart wheel-nuts", "tighten wheel-nuts"
    assert checks(WHEELS, up, off, on, "lower vehicle", tight) == []
    assert checks(WHEELS, up, off, on, tight, "lower vehicle") == ["ride-height"]
    assert checks(WHEELS, up, off, "lower vehicle", on, tight) == ["lowered-without-wheels"]
    assert checks(WHEELS, up, off, "lower vehicle") == ["left-off"]
    steering = "remove steering-wheel", "lower vehicle", "fit steering-wheel"
    assert checks(WHEELS, up, *steering) == []


def test_nothing_hangs_open_on_the_road() -> None:
    opened, closed = "disconnect signal-plug", "connect signal-plug"
    assert checks(LINES, opened, "test road", closed) == ["driven-too-early"]
    assert checks(LINES, opened, closed, "test road") == []
    assert checks(LINES, opened, "test road") == ["left-disconnected"]


def test_wheels_come_off_a_raised_car() -> None:
    up, off = RAISE + "\n:tools: [axle stands]", "remove wheel-nuts, front-wheels"
    on, tight = "fit front-wheels\nstart wheel-nuts", "tighten wheel-nuts"
    steps = off, up, on, "lower vehicle", tight
    assert checks(WHEELS, *steps) == ["lowered-without-wheels"]
    # A procedure that never raises the car begins with it on a lift.
    assert checks(WHEELS, off, on, tight) == []


@pytest.mark.parametrize(
    ("unready", "then", "check"),
    [
        ("loosen wheel-nuts", "tighten wheel-nuts", "driven-too-early"),
        ("raise vehicle\n:tools: [stands]", "lower vehicle", "driven-too-early"),
        ("loosen wheel-nuts", "inspect wheels", "left-loose"),
    ],
)
def test_the_road_comes_after_all_is_done(unready: str, then: str, check: str) -> None:
    assert checks(WHEELS, unready, "test road", then) == [check]
    assert checks(WHEELS, unready, then, "test road") in ([], ["left-loose"])


def test_the_road_comes_after_the_bleeding_and_the_leak_test() -> None:
    coolant = [*COOLANT[:5], "test road", *COOLANT[5:]]
    assert checks(LINES, *coolant) == ["driven-too-early"]
    fuel = [*FUEL[:6], "test road", FUEL[6]]
    assert checks(LINES, *fuel) == ["no-leak-test"]


DECLARED = """
```{parts}
spring: {name: Spring}
```
```{hazards}
loaded-spring:
  name: Loaded spring
  signal: DANGER
  harm: It flies off.
  avoid: Use a compressor.
  called-by: [spring]
  licensed: true
hot-pipe:
  name: Hot pipe
  signal: CAUTION
  harm: It burns.
  avoid: Wait.
  called-by: [charge-air]
  made-safe-by: cool engine
```
```{connections}
hose: {name: Hose, kind: hose, between: [body, engine], carries: charge-air}
```
"""


def test_declared_hazards_are_called_by_words_and_ids() -> None:
    assert checks(DECLARED, "remove spring", "fit spring\n:hazards: [loaded-spring]") == [
        "licensed-work"
    ]
    assert checks(DECLARED, "disconnect hose", "connect hose") == ["hazard-live"]
    assert checks(DECLARED, "cool engine", "disconnect hose", "connect hose") == []


def test_a_signal_word_is_as_strong_as_its_hazard() -> None:
    weak = "inspect hose\n{caution} Mind | loaded-spring"
    assert checks(DECLARED, weak) == ["hazard-not-shown"]
    assert checks(DECLARED, weak.replace("caution", "danger")) == []


def test_warnings_come_before_cautions_before_notices() -> None:
    assert checks("", "inspect body\n{notice} N\n{warning} W") == ["signal-order"]
    assert checks("", "inspect body\n{caution} C\n{danger} D") == ["signal-order"]
    assert checks("", "inspect body\n{warning} W\n{danger} D\n{caution} C\n{notice} N") == []


def test_hazards_are_listed_before_the_work() -> None:
    after = "cool engine", "disconnect front-pipe", "connect front-pipe"
    text = "\n```{preparation}\n```\n"
    head = "\n```{procedure} work\nvehicle: car\nrevision: A\n```\n"
    assert checks(LINES, *after, head=head + text) == []
    late = one(LINES, *after[:2], f"{after[2]}\n:time: 5 min", head=head + _step_before(text))
    assert late.check == "hazard-not-shown"


def _step_before(text: str) -> str:
    return "\n:::{step} First\nLook at it.\n:::\n" + text


def test_a_hazard_left_live_on_some_cars() -> None:
    steps = "isolate battery\n:when: gearbox=manual", "disconnect power-plug", "connect power-plug"
    last = "restore battery\n:when: gearbox=manual"
    assert found(LINES, *steps, last) == [("hazard-live", "gearbox=automatic")]


def test_programming_needs_a_battery_that_holds() -> None:
    assert checks("", "program calibration") == ["no-battery-support"]
    assert checks("", "program calibration\n:tools: [battery support unit]") == []
    assert checks("", "apply battery support\nprogram calibration") == []
    off = "isolate battery", "apply battery support\nprogram calibration", "restore battery"
    assert checks("", *off) == ["battery-order"]


def test_work_that_cannot_be_undone_is_announced() -> None:
    parts = "```{parts}\nshield: {name: Shield}\n```\n"
    assert checks(parts, "modify shield") == ["not-announced"]
    assert checks(parts, "modify shield\n{notice} You cut here") == []
    assert checks(parts, "inspect shield\n{caution} You will cut", "modify shield") == []


A_BATTERY = """
```{parts}
battery: {name: Battery, held-by: battery-nut}
```
```{fasteners}
battery-nut: {name: Battery nut, kind: nut, tighten: 5 N·m, source: Sheet, condition: dry}
```
"""
"""A part with the id of a hazard, as the battery has on many a car."""

POWER = (
    "isolate battery",
    "remove battery-nut, battery",
    "disconnect power-plug",
    "connect power-plug",
    "fit battery\ntighten battery-nut",
    "restore battery",
)


def test_a_part_with_the_id_of_a_hazard() -> None:
    assert checks(LINES + A_BATTERY, *POWER) == []


@pytest.mark.parametrize(
    ("left_out", "check"),
    [
        ("isolate battery", "hazard-live"),
        ("restore battery", "left-isolated"),
        ("remove battery-nut, battery", "nothing-to-undo"),
    ],
)
def test_neither_is_taken_for_the_other(left_out: str, check: str) -> None:
    assert check in checks(LINES + A_BATTERY, *(step for step in POWER if step != left_out))


def test_both_are_open_items() -> None:
    done = walked(LINES + A_BATTERY, *POWER)
    items = [(item.thing, item.how, item.step) for item in done.open_items(2)]
    assert items == [("battery", "isolated", 1), ("battery", "off", 2)]
    moves = [str(move) for move in back_out(done, 2, {}).moves]
    assert moves == ["fit battery", "tighten battery-nut", "restore battery"]


def test_begins_with_the_battery_isolated_though_a_part_is_called_so() -> None:
    head = HEAD + "begins-with: battery\n"
    head = head.replace("```\nbegins", "begins") + "```\n"
    steps = "disconnect power-plug", "connect power-plug", "restore battery"
    assert checks(LINES + A_BATTERY, *steps, head=head) == []


ORANGE = """
```{parts}
pack: {name: Traction battery}
inverter: {name: Inverter}
```
```{connections}
orange-plug: {name: Orange plug, kind: plug, between: [inverter, harness], when: gearbox=automatic}
service-plug: {name: Service plug, kind: plug, between: [pack, harness]}
```
```{hazards}
high-voltage: {called-by: [orange-plug, pack]}
```
"""
LICENSED = "\n{danger} Qualified people only | high-voltage"
DEAD = (
    f"isolate high-voltage{LICENSED}",
    f"disconnect orange-plug{LICENSED}",
    f"connect orange-plug{LICENSED}",
    f"restore high-voltage{LICENSED}",
)


def test_a_thing_of_the_car_calls_for_a_built_in_hazard() -> None:
    assert checks(ORANGE, *DEAD) == []
    # Both of its steps left out: the plug is known for its voltage all the same.
    assert found(ORANGE, *DEAD[1:3]) == [("hazard-live", "gearbox=automatic")]
    assert checks(ORANGE, f"inspect orange-plug{LICENSED}", f"tag orange-plug{LICENSED}") == []


def test_its_licensed_work_is_handed_over_too() -> None:
    bare = [step.partition("\n")[0] for step in DEAD]
    assert checks(ORANGE, *bare) == ["licensed-work", "licensed-work"]


def test_a_hazard_made_safe_by_what_is_done_to_a_thing() -> None:
    blocks = ORANGE.replace(
        "[orange-plug, pack]}", "[orange-plug, pack], made-safe-by: disconnect service-plug}"
    )
    steps = [
        f"disconnect service-plug{LICENSED}",
        *DEAD[1:3],
        f"connect service-plug{LICENSED}",
    ]
    assert checks(blocks, *steps) == []
    live = one(blocks, *steps[1:3])
    assert (live.check, live.variants) == ("hazard-live", "gearbox=automatic")
    assert "`disconnect service-plug` before this step" in live.hint
    late = [steps[0], steps[1], steps[3], steps[2]]
    assert found(blocks, *late) == [("hazard-live", "gearbox=automatic")]


def test_what_takes_the_place_of_a_thing_calls_for_its_hazard() -> None:
    kit = """
```{kit} set
name: Spring set
fits: {vehicle: car}
contents:
  - {part: new-spring, number: N-1, name: New spring, replaces: spring}
returns: [spring]
```
"""
    blocks = DECLARED.replace("licensed: true", "made-safe-by: isolate loaded-spring")
    off = "isolate loaded-spring", "remove spring", "restore loaded-spring"
    on = "isolate loaded-spring", "fit new-spring", "restore loaded-spring"
    head = HEAD.replace("revision", "kit: set\nrevision")
    assert checks(blocks, *off, "return spring", *on, kit=kit, head=head) == []
    found_live = one(blocks, *off, "return spring", on[1], kit=kit, head=head)
    assert (found_live.check, found_live.message.split(" with")[0]) == (
        "hazard-live",
        "`fit new-spring`",
    )


def test_a_hazard_of_some_cars() -> None:
    blocks = DECLARED.replace(
        "made-safe-by: cool engine", "made-safe-by: cool engine\n  when: gearbox=manual"
    )
    assert found(blocks, "disconnect hose", "connect hose") == [("hazard-live", "gearbox=manual")]


@pytest.mark.parametrize(
    ("entry", "check"),
    [
        ("high-voltage: {signal: WARNING}", "hazard-weakened"),
        ("airbag: {licensed: false}", "hazard-weakened"),
        ("fuel-pressure: {made-safe-by: cool engine}", "hazard-weakened"),
        ("fuel-pressure: {made-safe-by: relieve fuel-pressure, signal: DANGER}", ""),
        ("coolant-heat: {name: Hot coolant, avoid: Wait until tomorrow.}", ""),
        ("coolant-heat: {called-by: [powr]}", "unknown-id"),
        ("high-voltage: {made-safe-by: isolate high-volage}", "unknown-id"),
        ("high-voltage: {made-safe-by: remove power-plug}", "wrong-verb"),
        ("high-voltage: {made-safe-by: isolate it at the box}", ""),
        ("high-voltage: {made-safe-by: cool down}", ""),
        ("coolant-heat: {called-by: [power, disconnect, computer, bumper stay]}", ""),
    ],
)
def test_what_a_page_says_of_a_built_in_hazard(entry: str, check: str) -> None:
    blocks = LINES + f"```{{hazards}}\n{entry}\n```\n"
    assert checks(blocks, "inspect bumper stay") == [check] * bool(check)


def test_a_weakened_hazard_counts_as_the_library_has_it() -> None:
    blocks = LINES + "```{hazards}\nfuel-pressure: {made-safe-by: cool engine}\n```\n"
    steps = [step for step in FUEL if step != "relieve fuel-pressure"]
    assert sorted(checks(blocks, *steps)) == ["hazard-live", "hazard-weakened"]


def test_a_sign_for_some_cars_announces_and_hands_over_there_only() -> None:
    parts = "```{parts}\nshield: {name: Shield}\n```\n"
    page_of = page(parts, "modify shield\n{notice} You cut here")
    some = page_of.replace("Mind it.", ":when: gearbox=manual\nMind it.")
    assert [(f.check, f.variants) for f in findings_of(some)] == [
        ("not-announced", "gearbox=automatic")
    ]
    licensed = page(LINES, "isolate battery", f"disconnect bag-plug{AIRBAG}",
                    f"connect bag-plug{AIRBAG}", "restore battery")  # fmt: skip
    assert findings_of(licensed) == []
    some = licensed.replace(":hazard: airbag", ":hazard: airbag\n:when: gearbox=manual", 1)
    assert [(f.check, f.variants) for f in findings_of(some)] == [
        ("licensed-work", "gearbox=automatic")
    ]


AIRBAG = "\n{danger} Mind | airbag"


FUEL_STEP = """
::::{step} Open the line
---
do:
  - relieve fuel-pressure
  - isolate battery
  - disconnect feed-line
id: opened
---
Rag round {connection}`feed-line` first.

SIGN
::::
"""
FUEL_SIGN = ":::{warning} Fuel\n:hazard: fuel-pressure\nGlasses on.\n:::"


def _with_sign(step: str) -> list[str]:
    head, _, rest = page(LINES, *FUEL[3:]).partition("\n::::{step} Step 1\n")
    text = f"{head}\n{step}\n::::{{step}} Step 1\n{rest}"
    return [finding.check for finding in findings_of(text)]


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        (FUEL_STEP.replace("SIGN", FUEL_SIGN), ["signal-order"]),
        # More words after it: those above are about the line all the same.
        (FUEL_STEP.replace("SIGN", f"{FUEL_SIGN}\n\nOff with it."), ["signal-order"]),
        (FUEL_STEP.replace("Rag", f"{FUEL_SIGN}\n\nRag").replace("SIGN", ""), []),
        (FUEL_STEP.replace("{connection}`feed-line`", "it").replace("SIGN", FUEL_SIGN),
         ["signal-order"]),
        (FUEL_STEP.replace("{connection}`feed-line`", "it").replace(
            "SIGN", f"{FUEL_SIGN}\n\nOff with it."), []),
        # No hazard is said, but its name is in the title.
        (FUEL_STEP.replace("SIGN", ":::{warning} Fuel under pressure\nGlasses on.\n:::"),
         ["signal-order"]),
        # It warns of another thing: below all words it is read too late, between them it may stand.
        (FUEL_STEP.replace("SIGN", ":::{notice} Paint\nA drop takes it off.\n:::"),
         ["signal-order"]),
        (FUEL_STEP.replace("SIGN", ":::{notice} Paint\nA drop takes it off.\n:::\n\nOff."), []),
        # The step only makes it safe: the sign is about what comes below.
        (FUEL_STEP.replace("  - disconnect feed-line\n", "").replace("SIGN", FUEL_SIGN)
         + "\n:::{step} Off\n:do: disconnect feed-line\nOff.\n:::\n", []),
    ],
)  # fmt: skip
def test_a_sign_stands_before_the_words_about_what_it_warns_of(
    step: str, expected: list[str]
) -> None:
    assert _with_sign(step) == expected


def test_a_sign_stands_before_the_steps_it_warns_of() -> None:
    step = FUEL_STEP.replace("SIGN", "")
    assert _with_sign(step.replace("::::{step}", f"{FUEL_SIGN}\n\n::::{{step}}", 1)) == []
    text = page(LINES, *FUEL)

    def with_sign_before(number: int) -> list[str]:
        step = f"\n::::{{step}} Step {number}\n"
        signed = text.replace(step, f"\n{FUEL_SIGN}\n{step}")
        return [finding.check for finding in findings_of(signed)]

    assert with_sign_before(2) == []
    assert with_sign_before(7) == []  # the leak test is work beside fuel, too
    late = one_text(f"{text}\n{FUEL_SIGN}\n")
    assert (late.check, late.message) == (
        "signal-order",
        "WARNING stands below step 3, which it warns of",
    )


def one_text(text: str) -> Finding:
    (finding,) = findings_of(text)
    return finding


def test_two_hazards_made_safe_by_one_action() -> None:
    beside = ORANGE + (
        "```{parts}\nbracket: {name: Bracket}\n```\n"
        "```{hazards}\nbeside: {name: Beside it, signal: DANGER, harm: H., avoid: A.,"
        " called-by: bracket, made-safe-by: isolate high-voltage}\n```\n"
    )
    work = "remove bracket", "fit bracket"
    assert checks(beside, DEAD[0], *work, DEAD[3]) == []
    assert checks(beside, *work) == ["hazard-live"]
    hot = beside.replace("isolate high-voltage}", "cool coolant-heat}")
    assert checks(hot, "cool engine", *work) == []
    assert checks(hot, *work) == ["hazard-live"]


def test_a_hazard_made_safe_by_what_holds_a_part() -> None:
    blocks = """
```{parts}
gearbox: {name: Gearbox, held-by: bell-clips}
```
```{fasteners}
bell-clips: {name: Bell clips, kind: clip}
```
```{hazards}
hanging:
  {name: Hanging gearbox, signal: WARNING, harm: H., avoid: A., called-by: bell-clips,
   made-safe-by: support gearbox}
```
"""
    off, on = "remove bell-clips, gearbox", "fit gearbox, bell-clips"
    assert "hazard-live" in checks(blocks, off, on)
    assert checks(blocks, "support gearbox", off, "support gearbox", on, "release gearbox") == []


# -- before the road, and what needs current -------------------------------------------------------

APART = """
```{parts}
calipers: {name: Front brake calipers, held-by: caliper-bolts}
clutch-disc: {name: Clutch disc}
```
```{fasteners}
caliper-bolts: {name: Caliper bolts, kind: bolt, tighten: 30 N·m, condition: dry, source: S}
```
"""


def test_brakes_that_were_apart_are_tried_before_the_road() -> None:
    off, on = "remove caliper-bolts, calipers", "fit calipers\ntighten caliper-bolts"
    assert checks(APART, off, on, "test brakes", "test road") == []
    assert checks(APART, off, on, "test road") == ["no-brake-test"]
    assert checks(APART, off, on, "test road", "test brakes") == ["no-brake-test"]
    # Handed on without a drive: pages from print end so.
    assert checks(APART, off, on) == []
    assert checks(APART, "remove clutch-disc", "fit clutch-disc", "test road") == []


def test_wheel_nuts_are_turned_first_while_the_wheels_carry_the_car() -> None:
    stands, lift = ":tools: [axle stands]", ":tools: [two-post lift]"
    off, on = "remove wheel-nuts, front-wheels", "fit front-wheels\nstart wheel-nuts"
    down = on, "lower vehicle", "tighten wheel-nuts"
    crack = "loosen wheel-nuts"
    assert checks(WHEELS, f"{RAISE}\n{stands}", off, *down) == ["ride-height"]
    assert checks(WHEELS, crack, f"{RAISE}\n{stands}", off, *down) == []
    # On a lift an impact wrench does it: common practice, no source.
    assert checks(WHEELS, f"{RAISE}\n{lift}", off, *down) == []


def test_what_needs_current_has_it() -> None:
    off, on = "isolate battery", "restore battery"
    assert checks("", off, on, "test engine idle") == []
    assert checks("", off, "test engine idle", on) == ["battery-order"]
    assert checks("", off, "test road", on) == ["battery-order"]
    assert checks("", off, "test road") == ["left-isolated"]


def test_the_pressure_is_run_off_by_a_pump_that_has_current() -> None:
    steps = [page(LINES, "isolate battery", *rest) for rest in (FUEL[:1] + FUEL[2:],)]
    for text, expected in ((steps[0], []), (_cranked(steps[0]), ["battery-order"])):
        assert [f.check for f in findings_of(text)] == expected


def _cranked(text: str) -> str:
    before, after = text.split("relieve fuel-pressure", 1)
    return before + "relieve fuel-pressure" + after.replace("Do it.", "Crank twice.", 1)


BANJO = """
```{connections}
feed-line: {name: Feed line, kind: line, between: [body, engine], carries: fuel, held-by: FASTENER}
```
```{fasteners}
FASTENER: {name: NAME, kind: bolt, tighten: 30 N·m, condition: dry, source: S}
```
"""


def test_a_banjo_bolt_lets_out_what_its_line_holds() -> None:
    shut = "connect feed-line\ntighten FASTENER", *FUEL[4:]
    early = "isolate battery\nremove FASTENER", "relieve fuel-pressure\ndisconnect feed-line", *shut
    for fastener, name, expected in (
        ("feed-banjo", "Feed line banjo bolt", ["hazard-live"]),
        ("feed-clip-screw", "Feed line clip screw", []),
    ):
        blocks = BANJO.replace("FASTENER", fastener).replace("NAME", name)
        steps = [each.replace("FASTENER", fastener) for each in early]
        assert checks(blocks, *steps) == expected


# -- signs -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sign", "expected"),
    [
        ("{warning} Petrol sprays|fuel-pressure", []),
        ("{warning} Battery off first|battery", []),
        ("{danger} Cold on the skin|refrigerant", ["foreign-sign"]),
        ("{danger} Refrigerant stays in|refrigerant", []),
        ("{danger} It strikes|spring-energy", ["foreign-sign"]),
    ],
)
def test_a_sign_is_about_what_its_step_does(sign: str, expected: list[str]) -> None:
    opened = "relieve fuel-pressure", "isolate battery", f"disconnect feed-line\n{sign}"
    assert checks(LINES, *opened, *FUEL[3:]) == expected


def test_a_sign_is_as_grave_as_its_hazard() -> None:
    told = "name: Hot pipe, signal: CAUTION, harm: Burns., avoid: Wait., called-by: front-pipe"
    hazard = f"```{{hazards}}\nhot-pipe: {{{told}}}\n```\n"
    for word, expected in (("caution", []), ("warning", ["hazard-not-shown"])):
        steps = "cool engine", f"disconnect front-pipe\n{{{word}}} Hot pipe|hot-pipe"
        assert checks(LINES + hazard, *steps, "connect front-pipe") == expected
