"""The page for people: its order, its limits, its words."""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reworded import reworded

from ringout import __version__
from ringout.case.load import load_text
from ringout.kept import digest
from ringout.report.text import KINDS, text
from ringout.report.wording import wording
from ringout.review.finding import DANGER, Finding
from ringout.review.review import Review, review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
WIDTH, SCREEN = 80, 40
"""Columns and lines of a terminal."""
HEADLINES, ROWS = 12, 7
"""Most faults shown and most things asked for at once."""
JARGON = re.compile(r"\b(subject|fact base|Kleene|proof tree)s?\b", re.IGNORECASE)
NUMBERED = re.compile(r"^( \d|\d\d) (?!things? )", re.MULTILINE)


def headlines(made: Review) -> list[Finding]:
    """The first finding of each rule and class, as many as the page has room for."""
    first: dict[tuple[str, int], Finding] = {}
    for each in made.found:
        first.setdefault((each.rule.name, each.cls), each)
    dangers = sum(cls <= DANGER for _, cls in first)
    return list(first.values())[: max(HEADLINES, dangers)]


def flat(page: str) -> str:
    """The page on one line, so that a sentence is found wherever it was broken."""
    return " ".join(page.split())


@pytest.mark.parametrize("name", CASES)
def test_no_line_is_wider_than_eighty_columns(reviewed: Reviewed, name: str) -> None:
    assert [line for line in text(reviewed(name)).splitlines() if len(line) > WIDTH] == []


@pytest.mark.parametrize("name", CASES)
def test_the_words_are_plain(reviewed: Reviewed, name: str) -> None:
    page = text(reviewed(name))
    assert JARGON.findall(page) == []
    assert "!" not in page
    assert "{" not in page, "a template was not filled"
    assert not re.search(r"\b[a-z]+_[a-z]", page), "a name of a file's field is not a word"


@pytest.mark.parametrize("name", CASES)
def test_the_deferral_stands_once_at_the_end(reviewed: Reviewed, name: str) -> None:
    page = flat(text(reviewed(name)))
    assert page.count(wording().deferral) == 1
    assert page.endswith(wording().deferral)


@pytest.mark.parametrize("name", CASES)
def test_the_first_line_says_what_was_reviewed_by_what(reviewed: Reviewed, name: str) -> None:
    first = text(reviewed(name)).splitlines()[0]
    assert first == f"Review of {name}.yaml: plain engine, ringout {__version__}, rules {digest()}"
    assert flat(text(reviewed(name))).count("an invented installation") == 1


@pytest.mark.parametrize("name", CASES)
def test_the_numbers_run_on_without_a_gap(reviewed: Reviewed, name: str) -> None:
    numbers = [int(number) for number in NUMBERED.findall(text(reviewed(name)))]
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("name", CASES)
def test_safety_stands_before_everything_else(reviewed: Reviewed, name: str) -> None:
    """Found dangers, then what is not shown to be safe, then other faults, then what else is not known."""
    page = text(reviewed(name))
    places = [f"WRONG: {wording().classes[str(cls)]}" for cls in (1, DANGER)]
    places += ["NOT SHOWN TO BE SAFE"]
    places += [f"WRONG: {wording().classes[str(cls)]}" for cls in (3, 4, 5)]
    places += ["NOT KNOWN YET", "RIGHT, as far as it was looked at"]
    at = [page.index(words) for words in places if words in page]
    assert at == sorted(at)
    assert at


