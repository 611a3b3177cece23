"""Which matching engine is taken: the one asked for, else durable where it can be had, else plain."""

import pytest

from ringout.inference import durable
from ringout.inference.plain import PlainMatcher
from ringout.review.engines import ENGINES, NoSuchEngine, matcher


@pytest.fixture
def with_durable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable, "available", lambda: True)


@pytest.fixture
def without_durable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable, "available", lambda: False)


@pytest.mark.usefixtures("with_durable")
def test_durable_is_taken_where_it_can_be_had() -> None:
    assert matcher() is durable.DurableMatcher
    assert matcher("durable") is durable.DurableMatcher


@pytest.mark.usefixtures("with_durable")
def test_plain_is_taken_where_it_is_asked_for() -> None:
    assert matcher("plain") is PlainMatcher


@pytest.mark.usefixtures("without_durable")
def test_plain_stands_in_where_durable_cannot_be_had() -> None:
    assert matcher() is PlainMatcher


@pytest.mark.usefixtures("without_durable")
def test_durable_asked_for_in_vain_is_refused_and_not_replaced_in_silence() -> None:
    with pytest.raises(NoSuchEngine) as refused:
        matcher("durable")
    assert str(refused.value) == "the durable engine is not installed here; use --engine plain"


def test_an_unknown_engine_is_refused_with_the_known_ones() -> None:
    with pytest.raises(NoSuchEngine) as refused:
        matcher("steam")
    assert str(refused.value) == "expected one of durable, plain, found 'steam'"


def test_each_engine_says_its_own_name() -> None:
    assert (durable.DurableMatcher.name, PlainMatcher.name) == ENGINES
