"""What several tests need: reviews of the sample cases, each made once."""

from collections.abc import Callable
from functools import cache

import pytest
from hypothesis import settings

from ringout.case.load import load, load_text
from ringout.review.review import Review, review
from ringout.shipped import cases_root

# How long an example takes says nothing of what is right: a busy machine is no fault.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

Reviewed = Callable[[str], Review]


@cache
def _sample(name: str) -> Review:
    return review(load(cases_root() / f"{name}.yaml"), "plain")


@pytest.fixture(scope="session")
def reviewed() -> Reviewed:
    """The review of a sample case by its name, on the plain engine."""
    return _sample


WINCH = """
case: made for a test
dc_volts: 12 V
parts:
  b1: {kind: battery, nominal: 12 V (label), capacity: 200 Ah (label)}
  winch: {kind: dc_load, current: %s (label)}
dc:
  - b1 = winch : 4 mm2, 3 m
readings: {pull: {what: current, value: %s, of: winch, loads: winch}}
"""


@pytest.fixture(scope="session")
def winch_read() -> Callable[[str, str], Review]:
    """The review of a load whose current its label states and a single reading states as well."""
    return lambda label, read: review(load_text(WINCH % (label, read), "made.yaml"), "plain")