@pytest.mark.parametrize("name", CASES)
def test_the_first_sentence_counts_what_can_hurt(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    page = flat(text(made))
    dangers = sum(each.cls <= DANGER for each in headlines(made))
    assert ("wrong that can hurt someone" in page) == bool(dangers)
    if dangers:
        which = "number 1" if dangers == 1 else f"numbers 1 to {dangers}"
        assert (
            f"{dangers} thing{'s' * (dangers > 1)} wrong that can hurt someone: see to {which} first." in page
        )
    unsafe = any(need.cls <= DANGER for need in made.needs)
    assert ("not shown to be safe. Not known is not the same as fine." in page) == unsafe


@pytest.mark.parametrize("name", CASES)
def test_at_most_seven_things_are_asked_for_at_once(reviewed: Reviewed, name: str) -> None:
    assert text(reviewed(name)).count("   check  ") <= ROWS


def test_what_is_left_out_is_counted(reviewed: Reviewed) -> None:
    made = reviewed("heron")
    page = text(made)
    shown = page.count("   check  ")
    more = sum(int(count) for count in re.findall(r"and (\d+) more things? to find out", page))
    rows = {tuple(sorted({each.rule.name for each in need.opens})) for need in made.needs}
    assert shown + more == len(rows)


def test_more_than_a_dozen_faults_are_counted_but_dangers_are_all_shown(reviewed: Reviewed) -> None:
    made = reviewed("heron")
    faults = [each for each in made.found if each.cls > DANGER]
    many = [
        reworded(
            replace(faults[0], rule=replace(faults[0].rule, name=f"made-{n}"), beneath=[]),
            title=f"made fault {n}.",
        )
        for n in range(HEADLINES + 3)
    ]
    page = text(replace(made, found=tuple(many)))
    assert page.count("   seen   ") == HEADLINES
    assert "   and 3 lesser things; --format json lists all" in page
    grave = [reworded(replace(each, grade=replace(each.grade, cls=1)), title=each.title) for each in many]
    page = text(replace(made, found=tuple(grave)))
    assert page.count("   seen   ") == HEADLINES + 3
    assert "lesser ones" not in page


def test_ten_facts_fit_on_one_screen(reviewed: Reviewed) -> None:
    page = text(reviewed("ten-facts"))
    assert len(page.splitlines()) <= SCREEN


@pytest.mark.parametrize("name", CASES)
def test_findings_of_one_rule_and_class_stand_under_one_number(reviewed: Reviewed, name: str) -> None:
    page = flat(text(reviewed(name)))
    titles = Counter(finding.title for finding in headlines(reviewed(name)))
    assert titles == {title: page.count(f" {title} seen ") for title in titles}


def test_the_other_parts_are_named_beside_the_first(reviewed: Reviewed) -> None:
    assert "The same at controller." in flat(text(reviewed("heron")))


def test_a_consequence_stands_under_its_cause_and_not_by_itself(reviewed: Reviewed) -> None:
    page = flat(text(reviewed("reed-loop")))
    assert " so The charge loop drains the bank through the night: With charger" in page
    assert page.count("With charger and inverter both left on") == 1


def test_the_end_of_a_long_chain_is_shown_too(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    top = next(each for each in made.found if each.beneath)
    last = reworded(replace(top.beneath[0], beneath=[]), title="The last of three")
    chain = replace(top, beneath=[replace(top.beneath[0], beneath=[last])])
    page = text(replace(made, found=(chain,)))
    assert page.count("   so     ") == 2
    assert "   so     The last of three: " in page


@pytest.mark.parametrize("name", CASES)
def test_mains_work_is_left_to_licensed_people(reviewed: Reviewed, name: str) -> None:
    """Each task says whose work it is; one that touches mains wiring defers to the rules of the place."""
    page = flat(text(reviewed(name)))
    tasks = headlines(reviewed(name))
    mains = sum(each.text.mains for each in tasks)
    assert page.count(wording().mains_deferral) == mains
    assert page.count(" Work for ") == len(tasks) - mains


def test_a_complaint_whose_causes_are_all_open_takes_one_sentence(reviewed: Reviewed) -> None:
    page = flat(text(reviewed("ten-facts")))
    assert re.search(
        r'"flat by morning when away": \d possible causes, none settled yet; the checks above tell\.', page
    )


def test_a_suspect_that_was_cleared_is_named_as_cleared(reviewed: Reviewed) -> None:
    page = flat(text(reviewed("reed-cured")))
    assert re.search(r"ruled out: [^.]*The charger runs from the battery it charges", page)
    page = flat(text(reviewed("reed-loop")))
    assert re.search(r"supported: The charger runs from the battery it charges", page)


@pytest.mark.parametrize("name", CASES)
def test_what_nobody_looked_for_is_listed(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    page = flat(text(made))
    rest = page[page.index("NOT LOOKED FOR") :]
    assert all(kind.replace("_", " ") in rest for kind in made.not_inspected[:KINDS])
    more = len(made.not_inspected) - KINDS
    assert (f"and others ({more})" in rest) == (more > 0)


@pytest.mark.parametrize("symptom", ["tingle", "smoke", "swelling"])
def test_a_complaint_that_is_a_danger_sign_stops_everything_first(
    review_of: Callable[[str], Review], symptom: str
) -> None:
    made = review_of(f"case: a hut\ncomplaints:\n  c: {{says: it does, symptom: {symptom}}}\n")
    page = flat(text(made))
    assert page.index("STOP: the complaint is itself a sign of danger.") < page.index("This review advises")
    assert "Nothing that can hurt someone was found" not in page
    assert f"{len(made.not_inspected)} kinds of part were not looked for: see below." in page
    quiet = review_of("case: a hut\ncomplaints:\n  c: {says: it does, symptom: lights_dim}\n")
    assert "STOP" not in text(quiet)


def test_nothing_wrong_and_nothing_open_is_said_in_so_many_words(review_of: Callable[[str], Review]) -> None:
    made = review_of("case: an empty hut\n")
    page = flat(text(made))
    assert "Nothing that can hurt someone was found in what was looked at." in page
    assert f"{len(made.not_inspected)} kinds of part were not looked for: see below." in page
    assert "NOT LOOKED FOR" in page


@settings(max_examples=25)
@given(
    says=st.text(
        st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=200
    ),
    title=st.text("abc déf-", min_size=1, max_size=200).filter(str.strip),
)
def test_whatever_the_owner_says_the_page_keeps_its_width(says: str, title: str) -> None:
    def quoted(words: str) -> str:
        return "'" + words.replace("'", "''") + "'"

    made = load_text(
        f"case: {quoted(title)}\ncomplaints: {{c: {{says: {quoted(says)}, symptom: sparks}}}}\n", "made.yaml"
    )
    page = text(review(made, "plain"))
    assert all(len(line) <= WIDTH for line in page.splitlines())
    assert page.endswith("\n")


SAID_EARTH = """case: made for a test
parts:
  inlet: {{kind: inlet, earth: {said}, earth_ohm: 0.2 ohm (measured)}}
mains: {{rcd: yes (seen)}}
"""


def test_what_was_only_said_is_told_with_what_it_takes_to_count() -> None:
    def page(said: str) -> str:
        return flat(text(review(load_text(SAID_EARTH.format(said=said), "made.yaml"), "plain")))

    wants = "That counts only with a licensed person's test or report."
    assert f"check The owner says of inlet, earth: proven. {wants}" in page("proven (said)")
    assert f"The owner says of inlet, earth: broken. {wants}" in page("broken (said)").split("means")[0]
    assert f"the skipper says of inlet, earth: proven. {wants}" in page("{is: proven, from: said, by: the skipper}")
    assert wants not in page("proven (measured)")


def test_what_nobody_drew_is_named(reviewed: Reviewed) -> None:
    page = " ".join(text(reviewed("crake-half")).split())
    listed = "wired to: charger, controller, battery house, inverter, mover, pump fuse."
    assert f"NOT DRAWN: nothing says what these are {listed}" in page
    assert "NOT DRAWN" not in text(reviewed("plover"))


@pytest.mark.parametrize("name", ["ten-facts", "crake-half"])
def test_signs_of_danger_that_nobody_could_tell_of_are_the_first_thing_to_find_out(name: str) -> None:
    written = (cases_root() / f"{name}.yaml").read_text(encoding="utf-8")
    sign = "danger_signs: unknown (said)"
    if "habits:" in written:
        written = written.replace("habits:\n", f"habits:\n  {sign}\n")
    else:
        written += f"habits: {{{sign}}}\n"
    page = text(review(load_text(written, "made.yaml"), "plain"))
    first = page.split("NOT SHOWN TO BE SAFE: check first\n")[1]
    assert re.match(r" ?\d+ Signs of danger \(smell, heat, tingle, swelling, water\): not known", first)
    assert "Before anything else: ask everybody aboard" in flat(first)


def test_readings_that_nothing_was_made_of_are_named(reviewed: Reviewed) -> None:
    assert "READINGS NOT USED: rest (volts count" in flat(text(reviewed("heron")))
    assert "READINGS NOT USED" not in text(reviewed("ten-facts"))


def test_what_was_read_stands_beside_what_was_worked_out(reviewed: Reviewed) -> None:
    page = flat(text(reviewed("bittern")))
    assert "loses 1.56 to 2.76 V, and controller measures at its own terminals. means" in page
    assert "read 1.66 to 1.7 V was read as lost between controller and bank hide" in page
    assert page.count("was read as lost") == 1


def test_a_reading_in_doubt_is_told_beside_what_it_contradicts_and_asks_for_its_repeat(
    winch_read: Callable[[str, str], Review],
) -> None:
    page = flat(text(winch_read("90 A", "5 A")))
    told = "Of winch, current: the label says 90 A (line 6); read, and in doubt until repeated: 5 A (line 9)."
    assert told in page
    fits = flat(text(winch_read("90 A", "88 A")))
    assert "in doubt" not in fits
    less = flat(text(winch_read("6 A", "90 A")))
    assert "check winch: 90 A was read and is in doubt; clamp it again: clamp zeroed, round one conductor" in less
