"""The stages of one case."""

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.plan.stages import as_left
from ringout.plan.written import Unfit

CHANGED = """\
changed:
  - {at: "10:40", set: {charger.absorption: 14.0 V, bars.cover: yes}}
  - {at: "11:20", set: {charger.absorption: {is: 14.4 V, from: display}}}
"""


def test_as_left_holds_the_last_value_set_and_as_found_stays(hide: Case) -> None:
    case = load_text(hide.document.text + CHANGED, "hide.yaml")
    left = as_left(case)
    assert left.parts["charger"].leaf("absorption").text == "14.4 V"
    assert left.parts["bars"].word("cover") == "yes"
    assert left.title.endswith("(as left)")
    assert case.parts["charger"].leaf("absorption").text == "15.2 V (measured)"


def test_a_case_in_which_nothing_was_changed_has_one_stage(hide: Case) -> None:
    with pytest.raises(Unfit, match="nothing is set under 'changed'"):
        as_left(hide)
