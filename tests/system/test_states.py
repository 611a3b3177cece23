"""The operating states, as the table gives them."""

from ringout.system.states import SOURCES, states


def test_a_state_takes_only_what_is_live_in_it() -> None:
    for state in states().values():
        assert state.live <= set(SOURCES) - {"none"}
        assert state.takes in (state.live or {"none"})


def test_only_the_changeover_left_over_is_a_lapse() -> None:
    assert [state.name for state in states().values() if state.lapse] == ["left_over"]
    assert states()["left_over"].live == {"shore", "inverter"}
    assert states()["left_over"].takes == "inverter"


def test_the_states_are_those_that_are_reviewed() -> None:
    assert list(states()) == ["away_off", "away_on", "shore", "shore_on", "left_over", "generator"]
    assert all(state.says for state in states().values())
