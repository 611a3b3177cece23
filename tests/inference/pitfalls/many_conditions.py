"""Many conditions: the bare engine fails on a fact that meets over 64, overruns its list of 256 equal terms
and compiles for ever beyond 512 branches. The rules of a level are split long before that."""

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

MANY = 700
names = [f"{number:03}" for number in range(MANY)]


def found(*terms: Term, records: list[Record]) -> list[str]:
    """Make a rule of each term and return those that found a record."""
    rules = [Pattern(name, (term,)) for name, term in zip(names, terms, strict=True)]
    return [rule for rule, _ in DurableMatcher([rules]).match(0, records)]


all_keys = Record("fuse", "fuse", dict.fromkeys(names, "yes"))
assert found(*(Term("a", "fuse", ((name, "yes"),)) for name in names), records=[all_keys]) == names
assert found(*(Term("a", "fuse", (("kind", name),)) for name in names), records=[all_keys]) == []
assert found(*(Term("a", "fuse") for _ in names), records=[all_keys]) == names
assert found(*(Term("a", name) for name in names), records=[Record("r", "650", {})]) == ["650"]

# Both terms of each rule on one type: joins are conditions too.
joins = [Term("b", "fuse", (), ((name, "a", name),)) for name in names]
rules = [Pattern(name, (Term("a", "fuse"), join)) for name, join in zip(names, joins, strict=True)]
assert DurableMatcher([rules]).match(0, [all_keys]) == [(name, ("fuse", "fuse")) for name in names]
