"""The tables of questions and of the trade's words: each row can be used, and says where from."""

from __future__ import annotations

from procedures_lib.data_tables import csv_rows
from procedures_lib.fronts.search import KINDS, terms_of
from procedures_lib.fronts.search.asking import ANSWERS, HINTS, MARKS, questions, trade_words
from procedures_lib.fronts.search.terms import folded
from tests.search.asked import APART, AT_THE_CAR, AT_THE_LIFT, WITH_ONE_THUMB

PACKAGE = "procedures_lib.fronts.search"


def test_every_row_says_where_it_is_from() -> None:
    for name in ("questions.csv", "trade_words.csv"):
        rows = csv_rows(PACKAGE, name)
        assert len(rows) > 10
        assert {row["source"] for row in rows} == {"common practice"}


def test_questions_ask_for_kinds_and_facts_that_rows_have() -> None:
    asked = questions()
    assert {letter for _, kinds, _, _ in asked for letter in kinds} <= set(KINDS)
    asked_for = {answer for _, _, answer, _ in asked} - {""}
    assert {MARKS.get(answer, answer) for answer in asked_for} == set(ANSWERS)
    assert set(HINTS.values()) <= set(KINDS)


def test_a_longer_question_is_read_before_one_that_it_holds() -> None:
    phrases = [phrase for phrase, *_ in questions()]
    assert len(set(phrases)) == len(phrases)
    assert phrases.index("torque sequence") < phrases.index("sequence")
    assert all(phrase == folded(phrase) for phrase in phrases)


def test_words_of_the_trade_come_in_groups_of_two_and_more() -> None:
    for words, *instead in trade_words():
        assert len(words) + sum(map(len, instead)) >= 2, words
        for phrase in (*words, *(other for each in instead for other in each)):
            assert terms_of(phrase), phrase


def test_no_query_stands_twice_in_a_list() -> None:
    lists = (AT_THE_CAR, APART, AT_THE_LIFT, WITH_ONE_THUMB)
    assert [len(each) for each in lists] == [60, 40, 40, 60]
    assert all(len({one.text for one in each}) == len(each) for each in lists)
