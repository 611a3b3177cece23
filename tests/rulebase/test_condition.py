"""Conditions: read into trees, checked against the catalogue of facts."""

import pytest

from ringout.facts.catalogue import catalogue
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span
from ringout.rulebase import condition as module
from ringout.rulebase.condition import (
    AllOf,
    Amount,
    AnyOf,
    Attr,
    Compare,
    Condition,
    LimitRef,
    Not,
    Reader,
    attributes,
)
from ringout.rulebase.limits import Limit
from ringout.text.document import read_text
from ringout.text.problem import Unusable

DROP = Limit("drop", "s", "ratio", "practice", "s", {"": Leaf("limits.drop", Span(0.03, 0.03))})
CHEMISTRY = catalogue()["bank"].attributes["chemistry"].options
WORDS = {word: Leaf(f"limits.most.{word}", Span(14.0, 15.0)) for word in CHEMISTRY}
MOST = Limit("most", "s", "voltage", "practice", "s", WORDS)
SOME = Limit("some", "s", "voltage", "practice", "s", {"AGM": WORDS["AGM"]})


@pytest.fixture(autouse=True)
def own_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "limits", lambda: {each.name: each for each in (DROP, MOST, SOME)})


def read(text: str) -> Condition:
    document = read_text(f"when: {text}", "r.yaml")
    assert isinstance(document.data, dict)
    types = {"b": catalogue()["bank"], "l": catalogue()["lead"], "f": catalogue()["charging"]}
    return Reader(document, types).read(("when",), document.data["when"])


def fault(text: str) -> str:
    with pytest.raises(Unusable) as caught:
        read(text)
    (found,) = caught.value.problems
    return str(found)


def test_words_are_kept_as_a_set() -> None:
    assert read("{eq: [b.joined, yes]}") == Compare("eq", Attr("b", "joined"), words=frozenset({"yes"}))
    assert read("{ne: [b.joined, no]}") == Compare("ne", Attr("b", "joined"), words=frozenset({"no"}))
    assert read("{in: [b.chemistry, [AGM, gel]]}") == Compare(
        "in", Attr("b", "chemistry"), words=frozenset({"AGM", "gel"})
    )


def test_an_amount_is_a_leaf_with_its_place() -> None:
    found = read("{gt: [l.drop, 0.2..0.3 V]}")
    assert isinstance(found, Compare) and isinstance(found.right, Amount)
    leaf = found.right.leaf
    assert (leaf.domain, leaf.dimension, leaf.origin) == (Span(0.2, 0.3), "voltage", Origin.TABLE)
    assert (leaf.path, leaf.text) == ("rule.1.21", "0.2..0.3 V")


def test_a_count_is_a_whole_number() -> None:
    found = read("{ge: [b.strings, 2]}")
    assert isinstance(found, Compare) and isinstance(found.right, Amount)
    assert found.right.leaf.domain == Span(2.0, 2.0)
    assert fault("{ge: [b.strings, 1.5]}").endswith("when.ge.2: expected a whole number, found '1.5'")


def test_an_attribute_is_compared_with_one_of_the_same_dimension() -> None:
    found = read("{lt: [l.drop, b.nominal]}")
    assert found == Compare("lt", Attr("l", "drop"), Attr("b", "nominal"))
    assert "expected a quantity like the left side (voltage)" in fault("{lt: [l.drop, l.current]}")


def test_a_limit_is_named_and_looked_up_by_a_word_where_it_is_a_table() -> None:
    assert read("{gt: [l.drop_share, {limit: drop}]}") == Compare(
        "gt", Attr("l", "drop_share"), LimitRef("drop", None)
    )
    found = read("{gt: [f.absorption_12, {limit: most, by: b.chemistry}]}")
    assert found == Compare("gt", Attr("f", "absorption_12"), LimitRef("most", Attr("b", "chemistry")))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "{gt: [l.drop_share, {limit: dropp}]}",
            "expected the name of a limit, found 'dropp'; did you mean 'drop'?",
        ),
        ("{gt: [l.drop, {limit: drop}]}", "expected a limit of voltage, found 'drop, of ratio'"),
        ("{gt: [l.drop_share, {limit: drop, by: b.chemistry}]}", "expected drop without a 'by'"),
        ("{gt: [f.absorption_12, {limit: most}]}", "expected most with a 'by'"),
        (
            "{gt: [f.absorption_12, {limit: most, by: l.drop}]}",
            "expected an attribute of words, found 'l.drop'",
        ),
        (
            "{gt: [f.absorption_12, {limit: some, by: b.chemistry}]}",
            "expected a value of some for each of EFB",
        ),
        ("{gt: [f.absorption_12, {limit: most, at: b.chemistry}]}", "expected {limit: NAME}"),
    ],
)
def test_a_limit_that_does_not_fit_is_refused(text: str, expected: str) -> None:
    assert expected in fault(text)


def test_conditions_nest() -> None:
    found = read("{all: [{eq: [b.joined, yes]}, {any: [{not: {eq: [f.on, no]}}, {gt: [l.drop, 1 V]}]}]}")
    assert isinstance(found, AllOf)
    either = found.of[1]
    assert isinstance(either, AnyOf) and isinstance(either.of[0], Not)


def test_the_place_of_a_fault_is_found_at_any_depth() -> None:
    text = "{all: [{eq: [b.joined, yes]}, {any: [{not: {eq: [f.on, nay]}}]}]}"
    assert fault(text) == "r.yaml:1:62: when.all.2.any.1.not.eq.2: expected one of yes, no, found 'nay'"


def test_attributes_come_in_reading_order() -> None:
    text = "{all: [{not: {eq: [b.joined, yes]}}, {lt: [l.drop, b.nominal]}, "
    text += "{gt: [f.absorption_12, {limit: most, by: b.chemistry}]}]}"
    assert attributes(read(text)) == [
        Attr("b", "joined"),
        Attr("l", "drop"),
        Attr("b", "nominal"),
        Attr("f", "absorption_12"),
        Attr("b", "chemistry"),
    ]


def test_what_the_catalogue_says_of_an_attribute() -> None:
    reader = Reader(read_text("a: b", "r.yaml"), {"b": catalogue()["bank"]})
    assert reader.declared(Attr("b", "nominal")).dimension == "voltage"
    assert "yes" in reader.declared(Attr("b", "joined")).options
