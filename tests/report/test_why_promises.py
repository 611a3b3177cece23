"""What the proof of a verdict owes its reader, for every verdict of every sample: checked against what was judged."""

import random
import re
from collections.abc import Callable, Iterator

import pytest

from ringout.facts.catalogue import catalogue
from ringout.inference import judge
from ringout.inference.chain import Said, Step, Verdict
from ringout.inference.judge import Truth
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Traced, domain_of, leaves_of
from ringout.report.why import why
from ringout.review.review import Review
from ringout.review.sensitivity import least_sets
from ringout.review.suppose import Supposed
from ringout.review.words import part_name, value_shown
from ringout.rulebase.condition import LimitRef
from ringout.rulebase.limits import limits
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
BULLET = re.compile(r"^  - ", re.MULTILINE)


def flat(page: str) -> str:
    return " ".join(page.split())


def squeezed(page: str) -> str:
    """Without any space: the name of a long file may be broken over lines."""
    return "".join(page.split())


def comparisons(step: Step) -> Iterator[tuple[str, judge.Test]]:
    for part, judged in (("given", step.given), ("when", step.when), ("unless", step.unless)):
        yield from ((part, test) for test in judged.tests)


def pages(made: Review, verdict: Verdict) -> Iterator[tuple[Said, str]]:
    for said in made.chained.said:
        if said.verdict is verdict:
            yield said, why(made, said)


def block(page: str, heading: str) -> str:
    """The lines under a heading, up to the next line that stands at the edge."""
    lines = page.splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith(heading)) + 1
    end = next((n for n in range(start, len(lines)) if lines[n] and not lines[n].startswith(" ")), len(lines))
    return "\n".join(lines[start:end])


@pytest.mark.parametrize("name", CASES)
def test_wrong_gives_rule_facts_numbers_limit_and_source(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    for said, page in pages(made, Verdict.WRONG):
        text, step = flat(page), said.step
        assert step is not None
        assert f"Rule {said.rule.name}: {flat(said.rule.says)}" in text
        assert f"Sources: {flat('; '.join(said.rule.sources))}" in text
        for _, test in comparisons(step):
            shown = value_shown(test.left)
            assert shown in text or not isinstance(domain_of(test.left), Span), (said.rule.name, shown)
            if isinstance(test.left, Traced) and isinstance(domain_of(test.left), Span):
                assert flat(test.left.formula) in text and flat(test.left.source) in text
            if isinstance(test.condition.right, LimitRef):
                its = limits()[test.condition.right.name]
                assert flat(its.says) in text and flat(its.source) in text, (said.rule.name, its.name)
            for side in (test.left, test.right):
                if isinstance(side, Leaf) and side.known and side.spot is not None and side.origin is not Origin.TABLE:
                    assert squeezed(str(side.spot)) in squeezed(page), (said.rule.name, side.path)


def test_a_number_names_three_inputs_or_all_it_has(reviewed: Reviewed) -> None:
    """And says how many more there are: nothing is dropped in silence."""
    seen = 0
    mostly = re.compile(r"resting\s+mostly\s+on\n((?: {6,}.*\n)+?) +and (\d+) inputs? of less weight")
    for name in CASES:
        for said, page in pages(reviewed(name), Verdict.WRONG):
            found = mostly.findall(page)
            assert len(found) == len(re.findall(r"resting\s+mostly", page))
            for named, more in found:
                heads = re.findall(r"^ +(?:(?:table of|worked out for) [^:]+|[\w~+.-]+):\s", named, re.MULTILINE)
                assert len(heads) == 3 and int(more) > 0, (said.rule.name, named)
            seen += len(found)
    assert seen > 20


@pytest.mark.parametrize("name", CASES)
def test_right_says_which_condition_failed_and_by_how_much(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    for said, page in pages(made, Verdict.RIGHT):
        assert said.step is not None
        because = block(page, "Right, because")
        assert BULLET.search(because) or "and because of rule" in because, said.rule.name
        failed = [test for part, test in comparisons(said.step) if (part, test.truth) == ("when", Truth.NO)]
        excused = [test for part, test in comparisons(said.step) if (part, test.truth) == ("unless", Truth.YES)]
        assert failed or excused
        for test in failed:
            left, right = domain_of(test.left), domain_of(test.right) if test.right is not None else None
            if not isinstance(left, Span) or not isinstance(right, Span):
                continue
            up = test.condition.op in ("gt", "ge")
            gap = right.lo - left.hi if up else left.lo - right.hi
            assert ("to spare" in because) or gap < 0 or gap == float("inf"), said.rule.name
        assert not excused or "exception: " in because


@pytest.mark.parametrize("name", CASES)
def test_not_known_says_what_would_settle_it_and_what_each_outcome_means(reviewed: Reviewed, name: str) -> None:
    """Whatever is drawn from the outcomes of a set: judged again, it is the verdict that is said of it."""
    made, among = reviewed(name), random.Random(5)
    for said, page in pages(made, Verdict.NOT_KNOWN):
        assert "What would settle it" in page
        its = Supposed(said)
        sets = least_sets(its)
        for each in sets[:1]:
            assert all(leaf.path in page for leaf in each.leaves), said.rule.name
            for answer in among.sample(each.answers, min(6, len(each.answers))):
                assert answer.verdict is not Verdict.NOT_KNOWN
                view: dict[str, Domain] = {path: drawn(domain, among) for path, domain in answer.given}
                assert Supposed(said).verdict(view) is answer.verdict, (said.rule.name, view)
        if sets and len(sets[0].leaves) == 1:
            under = block(page, "What would settle it")
            for verdict in {answer.verdict for answer in sets[0].answers}:
                assert re.search(rf":\s+{verdict.value}$", under, re.MULTILINE), said.rule.name


def drawn(domain: Domain, among: random.Random) -> Domain:
    """One of the words, or a value well within a range."""
    if isinstance(domain, Choice):
        return Choice(frozenset({among.choice(sorted(domain.options))}))
    lo, hi = max(domain.lo, -1e9), min(domain.hi, 1e9)
    x = lo + (hi - lo) * among.uniform(0.1, 0.9)
    return Span(x, x)


@pytest.mark.parametrize("name", CASES)
def test_not_known_says_how_much_of_a_known_range_crosses_the_limit(reviewed: Reviewed, name: str) -> None:
    for said, page in pages(reviewed(name), Verdict.NOT_KNOWN):
        assert said.step is not None
        for test in said.step.when.tests:
            left, right = domain_of(test.left), domain_of(test.right) if test.right is not None else None
            if test.truth is not Truth.OPEN or not isinstance(left, Span) or not isinstance(right, Span):
                continue
            whole = all(leaf.known or leaf.origin is Origin.TABLE for leaf in leaves_of(test.left))
            if whole and left.hi - left.lo not in (0, float("inf")):
                assert "% of that range lies beyond the limit" in flat(page), said.rule.name


@pytest.mark.parametrize("name", CASES)
def test_does_not_apply_says_what_was_looked_for(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    for said, page in pages(made, Verdict.DOES_NOT_APPLY):
        if said.step is None:
            assert f"Looked for: {flat(catalogue()[said.missing].says)}." in flat(page), said.rule.name
            about = ", ".join(part_name(made.case, key) for key in said.anchor.keys.values())
            assert f"goes with {about}." in flat(page)
        else:
            assert BULLET.search(block(page, "Does not apply, because")), said.rule.name
