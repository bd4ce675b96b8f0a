"""Find: on the phone, every way to ask for a number leads to its row."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser.serving import Served
from tests.browser.test_follow import begin_on_unknown_car
from tests.search.asked import APART, AT_THE_CAR, AT_THE_LIFT, WITH_ONE_THUMB, Asked
from tests.search.typed import TYPED
from tests.site.building import CONF, SmallManual

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from playwright.sync_api import Locator, Page

BUDGET = 300_000
"""Bytes over the wire for a first search (of 2,000 pages; the demo has far fewer)."""
HOSTILE = "<img src=x onerror=\"document.title='owned'\"><b>Cover</b> bolts & more"


def hits(page: Page) -> Locator:
    """The hits that are shown."""
    return page.locator(".find-hit")


def find(page: Page, text: str) -> Locator:
    """Type into the page's search box, as a person does, and wait for what comes."""
    box = page.get_by_role("searchbox")
    box.fill("")
    box.press_sequentially(text)
    expect(page.get_by_role("search")).to_have_attribute("data-shown", text)
    return hits(page)


@pytest.mark.parametrize(
    ("text", "name", "number", "anchor"),
    [
        ("TF-220-07", "Charge-air cooler TF-220 bolts", "TF-220-07", "fastener-cooler-220-bolts"),
        ("tf22007", "Charge-air cooler TF-220 bolts", "TF-220-07", "fastener-cooler-220-bolts"),
        ("tf 220 07", "Charge-air cooler TF-220 bolts", "TF-220-07", "fastener-cooler-220-bolts"),
        ("M8", "", "M8x1.25", "fastener-"),
        ("m8 x 1.25", "", "M8x1.25", "fastener-"),
        ("10 N·m", "", "10 N·m (89 lbf·in)", "fastener-"),
        ("10 Nm", "", "10 N·m (89 lbf·in)", "fastener-"),
        ("10Nm", "", "10 N·m (89 lbf·in)", "fastener-"),
        ("10 N*m", "", "10 N·m (89 lbf·in)", "fastener-"),
        ("89 in-lb", "", "10 N·m (89 lbf·in)", "fastener-"),
        ("cooler bolts torque", "Charge-air cooler TF-220 bolts", "22 N·m", "fastener-cooler-220"),
        ("coler bolts", "Charge-air cooler TF-220 bolts", "22 N·m", "fastener-cooler-220-bolts"),
        ("vooler bolts", "Charge-air cooler TF-220 bolts", "22 N·m", "fastener-cooler-220-bolts"),
        ("trim lever", "trim lever", "", "tool-trim-lever"),
        ("Tarrow Finch", "Tarrow Finch", "2018–2022", ""),
        ("leak test", "Test the charge circuit for leaks", "", "step-"),
    ],
)
def test_the_row_is_among_the_first_three(
    site: Served, phone: Page, text: str, name: str, number: str, anchor: str
) -> None:
    phone.goto(f"{site.url}search.html")
    first = find(phone, text)
    texts = [one.replace("\xa0", " ") for one in first.all_inner_texts()[:3]]
    right = [n for n, one in enumerate(texts) if name in one and number in one]
    assert right, texts
    hit = first.nth(right[0])
    assert f"#{anchor}" in (hit.get_attribute("href") or "") + "#"
    hit.tap()
    phone.wait_for_url(re.compile("vehicles/|procedures/"))
    if anchor:
        expect(phone.locator(":target")).to_be_visible()


def stand(site: Served, page: Page, where: str) -> None:
    """Open a procedure, or the search page with a car chosen, or with none."""
    if where.startswith("fit-"):
        page.goto(site.page(f"procedures/{where}"))
        return
    page.goto(f"{site.url}search.html")
    page.evaluate("localStorage.clear()")
    if where:
        page.evaluate("where => localStorage.setItem('procedures-vehicle', where)", where)


def ranks(site: Served, page: Page, asked: Iterable[Asked]) -> dict[str, int]:
    """The place of the row wanted among the hits of each query, 0 for none."""
    places: dict[str, list[Asked]] = {}
    for one in asked:
        places.setdefault(one.where, []).append(one)
    found: dict[str, int] = {}
    for where, some in places.items():
        stand(site, page, where)
        hits = page.evaluate(
            """async ([texts, script]) => {
                const { search } = await import(script);
                const all = [];
                for (const text of texts) all.push((await search(text)).hits);
                return all.map(hits => hits.map(({ kind, name, answer, shown, off, places: [at] }) => (
                    { kind, name, off, shown: [...answer, shown].join(" "), anchor: at.anchor, here: at.here })));
            }""",  # noqa: E501
            [[one.text for one in some], f"{site.url}_static/find-search.js"],
        )
        for one, each in zip(some, hits, strict=True):
            right = (n for n, hit in enumerate(each, 1) if is_right(one, hit))
            found[one.text] = next(right, 0)
    return found


