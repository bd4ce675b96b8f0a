"""Heads: kit, procedure, common, job, dyno session, with every field of each."""

from __future__ import annotations

import datetime

import pytest

from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure
from tests.helpers import content_from, entity_from, only_slip, slips_of, summary

KIT = """
    ```{kit} tf-220
    name: Charge-air cooler kit
    fits: {vehicle: tarrow-finch, years: 2018-2022, when: transmission=manual}
    revision: C
    note: invented
    contents:
      - {part: cooler-220, number: TF-220-01, name: Charge-air cooler, replaces: charge-cooler}
      - {fastener: cooler-220-bolts, number: TF-220-07, qty: 4, spare: 1}
      - {connection: hose-220-hot, number: TF-220-03, replaces: hot-pipe, when: tow-eye=fitted}
      - {supply: Cable tie 200 mm, number: TF-220-15, qty: 6}
      - {paper: Calibration card, number: TF-220-20, note: read it first}
      - {tool: Drift, number: TF-220-21}
    returns: [charge-cooler]
    needs: {fuel: 93 AKI, calibration: {manual: FC-2201, automatic: FC-2202}}
    claims: {power: +21 hp, torque: +25 lbf·ft}
    emissions: {label: EO label in the box, note: check the order number}
    ```
    """

SESSION = """
    ```{dyno-session} finch-tf-220
    vehicle: tarrow-finch
    procedure: fit-tf-220
    dyno: {kind: chassis, rollers: single, name: Cell 1, last-verified: 2026-05-02}
    conditions: {gear: 4, fuel: 93 AKI, tyre-pressure: 240 kPa}
    correction: SAE J1349
    before:
      - {pull: data/before-1.csv, air: {temperature: 22 °C, pressure: 984 hPa, humidity: 45 %}}
    after:
      - {pull: data/after-1.csv, air: {temperature: 71 °F, pressure: 29.2 inHg}, note: warm}
      - {pull: data/after-2.csv, conditions: {gear: 3}}
    ```
    """


def test_a_kit() -> None:
    kit = entity_from(KIT, "tf-220")
    assert isinstance(kit, Kit)
    assert (kit.name, kit.revision, kit.note) == ("Charge-air cooler kit", "C", "invented")
    assert (kit.fits.vehicle, str(kit.fits.years)) == ("tarrow-finch", "2018–2022")
    assert str(kit.fits.when) == "transmission=manual"
    assert kit.returns == ("charge-cooler",)


def test_what_is_in_the_box() -> None:
    kit = entity_from(KIT, "tf-220")
    assert isinstance(kit, Kit)
    assert [(item.kind, item.what, item.number, item.qty) for item in kit.contents] == [
        ("part", "cooler-220", "TF-220-01", 1),
        ("fastener", "cooler-220-bolts", "TF-220-07", 4),
        ("connection", "hose-220-hot", "TF-220-03", 1),
        ("supply", "Cable tie 200 mm", "TF-220-15", 6),
        ("paper", "Calibration card", "TF-220-20", 1),
        ("tool", "Drift", "TF-220-21", 1),
    ]
    assert [item.place.line for item in kit.contents] == [7, 8, 9, 10, 11, 12]
    cooler, bolts, hose, *_ = kit.contents
    assert (cooler.name, cooler.replaces) == ("Charge-air cooler", "charge-cooler")
    assert (bolts.spare, str(hose.when)) == (1, "tow-eye=fitted")


@pytest.mark.parametrize(
    ("written", "count", "packed"),
    [("500 mL", 1, "500 mL"), ("30 g", 1, "30 g"), ("2.5 m", 1, "2.5 m"), ("12", 12, "12")],
)
def test_a_supply_comes_counted_or_by_length_volume_or_mass(
    written: str, count: int, packed: str
) -> None:
    supplies = f"contents: [{{supply: Grease, qty: {written}}}]"
    kit = entity_from(f"```{{kit}} k\nname: K\nfits: {{vehicle: v}}\n{supplies}\n```\n", "k")
    assert isinstance(kit, Kit)
    item = kit.contents[0]
    assert (item.count, item.packed.replace("\N{NO-BREAK SPACE}", " ")) == (count, packed)
    assert (item.amount is None) == (written == "12")


