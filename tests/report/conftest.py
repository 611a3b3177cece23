"""Reviews of small cases written out in a test, by the shipped rules on the plain engine."""

from collections.abc import Callable

import pytest

from ringout.case.load import load_text
from ringout.review.review import Review, review


@pytest.fixture(scope="session")
def review_of() -> Callable[[str], Review]:
    def made(text: str) -> Review:
        return review(load_text(text, "made.yaml"), "plain")

    return made
