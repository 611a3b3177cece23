"""Values and lines as they are put back into a case."""

import pytest

from ringout.plan.written import LineText, add_line, flow, replace_lines
from ringout.text.document import read_text

BLOCK = "case: hide\ndc:\n  - b1 = bars : 35 mm2, 0.5 m   # the only lead\n  - {run: b1 = inv, size: 4 mm2}\n"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("14.5 V", "14.5 V"),
        ("35 mm2, 0.5 m", '"35 mm2, 0.5 m"'),
        ({"is": "14.5 V", "from": "display"}, "{is: 14.5 V, from: display}"),
        (["b1", "b 2, b3"], '[b1, "b 2, b3"]'),
    ],
)
def test_a_value_is_written_so_that_it_can_stand_anywhere(value: object, text: str) -> None:
    assert flow(value) == text
    assert read_text(f"held: [{text}]", "").at(("held", 0)) == value


def test_a_changed_statement_leaves_its_line_as_it_was_spaced() -> None:
    text = replace_lines(BLOCK, "dc", {0: [{"b1 = bars": "50 mm2, 0.5 m"}]})
    assert text == BLOCK.replace("35 mm2, 0.5 m", "50 mm2, 0.5 m")
    text = replace_lines(BLOCK, "dc", {1: [{"run": "b1 = inv", "size": "10 mm2, soft"}]})
    assert text == BLOCK.replace("4 mm2", '"10 mm2, soft"')


def test_a_line_that_becomes_several_keeps_its_place_with_the_first() -> None:
    text = replace_lines(BLOCK, "dc", {0: [{"b1+ = bars+": "35 mm2"}, "b1- = bars-"]})
    first = BLOCK.replace("b1 = bars : 35 mm2, 0.5 m", "b1+ = bars+ : 35 mm2")
    assert text == first + "  - b1- = bars-\n"


def test_lines_are_removed_and_replaced_by_the_numbers_they_had() -> None:
    text = replace_lines(BLOCK, "dc", {0: [], 1: ["b2 = inv"]})
    assert text == "case: hide\ndc:\n  - b2 = inv\n"


@pytest.mark.parametrize(
    "line", ["inlet > board > a, b", {"b1 = inv": "4 mm2, 3 m"}, {"run": "b1 = inv", "lug": "crimped"}]
)
@pytest.mark.parametrize("start", ["case: hide\n", "case: hide\ndc: [b1 = bars]\n", BLOCK])
def test_a_line_says_the_same_however_the_list_is_written(line: LineText, start: str) -> None:
    said = read_text(add_line(start, "dc", line), "").at(("dc",))
    assert said[-1] == line
