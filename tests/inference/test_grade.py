"""Of several steps that find the same thing the gravest speaks, whatever its facts are called."""

import pytest

from ringout.facts.fact import Fact
from ringout.inference.chain import Said, chain
from ringout.inference.grade import grade_of, margin
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.rulebase.condition import Amount, Attr, Compare
from ringout.rulebase.load import levelled
from ringout.rulebase.rule import FindingText, Grade, Rule, Term
from ringout.text.problem import Spot

LIMIT = Amount(Leaf("rule.1", Span(10.0, 10.0), "current", origin=Origin.TABLE, known=True))
GRAVER = Compare("eq", Attr("run", "hot"), words=frozenset({"yes"}))
WORDS = ("", "", "", "", False, (), "", "", "", "", "")
TEXT = FindingText(Grade(4, 4, "C"), ((GRAVER, Grade(1, 1, "B")),), *WORDS)
RULE = Rule(
    "overloaded", "overloaded", "loads", "", (Term("part", "part", {}, {}), Term("run", "run", {}, {})),
    None, Compare("gt", Attr("run", "amps"), LIMIT), None, None, TEXT, (), (), Spot("r", 1, 1),
)  # fmt: skip


def said(**runs: tuple[float, str]) -> Said:
    """What is said of a part with runs, each with its amps and whether it is hot."""
    facts = [Fact("part", {"part": "pump"})]
    for name, (amps, hot) in runs.items():
        values = {"amps": Leaf(f"{name}.amps", Span(amps, amps)), "hot": Leaf(f"{name}.hot", Choice(frozenset({hot})))}
        facts.append(Fact("run", {"run": name}, values))
    (made,) = chain(levelled([RULE]), facts, PlainMatcher).said
    return made


@pytest.mark.parametrize(("hot", "cool"), [("a", "b"), ("b", "a")])
def test_the_gravest_grade_speaks(hot: str, cool: str) -> None:
    made = said(**{hot: (11, "yes"), cool: (99, "no")})
    assert made.step is not None
    assert made.step.binding["run"].fact.keys["run"] == hot
    assert grade_of(TEXT, made.step) == Grade(1, 1, "B")


@pytest.mark.parametrize(("far", "near"), [("a", "b"), ("b", "a")])
def test_of_one_grade_the_widest_margin_speaks(far: str, near: str) -> None:
    made = said(**{far: (20, "no"), near: (11, "no")})
    assert made.step is not None
    assert made.step.binding["run"].fact.keys["run"] == far
    assert margin(made.step) == pytest.approx(1.0)


def test_what_is_right_of_one_run_hides_no_other() -> None:
    made = said(a=(9, "yes"), b=(11, "no"))
    assert made.step is not None and made.step.binding["run"].fact.keys["run"] == "b"
