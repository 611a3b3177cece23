"""Both engines give the answers of a search that tries every row of records, on packs drawn from a seed.

Run as a program, `test_agree.py FIRST LAST` tries the seeds from FIRST up to LAST, and prints each before it
is tried: the last line names the seed when the process dies.
"""

import os
import random
import subprocess
import sys
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import pytest

from ringout.inference import durable
from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Candidate, Matcher, Pattern, Record, Term
from ringout.inference.plain import PlainMatcher

PACKS, BATCH, TIME_LIMIT = 300, 75, 60

needs_durable = pytest.mark.skipif(
    not durable.available() and os.environ.get("RINGOUT_REQUIRE_DURABLE") != "1",
    reason="durable-rules cannot be imported here",
)

Pack = tuple[list[list[Pattern]], list[Record]]


def pack(seed: int) -> Pack:
    """Draw one to three levels of rules, and records that often meet and often lack a key."""
    draw = random.Random(seed)
    facts = draw.sample(["cable", "fuse", "$and", 'rule "7"', "käfig"], draw.randint(1, 3))
    keys = draw.sample(["name", "on", "id", "sid", "_", "$ex"], draw.randint(1, 3))
    texts = draw.sample(
        ["red", "", "1", "1.0", "null", "true", "x" * 300, "\n\"\\'", "☂"], draw.randint(1, 3)
    )

    def term(number: int) -> Term:
        literals = [(draw.choice(keys), draw.choice(texts)) for _ in range(draw.choice([0, 0, 0, 1, 2]))]
        joins = [
            (draw.choice(keys), f"t{draw.randrange(number)}", draw.choice(keys))
            for _ in range(draw.choice([0, 1, 1, 2, 3]) if number else 0)
        ]
        return Term(f"t{number}", draw.choice(facts), tuple(literals), tuple(joins))

    def rule(name: str) -> Pattern:
        return Pattern(name, tuple(term(number) for number in range(draw.choice([1, 2, 2, 3, 3, 4]))))

    levels = [
        [rule(f"rule {level}.{n}") for n in range(draw.randint(1, 5))] for level in range(draw.randint(1, 3))
    ]
    records = [
        Record(
            f"id {n}", draw.choice(facts), {key: draw.choice(texts) for key in keys if draw.random() < 0.8}
        )
        for n in range(draw.randint(0, 9))
    ]
    return levels, records


def every_row(rules: Sequence[Pattern], records: Sequence[Record]) -> list[Candidate]:
    """Try every row of records for every rule. Shares only the question with the engines."""
    kept = set()
    for rule in rules:
        for row in product(records, repeat=len(rule.terms)):
            seat = {term.alias: record.keys for term, record in zip(rule.terms, row, strict=True)}
            wanted = [(seat[term.alias].get(key), text) for term in rule.terms for key, text in term.literals]
            wanted += [
                (seat[term.alias].get(key), seat[other].get(its, "no such key"))
                for term in rule.terms
                for key, other, its in term.joins
            ]
            typed = all(record.fact == term.fact for term, record in zip(rule.terms, row, strict=True))
            if typed and all(one == other for one, other in wanted):
                kept.add((rule.rule, tuple(record.id for record in row)))
    return sorted(kept)


def try_seeds(first: int, last: int) -> None:
    """Compare the engines with the search, and with themselves when the records come in another order."""
    found = twice = 0
    for seed in range(first, last):
        print("seed", seed, flush=True)
        levels, records = pack(seed)
        matchers: list[Matcher] = [PlainMatcher(levels), DurableMatcher(levels)]
        for level, rules in enumerate(levels):
            expected = every_row(rules, records)
            for matcher in matchers:
                for order in (records, records[::-1]):
                    answer = matcher.match(level, order)
                    assert answer == expected, f"{matcher.name} differs at seed {seed}, level {level}"
            found += len(expected)
            twice += sum(len(set(ids)) < len(ids) for _, ids in expected)
    assert found > 20 * (last - first), "too few candidates for the comparison to mean anything"
    assert twice > 5 * (last - first), "too few records filled two terms"


@needs_durable
@pytest.mark.parametrize("first", range(0, PACKS, BATCH))
def test_three_hundred_packs(first: int) -> None:
    package = Path(durable.__file__).parents[2]
    try:
        child = subprocess.run(
            [sys.executable, "-X", "faulthandler", __file__, str(first), str(first + BATCH)],
            env={**os.environ, "PYTHONPATH": str(package)},
            capture_output=True,
            text=True,
            timeout=TIME_LIMIT,
        )
    except subprocess.TimeoutExpired as stuck:
        pytest.fail(f"not done in {TIME_LIMIT} s, last: {(stuck.stdout or b'').decode().splitlines()[-1:]}")
    assert child.returncode == 0, f"ended with {child.returncode} at {child.stdout[-12:]}{child.stderr}"


@needs_durable
def test_many_rules_and_records() -> None:
    """A pack of the size of a real case, too large for trying every row: one engine against the other."""
    draw = random.Random(20)
    facts = [f"type {number}" for number in range(25)]

    def term(number: int) -> Term:
        literals = (("kind", str(draw.randrange(4))),) if draw.random() < 0.5 else ()
        joins = (("ref", f"t{draw.randrange(number)}", "ref"),) if number else ()
        return Term(f"t{number}", draw.choice(facts), literals, joins)

    rules = [Pattern(f"rule {n}", tuple(term(i) for i in range(draw.choice([2, 3])))) for n in range(200)]
    records = [
        Record(
            f"id {n}", draw.choice(facts), {"kind": str(draw.randrange(4)), "ref": str(draw.randrange(25))}
        )
        for n in range(500)
    ]
    plain = PlainMatcher([rules]).match(0, records)
    assert len(plain) > 1000
    assert DurableMatcher([rules]).match(0, records) == plain


@pytest.mark.parametrize("engine", [PlainMatcher, pytest.param(DurableMatcher, marks=needs_durable)])
def test_a_published_join(engine: type[PlainMatcher] | type[DurableMatcher]) -> None:
    """Source: the paper that proposed the relational model of data, 1970, its example of a natural join of
    R (supplier, part) with S (part, project), figures and result from memory."""
    r, s = [(1, 1), (2, 1), (2, 2)], [(1, 1), (1, 2), (2, 1)]
    records = [Record(f"r{n}", "R", {"supplier": str(a), "part": str(b)}) for n, (a, b) in enumerate(r)]
    records += [Record(f"s{n}", "S", {"part": str(b), "project": str(c)}) for n, (b, c) in enumerate(s)]
    at = {record.id: record.keys for record in records}
    join = Pattern("R*S", (Term("r", "R"), Term("s", "S", (), (("part", "r", "part"),))))
    rows = [
        (at[left]["supplier"], at[left]["part"], at[right]["project"])
        for _, (left, right) in engine([[join]]).match(0, records)
    ]
    published = [(1, 1, 1), (1, 1, 2), (2, 1, 1), (2, 1, 2), (2, 2, 1)]
    assert sorted(rows) == [(str(a), str(b), str(c)) for a, b, c in published]


if __name__ == "__main__":
    try_seeds(int(sys.argv[1]), int(sys.argv[2]))
