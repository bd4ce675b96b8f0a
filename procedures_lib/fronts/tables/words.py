"""Views in words: stages, tools, orders, actions, times, as a technician reads them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from procedures_lib.engineering.quantities import Quantity, quantity_of, with_conversion
from procedures_lib.engineering.quantities.conversion import (
    TORQUE_LEADS,
    TORQUE_UNITS,
    band_text,
    convert,
    customary_torque_unit,
    customary_unit,
    one_unit,
)
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.engineering.tightening.wrench import Fit
from procedures_lib.language.entities.car import Connection, Fastener
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import JointTool, JointView, StageView, joint_tools
from procedures_lib.view.order_drawing import Pattern
from procedures_lib.view.preparation import PreparationView
from procedures_lib.view.step import ActionView, StepView, Thing
from procedures_lib.view.uses import Cars, Uses


def stages_text(stages: Iterable[Stage], unit: str = "") -> str:
    """Stages in one line: "10 N·m (89 lbf·in), then +45°"; in one unit if named."""
    return ", then ".join(stage.in_unit(unit) if unit else stage.shown() for stage in stages)


NO_TORQUE = "no torque given"
"""What stands for the stages of a joint that is tightened, and of which no page says how tight."""


def tight_text(fastener: Fastener, unit: str = "") -> str:
    """How tight a group has to be, in one line, in one unit if named.

    Where it differs from car to car, each with its cars: "model=long: 380 N·m; model=short: …".
    """
    if not fastener.how_tight:
        return NO_TORQUE if fastener.takes_torque else ""
    if fastener.tighten:
        return stages_text(fastener.tighten, unit)
    return "; ".join(
        f"{when}: {stages_text(stages, unit)}" for when, stages in fastener.how_tight.by_condition
    )


def stages_led(stages: Iterable[Stage]) -> tuple[tuple[str, str], ...]:
    """Each unit besides N·m with the text of the stages that it leads: "89 lbf·in (10 N·m)".

    () when no stage has a torque.
    """
    listed = list(stages)
    if not any(stage.torque for stage in listed):
        return ()
    return tuple((u, ", then ".join(s.led_by(u) for s in listed)) for u in TORQUE_UNITS[1:])


def stage_figures(stage: Stage) -> dict[str, tuple[str, str]]:
    """A stage's figure, and the same in another unit, by the unit that leads; N·m comes first.

    A stage without a torque has one figure, under "".
    """
    torque = stage.torque
    if torque is None:
        return {"": (stage.shown(), "")}
    others = dict.fromkeys(TORQUE_UNITS, TORQUE_LEADS)
    others[TORQUE_LEADS] = customary_torque_unit(torque)
    return {
        unit: (stage.in_unit(unit), convert(torque, other).text) for unit, other in others.items()
    }


def stage_tools(view: StageView, fastener: Fastener) -> tuple[str, str]:
    """The wrench or gauge of a stage, and what to set it to; "" for none, and for what shows.

    On the way to the next slot nothing is set: then it is what not to go above.
    """
    tool = view.tool
    if tool is None:
        return "", ""
    if view.what.kind is StageKind.NEXT_SLOT:
        return tool.name, _not_above(view.what)
    if tool.fit is None or tool.fit.wrench.shows:
        return tool.name, ""
    return tool.name, f"set {setting_of(tool.fit, view.what, fastener.adapter)}"


def thread_text(fastener: Fastener) -> str:
    """Thread and class, and what is special about turning it: "M8x1.25, 8.8"."""
    words = [fastener.thread.written] if fastener.thread else []
    if fastener.class_:
        words.append(fastener.class_text)
    if fastener.turns == "left":
        words.append("left-hand thread")
    if fastener.at == "ride-height":
        words.append("at ride height")
    return ", ".join(words)


def hardware_text(joint: JointView) -> str:
    """Whether the hardware is re-used, new from the kit, or new every time; what goes with it."""
    reusable = joint.fastener.reusable
    text = "re-used" if reusable else "new every time"
    if joint.from_kit:
        text = "new, from the kit" if reusable else "new, from the kit; single use"
    return f"{text}; with {', '.join(joint.under)}" if joint.under else text


def recheck_text(joint: JointView) -> str:
    """The second look that a joint asks for: what it must have, and after how far."""
    recheck = joint.fastener.recheck
    after = with_conversion(recheck) if recheck else ""
    only = f" (only {joint.variant})" if joint.variant != ALWAYS else ""
    return f"{joint.name}: {tight_text(joint.fastener)}, after {after}{only}"


def stage_major_text(fastener: Fastener) -> str:
    """How a group is taken through its stages: "Every bolt through stage 1 before stage 2."

    "" for a single fastener, or a single stage.
    """
    stages = len(fastener.tighten)
    if fastener.count < 2 or stages < 2:
        return ""
    if any(stage.only for stage in fastener.tighten):
        return f"Every {fastener.kind} of a stage before the next stage begins."
    more = ", and so on" if stages > 2 else ""
    return f"Every {fastener.kind} through stage 1 before stage 2{more}."


def tool_text(fastener: Fastener, shop: Shop) -> str:
    """The tools in one line; where several wrenches are used, with the stages of each.

    The setting stands with a wrench where it is not the torque that the stage names: with an
    adapter, and in the middle of a range.
    """
    tools = joint_tools(fastener, shop)
    torques = {tool.name for tool in tools if _has_torque(tool, fastener)}
    notes: dict[str, list[str]] = {}
    for tool in tools:
        listed = notes.setdefault(tool.name, []) if tool.stage else []
        setting = _setting(tool, fastener)
        if setting or (len(torques) > 1 and _has_torque(tool, fastener)):
            where = f"stage {tool.stage}" if len(fastener.tighten) > 1 else ""
            listed.append(": ".join(text for text in (where, setting) if text))
    plain = [tool.name for tool in tools if not tool.stage]
    staged = [f"{name} ({'; '.join(told)})" if told else name for name, told in notes.items()]
    return ", ".join([*plain, *staged])


def _has_torque(tool: JointTool, fastener: Fastener) -> bool:
    return bool(tool.stage and fastener.tighten[tool.stage - 1].torque)


def _setting(tool: JointTool, fastener: Fastener) -> str:
    """What to set, where that is not what the stage says."""
    if tool.fit is None or tool.fit.wrench.shows:
        return ""
    stage, adapter = fastener.tighten[tool.stage - 1], fastener.adapter
    ranged = stage.amount is not None and stage.amount.value is None
    if stage.kind is not StageKind.TORQUE or (adapter is None and not ranged):
        return ""
    setting = tool.fit.setting
    units = list(dict.fromkeys((tool.fit.wrench.unit, TORQUE_LEADS, customary_unit(setting))))[:2]
    behind = f" with the {adapter.tidy} adapter" if adapter else ""
    return f"set {' = '.join(one_unit(setting, unit) for unit in units)}{behind}"


def wrench_rows(fastener: Fastener, shop: Shop) -> tuple[tuple[str, str], ...]:
    """For each stage with a torque: the wrench, its setting, and what the fastener then gets."""
    several = len(fastener.tighten) > 1
    return tuple(
        (
            f"Wrench, stage {tool.stage}" if several else "Wrench",
            f"{tool.name}{_set_to(tool.fit, fastener.tighten[tool.stage - 1], fastener.adapter)}",
        )
        for tool in joint_tools(fastener, shop)
        if tool.fit is not None
    )


_SET = frozenset({StageKind.TORQUE, StageKind.TORQUE_OR_SLOT})
"""The stages whose own torque is set on a wrench."""


def _not_above(stage: Stage) -> str:
    """What a fastener may take on its way to the next slot, in N·m and in another unit."""
    torque = stage.torque
    if torque is None:
        return ""
    other = customary_torque_unit(torque)
    return f"not above {convert(torque, TORQUE_LEADS).text} ({convert(torque, other).text})"


def setting_of(fit: Fit, stage: Stage, adapter: Quantity | None = None) -> str:
    """What to set, on the wrench's scale, and in another unit; a plain torque as it is printed."""
    torque = stage.torque if stage.kind in _SET and adapter is None else None
    plain = torque is not None and not torque.is_range
    other = customary_torque_unit(torque) if torque and plain else customary_unit(fit.setting)
    units = list(dict.fromkeys((fit.wrench.unit, TORQUE_LEADS, other)))[:2]
    texts = [
        convert(torque, unit).text if torque and plain else one_unit(fit.setting, unit)
        for unit in units
    ]
    return f"{texts[0]} ({texts[1]})"


