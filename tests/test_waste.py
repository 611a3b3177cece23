"""Held off while something is made, and afterwards as it was before."""

import gc
from collections.abc import Iterator

import pytest

from ringout.waste import unsearched


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    """Leaves the search for waste as it was, however a test ends."""
    was = gc.isenabled()
    yield
    gc.unfreeze()
    (gc.enable if was else gc.disable)()


@pytest.mark.parametrize("searching", [True, False])
def test_it_is_held_off_and_afterwards_as_before(searching: bool) -> None:
    (gc.enable if searching else gc.disable)()
    with unsearched():
        assert not gc.isenabled()
    assert gc.isenabled() == searching


def test_it_comes_back_after_a_fault() -> None:
    gc.enable()
    with pytest.raises(ValueError, match="a fault"), unsearched():
        raise ValueError("a fault")
    assert gc.isenabled()


def test_what_was_made_is_not_searched_again_at_once() -> None:
    gc.enable()
    with unsearched():
        made = [[] for _ in range(5000)]
        assert any(each is made[0] for each in gc.get_objects(0))
    assert any(each is made[0] for each in gc.get_objects(2))
    assert gc.get_freeze_count() == 0


def test_rings_of_waste_are_found_later() -> None:
    gc.enable()
    with unsearched():
        ring: list[object] = []
        ring.append(ring)
        del ring
    assert gc.collect() >= 1


def test_what_others_froze_stays_frozen() -> None:
    gc.enable()
    gc.freeze()
    frozen = gc.get_freeze_count()
    with unsearched():
        pass
    assert frozen > 0
    assert gc.get_freeze_count() == frozen
