"""Times that can be compared, and those that cannot. The exact texts of mistakes stand in golden/."""

import pytest

from ringout.case.load import load_text
from ringout.case.moment import moment
from ringout.text.problem import Unusable

CASE = "case: the hide\nreadings: {rest: {what: voltage, value: 12.7 V, at: 'noon'}}\n"


@pytest.mark.parametrize(
    ("written", "sorts_as"),
    [
        ("9:30", "09:30"),
        ("09:30", "09:30"),
        (" 23:59 ", "23:59"),
        ("2026-05-03", "2026-05-03"),
        ("2026-05-03 9:30", "2026-05-03 09:30"),
    ],
)
def test_a_time_sorts_by_time(written: str, sorts_as: str) -> None:
    assert moment(written) == sorts_as


@pytest.mark.parametrize("written", ["", " ", "noon", "24:00", "9:60", "9.30", "2026-05-03 noon", "3 May"])
def test_other_words_are_no_time(written: str) -> None:
    assert moment(written) is None


def test_any_words_do_where_nothing_was_changed() -> None:
    assert load_text(CASE, "c.yaml").readings[0].reading.at == "noon"


def test_times_must_compare_where_something_was_changed() -> None:
    with pytest.raises(Unusable) as caught:
        load_text(CASE + "changed: [{at: '10:40'}, {at: '2026-05-03 11:00'}]\n", "c.yaml")
    assert str(caught.value).splitlines() == [
        "c.yaml:2:53: readings.rest.at: expected a time such as 10:40, 2026-05-03 or 2026-05-03 10:40,"
        " found 'noon'",
        "c.yaml:3:31: changed.2.at: expected a time written like that of the first change, 10:40,"
        " found '2026-05-03 11:00'",
    ]
