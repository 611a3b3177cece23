"""What a person is shown of a review: decided here once, for every kind of page.

Findings of one rule stand together, and so do things to find out that settle the same verdicts. What does not
fit on a page is counted, never dropped in silence.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count

from ringout.case.case import Case, Part
from ringout.quantity.span import Choice
from ringout.report.wording import wording
from ringout.review.complaints import Explained
from ringout.review.finding import DANGER, Finding
from ringout.review.needs import Need
from ringout.review.review import Review
from ringout.review.words import both_told, part_name
from ringout.review.words import shown as in_print

HEADLINES = 12
"""Most findings shown, dangers excepted: those are all shown. The rest are counted."""
ROWS = 7
"""Most things to fetch that are asked for at once."""


@dataclass(frozen=True, slots=True)
class Headline:
    """Findings of one rule and class under one number."""

    number: int
    findings: Sequence[Finding]

    @property
    def finding(self) -> Finding:
        """The gravest, which speaks for all."""
        return self.findings[0]

    @property
    def others(self) -> list[str]:
        """What the others are about that the gravest is not: the parts and runs, each once."""
        own = set(self.finding.names)
        found = [", ".join(name for name in each.names if name not in own) for each in self.findings[1:]]
        return [words for words in dict.fromkeys(found) if words]


@dataclass(frozen=True, slots=True)
class Row:
    """Things to find out that settle the same verdicts, under one number."""

    number: int
    needs: Sequence[Need]

    @property
    def settles(self) -> str:
        """What they settle: two titles, a count of the rest, the other parts."""
        titles = self.needs[0].settles
        others = list(dict.fromkeys(each.opens[0].about for each in self.needs[1:]))
        more = f"; and {len(titles) - 2} more" if len(titles) > 2 else ""
        return "; ".join(titles[:2]) + more + (f" (and {', '.join(others)})" if others else "")

    @property
    def short(self) -> str:
        """The first title, and how many verdicts more wait for the same."""
        more = sum(len(need.opens) for need in self.needs) - 1
        return self.needs[0].settles[0] + (f"; and {more} more" if more else "")

    @property
    def check(self) -> str:
        """How to find out: the rule's own advice, or the bare question where only that is left to ask."""
        need = self.needs[0]
        finding = need.opens[0]
        told = only_said(finding)
        if need.leaf is not None and (finding.half_known or need.repeat):
            return told + need.ask
        return told + (finding.settle or need.ask)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows under one heading; `more` counts those left out."""

    shown: Sequence[Row]
    more: int


@dataclass(frozen=True, slots=True)
class View:
    """Everything numbered on a page, in order: dangers found and open, other faults and open questions."""

    first: str
    dangers: Sequence[Headline]
    unsafe: Rows
    faults: Sequence[Headline]
    lesser: int
    """Groups of findings beyond the headlines."""
    rest: Rows


def view(review: Review, most: int = ROWS) -> View:
    """What is shown of a review, with at most so many rows of things to find out."""
    found, needs = grouped(review.found), gathered(review.needs)
    dangers = [group for group in found if group[0].cls <= DANGER]
    faults = found[len(dangers) : HEADLINES]
    unsafe = [row for row in needs if row[0].cls <= DANGER]
    rest = [row for row in needs if row[0].cls > DANGER]
    # However much is not shown to be safe: what bears on the complaint keeps two rows, anything else one.
    room = most - min(2, max(sum(row[0].explains for row in rest), bool(rest)))
    left = most - min(room, len(unsafe))
    numbers = count(1)
    return View(
        first=_first(review, len(dangers), len(unsafe)),
        dangers=[Headline(next(numbers), group) for group in dangers],
        unsafe=Rows([Row(next(numbers), row) for row in unsafe[:room]], max(0, len(unsafe) - room)),
        faults=[Headline(next(numbers), group) for group in faults],
        lesser=len(found) - len(dangers) - len(faults),
        rest=Rows([Row(next(numbers), row) for row in rest[:left]], max(0, len(rest) - left)),
    )


def grouped(found: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule and class as one headline, in the order of the gravest."""
    groups: dict[tuple[str, int], list[Finding]] = {}
    for finding in found:
        groups.setdefault((finding.rule.name, finding.cls), []).append(finding)
    return list(groups.values())


def gathered(needs: Sequence[Need]) -> list[list[Need]]:
    """Needs that settle the same rules about several parts as one row."""
    rows: dict[tuple[str, ...], list[Need]] = {}
    for need in needs:
        rows.setdefault(tuple(sorted({each.rule.name for each in need.opens})), []).append(need)
    return list(rows.values())


