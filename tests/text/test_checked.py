"""Checking against a model: values out of texts, and every mistake at once, in words of our own."""

from typing import Annotated, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, PlainValidator, RootModel

from ringout.text.checked import OneOf, Strict, Whole, Words, YesNo, problem, unknown_key, validate, wrong
from ringout.text.document import Document, read_text
from ringout.text.edit import quote
from ringout.text.problem import Unusable


class Bird(Strict):
    name: str = Field(min_length=1)
    ringed: YesNo = False
    seen: Whole = 0
    with_: Words = Field((), alias="with")
    sort: Annotated[str, OneOf(("bittern", "heron", "rail"))] = "heron"


class Season(Strict):
    title: str
    best: Bird | None = None
    birds: dict[str, Bird] = Field(default_factory=dict)
    days: list[Bird] = Field(default_factory=list)
    groups: dict[str, list[Bird]] = Field(default_factory=dict)
    remarks: list[str] = Field(default_factory=list)


class Book(RootModel[dict[str, Season]]):
    pass


def document(text: str) -> Document:
    return read_text(text, "b.yaml")


def mistakes(text: str, model: Any = Season) -> list[str]:
    with pytest.raises(Unusable) as caught:
        validate(document(text), model)
    return str(caught.value).splitlines()


def test_texts_become_values() -> None:
    text = "{title: spring, birds: {b: {name: Bo, ringed: yes, seen: -3, with: a b, sort: rail}}}"
    bird = validate(document(text), Season).birds["b"]
    assert (bird.name, bird.ringed, bird.seen, bird.with_, bird.sort) == ("Bo", True, -3, ("a", "b"), "rail")


def test_a_text_that_looks_like_something_else_stays_a_text() -> None:
    assert validate(document("title: 0123"), Season).title == "0123"


def test_a_part_of_the_document_can_be_checked_and_keeps_its_place() -> None:
    whole = document("season: {days: [{name: a}, {name: b, seen: few}]}")
    assert validate(whole, Bird, ("season", "days", 0)).name == "a"
    with pytest.raises(Unusable) as caught:
        validate(whole, Bird, ("season", "days", 1))
    said = "b.yaml:1:44: season.days.2.seen: expected a whole number, found 'few'"
    assert str(caught.value) == said


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("ringed: true", "1:32: birds.b.ringed: expected yes or no, found 'true'"),
        ("seen: 1.5", "1:30: birds.b.seen: expected a whole number, found '1.5'"),
        ("seen: --5", "1:30: birds.b.seen: expected a whole number, found '--5'"),
        ("seen: ٣", "1:30: birds.b.seen: expected a whole number, found '٣'"),
        ("seen: [1]", "1:30: birds.b.seen: expected a whole number, found a list"),
        ("with: [a, [b]]", "1:30: birds.b.with: expected names, such as: b1 b2, found a list"),
        (
            "with: {a: b}",
            "1:30: birds.b.with: expected names, such as: b1 b2, found names with values of their own",
        ),
        (
            "sort: hern",
            "1:30: birds.b.sort: expected one of bittern, heron, rail, found 'hern'; did you mean 'heron'?",
        ),
        ("sort: [rail]", "1:30: birds.b.sort: expected one of bittern, heron, rail, found a list"),
        (
            "saen: 3",
            "1:24: birds.b.saen: expected a known name (name, ringed, seen, sort, with), found 'saen'; "
            "did you mean 'seen'?",
        ),
    ],
)
def test_a_mistake_says_what_was_expected_and_found(line: str, said: str) -> None:
    assert mistakes(f"{{title: t, birds: {{b: {{{line}, name: n}}}}}}") == [f"b.yaml:{said}"]


def test_a_number_too_long_to_be_meant_is_a_mistake_not_a_crash() -> None:
    found = mistakes(f"{{title: t, best: {{name: n, seen: {'9' * 5000}}}}}")
    assert found == [f"b.yaml:1:34: best.seen: expected a whole number, found '{'9' * 59}…'"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("- a", "1:1: expected names with values (lines of 'name: value'), found a list"),
        ("{birds: {}}", "1:1: expected 'title: ...', found nothing of that name"),
        ("{title: t, best: {seen: 1}}", "1:18: best: expected 'name: ...', found nothing of that name"),
        ("{title: t, best: {name: ''}}", "1:25: best.name: expected words, found ''"),
        ("{title: [t]}", "1:9: title: expected text, found a list"),
        (
            "{title: t, remarks: [{a: b}]}",
            "1:22: remarks.1: expected text, found names with values of their own",
        ),
        (
            "title: t\ndays:",
            "2:6: days: expected a list (lines that start with a dash), found nothing; "
            "leave the name out if there is nothing to say",
        ),
        (
            "{title: t, birds: b}",
            "1:19: birds: expected names with values (lines of 'name: value'), found 'b'",
        ),
        (
            "{title: t, groups: {g: [{name: n, sex: f}]}}",
            "1:35: groups.g.1.sex: expected a known name (name, ringed, seen, sort, with), found 'sex'",
        ),
        (
            "{title: t, best: {name: n, x: 1}}",
            "1:28: best.x: expected a known name (name, ringed, seen, sort, with), found 'x'",
        ),
    ],
)
def test_a_mistake_of_shape_is_said_plainly(text: str, said: str) -> None:
    assert mistakes(text) == [f"b.yaml:{said}"]


