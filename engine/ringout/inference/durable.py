"""Matching by durable-rules, the forward-chaining engine, kept to what it was measured to do right.

The C module is driven directly and given one thing only: `all` rules that ask whether short codes are equal.
The odd shape of a ruleset and of a fact below answers defects seen in release 2.0.28. Each is named where it
is met, and tests/inference/pitfalls keeps inputs that set them off. Nothing is retracted or negated.
"""

import json
import threading
import weakref
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from ringout.inference.pattern import Candidate, Pattern, PatternError, Record, check_question, checked_levels

try:
    import durable_rules_engine as engine
except ImportError:  # no compiler when it was installed, or Python 3.13 and later
    engine = None

MAX_CONDITIONS = 60
"""The most conditions one ruleset may set on one fact type: the engine keeps 64 in hand for a fact, and says
so only when the fact arrives. The same limit on the number of types stays far below the 512 branches at
which it compiles for ever."""

MAX_JOINS = 28
"""The most joins of one term: the engine has room for 31 entries, two of them brackets and one the guard."""

_CASE = "c"
_EVERY = f'"sid":"{_CASE}","_":"1"'
_BOOT = f'{{"fact":"boot","id":"boot","sid":"{_CASE}"}}'
_HANDLED, _NO_RULE_FOR_IT = 0, 1

# States of two cases deleted out of turn make the engine walk freed memory: one match at a time in a process.
_one_match = threading.Lock()


def available() -> bool:
    """Say whether durable-rules can be imported here."""
    return engine is not None


class DurableMatcher:
    """Matches by durable-rules. Reusable: every match starts from an empty state and ends by deleting it.

    Raises RuntimeError where durable-rules cannot be imported, and PatternError if a rule stands twice in a
    level or asks for more than the engine holds: MAX_JOINS a term, MAX_CONDITIONS on one fact type.
    """

    name = "durable"

    def __init__(self, levels: Iterable[Iterable[Pattern]]) -> None:
        if not available():
            raise RuntimeError("durable-rules cannot be imported here: use the plain engine")
        self._levels = [
            [_Ruleset(batch) for batch in _batches(patterns)] for patterns in checked_levels(levels)
        ]

    def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
        """Return the candidates of `level`, as Matcher.match promises."""
        check_question(level, len(self._levels), records)
        with _one_match:
            return sorted(
                candidate for ruleset in self._levels[level] for candidate in ruleset.match(records)
            )


class _Codes(dict[str, str]):
    """Short codes for texts, made when first asked for.

    No text reaches the engine as it was written: it compares names by a 32-bit hash alone, and takes some of
    them ($and, sid, id) for its own.
    """

    def __missing__(self, text: str) -> str:
        code = self[text] = f"v{len(self)}"
        return code


