"""A traced value laid out flat gives what the functions give, however its leaves change."""

from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.leaf import Leaf
from ringout.quantity.program import Program
from ringout.quantity.span import Span
from ringout.quantity.traced import Traced, formula


@formula("a + b", dimension="length", source="plain addition")
def plus(a: float, b: float) -> float:
    return a + b


@formula("a * b", dimension="area", source="plain multiplication")
def by(a: float, b: float) -> float:
    return a * b


def leaf(path: str) -> Leaf:
    return Leaf(path, Span(0.0, 1.0), known=True)


def shared() -> Traced:
    """(a + b) * (a + b) + c, the sum being one value used twice."""
    total = plus.of(leaf("a"), leaf("b"))
    return plus.of(by.of(total, total), leaf("c"))


NUMBERS = st.floats(-100, 100)


@given(NUMBERS, NUMBERS, NUMBERS)
def test_running_is_the_functions_themselves(a, b, c):
    assert Program(shared()).run({"a": a, "b": b, "c": c})[-1] == (a + b) * (a + b) + c


@given(NUMBERS, NUMBERS, NUMBERS, st.sampled_from("abc"), NUMBERS)
def test_a_change_is_a_run_at_the_new_point(a, b, c, path, new):
    point = {"a": a, "b": b, "c": c}
    program = Program(shared())
    assert program.change(program.run(point), path, new) == program.run(point | {path: new})


def test_a_shared_value_is_worked_out_once():
    calls = []

    def counted(a: float) -> float:
        calls.append(a)
        return a

    one = Traced(counted, (leaf("a"),), name="one")
    Program(plus.of(one, one)).run({"a": 2.0})
    assert calls == [2.0]


def test_a_change_runs_only_what_stands_above_the_leaf():
    calls = []

    def counted(a: float) -> float:
        calls.append(a)
        return a

    program = Program(plus.of(Traced(counted, (leaf("a"),), name="one"), leaf("b")))
    start = program.run({"a": 2.0, "b": 1.0})
    calls.clear()
    assert program.change(start, "b", 5.0)[-1] == 7.0
    assert calls == []


def test_the_old_slots_stay_as_they_were():
    program = Program(shared())
    start = program.run({"a": 1.0, "b": 2.0, "c": 3.0})
    before = list(start)
    program.change(start, "a", 9.0)
    assert start == before