def test_what_a_kit_needs_and_claims() -> None:
    kit = entity_from(KIT, "tf-220")
    assert isinstance(kit, Kit)
    assert kit.needs.fuel is not None
    assert kit.claims.power is not None
    assert kit.claims.torque is not None
    assert kit.emissions is not None
    assert kit.needs.fuel.written == "93 AKI"
    assert kit.needs.calibration == (("manual", "FC-2201"), ("automatic", "FC-2202"))
    assert (kit.claims.power.written, kit.claims.torque.written) == ("+21 hp", "+25 lbf·ft")
    assert (kit.emissions.label, kit.emissions.note) == (
        "EO label in the box",
        "check the order number",
    )


def test_one_calibration_for_every_car() -> None:
    text = (
        "```{kit} k\nname: K\nfits: {vehicle: v}\ncontents: []\nneeds: {calibration: FC-1}\n```\n"
    )
    kit = entity_from(text, "k")
    assert isinstance(kit, Kit)
    assert kit.needs.calibration == (("", "FC-1"),)


@pytest.mark.parametrize(
    ("item", "check", "hint"),
    [
        ("{number: K-1}", "missing-field", "name one of: part, fastener, connection, supply"),
        ("{part: a, fastener: b}", "missing-field", "name one of: part, fastener"),
        ("{part: a, qty: many}", "out-of-range", "a whole number"),
        ("{part: a, qty: 2 off}", "out-of-range", "write `2`"),
        ("{part: a, qty: 500 mL}", "out-of-range", "list it as a `supply`"),
        ("{supply: Grease, qty: 10 N·m}", "wrong-dimension", "such as 500 mL"),
        ("{part: a, quantity: 2}", "unknown-field", ""),
        ("{part: A b}", "bad-id", "write `a-b`"),
        ("just words", "unreadable-block", "write a mapping"),
        ("{part: }", "missing-field", "write it after the colon"),
    ],
)
def test_a_bad_item_does_not_lose_the_kit(item: str, check: str, hint: str) -> None:
    text = (
        "```{vehicle} v\nname: V\n```\n\n```{kit} k\nname: K\nfits: {vehicle: v}\n"
        f"contents:\n  - {item}\n  - {{paper: Card}}\n```\n"
    )
    found = only_slip(text)
    assert (found.check, found.place.line) == (check, 9)
    assert hint in found.hint
    kit = content_from(text).entities[1]
    assert isinstance(kit, Kit)
    assert kit.contents[-1].what == "Card"
    assert all(item.what for item in kit.contents)


def test_a_kit_without_needed_fields() -> None:
    found = slips_of("```{kit} k\nname: K\n```\n")
    assert [(f.place.line, f.check, f.message) for f in found] == [
        (1, "missing-field", "a kit block needs `contents`"),
        (1, "missing-field", "a kit block needs `fits`"),
    ]


def test_a_procedure() -> None:
    text = """
        ```{procedure} fit-tf-220
        vehicle: tarrow-finch
        kit: tf-220
        revision: C
        reviewed: 2026-09-14
        begins-with: [wheels-off]
        hazards: [brake-dust]
        title: Fit it
        note: invented
        ```
        """
    head = content_from(text).entities[0]
    assert isinstance(head, Procedure)
    assert (head.vehicle, head.kit, head.revision) == ("tarrow-finch", "tf-220", "C")
    assert head.reviewed == datetime.date(2026, 9, 14)
    assert (head.begins_with, head.hazards, head.title) == (
        ("wheels-off",),
        ("brake-dust",),
        "Fit it",
    )


