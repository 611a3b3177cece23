"""Facts set by the paths that a proof prints: as if the file were edited, whatever the path is of."""

import math
import random
import re
from pathlib import Path

import pytest

from ringout.case.load import load, load_text
from ringout.inference.chain import Said
from ringout.plan.compare import standings
from ringout.plan.what_if import NotSet, paths, what_if
from ringout.quantity.leaf import Leaf
from ringout.quantity.printed import format_domain
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of
from ringout.report.why import why
from ringout.review.finding import leaves_beneath
from ringout.review.review import Review, review
from ringout.shipped import cases_root

FIELD = Path(__file__).parents[1] / "field" / "cases"
FILES = [*sorted(cases_root().glob("*.yaml")), *sorted(FIELD.glob("*.yaml"))]

TEXT = """\
case: made for a test
dc_volts: 12 V
parts:
  b1: {kind: battery, chemistry: AGM (label), capacity: 100 Ah}
  f1: {kind: fuse, rating: 100 A, supposed: yes}
  inverter: {kind: inverter, place: bench}
  kettle: {kind: appliance}
  post: {kind: shore_supply}
dc:
  - b1+ = f1 = inverter+ : 35 mm2, 0.2 m, 1.5 m
  - b1- = inverter- : 35 mm2, 2 m
ac:
  - inverter | post > kettle
readings:
  idle: {what: current, value: 2 A, of: inverter}
"""


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        ("b1.chemistry", "LFP", "AGM (label)", "LFP"),
        ("b1.capacity", "120 Ah (label)", "100 Ah", "120 Ah (label)"),
        ("b1+~f1.length", "0.4 m", "35 mm2, 0.2 m, 1.5 m", "35 mm2, 0.4 m, 1.5 m"),
        ("installation.dc_volts", "24 V", "dc_volts: 12 V", "dc_volts: 24 V"),
        ("readings.idle", "3 A", "value: 2 A", "value: 3 A"),
        ("kettle.fed_from", "post", "inverter | post > kettle", "post > kettle"),
    ],
)
def test_what_if_is_the_file_edited(path: str, value: str, old: str, new: str) -> None:
    """The same verdicts as the text with the new value in place of the old one."""
    assert old in TEXT
    by_hand = review(load_text(TEXT.replace(old, new), "made.yaml"), "plain")
    set_ = review(what_if(load_text(TEXT, "made.yaml"), {path: value}), "plain")
    assert verdicts(set_) == verdicts(by_hand)


def verdicts(made: Review) -> dict[object, str]:
    return {key: each.words for key, each in standings(made, {}).items()}


def test_one_run_of_a_line_gets_what_the_line_does_not_say() -> None:
    case = what_if(load_text(TEXT, "made.yaml"), {"b1+~f1.insulation": "105 C"})
    insulated = {id: hop.sheet.leaf("insulation").known for id, hop in case.hops.items() if hop.sheet}
    assert insulated == {id: id == "b1+~f1" for id in case.hops}
    assert {id: hop.size.text for id, hop in case.hops.items()} == {
        id: hop.size.text for id, hop in load_text(TEXT, "made.yaml").hops.items()
    }


def test_a_supposed_part_may_be_there_while_its_values_stay_supposed() -> None:
    case = what_if(load_text(TEXT, "made.yaml"), {"f1.there": "yes"})
    assert not case.parts["f1"].supposed
    assert not case.parts["f1"].leaf("rating").known


def test_a_part_gets_a_place_of_which_one_thing_is_known() -> None:
    case = what_if(load_text(TEXT, "made.yaml"), {"b1.place.gas": "bottles", "inverter.place.gas": "none"})
    assert (case.places["place_of_b1"].word("gas"), case.places["bench"].word("gas")) == ("bottles", "none")


