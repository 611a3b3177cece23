"""Matching alone, three engines side by side: `python tests/bench/engines.py [CASE...]`.

Like with like: the same joins and settled words of the shipped rules, the same facts at each level, candidates
only, told as a sorted list. Every engine compiles the rules once; then, for each case, it takes the facts, matches
and hands over what stands together. The engines take turns within one run, the best time of each counts, and the
candidates must be equal. The host's part (reading, facts, judging, wording) is measured beside it.
CLIPS comes with clipspy, which only tests use: without it two engines are compared, and the print says so.
Nothing here passes or fails by time.
"""

import functools
import itertools
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from ringout.case.case import Case
from ringout.case.load import load
from ringout.facts.gather import gather
from ringout.inference import durable
from ringout.inference.chain import chain, patterns
from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Candidate, Matcher, Pattern, Record, Term
from ringout.inference.plain import PlainMatcher
from ringout.report.text import text
from ringout.review.finding import findings
from ringout.review.needs import next_needs
from ringout.review.review import review
from ringout.rulebase.load import rulebase

try:
    import clips
except ImportError:
    clips = None

TOP = Path(__file__).resolve().parents[2]
DOZEN_FAULTS = TOP / "cases" / "crake.yaml"
RUNS = 60
AIMS = "aims: plain at least 5 times as fast as CLIPS, durable within 1.3 x CLIPS"
Question = list[tuple[int, Sequence[Record]]]


class ClipsMatcher:
    """Matches by CLIPS: one environment a level, rules built once, emptied before every case."""

    name = "CLIPS"

    def __init__(self, levels: Sequence[Sequence[Pattern]]) -> None:
        self._levels = [_ClipsLevel(level) for level in levels]

    def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
        """The candidates of a level, as Matcher.match promises."""
        return self._levels[level].match(records)


class _ClipsLevel:
    """Types, keys and words go in as short symbols, an absent key as `nil`, which joins nothing."""

    def __init__(self, rules: Sequence[Pattern]) -> None:
        self._rules = [rule.rule for rule in rules]
        self._symbols: dict[str, str] = {}
        self._found: list[tuple[int, ...]] = []
        self._keys: dict[str, dict[str, str]] = {}
        for rule in rules:
            facts = {term.alias: term.fact for term in rule.terms}
            for term in rule.terms:
                for fact, key in (
                    *((term.fact, key) for key, _ in term.literals),
                    *((term.fact, key) for key, _, _ in term.joins),
                    *((facts[other], its) for _, other, its in term.joins),
                ):
                    self._keys.setdefault(fact, {})[key] = self._symbol(key)
                self._keys.setdefault(term.fact, {})
        self._env = clips.Environment()
        self._env.define_function(lambda *numbers: self._found.append(numbers), "stands")
        for fact, keys in self._keys.items():
            slots = " ".join(f"(slot {slot} (default nil))" for slot in keys.values())
            self._env.build(f"(deftemplate {self._symbol(fact)} (slot id) {slots})")
        self._templates = {fact: self._env.find_template(self._symbol(fact)) for fact in self._keys}
        for number, rule in enumerate(rules):
            self._env.build(self._rule(number, rule))

    def _symbol(self, text: str) -> str:
        return self._symbols.setdefault(text, f"v{len(self._symbols)}")

    def _rule(self, number: int, rule: Pattern) -> str:
        ids = " ".join(f"?i{place}" for place in range(len(rule.terms)))
        place = {term.alias: n for n, term in enumerate(rule.terms)}
        joined = {(place[other], its) for term in rule.terms for _, other, its in term.joins}
        terms = " ".join(self._term(n, term, place, joined) for n, term in enumerate(rule.terms))
        return f"(defrule r{number} {terms} => (stands {number} {ids}))"

    def _term(self, n: int, term: Term, place: dict[str, int], joined: set[tuple[int, str]]) -> str:
        asked: dict[str, list[str]] = {}
        for key, other, its in term.joins:
            asked.setdefault(key, []).append(f"?x{place[other]}{self._symbol(its)}")
        for key in sorted(key for at, key in joined if at == n):
            asked.setdefault(key, []).insert(0, f"?x{n}{self._symbol(key)}&~nil")
        for key, word in term.literals:
            asked.setdefault(key, []).append(self._symbol(word))
        slots = " ".join(f"({self._symbol(key)} {'&'.join(tests)})" for key, tests in asked.items())
        return f"({self._symbol(term.fact)} (id ?i{n}) {slots})"

    def match(self, records: Sequence[Record]) -> list[Candidate]:
        self._env.reset()
        self._found.clear()
        symbols = self._symbols.copy()
        for number, record in enumerate(records):
            asked = self._keys.get(record.fact)
            if asked is not None:
                slots: dict[str, object] = {"id": number}
                for key, word in record.keys.items():
                    if key in asked:
                        slots[asked[key]] = clips.Symbol(symbols.setdefault(word, f"v{len(symbols)}"))
                # Five times as fast as a text of the facts, which CLIPS would have to parse.
                self._templates[record.fact].assert_fact(**slots)
        self._env.run()
        return sorted(
            (self._rules[rule], tuple([records[number].id for number in numbers])) for rule, *numbers in self._found
        )


