"""How cold it gets: a figure, a thermometer, and two words against each other."""

import pytest

from ringout.case.load import load_text
from ringout.facts.weather import coldest
from ringout.quantity.span import Span


@pytest.mark.parametrize(
    ("lowest", "frost", "known"),
    [
        ("5 C (said)", "yes", False),
        ("0 C (said)", "yes", False),
        ("-1 C (said)", "yes", True),
        ("5 C (said)", "no", True),
        ("5 C (said)", "unknown", True),
        ("5 C (display)", "yes", True),
        ("5 C (measured)", "yes", True),
    ],
)
def test_no_frost_and_used_in_frost_settle_nothing(lowest: str, frost: str, known: bool) -> None:
    text = f"case: the hut\nparts: {{b1: {{kind: battery}}}}\nhabits: {{used_below_freezing: {frost}}}\n"
    found = coldest(load_text(text + f"surroundings: {{lowest: {lowest}}}", "hut.yaml"))
    assert found.known is known
    if not known:
        assert isinstance(found.domain, Span) and found.domain.lo < 0, "the frost that was told of is among it"
        assert found.hint is not None, "the figure is kept as what was told"