def test_begins_with_takes_one_text() -> None:
    text = "```{procedure} p\nvehicle: v\nrevision: A\nbegins-with: as it arrives\n```\n"
    head = content_from(text).entities[0]
    assert isinstance(head, Procedure)
    assert head.begins_with == ("as it arrives",)


@pytest.mark.parametrize(
    "date", ["14-09-2026", "2026-02-30", "20260914", "2026-W37-1", "soon", "2026-9-4"]
)
def test_a_date_is_year_month_day(date: str) -> None:
    car = "```{vehicle} v\nname: V\n```\n"
    text = f"{car}```{{procedure}} p\nvehicle: v\nrevision: A\nreviewed: {date}\n```\n"
    found = only_slip(text)
    assert (found.check, found.place.line) == ("wrong-shape", 7)
    assert found.hint == "write year-month-day: `2026-09-14`"


def test_common_and_job() -> None:
    text = """
        ```{common} raise-car
        name: Raise the car
        vehicle: finch
        ```
        ```{job} big-visit
        name: The big visit
        vehicle: finch
        procedures: [fit-a, fit-b]
        when: transmission=manual
        ```
        """
    common, job = content_from(text).entities
    assert isinstance(common, Common)
    assert isinstance(job, Job)
    assert (common.name, common.vehicle) == ("Raise the car", "finch")
    assert (job.name, job.vehicle, job.procedures) == ("The big visit", "finch", ("fit-a", "fit-b"))


def test_a_dyno_session() -> None:
    session = content_from(SESSION).entities[0]
    assert isinstance(session, DynoSession)
    assert (session.vehicle, session.procedure, session.correction) == (
        "tarrow-finch",
        "fit-tf-220",
        "SAE J1349",
    )
    assert (session.dyno.kind, session.dyno.rollers) == ("chassis", "single")
    assert session.dyno.last_verified == datetime.date(2026, 5, 2)
    assert session.conditions == (("gear", "4"), ("fuel", "93 AKI"), ("tyre-pressure", "240 kPa"))
    (before,), (after, last) = session.before, session.after
    assert before.air is not None
    assert after.air is not None
    assert before.air.humidity is not None
    assert (before.pull, before.air.temperature.written) == ("data/before-1.csv", "22 °C")
    assert (before.air.pressure.written, before.air.humidity.written) == ("984 hPa", "45 %")
    assert (after.air.temperature.written, after.air.humidity, after.note) == (
        "71 °F",
        None,
        "warm",
    )
    assert last.conditions == (("gear", "3"),)
    assert (before.place.line, last.place.line) == (8, 11)


@pytest.mark.parametrize("correction", ["SAE J1349", "ISO 1585", "DIN 70020", "SAE J607", "none"])
def test_corrections(correction: str) -> None:
    session = content_from(SESSION.replace("SAE J1349", correction)).entities[0]
    assert isinstance(session, DynoSession)
    assert session.correction == correction


def test_a_bad_pull_is_found_on_its_line() -> None:
    text = SESSION.replace("pressure: 984 hPa", "pressure: 984").replace(
        "pull: data/after-2.csv, ", ""
    )
    found = [f for f in slips_of(text) if f.check != "unknown-id"]
    assert summary(found) == [(8, "no-unit"), (11, "missing-field")]
    assert found[0].message.startswith("`air pressure`")


def test_an_unknown_correction() -> None:
    found = [f for f in slips_of(SESSION.replace("J1349", "J1394")) if f.check != "unknown-id"]
    assert [(f.check, f.hint) for f in found] == [("unknown-word", "did you mean `SAE J1349`?")]


def test_a_head_without_id_goes_by_the_name_of_its_page() -> None:
    text = "```{procedure}\nvehicle: v\nrevision: A\n```\n\n:::{step} One\n:::\n"
    content = content_from(text, "procedures/fit-it.md")
    assert [entity.id for entity in content.entities] == ["fit-it"]
    assert len(content.steps_of("fit-it")) == 1
    assert [f.check for f in (*content.page.findings, *content.findings)] == ["missing-field"]
