"""One line of wiring in each of its forms, and where its characters stand in the file."""

import pytest

from ringout.case.lines import Line, Said, read_line
from ringout.text.document import Document, read_text
from ringout.text.problem import Problem

AT = ("dc", 0)


def read(line: str, sort: str = "run") -> tuple[Document, Line | None, list[Problem]]:
    document = read_text(f"dc:\n  - {line}\n", "c.yaml")
    problems: list[Problem] = []
    return document, read_line(document, AT, document.at(AT), sort, problems), problems


def good(line: str, sort: str = "run") -> tuple[Document, Line]:
    document, found, problems = read(line, sort)
    assert found is not None
    assert problems == []
    return document, found


def test_a_text_alone() -> None:
    _, line = good("b1+ = b2+")
    assert line == Line(AT, "b1+ = b2+", AT, is_name=False)
    assert line.measures(0) == {}


def test_a_size_and_lengths_behind_the_colon() -> None:
    _, line = good("b1+ = f = b2+ : 50 mm2, 0.2 m, 0.3 m")
    where = (*AT, "b1+ = f = b2+")
    assert line.size == Said(where, "50 mm2", 0)
    assert line.lengths == (Said(where, "0.2 m", 8), Said(where, "0.3 m", 15))
    assert line.measures(1) == {"size": line.size, "length": line.lengths[1]}


def test_a_line_written_with_names() -> None:
    _, line = good("{run: b1+ = b2+, size: 50 mm2, length: 1 m, lug: crimped, name: link, supposed: yes}")
    assert line.size == Said((*AT, "size"), "50 mm2")
    assert line.lengths == (Said((*AT, "length"), "1 m"),)
    assert line.more == {"lug": Said((*AT, "lug"), "crimped")}
    assert (line.texts, line.supposed) == ({"name": "link"}, True)


def test_nothing_said_is_no_measure() -> None:
    assert good("{run: b1+ = b2+, lug: crimped}")[1].measures(0) == {}


@pytest.mark.parametrize(
    ("written", "column"),
    [
        ("b1+ = b2+", 11),
        ("'b1+ = b2+'", 12),
        ("b1+ = b2+ : 6 mm2", 11),
        ("'b1+ = b2+' : 6 mm2", 12),
        ('"b1+ = b2+": 6 mm2', 12),
        ("{run: b1+ = b2+}", 17),
        ("{run: 'b1+ = b2+'}", 18),
    ],
)
def test_a_character_of_the_text_has_its_place(written: str, column: int) -> None:
    document, line = good(written)
    assert line.spot(document, 6).column == column
    assert document.text.splitlines()[1][column - 1 :].startswith("b2+")


def test_the_text_itself_stands_where_it_starts() -> None:
    for written in ("b1+ = b2+", "'b1+ = b2+'", "b1+ = b2+ : 6 mm2", "'b1+ = b2+' : 6 mm2"):
        document, line = good(written)
        assert line.spot(document).column == 5


@pytest.mark.parametrize(
    ("written", "sort", "said"),
    [
        ("{}", "run", "expected a line such as b1+ = fmain : 50 mm2, 0.2 m, or 'run: ...' among the names"),
        ("{a: b, c: d}", "feed", "expected a line such as inlet > board, or 'feed: ...' among the names"),
        ("", "run", "found nothing"),
        ("a > b: 6 mm2", "feed", "dc.1.a > b: expected nothing behind an AC line, found '6 mm2'"),
        ("{run: [a, b]}", "run", "dc.1.run: expected a line of parts, found a list"),
        ("{run: a = b, supposed: true}", "run", "dc.1.supposed: expected yes or no, found 'true'"),
        ("{run: a = b, note: [x]}", "run", "dc.1.note: expected words, found a list"),
        ("{run: a = b, lugs: x}", "run", "expected a known name, found 'lugs'; did you mean 'lug'?"),
        ("{feed: a > b, run: c}", "feed", "dc.1.run: expected a known name"),
        ("a = b:", "run", "dc.1.a = b: expected a size, then a length for each hop, found nothing"),
    ],
)
def test_what_is_no_line_is_told(written: str, sort: str, said: str) -> None:
    _, _, problems = read(written, sort)
    assert len(problems) == 1
    assert said in str(problems[0])


def test_all_mistakes_of_a_line_are_told() -> None:
    _, _, problems = read("{run: a = b, lugs: x, note: [y], supposed: maybe}")
    assert len(problems) == 3
