"""What the place of a charger costs, against worked examples."""

from types import SimpleNamespace

import pytest

from ringout.physics.formulas import drop_v


@pytest.mark.published("LOC-SENSE*")
def test_a_charger_far_away_sees_the_battery_too_high(value: SimpleNamespace) -> None:
    found = drop_v(value.inputs["current_a"], value.inputs["lead_ohm"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)