def is_right(one: Asked, hit: dict[str, Any]) -> bool:
    """Whether a hit is the row wanted."""
    name, shown = (hit[key].replace("\xa0", " ") for key in ("name", "shown"))
    said = one.kind in {"", hit["kind"]} and one.name in name and one.shown in shown
    here = hit["here"] or not one.where.startswith("fit-")
    return said and (not one.anchor or (hit["anchor"] == one.anchor and here and not hit["off"]))


@pytest.mark.parametrize(
    ("asked", "least"), [(AT_THE_CAR, 59), (APART, 36), (AT_THE_LIFT, 39), (WITH_ONE_THUMB, 59)]
)
def test_what_technicians_type_leads_to_its_row(
    site: Served, phone: Page, asked: tuple[Asked, ...], least: int
) -> None:
    found = ranks(site, phone, asked)
    behind = [text for text, rank in found.items() if not 1 <= rank <= 3]
    assert len(asked) - len(behind) >= least, behind


@pytest.mark.parametrize(
    ("text", "shown", "told"),
    [
        ("7.4 lbf·ft", "10 N·m", "“7.4 lbf·ft” as “10 N·m”"),
        ("7,4 ft lb", "10 N·m", "“7.4 lbf·ft” as “10 N·m”"),
        ("18 lbf·ft", "25 N·m", "“18 lbf·ft” as “25 N·m”"),
        ("44.7 Nm", "45 N·m (33 lbf·ft)", "“44.7 N·m” as “33 lbf·ft”"),
        ("1.0 kgm", "10 N·m", "“1.0 kgf·m” as “10 N·m”"),
        ("2.2 quarts", "2.1 L", "as “2.1 L”"),
        ("11.4 litres", "12 US qt", "“11.4 L” as “12 US qt”"),
    ],
)
def test_an_amount_is_found_in_any_unit(
    site: Served, phone: Page, text: str, shown: str, told: str
) -> None:
    phone.goto(f"{site.url}search.html")
    rows = [one.replace("\xa0", " ") for one in find(phone, text).all_inner_texts()]
    assert any(shown in row for row in rows), rows
    status = phone.get_by_role("search").get_by_role("status").inner_text()
    assert told in status.replace("\xa0", " ")


def test_a_pressure_in_prose_is_found_in_any_unit_and_a_near_one_never(
    site: Served, phone: Page
) -> None:
    phone.goto(f"{site.url}search.html")
    expect(find(phone, "17.4 psi").first).to_contain_text("Test the charge circuit for leaks")
    for text in ("22 psi", "8.2 lbf·ft"):  # none within rounding: 152 kPa, 11.1 N·m
        expect(find(phone, text)).to_have_count(0)


TORQUE_UNITS = {"nm": ("N·m", 1.0), "lbfft": ("lbf·ft", 1.355818), "lbfin": ("lbf·in", 0.1129848),
                "kgfm": ("kgf·m", 9.80665)}  # fmt: skip
"""What the units are in N·m: NIST SP 811 (2008), App. B.8."""


