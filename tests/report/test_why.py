"""Proofs as text: every verdict of every sample can be explained, with lines of the file."""

import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from ringout.facts.catalogue import catalogue
from ringout.inference.chain import Said, Verdict
from ringout.quantity.traced import leaves_of
from ringout.report.why import listing, why
from ringout.review.review import Review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
JARGON = re.compile(r"\b(subject|fact base|Kleene|proof tree)s?\b", re.IGNORECASE)


def flat(page: str) -> str:
    return " ".join(page.split())


def said_of(made: Review, rule: str, about: str) -> Said:
    return next(
        each for each in made.chained.said if each.rule.name == rule and about in each.anchor.keys.values()
    )


def places(page: str, made: Review) -> set[tuple[int, int]]:
    """Lines and columns of the case's own file that a page names, also where a long path was broken."""
    squeezed = re.sub(r"\s+", "", page)
    file = re.sub(r"\s+", "", made.case.document.file)
    return {
        (int(row), int(column)) for row, column in re.findall(re.escape(file) + r":(\d+):(\d+)", squeezed)
    }


def rests_on_the_file(said: Said, made: Review) -> bool:
    """Whether a value compared was written in the case, or the verdict is about a part of it."""
    values = [
        value
        for part in ((said.step.given, said.step.when, said.step.unless) if said.step else ())
        for test in part.tests
        for value in (test.left, test.right)
        if value is not None
    ]
    stated = (
        leaf.known and leaf.spot is not None and leaf.spot.file == made.case.document.file
        for value in values
        for leaf in leaves_of(value)
    )
    return any(stated) or any(name in made.case.parts for name in said.anchor.keys.values())


@pytest.mark.parametrize("name", CASES)
def test_every_verdict_is_explained_with_a_line_of_the_file(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    lines = Path(made.case.document.file).read_text(encoding="utf-8").splitlines()
    assert len(made.chained.said) > 20
    for said in made.chained.said:
        page = why(made, said)
        assert f"Rule {said.rule.name}: " in page
        named = places(page, made)
        assert named or not rests_on_the_file(said, made), f"{said.rule.name} {said.anchor.id} names no line"
        assert all(lines[row - 1][column - 1 :].strip() for row, column in named)


@pytest.mark.parametrize("name", CASES)
def test_every_page_keeps_its_width_and_its_words(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    pages = [why(made, said) for said in made.chained.said]
    assert [line for page in pages for line in page.splitlines() if len(line) > 80] == []
    for page in [*pages, listing(made)]:
        assert JARGON.findall(page) == [] and "!" not in page


@pytest.mark.parametrize("name", CASES)
def test_every_proof_that_holds_gives_its_sources_and_its_limits(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    for said in made.chained.said:
        if said.step is not None:
            page = flat(why(made, said))
            assert "Sources: " + flat("; ".join(said.rule.sources)) in page
            if said.rule.finding is not None:
                assert "This verdict can be wrong when: " in page


def test_a_found_loop_is_proven_from_the_wiring(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    page = flat(why(made, said_of(made, "charger-fed-by-its-own-battery", "charger")))
    assert page.startswith("The charger runs from the battery it charges: wrong for charger Rule")
    assert "Seen: Away from shore charger takes its power from inverter, which draws on battery house" in page
    assert "Means: The bank pays for its own charging" in page
    assert "Because - charger fed by inverter: away from shore, inverter on: yes the way up" in page
    assert places(page, made), "no line of the file"
    assert "What would settle it" not in page


def test_a_conclusion_is_proven_down_to_its_causes(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    page = flat(why(made, said_of(made, "loop-empties-the-bank", "charger")))
    assert "and because of rule charger-fed-by-its-own-battery (wrong):" in page
    assert "more than the limit of 1 A" in page


def test_an_open_verdict_says_what_would_settle_it(reviewed: Reviewed) -> None:
    made = reviewed("reed-unknown")
    page = flat(why(made, said_of(made, "charger-fed-by-its-own-battery", "charger")))
    assert "As far as it is known" in page
    settles = page[page.index("What would settle it") :]
    assert re.search(r"- rcd\.live_on_inverter: rcd: .*is there power at it", settles)
    assert "yes: wrong" in settles, "what each answer would make of it"


def test_what_only_a_licensed_person_may_look_at_says_so(reviewed: Reviewed) -> None:
    asked = re.compile(r"- [\w.~+-]+\.(earth_ohm|case_earth|live_from_inside|breaks): [^-]*?\?(.*?)(?= - |$)")
    seen = 0
    for name in CASES:
        for said in reviewed(name).chained.said:
            page = flat(why(reviewed(name), said))
            if said.verdict is Verdict.NOT_KNOWN:
                for rest in (
                    match[2] for match in asked.finditer(page[page.index("What would settle it") :])
                ):
                    assert rest.startswith(" Only from a licensed person's test or report."), (
                        name,
                        said.rule.name,
                    )
                    seen += 1
    assert seen


def test_a_rule_that_does_not_apply_says_what_is_missing(reviewed: Reviewed) -> None:
    made = reviewed("reed-cured")
    page = flat(why(made, said_of(made, "loop-empties-the-bank", "charger")))
    assert f"Does not apply. Looked for: {catalogue()['circulating'].says}. Nothing of that kind" in page
    assert "goes with charger, inverter, battery house." in page
    assert "Only charger-fed-by-its-own-battery could conclude it, and did not." in page


def test_the_list_has_every_verdict_with_words_worst_first(reviewed: Reviewed) -> None:
    made = reviewed("heron")
    page = listing(made)
    headings = re.findall(r"^([A-Z ]+) \((\d+)\)$", page, re.MULTILINE)
    spoken = Counter(said.verdict for said in made.chained.said if said.rule.finding is not None)
    assert headings == [(each.value.upper(), str(spoken[each])) for each in Verdict if spoken[each]]
    for said in made.chained.said:
        assert (f"  {said.rule.name}: " in page) == (said.rule.finding is not None) or said.rule.finding is None


LOOKS = {
    "wrong": ("crake", "fridge-starved-by-its-lead", "fridge"),
    "right": ("crake", "absorption-too-high", "charger"),
    "not-known": ("crake", "run-carries-more-than-it-may", "house-~shunt"),
    "answers": ("reed-unknown", "charger-only-behind-the-inverter", "charger"),
    "licensed": ("crake-half", "earth-reading-too-high", "installation"),
    "does-not-apply": ("crake", "monitor-counts-lithium-as-lead", "monitor"),
}


@pytest.mark.parametrize("look", LOOKS)
def test_a_page_looks_as_it_was_approved(reviewed: Reviewed, look: str) -> None:
    """Golden files: read the difference, and write them anew only where the new page is the better one."""
    name, rule, about = LOOKS[look]
    made = reviewed(name)
    page = why(made, said_of(made, rule, about))
    file = made.case.document.file
    # Long paths break lines elsewhere: the words are compared, and the layout where no file is named.
    page = re.sub(r"\s+", " ", page.replace(file, f"{name}.yaml"))
    golden = (Path(__file__).parent / "golden" / f"why-{look}.txt").read_text(encoding="utf-8")
    assert page == re.sub(r"\s+", " ", golden)
