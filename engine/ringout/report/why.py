"""The proof of a verdict as text, for someone who does not take a program's word for it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ringout.inference.chain import Said, Verdict
from ringout.report.view import counted
from ringout.review.needs import need_of
from ringout.review.proof import Number, Proof, outcomes, proof
from ringout.review.review import Review
from ringout.review.words import fill, part_name

WIDTH = 80


def listing(review: Review) -> str:
    """Every verdict, a line each, worst first within a rule's area."""
    lines = []
    for verdict in Verdict:
        for said in review.chained.said:
            if said.verdict is verdict and said.rule.finding is not None:
                lines.append(f"{verdict.value:15}{said.rule.name} {_about(review, said)}")
    return "\n".join(lines) + "\n"


def why(review: Review, said: Said) -> str:
    """One verdict: what the rule asks, what was found, what each number is made of, what would settle it."""
    return "\n".join(_lines(review, said)) + "\n"


def _lines(review: Review, said: Said) -> Iterator[str]:
    yield from _wrap(f"{said.rule.title}: {said.verdict.value} for {_about(review, said)}")
    yield from _wrap(f"Rule {said.rule.name}: {said.rule.says}", hang=2)
    for name in said.anchor.keys.values():
        written = review.case.parts.get(name) or review.case.hops.get(name)
        if written is not None:
            yield from _wrap(f"{part_name(review.case, name)}: {written.spot}", first="  ", hang=4)
    made = proof(said)
    if made is None:
        yield from _wrap(
            f"Does not apply because no {said.missing.replace('_', ' ')} goes with it in this case.", hang=2
        )
        return
    yield ""
    yield "Because" if said.verdict is not Verdict.NOT_KNOWN else "As far as it is known"
    yield from _proof(made, 1)
    yield from _settle(review, said)
    yield ""
    yield from _wrap("Sources: " + "; ".join(said.rule.sources), hang=2)
    if said.rule.finding is not None:
        yield from _wrap("This verdict can be wrong when: " + said.rule.finding.wrong_when, hang=2)


def _proof(made: Proof, depth: int) -> Iterator[str]:
    pad = "  " * depth
    for line in made.lines:
        sure = {"yes": "yes", "no": "no", "not known": "not known"}[line.truth]
        lead = "" if line.part == "when" else f"{line.part}: "
        yield from _wrap(f"{lead}{line.says} -> {sure}", first=pad + "- ", hang=2 * depth + 2)
        for number in line.numbers:
            yield from _number(number, pad + "    ")
    for below in made.beneath:
        yield from _wrap(f"and because of rule {below.rule} ({below.verdict}):", first=pad, hang=2 * depth)
        yield from _proof(below, depth + 1)


def _number(number: Number, pad: str) -> Iterator[str]:
    if number.formula:
        source = f" ({number.source})" if number.source else ""
        yield from _wrap(
            f"{number.name} = {number.value}: {number.formula}{source}", first=pad, hang=len(pad) + 2
        )
    for each in number.inputs:
        where = f" at {each.spot}" if each.spot else ""
        source = f" [{each.source}]" if each.source else ""
        said = each.origin if each.spot or each.origin == "not stated" else "table"
        yield from _wrap(
            f"{each.path}: {each.value} ({said}){where}{source}", first=pad + "  ", hang=len(pad) + 4
        )
    if number.more:
        yield f"{pad}  and {counted(number.more, 'input')} of less weight"


def _settle(review: Review, said: Said) -> Iterator[str]:
    if said.verdict is not Verdict.NOT_KNOWN or said.step is None:
        return
    yield ""
    yield "What would settle it"
    asked = [need_of(review.case, leaf) for leaf in said.step.needs]
    for need in asked:
        if need is not None:
            whose = " Only from a licensed person's test or report." if need.access == "licensed" else ""
            yield from _wrap(f"{need.path}: {need.ask}{whose}", first="  - ", hang=4)
    if said.rule.finding is not None:
        yield from _wrap(f"or a reading: {_filled(review, said)}", first="  - ", hang=4)
    known: dict[str, list[str]] = {}
    for outcome in outcomes(said):
        known.setdefault(outcome.path, []).append(f"{outcome.answer.replace('_', ' ')}: {outcome.verdict}")
    for path, answers in known.items():
        yield from _wrap(f"{path} alone: " + "; ".join(answers), first="  ", hang=4)


def _filled(review: Review, said: Said) -> str:
    assert said.step is not None and said.rule.finding is not None
    facts = {alias: known.fact for alias, known in said.step.binding.items()}
    return fill(said.rule.finding.confirm, facts, review.case)


def _about(review: Review, said: Said) -> str:
    return ", ".join(part_name(review.case, key) for key in said.anchor.keys.values())


def _wrap(words: str, first: str = "", hang: int = 0) -> list[str]:
    indent = " " * hang
    # Names of files and rules stay whole.
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