def test_settings_add_up() -> None:
    case = what_if(load_text(TEXT, "made.yaml"), {"b1.capacity": "90 Ah", "b1.chemistry": "gel"})
    assert (case.parts["b1"].leaf("capacity").text, case.parts["b1"].word("chemistry")) == ("90 Ah", "gel")


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        ("b2.capacity", "1 Ah", "expected a fact of the case, such as house.chemistry, "
         "found 'b2.capacity'; did you mean 'b1.capacity'?"),
        ("b1.capacity", "lots", "b1.capacity: expected a charge such as 100 Ah, found 'lots'"),
        ("f1.there", "maybe", "f1.there: expected yes or no, found 'maybe'"),
        ("limits.notable_drain", "2 A", "found 'limits.notable_drain', which is a value of the rules"),
        ("worked_out.lamp.volts_with_kettle", "12 V", "found 'worked_out.lamp.volts_with_kettle', which is worked out"),
        ("b1+~f1.lugs", "crimped", "found 'b1+~f1.lugs'; did you mean 'b1+~f1.lug'?"),
    ],
)  # fmt: skip
def test_what_cannot_be_set_is_one_clear_line(path: str, value: str, says: str) -> None:
    with pytest.raises(NotSet, match=re.escape(says)):
        what_if(load_text(TEXT, "made.yaml"), {path: value})


def as_written(leaf: Leaf) -> str:
    """A value that a case could hold, one of those the leaf may have."""
    if isinstance(leaf.domain, Choice):
        return min(leaf.domain.options)
    low = max(leaf.domain.lo, min(leaf.domain.hi, 1.0))
    if leaf.dimension in ("count", ""):
        return f"{math.ceil(low)}"
    return format_domain(Span(low, low), leaf.dimension)


def stated_beneath(said: Said) -> dict[str, Leaf]:
    """All that a verdict rests on and that a case could state, by path: also what its other bindings rest on."""
    leaves = [leaf for step in said.steps for leaf in (*leaves_beneath(step), *step.needs)]
    leaves += [leaf for step in said.steps for known in step.binding.values() for leaf in known.fact.standing]
    of_rules = ("tables", "limits", "rule", "number", "worked_out")
    return {leaf.path: leaf for leaf in leaves if leaf.path.partition(".")[0] not in of_rules}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_path_beneath_a_verdict_can_be_given_back(file: Path) -> None:
    """Of every case and verdict: what is known, what is open, what is only supposed. Some are set."""
    made = review(load(file), "plain")
    beneath: dict[str, Leaf] = {}
    for said in made.chained.said:
        beneath |= stated_beneath(said)
    known = set(paths(made.case))
    assert {path for path in beneath if path not in known} == set()
    assert len(beneath) > 3
    for path in random.Random(1).sample(sorted(beneath), min(5, len(beneath))):
        after = what_if(made.case, {path: as_written(beneath[path])})
        assert after.document.text != made.case.document.text or as_written(beneath[path]) in beneath[path].text


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_path_printed_is_one_that_can_be_set(file: Path) -> None:
    made = review(load(file), "plain")
    known = set(paths(made.case))
    printed = set()
    for said in made.chained.said:
        page = "\n".join(line for line in why(made, said).splitlines() if ".yaml:" not in line)
        printed |= set(re.findall(r"(?<![\w/.~+-])[\w~+-]*[A-Za-z][\w~+-]*\.[\w.~+-]*[A-Za-z][\w+-]*", page))
    # Names of files, of tables in a formula's own words, of runs in words, and what a feed comes from are no paths.
    ports = {f"{part.name}.{port}" for part in made.case.parts.values() for port in part.form.ports}
    runs = {word for run in made.case.hops for word in (run, *run.replace("_", " ").split())}
    others = {path for path in printed - known - ports - runs if not path.endswith(".yaml")}
    assert others == set()
    assert len(printed) > 3


def test_what_a_reading_contradicts_is_what_it_is_set_to() -> None:
    read = TEXT + "  test: {what: capacity, value: 60 Ah, of: b1}\n"
    case = load_text(read, "made.yaml")
    assert "capacity_reading(b1, test)" in {each.anchor.id for each in review(case, "plain").chained.said}
    for path in ("b1.capacity", "b1.capacity.as_read"):
        [bank] = [
            known.fact
            for known in review(what_if(case, {path: "80 Ah"}), "plain").chained.facts.values()
            if known.fact.type == "bank"
        ]
        assert domain_of(bank.values["capacity"]) == Span(80.0, 80.0)
