"""Names and words that the reader of rules does not look up."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ringout.lint.base import read_base
from ringout.lint.names import names
from ringout.shipped import knowledge_in
from ringout.text.problem import Unusable

Complaints = Callable[..., list[str]]


def test_the_good_rule_is_clean(complaints: Complaints) -> None:
    assert complaints(names) == []


def test_a_word_or_amount_of_an_example_that_its_fact_does_not_know(complaints: Complaints) -> None:
    found = complaints(names, ("drop_12: 1.02 V", "drop_12: 1.02 A"))
    assert found == [
        "loads/too-much-lost.yaml:20:5: too-much-lost: expected an example that can be judged, "
        "found this: drop_12: " + found[0].partition("drop_12: ")[2]
    ]
    assert "expected" in found[0].partition("drop_12: ")[2] and "1.02 A" in found[0]


def test_a_symptom_that_nobody_can_complain_of(complaints: Complaints) -> None:
    with_complaint = "looks_at: {read: drop_reading}\nwith:\n  it: {fact: complaint, where: {symptom: lights_dimm}}"
    found = complaints(names, ("looks_at: {read: drop_reading}", with_complaint))
    assert found == [
        "loads/too-much-lost.yaml:7:42: too-much-lost: expected a known symptom, "
        "found 'lights_dimm'; did you mean 'lights_dim'?"
    ]


def test_a_role_or_a_kind_that_no_part_has(complaints: Complaints, pack: Path) -> None:
    facts = (pack / "facts.yaml").read_text()
    extra = "odd: {says: odd, keys: [part], role: invertor, by: case}\n"
    extra += "odder: {says: odd, keys: [part], kind: fuze, by: case}\n"
    found = complaints(names, files={"facts.yaml": facts + extra})
    line = len(facts.splitlines()) + 1
    assert found == [
        f"facts.yaml:{line}:38: odd.role: expected a role of some kind of part, found 'invertor'; "
        "did you mean 'inverter'?",
        f"facts.yaml:{line + 1}:40: odder.kind: expected a kind of part, found 'fuze'; did you mean 'fuse'?",
    ]


@pytest.mark.parametrize(
    ("old", "new", "error"),
    [
        ("looks_at: {read: drop_reading}", "looks_at: {read: drop_reding}", "expected a fact of the catalogue"),
        ("[read.drop_12, ", "[read.drop_13, ", "expected an attribute of drop_reading"),
        ("limit: most_lost", "limit: most_lots", "expected the name of a limit"),
    ],
)
def test_a_name_that_the_reader_does_not_know_is_refused_at_its_place(
    pack: Path, old: str, new: str, error: str
) -> None:
    file = pack / "loads" / "too-much-lost.yaml"
    text = file.read_text()
    file.write_text(text.replace(old, new))
    line = text[: text.index(old)].count("\n") + 1
    with knowledge_in(pack), pytest.raises(Unusable) as refused:
        read_base([])
    assert str(refused.value).startswith(f"{file}:{line}:") and error in str(refused.value)
    assert "did you mean" in str(refused.value)
