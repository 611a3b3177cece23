"""Reviews of small cases written out in a test, by the shipped rules on the plain engine."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ringout.case.load import load_text
from ringout.review.review import Review, review

# Tests here share what they make findings of.
sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def review_of() -> Callable[[str], Review]:
    def made(text: str) -> Review:
        return review(load_text(text, "made.yaml"), "plain")

    return made
