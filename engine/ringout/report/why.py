"""The proof of a verdict as text, for someone who does not take a program's word for it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from ringout.facts.catalogue import catalogue
from ringout.inference.chain import Said, Verdict
from ringout.quantity.leaf import WORKED_OUT, Origin
from ringout.report.hangs import hangs, settling
from ringout.report.view import counted
from ringout.review.proof import Input, Line, Number, Proof, proof
from ringout.review.review import Review
from ringout.review.words import fill, input_name, part_name

WIDTH = 80
HEADINGS = {
    Verdict.WRONG: "Because",
    Verdict.RIGHT: "Right, because",
    Verdict.NOT_KNOWN: "As far as it is known",
    Verdict.DOES_NOT_APPLY: "Does not apply, because",
}
PARTS = {"given": "it applies here: ", "when": "", "unless": "exception: "}
NO_PROBABILITY = "A part of a range is no probability: the middle is no likelier than the ends."


def listing(review: Review) -> str:
    """Every verdict of a rule that has words, worst first: the rule, and what it is about."""
    lines = []
    for verdict in Verdict:
        rules: dict[str, list[str]] = {}
        for said in review.chained.said:
            if said.verdict is verdict and said.rule.finding is not None:
                rules.setdefault(said.rule.name, []).append(_about(review, said))
        count = sum(len(each) for each in rules.values())
        lines += [f"{verdict.value.upper()} ({count})"] if count else []
        for name, about in rules.items():
            lines += _wrap(f"{name}: {'; '.join(about)}", first="  ", hang=6)
        lines += [""] if count else []
    lines += _wrap("One of them in full: ringout why CASE RULE, with a part behind it where it has several.")
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
    made = proof(said, review.case)
    yield ""
    if made is None:
        yield from _wrap(_missing(review, said), hang=2)
        return
    if said.verdict is Verdict.WRONG and said.rule.finding is not None and said.step is not None:
        facts = {alias: known.fact for alias, known in said.step.binding.items()}
        for label, template in (("Seen", said.rule.finding.seen), ("Means", said.rule.finding.means)):
            yield from _wrap(f"{label}: {fill(template, facts, review.case)}", hang=2)
        yield ""
    yield HEADINGS[said.verdict]
    yield from _proof(said, made)
    shares = any("% of that range" in line.room for line in made.lines)
    yield from _wrap(NO_PROBABILITY, first="  ", hang=2) if shares else ()
    for heading, bullets in (*settling(review.case, said), *hangs(review.case, said)):
        yield ""
        yield from _wrap(heading)
        for bullet, *under in bullets:
            yield from _wrap(bullet, first="  - ", hang=4)
            for each in under:
                yield from _wrap(each, first="      ", hang=8)
    yield ""
    yield from _wrap("Sources: " + "; ".join(said.rule.sources), hang=2)
    if said.rule.finding is not None:
        yield from _wrap("This verdict can be wrong when: " + said.rule.finding.wrong_when, hang=2)


def _missing(review: Review, said: Said) -> str:
    """What was looked for in vain, and which rules would have found it."""
    its = catalogue()[said.missing]
    words = f"Does not apply. Looked for: {its.says}. Nothing of that kind goes with {_about(review, said)}."
    finders = sorted(
        {
            each.rule.name
            for each in review.chained.said
            if each.rule.conclusion is not None and each.rule.conclusion.fact == said.missing
        }
    )
    return words + (f" Only {' or '.join(finders)} could conclude it, and did not." if finders else "")


def _proof(said: Said, made: Proof) -> Iterator[str]:
    deciding = [line for line in made.lines if _decides(said.verdict, line)]
    if not deciding:
        yield from _stands(made, made.lines, 1)
        return
    yield from _stands(made, deciding, 1)
    rest = [line for line in made.lines if line not in deciding]
    if rest:
        yield "Also looked at"
        yield from _stands(made, rest, 1, beneath=False)


def _decides(verdict: Verdict, line: Line) -> bool:
    """Whether a comparison is one of those that made a verdict right, or kept it from applying."""
    if verdict is Verdict.RIGHT:
        return (line.part, line.truth) in (("when", "no"), ("unless", "yes"))
    return verdict is Verdict.DOES_NOT_APPLY and (line.part, line.truth) == ("given", "no")


def _stands(made: Proof, lines: Sequence[Line], depth: int, beneath: bool = True) -> Iterator[str]:
    pad = "  " * depth
    # What a rule asks for before it looks and again when it judges is said once.
    judged = {(line.says, line.truth) for line in lines if line.part != "given"}
    for line in lines:
        if line.part == "given" and (line.says, line.truth) in judged:
            continue
        lead = "" if (line.part, line.truth) == ("given", "no") else PARTS[line.part]
        yield from _wrap(lead + line.says, first=pad + "- ", hang=len(pad) + 2)
        if line.room:
            yield from _wrap(line.room, first=pad + "  ", hang=len(pad) + 4)
        if line.limit:
            yield from _wrap(f"limit: {line.limit}", first=pad + "    ", hang=len(pad) + 6)
        for number in line.numbers[:1] if line.limit else line.numbers:
            yield from _number(number, pad + "    ")
    for below in made.beneath if beneath else ():
        yield from _wrap(f"and because of rule {below.rule} ({below.verdict}):", first=pad, hang=2 * depth)
        yield from _stands(below, below.lines, depth + 1)


def _number(number: Number, pad: str) -> Iterator[str]:
    if number.formula:
        source = f" ({number.source})" if number.source else ""
        resting = ", resting mostly on" if number.more else ", resting on" if number.inputs else ""
        yield from _wrap(f"{number.formula}{source}{resting}", first=pad, hang=len(pad) + 2)
    for each in number.inputs:
        inner = pad + "  " * bool(number.formula)
        yield from _wrap(_input(each), first=inner, hang=len(inner) + 2)
    if number.more:
        yield f"{pad}  and {counted(number.more, 'input')} of less weight"


def _input(each: Input) -> str:
    where = f" at {each.spot}" if each.spot else ""
    source = f" [{each.source}]" if each.source else ""
    name = input_name(each.path, each.origin)
    if each.origin == Origin.TABLE or each.path.startswith(WORKED_OUT):
        return f"{name}: {each.value}{where}{source}"
    return f"{name}: {each.value} ({each.origin}){where}{source}"


def _about(review: Review, said: Said) -> str:
    return ", ".join(part_name(review.case, key) for key in said.anchor.keys.values())


def _wrap(words: str, first: str = "", hang: int = 0) -> list[str]:
    indent = " " * hang
    # Names of files and rules stay whole.
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
