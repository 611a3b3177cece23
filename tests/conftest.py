"""What several tests need: reviews of the sample cases, each made once."""

from collections.abc import Callable
from functools import cache

import pytest
from hypothesis import settings

from ringout.case.load import load
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
