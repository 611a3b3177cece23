"""A rule base read for looking over: rules beside their files, examples judged, places in conditions."""

from pathlib import Path

import pytest

from ringout.inference.chain import Said
from ringout.inference.examples import BadExample
from ringout.lint.base import compares, read_base, within
from ringout.rulebase.condition import AnyOf, Compare, Not
from ringout.shipped import knowledge_in
from ringout.text.problem import Unusable


def test_examples_are_judged_or_say_why_they_cannot_be(pack: Path) -> None:
    file = pack / "loads" / "too-much-lost.yaml"
    file.write_text(file.read_text().replace("drop_12: 1 V", "drop_12: one"))
    with knowledge_in(pack):
        written = read_base([]).rules["too-much-lost"]
        shown = written.shown
    assert [type(each) for each in shown] == [Said, BadExample, Said]


def test_each_part_of_a_condition_has_its_place() -> None:
    for written in read_base([]).rules.values():
        for loc, condition in written.conditions():
            for at, each in within(loc, condition):
                op = "not" if isinstance(each, Not) else "any" if isinstance(each, AnyOf) else None
                assert at in written.document.places
                assert op is None or at[-1] == op
            assert all(isinstance(each, Compare) and at[-1] == each.op for at, each in compares(loc, condition))


def test_every_problem_of_every_file_is_told_at_once(pack: Path) -> None:
    (pack / "loads" / "a.yaml").write_text("rule: a\n")
    (pack / "loads" / "b.yaml").write_text("rule: [\n")
    with knowledge_in(pack), pytest.raises(Unusable) as refused:
        read_base([])
    assert {Path(each.spot.file).name for each in refused.value.problems} == {"a.yaml", "b.yaml"}


def test_a_faulty_limit_is_told_once_and_not_by_every_rule(pack: Path) -> None:
    (pack / "limits" / "all.yaml").write_text("x: {\n")
    with knowledge_in(pack), pytest.raises(Unusable) as refused:
        read_base([])
    assert len(refused.value.problems) == 1