def test_names_are_known_inside_a_model_that_is_one_mapping() -> None:
    assert mistakes("{spring: {title: t, bird: {}}}", Book) == [
        "b.yaml:1:21: spring.bird: expected a known name (best, birds, days, groups, remarks, title), "
        "found 'bird'; did you mean 'birds'?"
    ]


def test_all_mistakes_come_at_once_in_the_order_of_the_file() -> None:
    found = mistakes("{birds: {b: {seen: few, hue: red}}, days: x}")
    assert [line.split(": ")[0].removeprefix("b.yaml:1:") for line in found] == ["1", "13", "20", "25", "43"]


def test_a_field_type_can_point_into_its_text() -> None:
    def loud(value: object) -> str:
        raise wrong("small letters", value, "write it smaller", offset=2)

    class Loud(Strict):
        call: Annotated[str, PlainValidator(loud)]

    assert mistakes("call: abC", Loud) == [
        "b.yaml:1:9: call: expected small letters, found 'abC'; write it smaller"
    ]
    assert mistakes("call: 'abC'", Loud)[0].startswith("b.yaml:1:10: ")


def test_a_problem_of_a_check_beside_the_model() -> None:
    whole = document("days: [a, 'bc']")
    said = "b.yaml:1:11: days.2: expected a day, found 'bc'"
    assert str(problem(whole, ("days", 1), "a day", "bc")) == said
    assert problem(whole, ("days", 1), "a day", "c", offset=1).spot.column == 13
    assert problem(whole, ("nights",), "a night", None, "dusk").found == "nothing"


def test_a_long_list_of_names_is_cut_and_left_out_where_a_hint_tells() -> None:
    whole = document("{feather: 1, n07x: 1}")
    names = [f"n{number:02}" for number in range(13)]
    twelve = ", ".join(names[:12])
    assert unknown_key(whole, ("feather",), names[:12]).expected == f"a known name ({twelve})"
    assert unknown_key(whole, ("feather",), names).expected == f"a known name ({twelve}, ...)"
    near = unknown_key(whole, ("n07x",), names)
    assert (near.expected, near.hint) == ("a known name", "did you mean 'n07'?")


def test_values_do_not_change_afterwards() -> None:
    bird = validate(document("name: n"), Bird)
    with pytest.raises(ValueError, match="frozen"):
        bird.name = "m"


def test_each_type_describes_itself_to_an_editor() -> None:
    its = Bird.model_json_schema()["properties"]
    assert its["ringed"]["enum"] == ["yes", "no", True, False]
    assert its["seen"]["type"] == "integer"
    assert its["sort"]["enum"] == ["bittern", "heron", "rail"]
    assert its["with"]["anyOf"] == [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]


# Whatever stands in a file, the check ends in a model or in problems that lie inside the file.

NAMES = st.sampled_from([*Season.model_fields, "name", "ringed", "seen", "with", "sort", "x"])
WORDS = st.sampled_from(["", "yes", "3", "a b", "heron", "--1", "é"])


@st.composite
def flow(draw: st.DrawFn, depth: int = 4) -> str:
    sort = draw(st.sampled_from(["text", "names", "list"])) if depth else "text"
    if sort == "text":
        return quote(draw(WORDS))
    if sort == "list":
        return "[" + ", ".join(draw(st.lists(flow(depth=depth - 1), max_size=3))) + "]"
    names = draw(st.lists(NAMES, unique=True, max_size=4))
    return "{" + ", ".join(f"{name}: {draw(flow(depth=depth - 1))}" for name in names) + "}"


@given(flow())
def test_nothing_but_a_model_or_problems_comes_of_any_data(text: str) -> None:
    try:
        validate(document(text), Season)
    except Unusable as unusable:
        assert unusable.problems
        assert all(1 <= each.spot.column <= len(text) + 1 for each in unusable.problems)