def test_every_torque_is_found_in_every_unit_with_three_figures(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    torques = phone.evaluate("fetch('find/amounts.json').then(a => a.json())")["amounts"][0]
    written = [(one[1], re.fullmatch(r"([\d.]+)(\D+)", one[1])) for one in torques]
    asked = [
        (term, f"{float(f'{float(match[1]) * TORQUE_UNITS[match[2]][1] / worth:.3g}'):g} {symbol}")
        for term, match in written
        if match
        for unit, (symbol, worth) in TORQUE_UNITS.items()
        if unit != match[2]
    ]
    assert len(asked) > 100
    read = phone.evaluate(
        """async texts => {
            const { asked } = await import("./_static/find-words.js");
            const { withAmounts } = await import("./_static/find-numbers.js");
            const begun = await (await fetch("find/start.json")).json();
            const read = text => withAmounts(asked(text, begun), begun);
            const terms = await Promise.all(texts.map(read));
            return terms.map(([one]) => [...one.words, ...(one.near ?? []).map(each => each.word)]);
        }""",
        [text for _, text in asked],
    )
    known = {one[1]: set(one[1:]) for one in torques}
    lost = [text for (term, text), meant in zip(asked, read, strict=True)
            if not known[term] & set(meant)]  # fmt: skip
    assert lost == []


def step_hits(page: Page, text: str) -> list[str]:
    """Where the rows of a query lead, those that are about another car left out."""
    kept = find(page, text).and_(page.locator(":not(.find-off)"))
    return [hit.get_attribute("href") or "" for hit in kept.all()]


def test_a_step_is_found_by_its_number_where_the_reader_stands(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-180"))
    for text in ("step 16", "Step no. 16", "step16", "16"):
        assert step_hits(phone, text)[0] == "#step-16", text
    expect(find(phone, "16").nth(1)).to_contain_text("16 mm socket")
    expect(find(phone, "step 16").first.locator(".find-answer")).to_have_text("step 16")
    hits(phone).first.tap()
    expect(phone.locator("#step-16")).to_be_in_viewport()
    status = phone.get_by_role("search").get_by_role("status")
    find(phone, "step 99")
    expect(status).to_have_text("Nothing found. Nothing has “step 99”.")
    expect(find(phone, "19").first).to_contain_text("on this page")


def test_a_begun_job_leads_its_steps_and_no_other_vehicle_does(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    phone.get_by_label("Step 1 done:").click()
    begin_on_unknown_car(phone)
    phone.goto(f"{site.url}search.html")
    assert step_hits(phone, "step 7")[0].endswith("fit-tf-220.html#step-7")
    assert step_hits(phone, "7")[0].endswith("fit-tf-220.html#step-7")
    for text in ("step 7", "step 12", "raise car"):
        rows = find(phone, text)
        off = rows.evaluate_all("all => all.map(e => e.classList.contains('find-off'))")
        drover = rows.evaluate_all("all => all.map(e => e.href.includes('bd-'))")
        assert not off[0], text
        assert off == sorted(off), text
        assert all(is_off for is_off, is_other in zip(off, drover, strict=True) if is_other), text


def test_what_warns_and_who_may_is_answered(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-260"))
    expect(find(phone, "warning airbag").first).to_contain_text("DANGER: Airbag")
    expect(find(phone, "who may unplug the airbag").first).to_contain_text("certified people only")
    expect(find(phone, "can I reuse the damper nuts").first).to_contain_text("new every time")
    for row in find(phone, "which nuts are new").all()[:3]:
        expect(row).to_contain_text("new every time")


def test_a_guess_is_said_as_a_guess_and_an_answer_comes_first(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    status = phone.get_by_role("search").get_by_role("status")
    find(phone, "lug nuts")
    expect(status).to_contain_text("Guessed: “lug nuts” as “wheel nut”")
    find(phone, "coler bolts")
    expect(status).to_contain_text("Guessed: “coler” as “cooler”")
    find(phone, "cooler bolts")
    expect(status).not_to_contain_text("Guessed")
    first = find(phone, "tightening order charge air cooler TF-220 bolts").first
    expect(first.locator(".find-answer")).to_contain_text("in order: hot lower, cold upper")


@pytest.mark.parametrize(
    ("text", "tool", "joint", "among"),
    [
        ("which socket cooler bolts", "13 mm socket, 150 mm extension", "TF-220 bolts", 3),
        ("charge air cooler bolts socket", "13 mm socket, 150 mm extension", "TF-220 bolts", 1),
        ("what wrench for the axle cover bolts", "1/2 in socket", "Axle cover bolts", 1),
        ("what size socket for the towing eye", "24 mm socket", "Towing eye", 1),
    ],
)
def test_who_asks_for_a_socket_is_led_to_the_list_of_tools(
    site: Served, phone: Page, text: str, tool: str, joint: str, among: int
) -> None:
    phone.goto(f"{site.url}search.html")
    rows = find(phone, text)
    said = [" ".join(one.split()) for one in rows.all_inner_texts()[:among]]
    right = [n for n, one in enumerate(said) if f"Tool {tool} for" in one and joint in one]
    assert right, said
    rows.nth(right[0]).tap()
    phone.wait_for_url(re.compile("/procedures/.*#tool-"))
    expect(phone.locator(":target")).to_contain_text(tool.partition(",")[0])
    expect(phone.locator(":target")).to_be_visible()


def test_the_kits_own_come_before_what_they_replace_and_that_says_so(
    site: Served, phone: Page
) -> None:
    phone.goto(f"{site.url}search.html")
    rows = find(phone, "intercooler bolts").all_inner_texts()
    kit = next(n for n, row in enumerate(rows) if "Charge-air cooler TF-220 bolts" in row)
    stock = next(n for n, row in enumerate(rows) if "Charge-air cooler bolts" in row)
    assert kit < stock
    assert "replaced by TF-220" in rows[stock]
    expect(find(phone, "intercooler").first).to_contain_text("also: intercooler")


def test_the_guide_is_searched_where_it_is_asked_for(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    find(phone, "page language")
    assert not [sent for sent in site.sent if "find-guide" in sent.path]
    assert not any("writing" in (hit.get_attribute("href") or "") for hit in hits(phone).all())
    phone.get_by_label("The guide for writers, too").check()
    find(phone, "twins-differ")
    expect(hits(phone).first).to_have_attribute("href", re.compile("checks/twins-differ"))
    phone.goto(site.page("writing/steps"))
    expect(find(phone, "twins-differ").first).to_have_attribute("href", re.compile("checks/"))


def test_a_first_search_is_small(site: Served, phone: Page) -> None:
    phone.goto(site.page("index"))
    expect(phone.get_by_role("searchbox")).to_be_visible()
    find(phone, "cooler bolts")
    sent = [one for one in site.sent if "/find" in one.path or "stemmer" in one.path]
    assert 5 < len(sent) < 40
    assert sum(one.size for one in sent) < BUDGET / 3


def test_rows_of_the_page_that_is_open_come_first(site: Served, phone: Page) -> None:
    for page, anchor in (("fit-tf-180", "#fastener-"), ("fit-bd-420", "#fastener-")):
        phone.goto(site.page(f"procedures/{page}"))
        first = find(phone, "M8").first
        expect(first).to_contain_text("on this page")
        assert (first.get_attribute("href") or "").startswith(anchor)


def test_a_hit_on_the_open_page_gets_out_of_its_own_way(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    find(phone, "towing eye").first.tap()
    expect(hits(phone)).to_have_count(0)
    expect(phone.locator("#fastener-towing-eye")).to_be_in_viewport()


def test_rows_for_other_cars_come_last_and_say_so(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    rows = [one.replace("\xa0", " ") for one in find(phone, "oil cooler").all_inner_texts()]
    assert "only: transmission=automatic" in rows[0]
    assert not any("not for my car" in row for row in rows)
    phone.evaluate(
        "localStorage.setItem('procedures-car:tarrow-finch', '{\"transmission\": \"manual\"}')"
    )
    phone.goto(site.page("kits/tf-220"))
    found = find(phone, "cooler")
    last = ["not for my car" in row for row in found.all_inner_texts()]
    assert last == sorted(last)
    for hit in found.all():
        only = "only: transmission=automatic" in hit.inner_text()
        assert only == ("not for my car" in hit.inner_text())
    find(phone, "TF-220-11")
    expect(hits(phone)).to_have_count(1)
    expect(hits(phone)).to_contain_text("not for my car, only: transmission=automatic")
    expect(phone.get_by_role("search").get_by_role("status")).to_have_text(
        "1 found, not for my car."
    )


def test_the_vehicle_in_hand_leads_and_others_say_so(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    rows = find(phone, "wheel nut").all_inner_texts()
    assert "110" in rows[0].replace("\xa0", " ")
    assert not any("136" in row for row in rows)  # of the other vehicle: none among the first six
    phone.goto(site.page("search"))  # no car in hand
    assert not any("another vehicle" in row for row in find(phone, "M8").all_inner_texts())
    phone.goto(site.page("procedures/fit-tf-220"))
    phone.locator(".car-choice > summary").tap()
    phone.locator(".car-choice").get_by_label("automatic").check()
    phone.goto(site.page("search"))
    for text in ("M8", "10 N·m", "how tight are the wheel bolts"):
        found = find(phone, text)
        off = found.evaluate_all("all => all.map(e => e.classList.contains('find-off'))")
        assert not off[0], text
        assert off == sorted(off), text
    assert any("another vehicle" in row for row in found.all_inner_texts())
    for text in ("flywheel bolts", "pressure plate bolts"):  # of a kit for the manual alone
        assert "not for my car" in find(phone, text).first.inner_text(), text


def test_what_was_kept_and_is_no_car_marks_nothing(site: Served, phone: Page) -> None:
    for kept in ("{", "null", "7"):
        phone.goto(site.page("kits/tf-220"))
        phone.evaluate("kept => localStorage.setItem('procedures-car:tarrow-finch', kept)", kept)
        find(phone, "TF-220-11")
        expect(hits(phone)).to_contain_text("only: transmission=automatic")
        expect(hits(phone)).not_to_contain_text("not for my car")


def test_a_row_that_is_folded_away_is_unfolded(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    find(phone, "soap spray").first.tap()
    expect(phone.locator("#tool-soap-spray")).to_be_in_viewport()


def test_a_link_with_a_query_searches(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html?q=TF-220-07")
    expect(hits(phone).first).to_contain_text("TF-220-07")
    expect(phone.get_by_role("searchbox")).to_have_value("TF-220-07")
    find(phone, "towing eye")
    assert "q=towing+eye" in phone.url


def test_the_box_in_the_head_leads_to_the_search_page(site: Served, phone: Page) -> None:
    phone.goto(site.page("writing/steps"))
    phone.get_by_role("searchbox").fill("coler bolts")
    phone.locator("header").get_by_role("button", name="Find").tap()
    phone.wait_for_url("**/search.html?q=coler+bolts&guide=on")
    expect(hits(phone).first).to_be_visible()


def test_keys_alone_will_do(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    desk.get_by_role("searchbox").focus()
    desk.keyboard.type("cooler bolts")
    expect(hits(desk).first).to_be_visible()
    desk.keyboard.press("ArrowDown")
    expect(hits(desk).nth(0)).to_be_focused()
    desk.keyboard.press("ArrowDown")
    expect(hits(desk).nth(1)).to_be_focused()
    desk.keyboard.press("ArrowUp")
    desk.keyboard.press("ArrowUp")
    expect(desk.get_by_role("searchbox")).to_be_focused()
    desk.keyboard.press("ArrowDown")
    desk.keyboard.press("Escape")
    expect(hits(desk)).to_have_count(0)
    expect(desk.get_by_role("searchbox")).to_be_focused()


def test_what_is_found_is_read_out_and_what_is_not_is_named(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    status = phone.get_by_role("search").get_by_role("status")
    expect(status).to_have_text("")
    find(phone, "TF-220-07")
    expect(status).to_have_text("1 found.")
    find(phone, "towing blurfl")
    expect(status).to_contain_text("Nothing has “blurfl”")
    find(phone, "TF-220-99")
    expect(status).to_contain_text("Nothing found")
    expect(hits(phone)).to_have_count(0)


def test_hits_are_large_enough_for_a_thumb_and_no_wider_than_the_phone(
    site: Served, phone: Page
) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    for hit in find(phone, "bolts").all():
        box = hit.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
    button = phone.locator("header").get_by_role("button", name="Find").bounding_box()
    assert button is not None
    assert min(button["height"], button["width"]) >= 44


def test_without_a_network_the_reader_is_told_and_can_try_again(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    site.plugged = False
    box = phone.get_by_role("searchbox")
    box.fill("zzz towing")
    status = phone.get_by_role("search").get_by_role("status")
    expect(status).to_contain_text("can’t be reached")
    site.plugged = True
    box.fill("towing eye")
    expect(hits(phone).first).to_contain_text("Towing eye")


def test_without_scripts_the_page_says_so(site: Served, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{site.url}search.html?q=M8")
    expect(page.locator("noscript p")).to_be_visible()
    assert "Searching needs JavaScript" in page.content()
    expect(page.get_by_role("searchbox")).to_be_visible()
    context.close()


def test_what_is_typed_is_read_as_the_index_reads_it(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    read = phone.evaluate(
        """async texts => {
            const { asked } = await import("./_static/find-words.js");
            const tables = await (await fetch("find/start.json")).json();
            return texts.map(text => asked(text, tables).map(one => one.words[0]));
        }""",
        [text for text, _ in TYPED],
    )
    assert read == [list(asked) for _, asked in TYPED]


def test_pounds_are_read_both_ways_and_misspelt_numbers_never(site: Served, phone: Page) -> None:
    phone.goto(f"{site.url}search.html")
    texts = " ".join(find(phone, "89 lb").all_inner_texts()).replace("\xa0", " ")
    assert "10 N·m (89 lbf·in)" in texts
    find(phone, "TF-220-0X")
    expect(hits(phone)).to_have_count(0)


@pytest.fixture
def hostile(tmp_path: Path) -> Iterator[Served]:
    """A small manual whose bolts have a name that is meant to be read as HTML."""
    themed = CONF.replace('"basic"', '"bench"')
    manual = SmallManual(tmp_path / "manual", themed)
    manual.change("hatch.md", "name: Cover bolts", f"name: {json.dumps(HOSTILE)}")
    served = Served(manual.build().html)
    yield served
    served.close()


def test_a_hostile_name_is_shown_as_it_is_written(hostile: Served, phone: Page) -> None:
    phone.goto(f"{hostile.url}search.html?q=cover+bolts")
    expect(hits(phone).first).to_contain_text(HOSTILE)
    assert phone.locator(".find-hits img").count() == 0
    expect(phone).not_to_have_title("owned")
    find(phone, "<img src=x onerror=alert(1)>")
    assert phone.locator(".find img").count() == 0
