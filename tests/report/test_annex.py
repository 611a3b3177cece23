"""The annex holds all: findings with their numbers, open verdicts with what would settle them, sources."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from ringout.case.load import load_text
from ringout.inference.chain import Verdict
from ringout.report.annex import NEEDS, RISK, Annex, Figure, annex, line
from ringout.report.view import consequences, grouped, view
from ringout.review.proof import INPUTS
from ringout.review.review import Review, review
from ringout.shipped import cases_root, rules_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def made_of(review: Review) -> Annex:
    return annex(review, view(review))


def figures(made: Annex) -> list[Figure]:
    return [figure for entry in made.entries for detail in entry.details for figure in detail.figures]


@pytest.mark.parametrize("name", CASES)
def test_every_finding_is_there_under_the_number_of_its_headline(reviewed: Reviewed, name: str) -> None:
    review = reviewed(name)
    made, shown = made_of(review), view(review)
    headlines = [*shown.dangers, *shown.faults]
    assert [each.number for each in made.entries] == [each.number for each in headlines] + [0] * shown.lesser
    for entry, group in zip(made.entries, grouped(review.found), strict=True):
        assert entry.rule == group[0].rule.name
        findings = [each for top in group for each in (top, *consequences(top))]
        assert [(x.title, x.seen) for x in entry.details] == [(x.title, x.seen) for x in findings]
        assert all(detail.steps for detail in entry.details)


@pytest.mark.parametrize("name", CASES)
def test_every_open_verdict_is_there_with_a_way_to_settle_it(reviewed: Reviewed, name: str) -> None:
    review = reviewed(name)
    made = made_of(review)
    rows = [row for _, rows in made.open for row in rows]
    verdicts = [
        x for x in review.chained.said if x.verdict is Verdict.NOT_KNOWN and x.rule.finding is not None
    ]
    assert sorted(row.rule for row in rows) == sorted(said.rule.name for said in verdicts)
    assert made.open_count == len(rows)
    assert all(row.reading for row in rows)
    assert max((len(row.asks) for row in rows), default=0) <= NEEDS


def test_open_verdicts_stand_under_the_class_of_their_bad_answer_gravest_first(reviewed: Reviewed) -> None:
    headings = [words for words, _ in made_of(reviewed("ten-facts")).open]
    assert headings[0].startswith("Danger")
    assert len(headings) == len(set(headings))


def test_answers_that_are_left_out_are_counted(reviewed: Reviewed) -> None:
    rows = [row for _, rows in made_of(reviewed("heron")).open for row in rows]
    assert any(row.more for row in rows)
    assert all(len(row.asks) == NEEDS for row in rows if row.more)


@pytest.mark.parametrize("name", CASES)
def test_every_source_is_listed_once_and_every_reference_leads_to_one(reviewed: Reviewed, name: str) -> None:
    made = made_of(reviewed(name))
    assert len(made.sources) == len(set(made.sources))
    used = {each.source for each in figures(made)} | {x for entry in made.entries for x in entry.sources}
    assert used - {0} == set(range(1, len(made.sources) + 1))
    for entry in made.entries:
        assert made.sources[entry.sources[-1] - 1] == RISK


@pytest.mark.parametrize("name", CASES)
def test_every_number_leads_back_to_a_line_a_source_or_is_called_not_stated(
    reviewed: Reviewed, name: str
) -> None:
    for figure in figures(made_of(reviewed(name))):
        left_out = figure.name.startswith("and ")
        assert left_out or figure.line or figure.source or figure.how == "not stated"


def test_a_number_shows_its_formula_and_three_inputs_with_their_lines(reviewed: Reviewed) -> None:
    made = made_of(reviewed("reed-loop"))
    rows = figures(made)
    at = next(at for at, row in enumerate(rows) if row.name.startswith("net drain"))
    assert "I_net" in rows[at].how
    assert made.sources[rows[at].source - 1]
    inputs = rows[at + 1 : at + 1 + INPUTS]
    assert all(row.beneath and row.line.startswith("reed-loop.yaml line ") for row in inputs)
    assert rows[at + 1 + INPUTS].name.endswith("inputs of less weight")


def test_the_line_is_the_one_where_the_value_was_written(reviewed: Reviewed) -> None:
    review = reviewed("reed-loop")
    lines = (cases_root() / "reed-loop.yaml").read_text(encoding="utf-8").splitlines()
    row = next(each for each in figures(made_of(review)) if each.name == "charger.efficiency")
    assert "charger: {kind: mains_charger" in lines[int(row.line.rsplit(" ", 1)[1]) - 1]
    assert row.how in lines[int(row.line.rsplit(" ", 1)[1]) - 1]


def test_a_limit_is_called_a_table_and_names_the_file_of_the_knowledge(reviewed: Reviewed) -> None:
    made = made_of(reviewed("reed-loop"))
    row = next(each for each in figures(made) if each.name == "limits.notable_drain")
    assert row.how == "table"
    file, number = row.line.split(" line ")
    limits = (rules_root().parent / file).read_text(encoding="utf-8").splitlines()
    assert limits[int(number) - 1] == f"  value: {row.value}"
    entry = " ".join(limits[limits.index("notable_drain:") : limits.index("storage_drain:")])
    assert limits[int(number) - 1] in entry
    assert made.sources[row.source - 1].split(": ", 1)[1] in entry


def test_a_proof_goes_down_to_the_conclusions_that_it_stands_on(reviewed: Reviewed) -> None:
    details = [detail for entry in made_of(reviewed("reed-loop")).entries for detail in entry.details]
    drains = next(
        each for each in details if each.title == "The charge loop drains the bank through the night"
    )
    assert [step.rule for step in drains.steps][1] == "charger-fed-by-its-own-battery"
    assert all(truth in ("yes", "no", "not known") for step in drains.steps for truth, _ in step.lines)


def test_the_risk_is_said_in_words(reviewed: Reviewed) -> None:
    review = reviewed("reed-loop")
    finding = review.found[0]
    # MIL-STD-882E (standard practice, 2012), tables I to III: 2 is critical, C occasional, together serious.
    graded = replace(finding, grade=replace(finding.grade, severity=2, probability="C"), beneath=[])
    made = made_of(replace(review, found=(graded,)))
    assert made.entries[0].details[0].risk == "serious: critical harm, occasional"


@pytest.mark.parametrize("name", CASES)
def test_what_is_right_is_named_by_area(reviewed: Reviewed, name: str) -> None:
    review = reviewed(name)
    made = made_of(review)
    assert [len(titles) for _, titles in made.right] == [len(names) for names in review.right.values()]
    assert all(title and "-" not in title.split()[0] for _, titles in made.right for title in titles)


@pytest.mark.parametrize(
    ("spot", "words"),
    [
        ("", ""),
        ("heron.yaml:82:5", "heron.yaml line 82"),
        ("a/folder: odd/heron.yaml:82:5", "heron.yaml line 82"),
        ("C:\\cases\\heron.yaml:7:1", "heron.yaml line 7"),
        ("rules/limits/loads.yaml:4:10", "rules/limits/loads.yaml line 4"),
    ],
)
def test_a_line_is_named_without_the_folders_of_the_machine(spot: str, words: str) -> None:
    assert line(spot) == words


def test_a_reading_that_outranks_a_label_is_shown_with_what_it_outranks() -> None:
    told = """
case: made for a test
dc_volts: 12 V
parts:
  b1: {kind: battery, chemistry: AGM (label), nominal: 12 V (label), capacity: 200 Ah (label)}
  monitor: {kind: monitor, capacity_set: 200 Ah (display)}
readings:
  test: {what: capacity, value: 140 Ah, of: b1}
  again: {what: capacity, value: 138 Ah, repeats: test}
"""

    def inputs(text: str) -> dict[str, str]:
        made = review(load_text(text, "made.yaml"), "plain")
        entries = [each for each in annex(made, view(made)).entries if each.rule == "monitor-set-for-another-bank"]
        return {figure.name: figure.value for each in entries for detail in each.details for figure in detail.figures}

    both = "138 to 140 Ah; the label says 200 Ah (line 5); read twice: 140 Ah (line 8), 138 Ah (line 9)"
    assert inputs(told)["readings.test"] == both
    once = told.replace("capacity_set: 200", "capacity_set: 400").replace("  again", "  # again")
    both = "140 to 200 Ah; the label says 200 Ah (line 5); read, and in doubt until repeated: 140 Ah (line 8)"
    assert inputs(once)["b1.capacity.as_read"] == both
