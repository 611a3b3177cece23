"""What conductors may carry against the regulation's table and the charts made from it."""

from types import SimpleNamespace

import pytest

from ringout.physics.ampacity import ampacity_a, carried, engine_factor
from ringout.quantity.conductor import awg_area
from ringout.quantity.leaf import Leaf
from ringout.quantity.notation import parse_size
from ringout.quantity.span import Span

GAUGES = {f"{n}/0": 1 - n for n in range(1, 5)} | {str(n): n for n in range(1, 41)}


@pytest.mark.published("AMP-CFR5-*")
def test_every_cell_of_the_table(value: SimpleNamespace) -> None:
    found = ampacity_a(awg_area(GAUGES[value.inputs["awg"]]), value.inputs["insulation_c"])
    assert found == pytest.approx(value.expected, rel=1e-12)


@pytest.mark.published("AMP-CFR5-18-*", "AMP-CFR5-2_0-*")
def test_a_run_as_a_case_writes_it(value: SimpleNamespace) -> None:
    assert span_of(value, engine_space=False) == pytest.approx(value.expected, rel=1e-12)


@pytest.mark.published("AMP-ENG105-*")
def test_a_run_through_an_engine_space(value: SimpleNamespace) -> None:
    assert span_of(value, engine_space=True) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("AMP-ENGF-*")
def test_the_factor_for_engine_spaces(value: SimpleNamespace) -> None:
    assert engine_factor(value.inputs["insulation_c"]) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("AMP-ENGF-200")
def test_at_200_c_the_law_is_followed_not_the_square_root(value: SimpleNamespace) -> None:
    its = value.inputs
    assert engine_factor(its["insulation_c"]) != pytest.approx(its["by_square_root"], abs=0.02)


def span_of(value: SimpleNamespace, *, engine_space: bool) -> float:
    written = parse_size(f"{value.inputs['awg']} AWG")
    assert written is not None
    degrees = float(value.inputs["insulation_c"])
    size, insulation = Leaf("size", written.domain, "area"), Leaf("insulation", Span(degrees, degrees))
    domain = carried(size, insulation, engine_space=engine_space, name="run").domain()
    assert isinstance(domain, Span) and domain.exact
    return domain.lo