def questions(case: Case) -> Question:
    """What a review of a case asks of its engine: level and records, as the chain puts them."""
    asked: Question = []

    class Listening(PlainMatcher):
        def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
            asked.append((level, records))
            return super().match(level, records)

    chain(list(rulebase()), gather(case), Listening)
    return asked


def makers() -> Iterator[Callable[[Sequence[Sequence[Pattern]]], Matcher]]:
    yield PlainMatcher
    if durable.available():
        yield DurableMatcher
    if clips is not None:
        yield ClipsMatcher


def best(actions: Sequence[Callable[[], object]]) -> list[float]:
    """The best CPU seconds of each action; they take turns, so that a busy machine slows all."""
    found = [float("inf")] * len(actions)
    for _, (n, action) in itertools.product(range(RUNS), enumerate(actions)):
        begun = time.process_time()
        action()
        found[n] = min(found[n], time.process_time() - begun)
    return found


def answers(engine: Matcher, asked: Question) -> list[list[Candidate]]:
    return [engine.match(level, records) for level, records in asked]


def engines(path: Path) -> None:
    """The engines on one case, and the host's part of a whole review with each."""
    case = load(path)
    asked, levels = questions(case), patterns(rulebase())
    facts, rules = sum(len(records) for _, records in asked), sum(map(len, levels))
    made, compiled = [], []
    for make in makers():
        begun = time.process_time()
        made.append(make(levels))
        compiled.append(time.process_time() - begun)
    told = [answers(engine, asked) for engine in made]
    if any(each != told[0] for each in told):
        raise SystemExit(f"{path.name}: the engines do not agree")
    firings = sum(map(len, told[0]))
    print(f"\n{path.name}: {rules} rules in {len(levels)} levels, {facts} facts, {firings} candidates, best of {RUNS}")
    matched = best([functools.partial(answers, engine, asked) for engine in made])
    print(f"{'engine':10}{'compile ms':>12}{'match ms':>12}{'to CLIPS':>12}")
    baseline = matched[-1] if clips is not None else None
    for engine, once, each in zip(made, compiled, matched, strict=True):
        ratio = f"{each / baseline:12.2f}" if baseline else f"{'-':>12}"
        print(f"{engine.name:10}{once * 1e3:12.1f}{each * 1e3:12.2f}{ratio}")
    if baseline:
        print(f"plain is {baseline / matched[0]:.1f} times as fast as CLIPS")
    host(path, matched[0])


def host(path: Path, matched: float) -> None:
    """Where a whole review goes with the plain engine: all but the matching is the host's."""
    rules = rulebase()
    parts = ("read the case", "facts and physics", "match, judge, conclude", "findings, order, questions", "page")
    found = [float("inf")] * len(parts)
    made = review(load(path), "plain")
    for _ in range(RUNS):
        clock = [time.process_time()]
        case = load(path)
        clock.append(time.process_time())
        gathered = gather(case)
        clock.append(time.process_time())
        chained = chain(rules, gathered, PlainMatcher)
        clock.append(time.process_time())
        next_needs(case, findings(case, chained))
        clock.append(time.process_time())
        text(made)
        clock.append(time.process_time())
        taken = [after - before for before, after in itertools.pairwise(clock)]
        found = [min(pair) for pair in zip(found, taken, strict=True)]
    whole = sum(found)
    print("\nwhere a review with the plain engine goes, from file to page:")
    for name, each in zip(parts, found, strict=True):
        print(f"  {name:28}{each * 1e3:8.2f} ms {each / whole:6.0%}")
    share = f"{matched * 1e3:8.2f} ms {matched / whole:6.1%}"
    print(f"  {'of it matching, by plain':28}{share}; the rest is the host's part")


def report(paths: Sequence[Path]) -> None:
    print(f"Python {sys.version.split()[0]}; {AIMS}")
    if clips is None:
        print("CLIPS IS NOT COMPARED: clipspy cannot be imported here (pip install clipspy)")
    if not durable.available():
        print("DURABLE IS NOT COMPARED: durable-rules cannot be imported here")
    for path in paths:
        engines(path)


if __name__ == "__main__":
    report([Path(each) for each in sys.argv[1:]] or [DOZEN_FAULTS])
