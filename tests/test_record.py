"""Records: what a dataclass gives, watched by the type checker only."""

from dataclasses import replace
from pathlib import Path

import pytest
from mypy import api

from ringout import record as record_module
from ringout.record import record


@record()
class Pair:
    """Two numbers."""

    one: float
    other: float = 0.0


@record(eq=False)
class Input:
    """An input that is only itself."""

    path: str


CHANGED = """
from ringout.record import record

@record(eq=False)
class Input:
    path: str

one = Input("b1.capacity")
one.path = "b2.capacity"
"""


def test_records_of_equal_fields_are_equal_and_stand_for_one_another() -> None:
    assert Pair(1, 2) == Pair(1, 2) != Pair(2, 1)
    assert len({Pair(1, 2), Pair(1, 2), Pair(1)}) == 2
    assert replace(Pair(1, 2), other=3) == Pair(1, 3)
    assert repr(Pair(1, 2)).endswith("Pair(one=1, other=2)")
    assert not hasattr(Pair(1), "__dict__")


def test_without_equality_each_is_only_itself() -> None:
    one, other = Input("b1.capacity"), Input("b1.capacity")
    assert one != other
    assert len({one, other}) == 2


def test_the_type_checker_lets_nobody_change_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "changed.py"
    file.write_text(CHANGED, encoding="utf-8")
    monkeypatch.setenv("MYPYPATH", str(Path(record_module.__file__).parents[1]))
    said, _, ended = api.run(["--strict", "--config-file", "", "--cache-dir", str(tmp_path / "kept"), str(file)])
    assert ended == 1
    assert 'Property "path" defined in "Input" is read-only' in said
    assert "Found 1 error" in said
