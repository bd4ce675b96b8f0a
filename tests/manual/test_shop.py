"""The shop's settings."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import pytest

from procedures_lib.manual.shop import WITNESSED, Shop, read_shop

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.findings import Finding

GOOD = """
[shop]
name = "Test shop"
manual = "Manual"
notice = "Invented."
invented = true

[[torque-wrench]]
id = "click-10"
name = "Click wrench"
range = "2–10 N·m"
drive = "1/4 in"
deviation-class = "II A"
last-calibrated = 2026-08-17
calibration-due = 2027-08-17

[[torque-wrench]]
id = "inch"
name = "Inch wrench"
range = "40–200 lbf·in"

[[angle-gauge]]
id = "gauge"
name = "Angle gauge"
range = "0–360°"
step = "2°"
"""


def read(tmp_path: Path, text: str) -> tuple[Shop, list[Finding]]:
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return read_shop(path)


def test_all_settings_are_read(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD)
    assert found == []
    assert (shop.name, shop.notice, shop.invented) == ("Test shop", "Invented.", True)
    click, inch = shop.torque_wrenches
    assert (click.id, click.name, click.range.written) == ("click-10", "Click wrench", "2–10 N·m")
    assert click.calibration_due == datetime.date(2027, 8, 17)
    assert click.scale == (2, 10)
    assert inch.scale == pytest.approx((4.519, 22.597), abs=0.001)
    (gauge,) = shop.angle_gauges
    assert (gauge.id, gauge.name) == ("gauge", "Angle gauge")


def test_a_missing_file_is_a_shop_without_wrenches(tmp_path: Path) -> None:
    shop, found = read_shop(tmp_path / "none.toml")
    assert (shop, found) == (Shop(), [])


def test_broken_toml_is_one_finding_on_its_line(tmp_path: Path) -> None:
    shop, found = read(tmp_path, '[shop]\nname = "A"\nmanual = \n')
    assert [(f.check, f.place.line) for f in found] == [("unreadable-page", 3)]
    assert shop == Shop()


@pytest.mark.parametrize(
    ("old", "new", "check", "line"),
    [
        ('range = "2–10 N·m"', 'range = "2–10"', "no-unit", 11),
        ('range = "2–10 N·m"', 'range = "10–2 N·m"', "bad-tolerance", 11),
        ('range = "2–10 N·m"', 'range = "2–10 mm"', "wrong-dimension", 11),
        ('range = "2–10 N·m"', 'rnage = "2–10 N·m"', "unknown-field", 11),
        ('name = "Inch wrench"', "", "missing-field", 17),
        ("[[angle-gauge]]", "[units]\ntorque = 1\n[[angle-gauge]]", "unknown-field", 22),
        ('id = "click-10"', 'id = "Click 10"', "bad-id", 9),
        ('deviation-class = "II A"', 'deviation-class = "II K"', "unknown-word", 13),
        ('drive = "1/4 in"', 'length = "300"', "no-unit", 12),
        (
            "calibration-due = 2027-08-17",
            "calibration-due = 2027-08-17T10:00:00",
            "wrong-shape",
            15,
        ),
    ],
)
def test_a_bad_setting_is_one_finding_and_the_rest_is_used(
    tmp_path: Path, old: str, new: str, check: str, line: int
) -> None:
    shop, found = read(tmp_path, GOOD.replace(old, new))
    assert [(f.check, f.place.line) for f in found] == [(check, line)]
    assert (shop.name, len(shop.angle_gauges)) == ("Test shop", 1)


@pytest.mark.parametrize("text", ["shop = 1", "torque-wrench = 3", "torque-wrench = [1]"])
def test_settings_of_the_wrong_shape_are_one_finding(tmp_path: Path, text: str) -> None:
    rest = "" if text.startswith("shop") else "[shop]\nname = 'Ours'\n"
    shop, found = read(tmp_path, f"# shop\n{text}\n{rest}")
    assert [(f.check, f.place.line) for f in found] == [("unreadable-block", 2)]
    assert "below it one `key = value` a line" in found[0].hint
    assert shop.witnessed == WITNESSED
    assert shop == (Shop(name="Ours", witnessed=WITNESSED) if rest else Shop(witnessed=WITNESSED))


@pytest.mark.parametrize(
    ("text", "check", "line", "says", "cure"),
    [
        ("", "missing-field", 1, "`[shop]` is missing", 'write `[shop]`, once, and below it `name'),
        ("[[angle-gauge]]\nid = 'a'\nname = 'A'", "missing-field", 1, "`[shop]` is missing", ""),
        ("# ours\n\n[shop]\nmanual = 'M'", "missing-field", 3, "needs `name`", 'add `name = "…"`'),
        ("[shop]\nname = ''", "missing-field", 2, "value is missing", "between the quotes"),
        ("[shop]\nname = 5", "wrong-shape", 2, "a number stands here", 'write `name = "…"`'),
        ("[shop]\nname = true", "wrong-shape", 2, "a text is wanted", 'write `name = "…"`'),
        ("[shop]\nname = 2026-09-14", "wrong-shape", 2, "a date or time stands", "`name ="),
        ("[shop]\nname = ['a']", "wrong-shape", 2, "not a list", "single value"),
        ("[shop]\nname = {a = 1}", "wrong-shape", 2, "not a mapping", "single value"),
        ("[shop.name]\na.b = 1", "wrong-shape", 1, "not a mapping", "single value"),
        ("shop.manual = 'M'", "missing-field", 1, "needs `name`", 'add `name = "…"`'),
        ("a = 1\nshop.name = 5", "wrong-shape", 2, "a number", 'write `name = "…"`'),
        ("[[shop]]\nname = 'A'\n[[shop]]", "wrong-shape", 1, "one shop, not a list", "`[shop]`"),
        ("[shop]\nname = 'A'\ninvented = 1", "wrong-shape", 3, "true or false is wanted", "true"),
        ("[shop]\nname = 'A'\nnotice = 0x" + 5000 * "F", "wrong-shape", 3, "a number", "notice"),
        ("[shop]\nname = 'A'" + 3 * "\n" + "[[torque-wrench]]\nid = 'a'\nname = 'A'\nrange = 10",
         "wrong-shape", 8, "`range`: a number stands here", 'write `range = "…"`'),
        ("[shop]\nname = 'A'\n[[angle-gauge]]\nid = 'a'\nname = 'A'\ncheck-due = 2027",
         "wrong-shape", 6, "a date is wanted", "write `check-due = 2026-09-14`"),
        ("[shop]\nname = 'A'\n[[angle-gauge]]\nid = 'a'", "missing-field", 3, "needs `name`",
         'add a line `name = "…"`'),
    ],
)  # fmt: skip
def test_what_the_shop_lacks_or_has_of_a_wrong_type_is_found_with_its_line_and_the_cure(
    tmp_path: Path, text: str, check: str, line: int, says: str, cure: str
) -> None:
    _, found = read(tmp_path, text)
    found = [f for f in found if "no table `a`" not in f.message]
    assert [(f.check, f.place.line) for f in found] == [(check, line)]
    assert says in found[0].message
    assert cure in found[0].hint


@pytest.mark.parametrize(
    ("raw", "line", "says"),
    [
        (b"[shop]\n<<<<<<< mine\nname = 'A'\n", 2, "the mark of a merge"),
        (b"[shop]\nname = 'A'\n=======\nname = 'B'\n", 3, "the mark of a merge"),
        (b"[shop]\nname = ", 2, "is not TOML"),
        (b"[shop]\nname = 'A'\n[shop]\n", 3, "is not TOML"),
        (b"[shop]\n\nname = '\xff'\n", 3, "is not TOML"),
        (b"[shop]\nname = 2026-13-40\n", 2, "is not TOML"),
        (b"a = " + 100_000 * b"[", 1, "nested too deep"),
    ],
)
def test_what_is_no_toml_is_found_where_its_reading_stops(
    tmp_path: Path, raw: bytes, line: int, says: str
) -> None:
    path = tmp_path / "shop.toml"
    path.write_bytes(raw)
    shop, (found,) = read_shop(path)
    assert (shop, found.check, found.place.line) == (Shop(), "unreadable-page", line)
    assert says in found.message
    assert "write" in found.hint


def test_a_shop_file_that_is_no_file_is_found(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").mkdir()
    _, (found,) = read_shop(tmp_path / "shop.toml")
    assert found.text() == "shop.toml:1: error: unreadable-page: " + found.message
    assert "can't be read: it is no file" in found.message


@pytest.mark.parametrize("outer", ["shop", "shop.name", "torque-wrench", "x"])
def test_tables_in_tables_without_end_are_read(tmp_path: Path, outer: str) -> None:
    _, found = read(tmp_path, f"[{outer}{3000 * '.a'}]\nb = 1\n")
    assert found


def test_a_single_table_is_one_wrench(tmp_path: Path) -> None:
    wrench = "[torque-wrench]\nid = 'x'\nname = 'X'\nrange = '2–10 N·m'\n"
    shop, found = read(tmp_path, f"{wrench}[shop]\nname = 'Ours'\n")
    assert (found, [wrench.id for wrench in shop.torque_wrenches]) == ([], ["x"])


def test_a_class_is_kept_in_one_spelling_and_tells_the_type(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD.replace("II A", "type II, class a"))
    assert found == []
    assert [wrench.deviation_class for wrench in shop.torque_wrenches] == ["II A", ""]
    dial, _ = read(tmp_path, GOOD.replace("II A", "I B"))
    assert [wrench.shows_torque for wrench in dial.torque_wrenches] == [True, False]


def test_a_wrench_as_a_plain_value(tmp_path: Path) -> None:
    shop, _ = read(tmp_path, GOOD.replace('drive = "1/4 in"', 'drive = "1/4 in"\nlength = "12 in"'))
    click, inch = shop.wrenches
    assert (click.least, click.most, click.drive) == (2, 10, "1/4 in")
    assert click.length == pytest.approx(304.8)
    assert (click.due, inch.due) == (datetime.date(2027, 8, 17), None)
    assert (inch.length, inch.deviation) == (None, None)


def test_the_shop_does_not_know_what_day_it_is(tmp_path: Path) -> None:
    shop, _ = read(tmp_path, GOOD)
    day = datetime.date(2028, 1, 1)
    assert (shop.day, shop.judged_on(day).day, shop.judged_on(day).judged_on(None).day) == (
        None,
        day,
        None,
    )
    assert shop.judged_on(day).model_dump_json() == shop.model_dump_json(), "what pages show"


WAYS = """
[remarks]
mail = "workshop@manual.example"
issue = "https://issues.manual.example/new?title={title}&body={body}"
share = true
"""


def test_the_ways_of_remarks_are_read(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD + WAYS)
    assert found == []
    ways = shop.remark_ways
    assert (ways.mail, ways.share) == ("workshop@manual.example", True)
    assert ways.issue == "https://issues.manual.example/new?title={title}&body={body}"
    none = read(tmp_path, GOOD)[0].remark_ways
    assert (none.mail, none.issue, none.share) == ("", "", False)


@pytest.mark.parametrize(
    "mail",
    [
        "workshop",
        "a@b",
        "A B <a@b.example>",
        "a@b.example?cc=x@y.example",
        "a@b.example,c@d.example",
        "mailto:a@b.example",
        "a@b.example\\nBcc: x@y.example",
        "a%0A@b.example",
        "javascript:alert(1)",
        "a@b..example",
        f"{'a' * 65}@b.example",
        f"a@{'b.' * 130}example",
    ],
)
def test_what_is_no_mail_address_is_told(tmp_path: Path, mail: str) -> None:
    told_and_left_out(tmp_path, f'mail = "{mail}"')


@pytest.mark.parametrize(
    "issue",
    [
        "issues.manual.example",
        "http://a.example/?t={title}&b={body}",
        "https://a.example/{title}?b={body}",
        "javascript:alert('{title}{body}')",
        "https://{title}.example/?b={body}",
        "https:///?t={title}&b={body}",
        "https://a.example/?t={title}",
        "https://a.example/?t={title}&b={body}&c={body}",
        "https://a.example/?t={title}&b={body}&c={x}",
        "https://u:p@a.example/?t={title}&b={body}",
        "https://a.example/?t={title}#{body}",
        "https://a.example/?t={title}&b={body}#x",
        "https://a.example/?t={title}&b={body} x",
        "https://ä.example/?t={title}&b={body}",
        "https://a.example:99999/?t={title}&b={body}",
        "https://[a.example/?t={title}&b={body}",
        "data:text/html,{title}{body}",
        "//a.example/?t={title}&b={body}",
        "https://a.example\\\\@b.example/?t={title}&b={body}",
    ],
)
def test_what_is_no_address_for_issues_is_told(tmp_path: Path, issue: str) -> None:
    told_and_left_out(tmp_path, f'issue = "{issue}"')


def told_and_left_out(tmp_path: Path, line: str) -> None:
    """One finding on the line, with what to write; the address is not used."""
    shop, found = read(tmp_path, f'[shop]\nname = "A"\nwitnessed = []\n[remarks]\n{line}\n')
    assert [(f.check, f.place.line) for f in found] == [("unknown-word", 5)]
    assert "manual.example" in found[0].hint
    assert shop == Shop(name="A")


@pytest.mark.parametrize(
    ("text", "check"),
    [
        ("remarks = 5\n", "unreadable-block"),
        ("[[remarks]]\nshare = true\n", "wrong-shape"),
        ('[remarks]\nshare = "perhaps"\n', None),
        ("[remarks]\nmail = 5\n", "wrong-shape"),
        ('[remarks]\nmial = "a@b.example"\n', "unknown-field"),
        ("[remark]\nshare = true\n", "unknown-field"),
    ],
)
def test_a_faulty_table_of_ways_is_one_finding(
    tmp_path: Path, text: str, check: str | None
) -> None:
    head = '[shop]\nname = "A"\n'
    _, found = read(tmp_path, text + head if text.startswith("remarks") else head + text)
    assert len(found) == 1
    assert check is None or found[0].check == check
    assert found[0].hint


def test_what_the_shop_says_of_its_archive(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD)
    assert (found, shop.archive.folder, shop.archive.registration) == ([], "archive", "hash")
    assert (shop.archive.initials, shop.archive.rests) == (False, ())
    more = (
        '\n[archive]\nregistration = "keep"\ninitials = true\nbreaks = ["9:00-9:15", "12:00–12:45"]'
    )
    shop, found = read(tmp_path, GOOD + more.replace("9:", "09:"))
    assert (found, shop.archive.registration, shop.archive.initials) == ([], "keep", True)
    nine, noon = datetime.time(9), datetime.time(12)
    assert [start for start, _ in shop.archive.rests] == [nine, noon]


@pytest.mark.parametrize(
    ("setting", "check", "said"),
    [
        ('registration = "plain"', "unknown-word", "`plain` is not one of the words here"),
        ('breaks = ["noon"]', "unknown-word", "`noon` is no break of a day"),
        ('breaks = ["13:00-12:00"]', "unknown-word", "`13:00-12:00` is no break of a day"),
        ('initials = "yes please"', "wrong-shape", ""),
        ('foldr = "x"', "unknown-field", "the archive has no field `foldr`"),
        ("[[archive]]", "wrong-shape", "there is one archive, not a list"),
    ],
)
def test_a_bad_setting_of_the_archive_is_found(
    tmp_path: Path, setting: str, check: str, said: str
) -> None:
    head = "[[archive]]" if setting.startswith("[[") else "[archive]"
    _, found = read(tmp_path, f"{GOOD}\n{head}\n{setting}\n")
    assert found[0].check == check
    assert said in found[0].message
    assert found[0].hint or not said
