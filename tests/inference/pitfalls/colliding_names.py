"""Names with one 32-bit hash (FNV-1a): the bare engine takes them for the same id, key or name."""

from collections.abc import Sequence

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term


def fnv_1a(text: str) -> int:
    """Source: the published definition of the hash (offset basis 2166136261, prime 16777619), from memory."""
    value = 2166136261
    for byte in text.encode():
        value = (value ^ byte) * 16777619 % 2**32
    return value


ONE, OTHER = "k32728", "k261234"
assert fnv_1a(ONE) == fnv_1a(OTHER)

rules = [
    Pattern(ONE, (Term(ONE, ONE), Term(OTHER, OTHER, ((ONE, ONE),), ((OTHER, ONE, OTHER),)))),
    Pattern(OTHER, (Term(OTHER, OTHER, ((ONE, OTHER),)),)),
    Pattern("same type", (Term("a", ONE), Term("b", ONE, (), ((ONE, "a", OTHER),)))),
]
records = [
    Record(ONE, ONE, {ONE: "x", OTHER: ONE}),
    Record(OTHER, OTHER, {ONE: ONE, OTHER: OTHER}),
    Record("third", OTHER, {ONE: ONE, OTHER: ONE}),
    Record("fourth", ONE, {ONE: ONE, OTHER: "y"}),
]
assert DurableMatcher([rules]).match(0, records) == [
    (ONE, (ONE, "third")),
    ("same type", (ONE, "fourth")),
]


def fnv_1a_of_pair(pair: Sequence[int]) -> int:
    """Return the hash under which the engine looks for a record with the codes of `pair` in two keys."""
    first, second = (fnv_1a(f"v{number}") for number in pair)
    return (2166136261 ^ first) * 16777619 % 2**32 ^ second


# The driver's own codes for two pairs of texts can share a hash as well. Texts get their codes as they come,
# after those of the rule: here is a pair for each number of these.
PAIR, TWIN = (61, 258), (66, 228)
assert fnv_1a_of_pair(PAIR) == fnv_1a_of_pair(TWIN)
both = Term("b", "fuse", (), (("one", "a", "one"), ("two", "a", "two")))
matcher = DurableMatcher([[Pattern("both", (Term("a", "cable"), both))]])
records = [Record(f"text {number}", "cable", {"one": str(number)}) for number in range(300)]
for ahead in range(20):
    pair, twin = ({"one": str(a - ahead), "two": str(b - ahead)} for a, b in (PAIR, TWIN))
    records += [Record(f"pair {ahead:02}", "cable", pair), Record(f"twin {ahead:02}", "fuse", twin)]
    records += [Record(f"same {ahead:02}", "fuse", pair)]
assert matcher.match(0, records) == [("both", (f"pair {n:02}", f"same {n:02}")) for n in range(20)]
