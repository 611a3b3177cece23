"""Statements under a form: leaves, words, names of parts; and the part they make."""

import pytest

from ringout.case.case import Part, Sheet
from ringout.case.form import form
from ringout.case.sheets import NOT_FOR_PARTS, names_at, read_part, read_sheet
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Span
from ringout.text.document import read_text
from ringout.text.problem import Problem, Spot


def part(written: str, name: str = "b1") -> tuple[Part | None, list[str]]:
    document = read_text(f"parts: {{{name}: {written}}}", "c.yaml")
    problems: list[Problem] = []
    made = read_part(document, name, document.at(("parts", name)), problems)
    return made, [str(each) for each in problems]


def good(written: str) -> Part:
    made, problems = part(written)
    assert made is not None
    assert problems == []
    return made


def test_a_part_has_its_statements_by_sort() -> None:
    its = good("{kind: battery, capacity: 100 Ah, chemistry: LFP or AGM, note: by the door, inside: box}")
    assert (its.name, its.kind, its.spot) == ("b1", "battery", Spot("c.yaml", 1, 9))
    assert its.leaves["capacity"].domain == Span(100, 100)
    assert its.leaves["chemistry"].domain == Choice(frozenset({"LFP", "AGM"}))
    assert (its.texts, its.names) == ({"note": "by the door"}, {"inside": ("box",)})
    assert not its.supposed


def test_only_what_was_stated_is_read() -> None:
    assert set(good("{kind: battery, capacity: 100 Ah}").leaves) == {"capacity"}


def test_a_place_is_known_by_name() -> None:
    assert good("{kind: battery, place: under the bunk}").place == "under the bunk"
    assert good("{kind: battery}").place == ""


def test_what_is_stated_of_a_supposed_part_is_supposed() -> None:
    its = good("{kind: fuse, supposed: yes, rating: 300 A, family: blade (seen)}")
    rating = its.leaves["rating"]
    assert its.supposed
    assert (rating.known, rating.origin, rating.hint) == (False, Origin.SUPPOSED, Span(300, 300))
    assert its.leaves["family"].known


@pytest.mark.parametrize("written", ["b1 b2", "b1, b2", "[b1, b2]"])
def test_names_of_parts_are_a_text_or_a_list(written: str) -> None:
    quoted = f"'{written}'" if "," in written and "[" not in written else written
    assert good(f"{{kind: bank, of: {quoted}}}").names["of"] == ("b1", "b2")


def test_each_name_has_its_place() -> None:
    document = read_text("a: b1,  b2\nb: [b1, b2]", "c.yaml")
    assert names_at(document, ("a",)) == [("b1", ("a",), 0), ("b2", ("a",), 5)]
    assert names_at(document, ("b",)) == [("b1", ("b", 0), 0), ("b2", ("b", 1), 0)]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("{}", "1:13: parts.b1: expected 'kind: ...' with the kind of part, found nothing of that name"),
        ("{kind: }", "1:13: parts.b1: expected 'kind: ...' with the kind of part, found nothing"),
        ("{kind: [a]}", "1:13: parts.b1: expected 'kind: ...' with the kind of part, found a list"),
        (
            "{kind: x}",
            "1:20: parts.b1.kind: expected a kind of part, found 'x'; "
            "`ringout check --kinds` lists them",
        ),
        (
            "{kind: fuze}",
            "1:20: parts.b1.kind: expected a kind of part, found 'fuze'; did you mean 'fuse'?",
        ),
        ("{kind: any}", "1:20: parts.b1.kind: expected a kind of part, found 'any'"),
        ("{kind: fuse, supposed: true}", "1:36: parts.b1.supposed: expected yes or no, found 'true'"),
        ("{kind: fuse, note: [x]}", "1:32: parts.b1.note: expected words, found a list"),
        (
            "{kind: fuse, inside: [[x]]}",
            "1:34: parts.b1.inside: expected names of parts, such as b1 b2, found a list",
        ),
        (
            "{kind: fuse, ratng: 4 A}",
            "1:26: parts.b1.ratng: expected a known name, found 'ratng'; did you mean 'rating'?",
        ),
    ],
)
def test_a_mistake_is_told_with_its_place(written: str, said: str) -> None:
    found = part(written)[1]
    assert len(found) == 1
    assert found[0].startswith(f"c.yaml:{said}")


@pytest.mark.parametrize("name", ["1b", "b-1", "b 1", "bé", "_b"])
def test_a_part_has_a_name_that_chains_can_use(name: str) -> None:
    made, problems = part("{kind: fuse}", name)
    assert made is None
    assert problems == [
        f"c.yaml:1:9: parts.{name}: expected a part name of letters, digits and _, such as b1, found '{name}'"
    ]


@pytest.mark.parametrize("name", NOT_FOR_PARTS)
def test_no_part_takes_a_name_that_means_something_else(name: str) -> None:
    made, problems = part("{kind: fuse}", name)
    assert made is None
    assert "expected a part name without a meaning of its own" in problems[0]


def test_every_mistake_of_a_sheet_is_told_and_the_rest_is_read() -> None:
    document = read_text("b: {capacity: 100, chemistry: LPF, nominal: 12 V, x: y}", "c.yaml")
    problems: list[Problem] = []
    made = read_sheet(document, "b1", form("battery"), ("b",), document.at(("b",)), problems)
    assert isinstance(made, Sheet)
    assert set(made.leaves) == {"nominal"}
    assert [each.path for each in problems] == ["b.capacity", "b.chemistry", "b.x"]