def _set_to(fit: Fit, stage: Stage, adapter: Quantity | None) -> str:
    """The setting of a wrench that clicks, and the band that its class leaves."""
    if stage.kind is StageKind.NEXT_SLOT:
        return f", {_not_above(stage)}"
    said = "" if fit.wrench.shows else f", set {setting_of(fit, stage, adapter)}"
    if fit.low is None or fit.high is None:
        return said
    return f"{said}: {band_text(fit.low, fit.high, 'N·m')}"


def text_alternative(pattern: Pattern) -> str:
    """The drawing in words: the order by name, and where the front of the car lies."""
    if pattern.order:
        steps = ", ".join(f"{n} {name}" for n, name in enumerate(pattern.order, start=1))
        told = f"Tightening order of {len(pattern.order)}: {steps}."
    else:
        told = f"Pattern of {len(pattern.positions)} positions; the page gives no order."
    return f"{pattern.title}. {told} {front_text(pattern.front)}"


def front_text(front: str) -> str:
    """Where the front of the car lies, in words."""
    if not front:
        return (
            "Seen from the side the tool is on; the page does not say where the car's front lies."
        )
    where = {
        "up": "at the top", "down": "at the bottom", "left": "on the left", "right": "on the right",
        "toward you": "toward you", "away from you": "away from you",
    }[front]  # fmt: skip
    return f"Seen from the side the tool is on; front of the car {where}."


