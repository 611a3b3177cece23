"""Texts that look like numbers, nothing, JSON or the engine's own words: only the very same text meets it."""

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

TEXTS = ["", " ", "1", "1.0", "01", "1e-07", "3.5", "3,5", "null", "true", "false", "nil", "x" * 70_000]
TEXTS += ['"', "\\", "\\u0041", "A", "{", "[1]", "\n", "\x00", "a\x00b", "é", "e\u0301", "☂", "\ud800", "🦆"]
TEXTS += [
    "$and",
    "$ex",
    "$not",
    "$s",
    "$m",
    "m",
    "all",
    "any",
    "dist",
    "_",
    "id",
    "sid",
    "fact",
    "boot",
    "f0",
    "v1",
]

meets = Term("b", "second", (), (("key", "a", "key"),))
rules = [Pattern("joined", (Term("a", "first"), meets))]
rules += [Pattern(f"is {text}", (Term("a", "first", (("key", text),)),)) for text in TEXTS]
rules += [Pattern(f"has {text}", (Term(text, "third", ((text, "yes"),)),)) for text in TEXTS]
rules += [Pattern(f"type {text}", (Term("a", text),)) for text in TEXTS]

expected = []
records = []
for text in TEXTS:
    ids = [f"{text} {kind}" for kind in ("first", "second", "third", "type")]
    keys = [{"key": text}, {"key": text}, {text: "yes"}, {}]
    facts = ["first", "second", "third", text]
    records += [Record(*fields) for fields in zip(ids, facts, keys, strict=True)]
    expected += [("joined", (ids[0], ids[1])), (f"is {text}", (ids[0],))]
    expected += [(f"has {text}", (ids[2],)), (f"type {text}", (ids[3],))]
assert DurableMatcher([rules]).match(0, records) == sorted(expected)
