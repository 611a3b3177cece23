"""Limits: each with its source, looked up by a word where it is a table, every fault of a file named."""

import inspect
from pathlib import Path

import pytest

from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, domain_of
from ringout.rulebase import limits as module
from ringout.rulebase.limits import BASES, Limit, limits
from ringout.text.problem import Unusable

DROP = """\
drop:
  says: most of the nominal voltage that a lead may lose
  quantity: ratio
  value: 3 %
  basis: standard
  source: "ISO 10133 (standard, no year), clause 4.8 extract"
"""
BY_TYPE = """\
absorption:
  says: highest absorption voltage at 12 V
  quantity: voltage
  by: {AGM: 14.4..14.8 V, gel: 14.1..14.4 V, mixed: 13.8..14.8 V}
  basis: practice
  source: "common practice, no source"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the limits are read from in this test."""
    monkeypatch.setattr(module, "rules_root", lambda: tmp_path)
    (tmp_path / "limits").mkdir()
    return tmp_path / "limits"


def read(folder: Path, *texts: str) -> dict[str, Limit]:
    """The limits of the texts given, each a file of its own."""
    for number, text in enumerate(texts):
        (folder / f"f{number}.yaml").write_text(text, encoding="utf-8")
    found: dict[str, Limit] = inspect.unwrap(limits)()
    return found


def faults(folder: Path, *texts: str) -> list[str]:
    with pytest.raises(Unusable) as caught:
        read(folder, *texts)
    return [str(each).removeprefix(f"{folder}/") for each in caught.value.problems]


def test_a_limit_is_a_leaf_with_its_basis_and_source(folder: Path) -> None:
    leaf = read(folder, DROP)["drop"].value(None)
    assert isinstance(leaf, Leaf)
    assert (leaf.path, leaf.domain, leaf.origin) == ("limits.drop", Span(0.03, 0.03), Origin.TABLE)
    assert leaf.source == "standard: ISO 10133 (standard, no year), clause 4.8 extract"
    assert leaf.spot is not None and leaf.spot.line == 4


def test_a_table_of_limits_is_looked_up_by_word(folder: Path) -> None:
    limit = read(folder, DROP, BY_TYPE)["absorption"]
    settled = limit.value(Leaf("b.chemistry", Choice(frozenset({"gel"}))))
    assert domain_of(settled) == Span(14.1, 14.4)
    either = limit.value(Leaf("b.chemistry", Choice(frozenset({"gel", "AGM"}))))
    assert domain_of(either) == Span(14.1, 14.8)
    assert isinstance(either, Traced) and either.source == "common practice, no source"


def test_a_word_that_rests_on_too_many_open_words_spans_the_table(folder: Path) -> None:
    nine = frozenset("abcdefghi")
    chemistry = Traced(
        lambda *words: words[0] if len(set(words)) == 1 else "mixed",
        (Leaf("b1.chemistry", Choice(nine)), Leaf("b2.chemistry", Choice(nine))),
        name="chemistry",
        widest=Choice(nine | {"mixed"}),
    )
    assert domain_of(read(folder, BY_TYPE)["absorption"].value(chemistry)) == Span(13.8, 14.8)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (DROP.replace("3 %", "3 V"), "f0.yaml:4:10: drop.value: expected a "),
        (DROP.replace("3 %", "unknown"), "f0.yaml:4:10: drop.value: expected a value, found 'unknown'"),
        (
            DROP.replace("ratio", "ration"),
            "f0.yaml:3:13: drop.quantity: expected a dimension, found 'ration'",
        ),
        (DROP.replace("standard\n", "standart\n"), "f0.yaml:5:10: drop.basis: expected one of standard,"),
        (
            DROP.replace("  value: 3 %\n", ""),
            "f0.yaml:1:1: drop: expected a 'value' or values 'by' word, found neither",
        ),
        (
            DROP + "  by: {AGM: 3 %}\n",
            "f0.yaml:1:1: drop: expected a 'value' or values 'by' word, found both",
        ),
        (BY_TYPE.replace("14.1..14.4 V", "14 A"), "f0.yaml:4:32: absorption.by.gel: expected a voltage"),
    ],
)
def test_a_faulty_limit_is_named(folder: Path, text: str, expected: str) -> None:
    (found,) = faults(folder, text)
    assert found.startswith(expected)


def test_all_faults_come_at_once_and_a_name_is_given_once(folder: Path) -> None:
    found = faults(folder, DROP, DROP.replace("3 %", "3 V"))
    assert len(found) == 2
    assert found[0] == "f1.yaml:1:1: drop: expected a new name, found 'drop' again"


def test_every_shipped_limit_says_where_it_comes_from() -> None:
    assert limits()
    for limit in limits().values():
        assert limit.says and limit.source and limit.basis in BASES
