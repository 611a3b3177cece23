"""The file of published values itself: complete, honest about its sources, and read to the last line."""

import ast
from collections import Counter
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from types import SimpleNamespace

Values = tuple[SimpleNamespace, ...]


def patterns() -> Iterator[str]:
    """What the tests of this folder ask for with `pytest.mark.published`."""
    for file in Path(__file__).parent.glob("test_*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "published":
                yield from (ast.literal_eval(arg) for arg in node.args)


def test_every_value_is_checked_by_a_test(values: Values) -> None:
    asked = list(patterns())
    assert [value.id for value in values if not any(fnmatch(value.id, each) for each in asked)] == []


def test_every_value_says_what_it_is_and_where_it_comes_from(values: Values) -> None:
    for value in values:
        assert value.quantity and value.unit and value.source, value.id
        assert value.expected is not None, value.id
        assert value.tolerance >= 0, value.id
        assert value.status in {"ok", "trap", "published_wrong"}, value.id
        assert value.verified in {"page", "memory", "computed"}, value.id


def test_what_was_not_read_in_a_text_says_so(values: Values) -> None:
    for value in values:
        said = any(word in value.source for word in ("memory", "common practice, no source"))
        assert said == (value.verified == "memory") or value.id == "PV-FIFTY", value.id


def test_ids_are_used_once(values: Values) -> None:
    assert [name for name, times in Counter(value.id for value in values).items() if times > 1] == []
