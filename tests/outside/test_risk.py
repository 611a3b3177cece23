"""Levels of risk against the published matrix."""

from types import SimpleNamespace

import pytest

from ringout.review.finding import LEVELS, RANK


@pytest.mark.published("RSK-*")
def test_every_cell_of_the_matrix(value: SimpleNamespace) -> None:
    assert LEVELS[value.inputs["severity"], value.inputs["probability"]] == value.expected


@pytest.mark.published("RSK-3E")
def test_the_cell_that_one_copy_misprints(value: SimpleNamespace) -> None:
    assert LEVELS[value.inputs["severity"], value.inputs["probability"]] != value.inputs["misprint"]


def test_there_is_no_cell_beyond_the_published_twenty(values: tuple[SimpleNamespace, ...]) -> None:
    cells = [each.inputs for each in values if each.topic == "risk"]
    assert len(cells) == 20
    assert LEVELS.keys() == {(cell["severity"], cell["probability"]) for cell in cells}
    assert set(LEVELS.values()) == set(RANK)
