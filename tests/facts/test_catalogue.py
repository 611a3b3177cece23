"""The catalogue: what facts there are, with keys, units and words, and what is wrong with a faulty one."""

import inspect
from pathlib import Path

import pytest

from ringout.case.form import form
from ringout.facts import catalogue as module
from ringout.facts.catalogue import FactType, catalogue
from ringout.quantity.unit import DIMENSIONS
from ringout.text.problem import Unusable


def faulty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> str:
    monkeypatch.setattr(module, "rules_root", lambda: tmp_path)
    (tmp_path / "facts.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(Unusable) as caught:
        inspect.unwrap(catalogue)()
    return str(caught.value).removeprefix(f"{tmp_path}/")


@pytest.mark.parametrize("its", catalogue().values(), ids=lambda its: its.name)
def test_every_fact_has_keys_and_attributes_with_a_unit_or_words(its: FactType) -> None:
    assert its.keys and its.says
    assert set(its.reads) <= set(its.attributes)
    assert not set(its.keys) & set(its.attributes)
    for attribute in its.attributes.values():
        assert bool(attribute.dimension) != bool(attribute.options), attribute.name
        assert attribute.dimension in (*DIMENSIONS, "count", "")


def test_a_conclusion_has_keys_only() -> None:
    concluded = [its for its in catalogue().values() if its.concluded]
    assert concluded
    assert [its.name for its in concluded if its.attributes or its.known] == []


def test_what_a_fact_reads_comes_from_the_forms_of_its_parts() -> None:
    charger = catalogue()["charger"]
    assert set(charger.part_kinds) == {"mains_charger", "inverter_charger"}
    assert charger.attributes["output"].dimension == "current"
    heater = catalogue()["heater"]
    assert heater.part_kinds == ("water_heater",)
    assert catalogue()["habits"].attributes["night_hours"].dimension == "time"


def test_words_of_several_kinds_of_part_are_put_together() -> None:
    words = set(catalogue()["appliance"].attributes["sort"].options)
    assert words >= set(form("appliance").fields["sort"].options)
    assert catalogue()["placed"].part_kinds == ()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "b: {says: s, keys: [k], by: case, values: {v: {quantity: volts}}}",
            "facts.yaml:1:58: b.values.v.quantity: expected a dimension, found 'volts'; did you mean",
        ),
        (
            "b: {says: s, keys: [k], by: case, role: charger, reads: [outputt]}",
            "facts.yaml:1:57: b.reads: expected a field of its form, found 'outputt'",
        ),
        (
            "b: {says: s, keys: [k], by: case, reads: [output]}",
            "facts.yaml:1:42: b.reads: expected a field of its form, found 'output'",
        ),
        (
            "b: {says: s, keys: [k], by: case, role: charger, reads: [output], noted: yes}",
            "facts.yaml:1:74: b.noted: expected one of what it reads, found 'yes'",
        ),
        ("b: {says: s, keys: [k], by: case, valus: {}}", "facts.yaml:1:35: b.valus: expected a known name"),
        ("b: {says: s, by: case}", "facts.yaml:1:4: b: expected 'keys: ...', found nothing of that name"),
    ],
)
def test_a_faulty_catalogue_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, expected: str
) -> None:
    assert faulty(tmp_path, monkeypatch, text).startswith(expected)
