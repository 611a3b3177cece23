"""Three-valued judgement of a condition on facts: yes, no, or not known with the leaves that would settle it.

Where what is open rests on the same few words (chemistry, yes/no), they are gone through one by one before "not
known" is said.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from enum import Enum

from ringout.facts.fact import Fact
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.telling import asked_of
from ringout.quantity.traced import NO_VIEW, Traced, Value, View, apart, domain_of
from ringout.record import record
from ringout.rulebase.condition import AllOf, Amount, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import limits

SPLIT = 16
"""Most combinations of open words over which a condition is split."""

Binding = Mapping[str, Fact]


class Truth(Enum):
    """Kleene's three values."""

    YES = "yes"
    NO = "no"
    OPEN = "not known"

    def __invert__(self) -> Truth:
        return Truth.NO if self is Truth.YES else Truth.YES if self is Truth.NO else Truth.OPEN


def both(truths: list[Truth]) -> Truth:
    """Kleene's and: no beats not known beats yes."""
    if Truth.NO in truths:
        return Truth.NO
    return Truth.OPEN if Truth.OPEN in truths else Truth.YES


def either(truths: list[Truth]) -> Truth:
    """Kleene's or: yes beats not known beats no."""
    if Truth.YES in truths:
        return Truth.YES
    return Truth.OPEN if Truth.OPEN in truths else Truth.NO


@record()
class Test:
    """One comparison as judged: its two sides with their domains, and how it came out."""

    condition: Compare
    left: Value
    right: Value | None
    truth: Truth


@record()
class Judged:
    """How a condition came out under a view: the tests made, and while it is open those that could settle it."""

    truth: Truth
    tests: tuple[Test, ...]
    telling: tuple[Test, ...]
    view: View

    @property
    def needs(self) -> Mapping[str, Leaf]:
        """While it is open the leaves that could settle it, by path."""
        sides = (side for test in self.telling for side in _settling(test.left, test.right, self.view))
        return together([asked_of(side, self.view) for side in sides])


NOTHING: Mapping[str, Leaf] = {}
_ALWAYS, _NEVER = Judged(Truth.YES, (), (), NO_VIEW), Judged(Truth.NO, (), (), NO_VIEW)


def judge(condition: Condition | None, binding: Binding, view: View = NO_VIEW, *, without: bool = True) -> Judged:
    """The truth of a condition; where there is none it is yes, or no if so is `without`."""
    if condition is None:
        return _ALWAYS if without else _NEVER
    found = _judge(condition, binding, view)
    if found.truth is not Truth.OPEN or _each_its_own(found):
        return found
    truth = _split(condition, binding, view, found.needs)
    return found if truth is Truth.OPEN else Judged(truth, found.tests, (), view)


def _each_its_own(found: Judged) -> bool:
    """Whether no two sides of what is open rest on anything together.

    Then words make each test so and not so whatever they make of the others: no need to go through them. What all
    of them made so would be settled by their range.
    """
    open_tests = [test for test in found.tests if test.truth is Truth.OPEN]
    sides = [side for test in open_tests for side in (test.left, test.right) if side is not None]
    return all(apart(one, other) for one, other in itertools.combinations(sides, 2))


def value_of(attr: Attr, binding: Binding) -> Value:
    """The value behind ``alias.attribute``."""
    return binding[attr.alias].values[attr.name]


def _judge(condition: Condition, binding: Binding, view: View) -> Judged:
    if isinstance(condition, Compare):
        return _compare(condition, binding, view)
    if isinstance(condition, Not):
        inner = _judge(condition.of, binding, view)
        return Judged(~inner.truth, inner.tests, inner.telling, view)
    parts = [_judge(each, binding, view) for each in condition.of]
    truths = [each.truth for each in parts]
    truth = both(truths) if isinstance(condition, AllOf) else either(truths)
    tests = tuple([test for each in parts for test in each.tests])
    telling = tuple([test for each in parts for test in each.telling]) if truth is Truth.OPEN else ()
    return Judged(truth, tests, telling, view)


