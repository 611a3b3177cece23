"""Reviews with one thing in them changed: what the checker of proofs has to object to, by kind of step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numbers_again

from ringout.inference.chain import Chained, Known, Said, Step, Verdict
from ringout.inference.judge import Truth
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, leaves_of
from ringout.text.problem import Spot

TESTS = Path(__file__).resolve().parents[1]
TAMPERED = TESTS.parent / "cases" / "crake-half.yaml"
"""The case whose review is tampered with."""


def other(truth: Truth) -> Truth:
    return Truth.NO if truth is Truth.YES else Truth.YES


def stepped(out: Chained, fits: Callable[[Step], bool], new: Callable[[Step], Step]) -> Chained:
    """The review with the first step that fits replaced."""
    for place, said in enumerate(out.said):
        for number, step in enumerate(said.steps):
            if fits(step):
                steps = (*said.steps[:number], new(step), *said.steps[number + 1 :])
                out.said[place] = replace(said, steps=steps)
                return out
    raise AssertionError("no step fits")


def subject(out: Chained, fits: Callable[[Said], bool], new: Callable[[Said], Said | None]) -> Chained:
    """The review with the first subject that fits replaced or left out."""
    place = next(place for place, said in enumerate(out.said) if fits(said))
    changed = new(out.said[place])
    out.said[place : place + 1] = [changed] if changed else []
    return out


def concluded(out: Chained, truth: Truth, new: Callable[[Known], Known | None]) -> Chained:
    """The review with the first conclusion of that truth replaced or left out."""
    id = next(id for id, known in out.facts.items() if known.steps and known.truth is truth)
    changed = new(out.facts.pop(id))
    if changed:
        out.facts[id] = changed
    return out


def part_flipped(part: str, truth: Truth) -> Callable[[Chained], Chained]:
    def flip(step: Step) -> Step:
        judged = getattr(step, part)
        return replace(step, **{part: replace(judged, truth=other(judged.truth))})

    return lambda out: stepped(
        out, lambda step: getattr(step, part).truth is truth and bool(getattr(step, part).tests), flip
    )


def as_judged(verdict: Verdict, new: Verdict) -> Callable[[Chained], Chained]:
    return lambda out: stepped(out, lambda step: step.verdict is verdict, lambda step: replace(step, verdict=new))


def comparison_flipped(out: Chained) -> Chained:
    def flip(step: Step) -> Step:
        first, *rest = step.when.tests
        return replace(step, when=replace(step.when, tests=(replace(first, truth=other(first.truth)), *rest)))

    return stepped(out, lambda step: bool(step.when.tests) and step.when.tests[0].truth is not Truth.OPEN, flip)


comparison_flipped.__test__ = False  # type: ignore[attr-defined]


def another_value(out: Chained) -> Chained:
    def swap(step: Step) -> Step:
        first, *rest = step.when.tests
        lookalike = Leaf("elsewhere.value", Choice(frozenset({"yes"})))
        return replace(step, when=replace(step.when, tests=(replace(first, left=lookalike), *rest)))

    return stepped(out, lambda step: bool(step.when.tests), swap)


def stranger_bound(out: Chained) -> Chained:
    """A partner of the right type that the keys do not join."""

    def swap(step: Step) -> Step:
        alias, its = list(step.binding.items())[-1]
        strangers = [
            known for known in out.facts.values() if known.fact.type == its.fact.type and known.fact is not its.fact
        ]
        return replace(step, binding={**step.binding, alias: strangers[0]})

    def fits(step: Step) -> bool:
        last = list(step.binding.values())[-1].fact
        alike = [known for known in out.facts.values() if known.fact.type == last.type]
        return len(step.binding) > 1 and bool(step.rule.terms[-1].joins) and len(alike) > 1

    return stepped(out, fits, swap)


def number_claimed(change: Callable[[Span], Span]) -> Callable[[Chained], Chained]:
    """A computed number that claims another range than its formula gives."""

    def tamper(out: Chained) -> Chained:
        for said in out.said:
            for step in said.steps:
                for test in step.when.tests:
                    value = test.left
                    if type(value) is not Traced or not numbers_again.few(value):
                        continue
                    domain = value.domain()
                    if isinstance(domain, Span) and not domain.exact:
                        value._own = change(domain)
                        return out
        raise AssertionError("no number")

    return tamper


def leaf_changed(**new: object) -> Callable[[Chained], Chained]:
    """A stated leaf of this review that says something else than its line of the file."""

    def tamper(out: Chained) -> Chained:
        for said in out.said:
            for step in said.steps:
                for test in step.when.tests:
                    for leaf in leaves_of(test.left):
                        if leaf.known and leaf.origin is Origin.LABEL and isinstance(leaf.domain, Span):
                            for name, value in new.items():
                                object.__setattr__(leaf, name, value)
                            return out
        raise AssertionError("no leaf")

    return tamper


def from_nowhere(out: Chained) -> Chained:
    known = next(known for known in out.facts.values() if known.steps)
    keys = dict.fromkeys(known.fact.keys, "nowhere")
    fact = replace(known.fact, keys=keys)
    out.facts[fact.id] = replace(known, fact=fact)
    return out


def circular(out: Chained) -> Chained:
    """A step that reads a conclusion proven by a step of its own rule."""

    def bend(step: Step) -> Step:
        alias, known = next((alias, known) for alias, known in step.binding.items() if known.steps)
        return replace(step, binding={**step.binding, alias: replace(known, steps=(step,))})

    return stepped(out, lambda step: any(known.steps for known in step.binding.values()), bend)


def settled_need(out: Chained) -> Chained:
    leaf = Leaf("x.y", Choice(frozenset({"yes"})))
    return stepped(out, lambda step: step.verdict is Verdict.NOT_KNOWN, lambda step: replace(step, needs=(leaf,)))


TAMPERINGS: dict[str, tuple[str, Callable[[Chained], Chained]]] = {
    "when flipped from yes": ("truth", part_flipped("when", Truth.YES)),
    "when flipped from no": ("truth", part_flipped("when", Truth.NO)),
    "when settled though open": ("truth", part_flipped("when", Truth.OPEN)),
    "given flipped": ("truth", part_flipped("given", Truth.YES)),
    "unless flipped": ("truth", part_flipped("unless", Truth.OPEN)),
    "one comparison flipped": ("test", comparison_flipped),
    "a comparison of another value": ("test", another_value),
    "wrong called right": ("verdict", as_judged(Verdict.WRONG, Verdict.RIGHT)),
    "not known called right": ("verdict", as_judged(Verdict.NOT_KNOWN, Verdict.RIGHT)),
    "right called wrong": ("verdict", as_judged(Verdict.RIGHT, Verdict.WRONG)),
    "not applying called right": ("verdict", as_judged(Verdict.DOES_NOT_APPLY, Verdict.RIGHT)),
    "right called not applying": ("verdict", as_judged(Verdict.RIGHT, Verdict.DOES_NOT_APPLY)),
    "a binding dropped": (
        "binding",
        lambda out: subject(out, lambda said: len(said.steps) > 1, lambda said: replace(said, steps=said.steps[:-1])),
    ),
    "a binding twice": (
        "binding",
        lambda out: subject(
            out, lambda said: bool(said.steps), lambda said: replace(said, steps=(*said.steps, said.steps[0]))
        ),
    ),
    "a stranger bound": ("binding", stranger_bound),
    "a number shifted": ("number", number_claimed(lambda span: Span(span.lo + span.hi, 2 * span.hi))),
    "a number too narrow": ("number", number_claimed(lambda span: Span(span.lo, span.lo))),
    "a number too wide": ("number", number_claimed(lambda span: Span(span.lo - 1, span.hi + 1))),
    "a leaf at another place": ("leaf", leaf_changed(spot=Spot(str(TAMPERED), 4, 7))),
    "a leaf of another file": ("leaf", leaf_changed(spot=Spot(str(TESTS.parent / "README.md"), 4, 7))),
    "a leaf of another value": ("leaf", leaf_changed(domain=Span(1.0, 1.0))),
    "a leaf of another origin": ("leaf", leaf_changed(origin=Origin.MANUAL)),
    "a stated leaf called not stated": ("leaf", leaf_changed(known=False, origin=Origin.NOT_STATED)),
    "a subject's verdict softened": (
        "subject",
        lambda out: subject(
            out, lambda said: said.verdict is Verdict.WRONG, lambda said: replace(said, verdict=Verdict.NOT_KNOWN)
        ),
    ),
    "nothing joins, called right": (
        "subject",
        lambda out: subject(out, lambda said: not said.steps, lambda said: replace(said, verdict=Verdict.RIGHT)),
    ),
    "a subject left out": ("subject", lambda out: subject(out, lambda said: True, lambda said: None)),
    "a conclusion too sure": (
        "conclusion",
        lambda out: concluded(out, Truth.OPEN, lambda known: replace(known, truth=Truth.YES)),
    ),
    "a conclusion not sure": (
        "conclusion",
        lambda out: concluded(out, Truth.YES, lambda known: replace(known, truth=Truth.OPEN)),
    ),
    "a conclusion left out": ("conclusion", lambda out: concluded(out, Truth.YES, lambda known: None)),
    "a conclusion without its steps": (
        "conclusion",
        lambda out: concluded(out, Truth.YES, lambda known: replace(known, steps=())),
    ),
    "a conclusion from nowhere": ("conclusion", from_nowhere),
    "a conclusion that proves itself": ("conclusion", circular),
    "a settled leaf asked for": ("needs", settled_need),
}
