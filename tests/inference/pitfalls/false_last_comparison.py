"""The last comparison of a term is false: the bare engine reads on past its end and may crash the process."""

from ringout.inference.durable import MAX_JOINS, DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

for joins in range(1, MAX_JOINS + 1):
    keys = [f"key {number}" for number in range(joins)]
    there = Term("b", "fuse", (), tuple((key, "a", key) for key in keys))
    back = Term("c", "cable", (), tuple((key, "b", key) for key in keys))
    matcher = DurableMatcher([[Pattern("rule", (Term("a", "cable"), there, back))]])
    sets = [dict.fromkeys(keys, "same")]
    sets += [{**sets[0], key: "other"} for key in keys]
    cables = [Record(f"cable {number}", "cable", texts) for number, texts in enumerate(sets)]
    fuses = [Record(f"fuse {number}", "fuse", texts) for number, texts in enumerate(sets)]
    # Each set meets itself alone; set 0 differs from each other set in one comparison, the first to the last.
    rows = [(f"cable {number}", f"fuse {number}", f"cable {number}") for number in range(joins + 1)]
    assert matcher.match(0, cables + fuses) == [("rule", row) for row in sorted(rows)]
    assert matcher.match(0, [*cables[:1], *fuses[1:]]) == []