def only_said(finding: Finding) -> str:
    """What somebody said who cannot know it, and what it takes to count, as sentences; nothing where all is known."""
    told = [
        f"{leaf.by or 'The owner'} says of {leaf.path.replace('.', ', ').replace('_', ' ')}: "
        f"{in_print(leaf.word, leaf.dimension)}."
        for leaf in finding.only_said
        if leaf.word is not None
    ]
    return " ".join([*told, "That counts only with a licensed person's test or report. "]) if told else ""


def in_doubt(finding: Finding) -> str:
    """What a reading in doubt contradicts beneath a finding, as sentences; nothing where there is none."""
    told = {leaf.as_stated.path.replace(".", ", ").replace("_", " "): both_told(leaf) for leaf in finding.doubted}
    return " ".join(f"Of {about}: {says}." for about, says in sorted(told.items()))


def consequences(finding: Finding) -> Iterator[Finding]:
    """All that follows from a finding, nearest first."""
    for each in finding.beneath:
        yield each
        yield from consequences(each)


def where(case: Case, finding: Finding) -> str:
    """The parts that a finding is about, each with the place it stands in where that is stated."""
    named = []
    for name in finding.said.anchor.keys.values():
        place = case.parts[name].place.replace("_", " ") if name in case.parts else ""
        named.append(part_name(case, name) + (f" ({place})" if place else ""))
    return ", ".join(named)


def standings(complaint: Explained) -> dict[str, list[str]]:
    """Titles of the causes of a complaint by standing: supported, open, ruled out; none is empty."""
    # Causes come worst first: what is supported at one part is not ruled out by another being right.
    by_title: dict[str, str] = {}
    for cause in complaint.causes:
        by_title.setdefault(cause.title, cause.standing)
    found = {
        standing: [title for title, its in by_title.items() if its == standing]
        for standing in ("supported", "open", "ruled out")
    }
    return {standing: titles for standing, titles in found.items() if titles}


def cautions(case: Case) -> list[str]:
    """The cautions for all, and those for kinds of part and battery types that the case has or may have."""
    parts = list(case.parts.values())
    return [
        each.says
        for each in wording().cautions
        if not each.where or any(_concerns(case, part, each.where) for part in parts)
    ]


def deferral(case: Case, finding: Finding) -> str:
    """To whom a task defers: the rules of the place for mains, the maker where a battery may be lithium."""
    if finding.text.mains:
        return wording().mains_deferral
    assert finding.said.step is not None
    names = {name for known in finding.said.step.binding.values() for name in known.fact.keys.values()}
    parts = [case.parts[name] for name in sorted(names & case.parts.keys())]
    work = finding.text.who != "owner"
    return (
        wording().lithium_deferral
        if work and any(_concerns(case, x, wording().lithium) for x in parts)
        else ""
    )


def _concerns(case: Case, part: Part, words: Sequence[str]) -> bool:
    """Whether a part is of one of those kinds, or is or may be a battery of one of those types."""
    if part.kind in words:
        return True
    # A bank is of the type of its batteries; its own is asked for only where they are not listed.
    for each in [case.parts[name] for name in part.names.get("of", ())] or [part]:
        domain = each.leaf("chemistry").domain if "chemistry" in each.form.fields else None
        if isinstance(domain, Choice) and domain.options & set(words):
            return True
    return False


def same_at(headline: Headline) -> str:
    """Where else the same was found, as a sentence, or nothing."""
    return f" The same at {'; '.join(headline.others)}." if headline.others else ""


def undrawn(review: Review) -> list[str]:
    """The parts of which nothing says what they are wired to, each once, as named in the case."""
    facts = [known.fact for known in review.chained.facts.values() if known.fact.type == "unconnected"]
    return [part_name(review.case, name) for name in dict.fromkeys(fact.keys["part"] for fact in facts)]


def counted(n: int, word: str) -> str:
    """A number of things: "1 thing", "3 things"."""
    return f"{n} {word}" + ("s" if n != 1 else "")


def _first(review: Review, dangers: int, unsafe: int) -> str:
    """The sentence before all others: what to do now, how much is wrong, how much is not shown to be safe."""
    symptoms = {complaint.symptom for complaint in review.case.complaints.values()}
    stop = bool(symptoms & set(wording().stop_symptoms))
    parts = [wording().stop] if stop else []
    if dangers:
        which = f"numbers 1 to {dangers}" if dangers > 1 else "number 1"
        parts.append(f"{counted(dangers, 'thing')} wrong that can hurt someone: see to {which} first.")
    if unsafe:
        parts.append(f"{counted(unsafe, 'thing')} not shown to be safe. Not known is not the same as fine.")
    if not dangers and not unsafe:
        if not stop:  # no comfort right behind a sign of danger
            parts.append("Nothing that can hurt someone was found in what was looked at.")
        if review.not_inspected:
            kinds = counted(len(review.not_inspected), "kind")
            parts.append(f"{kinds} of part were not looked for: see below.")
    return " ".join(parts)
