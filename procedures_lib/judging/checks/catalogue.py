"""Every check by name: its family, how bad its findings are, and what it finds. A closed list."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.findings import Level

FAMILIES = (
    "reading",
    "quantities",
    "open items",
    "order of work",
    "hazards",
    "tightening",
    "hardware",
    "variants",
    "jobs",
    "drift",
    "dyno",
    "publishing",
)


@dataclass(frozen=True, slots=True)
class CheckInfo:
    """One check: ``finds`` is one line that a list of checks shows."""

    name: str
    family: str
    finds: str
    level: Level = Level.ERROR


def _family(family: str, level: Level = Level.ERROR, **checks: str) -> list[CheckInfo]:
    found = ((name.replace("_", "-"), finds) for name, finds in checks.items())
    return [CheckInfo(name, family, finds, level) for name, finds in found]


_CHECKS = [
    *_family(
        "reading",
        unreadable_page="a page that is not UTF-8, too large, or can't be opened",
        unreadable_block="a block whose YAML or fences can't be read",
        unreadable_condition="a `when` that is no option expression",
        blank_left="a blank of a page's draft that is not filled in",
        merge_mark="the mark that a merge leaves where two versions differ",
        unseen_text="text brought in from elsewhere, which the checks can't see",
        duplicate_key="a key that stands twice in one block",
        unknown_block="a block that does not exist",
        unknown_role="a role that does not exist, or that is shown as text",
        unknown_field="a field that this block does not have",
        missing_field="a field that this block needs",
        wrong_shape="a list where one value is wanted, or the like",
        bad_id="an id that is not kebab-case",
        unknown_word="a word that is not on the closed list of a field",
        unknown_thread="a thread designation that can't be read",
        unknown_stage="a tightening stage that can't be read",
        unknown_id="an id that no page in reach defines",
        wrong_kind="an id of another kind than the field takes",
        duplicate_id="two things that one procedure can see under one id",
        unknown_verb="a verb that is not on the list",
        wrong_verb="a verb that does not work on this kind of thing",
        endless_steps="common steps that lead back to themselves",
        step_without_head="a step on a page without procedure or common head",
        raw_html="HTML on a page, or a link to a program",
        code_in_page="code to be run outside of the guide and the reference",
    ),
    *_family(
        "reading",
        Level.WARNING,
        unused_entity="a thing on a procedure or kit page that nothing mentions",
    ),
    *_family(
        "quantities",
        no_unit="a number without its unit",
        ambiguous_unit="a unit that can be read in two ways",
        wrong_dimension="a quantity of another kind than the field takes",
        bad_tolerance="a range that runs backwards, or a tolerance that reaches zero",
        out_of_range="a value that can't be",
        not_a_number="a value that is no number",
    ),
    *_family(
        "quantities",
        Level.WARNING,
        unlike_practice="a figure far from what the trade knows: a time, a pressure, a volume",
    ),
    *_family(
        "open items",
        left_disconnected="a connection that is open at the end",
        left_off="a part that is off, lifted or never fitted at the end",
        left_loose="fasteners that are loose, out or only started at the end",
        left_covered="a cover that is still on an opening at the end",
        left_drained="a fluid that is not filled up again",
        left_unbled="a fluid with air in it at the end",
        left_isolated="a battery, or the like, that is not restored at the end",
        left_raised="a car that is still raised at the end",
        left_supported="a jack, strap or the like that is left under a part",
        not_adjusted="a thing with a setting that is not adjusted again",
        ends_otherwise="what a procedure says that it leaves open, and does not",
        left_on_discarded="a part that is still on one that leaves for good",
        left_uncalibrated="a kit that needs a calibration which no step loads",
        not_returned="a part that belongs in the customer's box and does not get there",
    ),
    *_family(
        "order of work",
        not_reachable="work on a thing that is behind another, or not there",
        still_held="a thing taken off or opened while its fasteners are in",
        still_connected="a part taken off with its connections made",
        nothing_to_undo="an action that finds things in another state than it takes them from",
        fitted_over_cover="a thing closed over a cover that is still on",
        uncovered_opening="an opening left exposed to dirt while work goes on",
        tightened_too_early="fasteners tight before what they hold is in its place",
        stack_order="pieces of one joint that go on or come off out of their order",
        unsupported_part="a heavy part that is moved while nothing holds it",
        ride_height="joints tightened in the air that want the car's weight on its wheels",
        not_announced="work that can't be undone, and no signal word before it",
        not_tagged="look-alike connections opened without tags",
        not_drained="a system opened before it is drained",
        filled_while_open="a system filled or bled while a line of it is open",
        endless_chain="a part that is on, behind, or in place of itself",
        lowered_without_wheels="a car that is to stand on wheels which are off",
        driven_too_early="a road test before all is tight, full, bled and loaded",
    ),
    *_family(
        "hazards",
        hazard_live="work that calls for a hazard which is not made safe",
        hazard_not_shown="a hazard that the page does not show, or shows with too weak a word",
        hazard_weakened="a built-in hazard that a page makes weaker than the library has it",
        signal_order="a lesser signal word before a graver one, or a sign below its action",
        no_leak_test="fuel lines opened, and no leak test after",
        no_brake_test="brakes opened, and no test of the pedal before the car moves",
        battery_order="the battery restored too early, or missing where it is needed",
        no_battery_support="programming without anything that holds the battery's voltage",
        under_unsupported_car="a car raised on nothing that is named",
        licensed_work="work for licensed people that the step does not hand to them",
    ),
    *_family(
        "hardware",
        reused_single_use="a thing for one use that goes in again",
        thread_mismatch="a fastener whose thread differs from that of its hole",
        count_mismatch="a kit that holds more than is fitted, and does not call it spare",
        not_in_kit="a new thing that the kit does not contain",
        not_used="a thing in the kit that no step uses",
        quantity_short="a kit that holds fewer than are fitted",
        unlike_replaced="a thing that differs from the one it replaces, and does not say why",
        wrong_fluid="a supply of another class than the fluid that it is filled into",
        nut_too_weak="a nut of a lower class than the bolt that it goes on",
    ),
    *_family(
        "hardware",
        Level.WARNING,
        twins_differ="a thing on the right of which something else is said than of its left twin",
    ),
    *_family(
        "variants",
        unknown_option="an option, or a value of it, that the vehicle does not have",
        never_true="a condition that no car meets",
        no_calibration_for="a car for which the kit has no calibration",
    ),
    *_family(
        "tightening",
        stage_skipped="a stage that is left out, or never reached",
        order_incomplete="an order that leaves a fastener out, or names one that has no position",
        order_repeats="an order that names a fastener twice",
        order_count="positions, or an order, that are not as many as the count says",
        same_position="two fasteners of a group at one place",
        stage_falls="a torque below an earlier one, and other stages that can't follow",
        torque_implausible="a torque beyond what the bolt bears, or far below what it is for",
        thread_strip="a torque that pulls the thread out of what it is in",
        angle_implausible="an angle that would break the bolt, or that does next to nothing",
        no_torque="a joint that a step tightens, and that nothing says how tight, on some cars",
        two_torques="a joint with two torques for one car",
        stretch_implausible="a stretch that would break the bolt, or that does next to nothing",
        unknown_class="a class that does not exist, or not for this thread",
    ),
    *_family(
        "tightening",
        Level.WARNING,
        reused_past_yield="a bolt stretched past yield that nothing says is for one use",
        condition_missing="a torque on a thread that is not said to be dry, oiled or the like",
        no_source="a torque that nothing says the source of, or a source without sheet or page",
        no_positions="a drawing of fasteners that have no positions",
        order_not_cross="an order that goes round a circle of fasteners instead of across it",
        order_not_centre_out="an order that runs along a row from one end",
        no_wrench="a torque that no wrench of the shop can do",
        wrench_out_of_date="a wrench that joints are planned with, "
        "past the day its calibration is due",
    ),
    *_family(
        "jobs",
        job_conflict="procedures of one visit that both take the place of one thing",
    ),
    *_family(
        "drift",
        hand_typed_number="a quantity typed in prose, in figures or words, not by its role",
        expect_disagrees="a number that differs from what its source prints",
        octane_differs="fuel in a text or a dyno session that the kit does not ask for",
        side_ambiguous="driver's or passenger's side, which changes from country to country",
        foreign_joint="the torque, drawing or name of a thing in a step that works on others",
    ),
    *_family(
        "drift",
        Level.WARNING,
        no_witness="a number that the shop wants typed a second time, and that stands once",
        revision_differs="a sheet cited in another revision than its kit has",
        prose_disagrees="words of a step that its own facts, or the order of the steps, belie",
        carries_missing="a hose, pipe or line called after a liquid, without `carries`",
        not_at_hand="a tool, a supply or a helper that a step needs, and its lists lack",
        foreign_sign="a sign about a hazard that nothing in its step has to do with",
    ),
    *_family(
        "publishing",
        foreign_address="an address that is no web page, no e-mail and no path in the manual",
        foreign_setting="a setting above a page that pages can't make",
        foreign_file="a file of a kind that a manual is not made of, or that no page may bring",
        outside_manual="a file or path that leads out of the manual's folder",
        broken_link="a link, a picture or a line of contents that leads to nothing",
        endless_contents="pages whose contents lead back to themselves",
        stands_twice="a label, an address, a footnote or a line of contents that stands twice",
        loose_footnote="a footnote without a mark, or a mark without its footnote",
        heading_skips="a heading that leaves out a level",
    ),
    *_family(
        "publishing",
        Level.WARNING,
        after_another_step="a list of what is open that stands below another step than it is of",
        block_missing="a page of a procedure without a block that nearly all others have",
        not_in_contents="a page that no contents lead to",
    ),
    *_family(
        "dyno",
        unreadable_pull="a pull whose file can't be found or read",
        not_comparable="pulls that may not be compared, or can't be corrected",
        power_torque_disagree="a pull whose power is not its torque times its speed",
    ),
    *_family(
        "dyno",
        Level.WARNING,
        correction_out_of_range="air in which the correction standard does not hold",
        too_few_pulls="fewer than three pulls on a side, or copies of one",
        gain_within_noise="a gain that is no larger than the spread of the pulls",
        claim_not_met="a gain that is surely less than what the kit's maker claims",
        air_jumps="pressures or temperatures that jump from pull to pull",
        curve_moved="a curve that is another's, moved along the speeds",
        gain_like_drift="pulls that drift, or a gain that a drift would make as well",
        noise_differs="a side whose torque scatters far more from row to row",
        peak_stands_alone="a peak that the speeds beside it don't bear out",
        pulls_apart="pulls, or sides, that differ by more than an engine does",
        rows_that_leap="single rows that leap out of a pull",
        sweep_differs="pulls that ran through the speeds in unlike times",
    ),
]

CATALOGUE = {check.name: check for check in _CHECKS}