def duration_text(seconds: float) -> str:
    """A time in hours and whole minutes: 6000 s is "1 h 40 min"."""
    hours, minutes = divmod(round(seconds / 60), 60)
    words = [f"{hours} h"] if hours else []
    if minutes or not hours:
        words.append(f"{minutes} min")
    return " ".join(words)


def work_facts(prepared: PreparationView) -> tuple[tuple[str, str], ...]:
    """How much work it is: label and text."""
    untimed = f", and {prepared.untimed} steps without a time" if prepared.untimed else ""
    return (
        ("Steps", str(prepared.steps)),
        ("Time", duration_text(prepared.seconds) + untimed),
        ("People", str(prepared.people)),
    )


def step_facts(view: StepView) -> tuple[tuple[str, str], ...]:
    """What a step takes: label and text."""
    step = view.step
    facts = (
        ("Time", step.time.tidy if step.time else ""),
        ("People", str(step.people) if step.people > 1 else ""),
        ("Protective equipment", ", ".join(view.protection)),
        ("Tools", ", ".join(view.tools)),
        ("Supplies", ", ".join(step.supplies)),
    )
    return tuple((label, text) for label, text in facts if text)


def steps_text(numbers: Iterable[int]) -> str:
    """The numbers of steps in one line: "4, 17"."""
    return ", ".join(map(str, numbers))


_TURNING = {
    "loosen": "undo clockwise",
    "remove": "undo clockwise",
    "start": "turn anticlockwise",
    "tighten": "turn anticlockwise",
}
"""Which way a left-hand thread turns."""

_TELLING = ("disconnect", "connect", "tag")
"""The verbs at which the note of a connection is told."""


@dataclass(frozen=True, slots=True)
class Doing:
    """One thing of an action, in words.

    ``name`` has its count and what must be known of it; ``torque`` its stages, where it is
    tightened; ``only`` for which of the step's cars it is ("" for all); ``id`` is what it is.
    """

    verb: str
    id: str
    name: str
    torque: str = ""
    only: str = ""

    @property
    def text(self) -> str:
        """All of it in one line."""
        torque = f": {self.torque}" if self.torque else ""
        only = f" (only: {self.only})" if self.only else ""
        return f"{self.verb} {self.name}{torque}{only}"


def doings(view: StepView, uses: Uses, cars: Cars) -> tuple[Doing, ...]:
    """Return what a step does, thing by thing, without what none of the cars asked about has."""
    return tuple(
        _doing(action, thing, cars.only(thing.when, view.when))
        for action in view.actions
        for thing in action.things
        if uses.applies(thing.when & view.when)
    )


def _doing(action: ActionView, thing: Thing, only: str) -> Doing:
    counted = f"{thing.count} × " if (thing.count or 1) > 1 else ""
    turned, note = turning_text(action, thing), note_text(action, thing)
    on = f" on {on_text(action)}" if action.on else ""
    text = f"{counted}{thing.name}{turned and f' ({turned})'}{note and f' ({note})'}{on}"
    return Doing(action.verb.capitalize(), thing.id, text, action_stages(action, thing), only)


def turning_text(action: ActionView, thing: Thing) -> str:
    """Which way a left-hand thread turns, "" for any other thing."""
    left = isinstance(thing.entity, Fastener) and thing.entity.turns == "left"
    turn = _TURNING.get(action.verb, "") if left else ""
    return turn and f"left-hand thread: {turn}"


def note_text(action: ActionView, thing: Thing) -> str:
    """The note of a connection where it is opened or closed, what a thing is set to, else ""."""
    if action.verb == "adjust":
        return setting_text(action.setting(thing))
    told = isinstance(thing.entity, Connection) and action.verb in _TELLING
    return thing.entity.note if told and isinstance(thing.entity, Connection) else ""


def setting_text(to: str) -> str:
    """What something is adjusted to, with its conversion: "to 10 mm (0.39 in)"."""
    quantity = quantity_of(to)
    return to and f"to {with_conversion(quantity) if quantity else to}"


def on_text(action: ActionView) -> str:
    """What the things of an action are put on, "" for nothing."""
    on = action.on
    return "" if on is None else on.name if on.entity else on.id


def action_stages(action: ActionView, thing: Thing) -> str:
    """The stages that a thing is tightened to, or the one named: "stage 2: 25 N·m (18 lbf·ft)"."""
    stages, fastener = action.stages(thing), thing.entity
    if not isinstance(fastener, Fastener) or action.verb != "tighten":
        return ""
    if not stages:
        return tight_text(fastener)
    one = 0 < action.stage <= len(fastener.tighten)
    return f"stage {action.stage}: {stages_text(stages)}" if one else stages_text(stages)