class _Ruleset:
    """Some rules of one level, compiled."""

    def __init__(self, patterns: Sequence[Pattern]) -> None:
        self._patterns = patterns
        self._codes = _Codes()
        self._asked: dict[str, set[str]] = {}
        # A state in which no rule ever fired cannot be deleted safely, so one rule fires in each.
        rules: dict[str, object] = {"boot": {"all": [{"t0": {"fact": "boot"}}]}}
        for number, pattern in enumerate(patterns):
            terms = [{f"t{place}": self._term(pattern, place)} for place in range(len(pattern.terms))]
            # Left to itself the engine never lets one record fill two terms.
            rules[f"r{number}"] = {"all": terms, "dist": 0}
        self._handle = engine.create_ruleset("ringout", json.dumps(rules))
        weakref.finalize(self, engine.delete_ruleset, self._handle).atexit = False

    def match(self, records: Sequence[Record]) -> list[Candidate]:
        """Return the candidates of these rules in the order in which the engine finds them."""
        state = self._assert("boot", _BOOT)
        try:
            _drain(self._handle, state)
            codes = _Codes(self._codes)
            for number, record in enumerate(records):
                if record.fact in self._asked:
                    self._assert(f"f{number}", self._fact(number, record, codes))
            return [
                (self._patterns[rule].rule, tuple(records[number].id for number in numbers))
                for rule, numbers in map(_firing, _drain(self._handle, state))
            ]
        finally:
            engine.delete_state(self._handle, _CASE)

    def _term(self, pattern: Pattern, place: int) -> dict[str, object]:
        """Return the conditions of one term in the engine's own form."""
        term = pattern.terms[place]
        alias = {other.alias: f"t{number}" for number, other in enumerate(pattern.terms)}
        wanted = _wanted_later(pattern, place)
        self._asked.setdefault(term.fact, set()).update(
            wanted, (key for key, _ in term.literals), (key for key, _, _ in term.joins)
        )
        code = self._codes
        conditions: list[object] = [{"fact": code[term.fact]}]
        conditions += [{code[key]: code[text]} for key, text in term.literals]
        # A comparison with a key that is not there raises when the fact is half processed.
        conditions += [{"$ex": {code[key]: 1}} for key in wanted]
        conditions += [{code[key]: {alias[other]: code[its]}} for key, other, its in term.joins]
        if term.joins:
            # When the last comparison of a term is false the engine runs past its end: this one is true. Only
            # records with equal hashes are compared, so without it a crash would be rare, and a riddle.
            conditions.append({"_": {"t0": "_"}})
        return {"$and": conditions}

    def _fact(self, number: int, record: Record, codes: _Codes) -> str:
        """Return a record in the engine's own form, with no more keys than these rules ask for.

        Written out by hand, which codes allow: none holds a sign that JSON would have to escape.
        """
        keys = self._asked[record.fact]
        texts = [f'"{codes[key]}":"{codes[text]}"' for key, text in record.keys.items() if key in keys]
        return "{" + ",".join([f'"fact":"{codes[record.fact]}","id":"f{number}",{_EVERY}', *texts]) + "}"

    def _assert(self, name: str, fact: str) -> int:
        """Hand over one fact and return the state it is in. No batch: it drops what follows a bad one."""
        outcome, state = engine.assert_fact(self._handle, fact)
        if outcome not in (_HANDLED, _NO_RULE_FOR_IT):
            raise RuntimeError(f"durable-rules did not take fact {name} (outcome {outcome})")
        return int(state)


def _batches(patterns: Iterable[Pattern]) -> Iterator[list[Pattern]]:
    """Split the rules of a level so that no batch asks for more than the engine holds; rules match alone."""
    batch: list[Pattern] = []
    load: Counter[str] = Counter()
    for pattern in patterns:
        own = _load(pattern)
        if not _fits(load + own):
            yield batch
            batch, load = [], Counter()
        batch.append(pattern)
        load += own
    if batch:
        yield batch


def _load(pattern: Pattern) -> Counter[str]:
    """Count the conditions a rule sets on each fact type. Raises PatternError beyond what is held."""
    load: Counter[str] = Counter()
    for place, term in enumerate(pattern.terms):
        joins = len(term.joins)
        if joins > MAX_JOINS:
            raise PatternError(
                f"rule {pattern.rule!r}, term {term.alias!r}: found {joins} joins, "
                f"expected at most {MAX_JOINS}"
            )
        load[term.fact] += 1 + len(term.literals) + len(_wanted_later(pattern, place)) + joins + bool(joins)
    for fact, conditions in load.items():
        if conditions > MAX_CONDITIONS:
            raise PatternError(
                f"rule {pattern.rule!r}: found {conditions} conditions on {fact!r} "
                f"(types, literals, joins and keys joined to), expected at most {MAX_CONDITIONS}"
            )
    return load


def _fits(load: Counter[str]) -> bool:
    return max(load.values()) <= MAX_CONDITIONS and len(load) <= MAX_CONDITIONS


def _wanted_later(pattern: Pattern, place: int) -> list[str]:
    """Return the keys of the term at `place` that later terms join to, each once."""
    alias = pattern.terms[place].alias
    joins = (join for term in pattern.terms for join in term.joins)
    return sorted({its for _, other, its in joins if other == alias})


def _drain(handle: int, state: int) -> list[Any]:
    """Fire until nothing is left. Return the firings as the engine tells them: {rule: {alias: fact}}."""
    firings: list[Any] = []
    started = engine.start_action_for_state(handle, state)
    told = started[1] if started else None
    while told:
        firings.append(json.loads(told))
        told = engine.complete_and_start_action(handle, state)
    return firings


def _firing(told: dict[str, dict[str, dict[str, str]]]) -> tuple[int, list[int]]:
    """Return the number of the rule that fired and those of the records that fill its terms, in order."""
    [(rule, filled)] = told.items()
    return int(rule[1:]), [int(filled[f"t{place}"]["id"][1:]) for place in range(len(filled))]
