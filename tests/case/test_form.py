"""Forms: every shipped one is sound, and each mistake in a form file is told with its place."""

from pathlib import Path

import pytest

from ringout.case import form as forms
from ringout.case.form import ACCESS, JOINS, WHERE, Field, common, form, part_kinds, sheet
from ringout.quantity.span import Choice, Span
from ringout.text.problem import Unusable

SHEETS = (
    "any_ac", "complaint", "distance", "habits", "installation", "mains", "place", "reading", "run",
    "surroundings",
)  # fmt: skip
LONGEST_QUESTION = 80


@pytest.mark.parametrize("kind", part_kinds())
def test_a_shipped_kind_can_be_asked_for_and_joined(kind: str) -> None:
    its = form(kind)
    assert its.kind == kind
    assert its.words
    assert set(its.ports.values()) <= set(JOINS)
    for name, field in its.fields.items():
        assert sorts(field) == 1, f"{name}: one sort of value"
        assert field.where in WHERE, name
        assert field.access in ACCESS, name
        assert len(field.ask) < LONGEST_QUESTION, name
        assert field.bounds is None or field.bounds_source, name


@pytest.mark.parametrize("name", SHEETS)
def test_a_shipped_sheet_is_sound(name: str) -> None:
    its = sheet(name)
    assert its.kind == name
    assert its.ports == {}
    assert all(sorts(field) == 1 for field in its.fields.values())


def sorts(field: Field) -> int:
    """How many sorts of value a field claims to hold."""
    return sum(map(bool, (field.options, field.dimension, field.parts, field.free_text)))


def test_any_part_has_the_common_fields_and_anything_on_mains_those_of_ac() -> None:
    assert common().fields.items() <= form("battery").fields.items()
    assert "live_on_inverter" in form("mains_charger").fields
    assert "live_on_inverter" not in form("battery").fields
    # A source of mains is asked what it gives, not whether it is live.
    assert "live_on_inverter" not in form("shore_supply").fields


def test_a_kind_of_its_own_may_ask_a_common_question_differently() -> None:
    assert common().fields["tightness"].access == "tool"
    assert form("changeover").fields["tightness"].access == "licensed"


def test_nobody_unlicensed_is_sent_inside_mains_parts_for_their_terminals() -> None:
    for kind in part_kinds():
        its = form(kind)
        if its.port("ac_takes", "ac_gives", "ac_through", "ac_selects") and not its.port("pair", "through"):
            assert its.fields["tightness"].access == "licensed", kind


def test_any_is_no_kind_of_part() -> None:
    assert "any" not in part_kinds()
    assert "battery" in part_kinds()


def test_an_unknown_kind_or_sheet_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        form("bittern")
    with pytest.raises(KeyError):
        sheet("bittern")


def test_a_port_is_found_by_how_it_joins() -> None:
    controller = form("solar_controller")
    assert controller.port("pair", "through") == "battery"
    assert controller.port("ac_gives") is None


def test_the_widest_is_what_an_unknown_value_may_be() -> None:
    assert form("battery").fields["bms"].widest == Choice(frozenset({"none", "inside", "outside"}))
    assert form("battery").fields["capacity"].widest == Span(1, 3000)
    assert form("battery").fields["most_in_series"].widest == Span(1, 50)
    with pytest.raises(LookupError):
        _ = form("battery").fields["note"].widest


# -- form files with mistakes ----------------------------------------------------------------------------


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """An empty folder of forms."""
    for folder in ("parts", "forms"):
        (tmp_path / folder).mkdir()
    return tmp_path


def said_of(rules: Path, fields: str) -> str:
    path = rules / "forms" / "nest.yaml"
    path.write_text(f"kind: nest\nfields:\n  {fields}\n", encoding="utf-8")
    with pytest.raises(Unusable) as caught:
        forms.read_forms(rules)
    return str(caught.value).replace(str(path), "nest.yaml")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        (
            "a: {ask: where}",
            "nest.yaml:3:6: fields.a: expected one of quantity, choice, count, parts, text, found nothing",
        ),
        (
            "a: {text: yes, count: 1..2}",
            "nest.yaml:3:6: fields.a: expected one of quantity, choice, count, parts, text, "
            "found 'count, text'",
        ),
        (
            "a: {quantity: curent, bounds: 1..2 A}",
            "nest.yaml:3:17: fields.a.quantity: expected a dimension, found 'curent'; "
            "did you mean 'current'?",
        ),
        (
            "a: {quantity: current, bounds: 1..2 V, bounds_source: s}",
            "nest.yaml:3:34: fields.a.bounds: expected a current such as 4 A, found '2 V' (a voltage)",
        ),
        (
            "a: {quantity: current, bounds: at least 2 A, bounds_source: s}",
            "nest.yaml:3:34: fields.a.bounds: expected a finite range of current, found 'at least 2 A'",
        ),
        (
            "a: {quantity: current, bounds: unknown, bounds_source: s}",
            "nest.yaml:3:34: fields.a.bounds: expected a finite range of current, found 'unknown'",
        ),
        (
            "a: {quantity: current, bounds: 1..2 A}",
            "nest.yaml:3:6: fields.a: expected 'bounds_source: ...', found nothing of that name",
        ),
        (
            "a: {count: 3..2}",
            "nest.yaml:3:14: fields.a.count: expected whole numbers such as 1..12, found '3..2'",
        ),
        (
            "a: {count: many}",
            "nest.yaml:3:14: fields.a.count: expected whole numbers such as 1..12, found 'many'",
        ),
        (
            "a: {text: yes, access: bare_hands}",
            "nest.yaml:3:26: fields.a.access: expected one of bare_hand, tool, instrument, licensed, "
            "found 'bare_hands'; did you mean 'bare_hand'?",
        ),
    ],
)
def test_a_mistake_in_a_form_is_told_with_its_place(rules: Path, fields: str, said: str) -> None:
    assert said_of(rules, fields) == said


def test_every_mistake_of_a_form_is_told(rules: Path) -> None:
    found = said_of(rules, "a: {count: many}\n  b: {quantity: curent, bounds: 1..2 A}")
    assert len(found.splitlines()) == 2
