"""Events to data: everything refused is told at once, and nothing made to exhaust the reader gets far."""

import pytest

from ringout.text import compose
from ringout.text.compose import DEEPEST, MOST_PROBLEMS, MOST_VALUES, Form
from ringout.text.document import NamedTwice, read_text
from ringout.text.problem import Unusable


def messages(text: str) -> list[str]:
    with pytest.raises(Unusable) as caught:
        read_text(text, "f")
    return str(caught.value).splitlines()


def test_how_a_value_is_written_is_kept() -> None:
    places = read_text("a: x\nb: 'x'\nc: \"x\"\nd: |\n  x\ne: >\n  x\nf:\ng: []\nh:\n- {}\n", "f").places
    assert {"".join(map(str, loc)): place.form for loc, place in places.items()} == {
        "": Form.BLOCK, "a": Form.PLAIN, "b": Form.QUOTED, "c": Form.QUOTED, "d": Form.LINES, "e": Form.LINES,
        "f": Form.EMPTY, "g": Form.FLOW, "h": Form.BLOCK, "h0": Form.FLOW,
    }  # fmt: skip


def test_all_that_is_refused_is_told_in_one_go() -> None:
    said = messages("a: 1\nb: &x {a: *y, <<: 1}\na: 2\n? [1, 1]\n: !t d\ne: [f\n")
    assert [line.split(":")[1] for line in said] == ["2", "2", "2", "3", "4", "5", "6"]


def test_a_name_may_come_again_in_another_mapping() -> None:
    assert read_text("a: {x: 1}\nb: {x: 2, a: 3}\n", "f").data == {"a": {"x": "1"}, "b": {"x": "2", "a": "3"}}


def test_a_name_is_compared_as_text_not_as_written() -> None:
    assert messages("a: 1\n'a': 2\n") == [
        "f:2:1: a: expected each name once, found 'a' a second time; the first is at line 1, column 1"
    ]
    assert read_text("1: a\n01: b\n1.0: c\n", "f").data == {"1": "a", "01": "b", "1.0": "c"}


def test_names_given_twice_leave_the_rest_readable() -> None:
    with pytest.raises(NamedTwice) as caught:
        read_text("a: 1\nb: {c: 2, c: 3}\na: 4\n", "f")
    assert caught.value.document.data == {"a": "4", "b": {"c": "3"}}
    assert len(caught.value.problems) == 2


@pytest.mark.parametrize("text", ["a: 1\na: &x 2\n", "a: 1\na: [\n", "a: 1\n" * (MOST_PROBLEMS + 2)])
def test_what_is_worse_than_a_name_given_twice_is_not_read_on(text: str) -> None:
    with pytest.raises(Unusable) as caught:
        read_text(text, "f")
    assert not isinstance(caught.value, NamedTwice)


def test_a_third_time_is_told_too() -> None:
    assert len(messages("a: 1\na: 2\na: 3\n")) == 2


def test_quotes_make_a_name_of_signs() -> None:
    assert read_text("'<<': 1\n'': 2\n'*a': 3\n", "f").data == {"<<": "1", "": "2", "*a": "3"}


@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ("{a: ", "}"), ("- ", "")])
def test_the_deepest_file(opening: str, closing: str) -> None:
    def nested(levels: int) -> str:
        return opening * levels + "x" + closing * levels

    read_text(nested(DEEPEST), "f")
    assert "expected at most 32 levels of mappings and lists in each other, found more" in messages(
        nested(DEEPEST + 1)
    )[0]


@pytest.mark.parametrize("opening", ["[", "{", "- ", "? ", "{a: ", "[a: ", "!!map {? "])
def test_endless_nesting_is_given_up_early(opening: str) -> None:
    said = messages(opening * (1_000_000 // len(opening)))
    assert said[-1].endswith("expected at most 32 levels of mappings and lists in each other, found more")


def test_the_most_values(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compose, "MOST_VALUES", 5)
    read_text("a: [1, 2]\n", "f")
    assert messages("a: [1, 2, 3]\n") == ["f:1:11: expected at most 5 names and values in a file, found more"]


def test_more_values_than_any_case_needs_are_refused() -> None:
    said = messages("[" + "a," * MOST_VALUES + "]")
    assert said[0].endswith("expected at most 200,000 names and values in a file, found more")


def test_references_upon_references_are_never_followed() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 60)]
    assert len(messages("\n".join(lines[:5]))) == 5 + 4 * 9
    assert len(messages("\n".join(lines))) == MOST_PROBLEMS