def _compare(condition: Compare, binding: Binding, view: View) -> Judged:
    left = value_of(condition.left, binding)
    if condition.right is None:
        truth = _words(condition, domain_of(left, view))
        right = None
    else:
        right = _right(condition.right, binding)
        truth = _order(condition.op, left, right, view)
    made = (Test(condition, left, right, truth),)
    return Judged(truth, made, made if truth is Truth.OPEN else (), view)


def together(needs: Sequence[Mapping[str, Leaf]]) -> Mapping[str, Leaf]:
    """Leaves by path of all of them; what is one alone is not copied."""
    if len(needs) < 2:
        return needs[0] if needs else NOTHING
    found: dict[str, Leaf] = {}
    for each in needs:
        found.update(each)
    return found


def _settling(left: Value, right: Value | None, view: View) -> list[Value]:
    """The sides that could settle an open test; a range inside the other one settles nothing, wherever it lies."""
    if right is None:
        return [left]
    a, b = domain_of(left, view), domain_of(right, view)
    assert isinstance(a, Span) and isinstance(b, Span)
    if b.lo < a.lo and a.hi < b.hi:
        return [right]
    return [left] if a.lo < b.lo and b.hi < a.hi else [left, right]


def _right(side: Attr | Amount | LimitRef, binding: Binding) -> Value:
    if isinstance(side, Attr):
        return value_of(side, binding)
    if isinstance(side, Amount):
        return side.leaf
    return limits()[side.name].value(value_of(side.by, binding) if side.by else None)


def _words(condition: Compare, domain: Domain) -> Truth:
    assert isinstance(domain, Choice)
    if domain.options <= condition.words:
        truth = Truth.YES
    elif domain.options.isdisjoint(condition.words):
        truth = Truth.NO
    else:
        return Truth.OPEN
    return ~truth if condition.op == "ne" else truth


_ORDERS: dict[str, Callable[[Span, Span], Truth]] = {
    "gt": lambda a, b: Truth.YES if a.lo > b.hi else Truth.NO if a.hi <= b.lo else Truth.OPEN,
    "ge": lambda a, b: Truth.YES if a.lo >= b.hi else Truth.NO if a.hi < b.lo else Truth.OPEN,
    "lt": lambda a, b: Truth.YES if a.hi < b.lo else Truth.NO if a.lo >= b.hi else Truth.OPEN,
    "le": lambda a, b: Truth.YES if a.hi <= b.lo else Truth.NO if a.lo > b.hi else Truth.OPEN,
}


def _order(op: str, left: Value, right: Value, view: View) -> Truth:
    a, b = domain_of(left, view), domain_of(right, view)
    assert isinstance(a, Span) and isinstance(b, Span)
    truth = _ORDERS[op](a, b)
    if truth is not Truth.OPEN or apart(left, right):
        return truth
    # Open ends have no difference: infinity less infinity is no number.
    if all(map(math.isfinite, (a.lo, a.hi, b.lo, b.hi))):
        # Both sides rest on a common leaf: what counts is the range of their difference.
        widest = Span(a.lo - b.hi, a.hi - b.lo)
        made = Traced(lambda x, y: float(x) - float(y), (left, right), name="difference", widest=widest)
        between = made.domain(view)
        assert isinstance(between, Span)
        truth = _ORDERS[op](between, Span(0.0, 0.0))
    return truth


def _split(condition: Condition, binding: Binding, view: View, needs: Mapping[str, Leaf]) -> Truth:
    words = {path: domain_of(leaf, view) for path, leaf in needs.items() if isinstance(leaf.domain, Choice)}
    choices = {path: sorted(d.options) for path, d in words.items() if isinstance(d, Choice)}
    if not choices or math.prod(len(options) for options in choices.values()) > SPLIT:
        return Truth.OPEN
    truths = set()
    for chosen in itertools.product(*choices.values()):
        world = {path: Choice(frozenset({word})) for path, word in zip(choices, chosen, strict=True)}
        truths.add(_judge(condition, binding, {**view, **world}).truth)
        if len(truths) > 1:
            return Truth.OPEN
    return truths.pop()
