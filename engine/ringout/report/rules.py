"""The rule base for a person to read: a list by area, a search, one rule as a page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from ringout.facts.catalogue import catalogue
from ringout.report.wording import wording
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import limits
from ringout.rulebase.rule import PROBABILITIES, SEVERITIES, Grade, Rule
from ringout.rulebase.rulefile import BRACES

WIDTH = 80
ORDER = {"gt": "above", "ge": "at or above", "lt": "below", "le": "at or below"}
VERDICTS = {"wrong": "wrong", "right": "right", "not_known": "not known", "does_not_apply": "does not apply"}


def listing(rules: Sequence[Rule]) -> str:
    """Rules by area: the name of each, and its title beneath."""
    lines: list[str] = []
    for area, words in wording().areas.items():
        here = sorted((rule for rule in rules if rule.area == area), key=lambda rule: rule.name)
        if here:
            lines += ["", f"{words.upper()} ({area}, {len(here)})"]
        for rule in here:
            cls = f"{_worst(rule)}" if rule.finding is not None else "-"
            lines += [f"  {cls}  {rule.title}", f"     {rule.name}"]
    lines += ["", *_wrap("The figure is the gravest class a finding can get, 1 the gravest; - makes no finding.")]
    lines += _wrap("`ringout rules NAME` shows one rule, `ringout rules WORDS` looks for words.")
    count = "1 rule" if len(rules) == 1 else f"{len(rules)} rules"
    return f"{count}\n" + "\n".join(lines) + "\n"


def matching(rules: Iterable[Rule], words: Sequence[str]) -> list[Rule]:
    """Rules that hold every one of the words, in their name, title, text or complaints."""
    wanted = [word.lower() for word in " ".join(words).split()]
    return [rule for rule in rules if all(word in _text(rule) for word in wanted)]


def _text(rule: Rule) -> str:
    its = [rule.name, rule.title, rule.says, *rule.sources, *(term.fact for term in rule.terms)]
    if rule.finding is not None:
        text = rule.finding
        its += [text.seen, text.means, text.do, text.settle, text.wrong_when, *text.explains]
    joined = " ".join(its).lower()
    return joined + " " + joined.replace("_", " ").replace("-", " ")


def page(rule: Rule, rules: Sequence[Rule]) -> str:
    """One rule in full. `rules` are all of them: those that it rests on or feeds are named."""
    return "\n".join(_page(rule, rules)) + "\n"


def _page(rule: Rule, rules: Sequence[Rule]) -> Iterator[str]:
    text = rule.finding
    yield from _wrap(rule.title)
    yield from _wrap(f"{rule.name}, {rule.spot}", "  ")
    yield from _wrap(f"Area: {wording().areas[rule.area]}", "  ")
    yield ""
    yield from _wrap(rule.says)
    yield ""
    yield "LOOKS AT"
    yield from _terms(rule)
    parts = (("APPLIES IF", rule.given), ("WRONG IF", rule.when), ("UNLESS", rule.unless))
    for heading, condition in parts:
        if condition is not None:
            yield ""
            yield heading
            yield from _condition(condition, 1)
    if rule.when is None:
        yield ""
        yield from _wrap("WRONG wherever all of these stand together.")
    used = list(_limits(rule))
    if used:
        yield ""
        yield "LIMITS"
        for name in used:
            yield from _limit(name)
    yield from _follows(rule, rules)
    if text is not None:
        yield ""
        yield "FINDING"
        yield from _labelled("class", _grade(text.grade))
        for condition, grade in text.graver:
            yield from _wrap(f"{_grade(grade)}, where:", "    ")
            yield from _condition(condition, 3)
        yield from _labelled("seen", _filled(text.seen))
        yield from _labelled("means", _filled(text.means))
        yield from _labelled("do", _filled(text.do))
        who = wording().who[text.who]
        yield from _labelled("who", f"{who}. {wording().mains_deferral}" if text.mains else who)
        if text.explains:
            yield from _labelled("explains", ", ".join(_plain(each) for each in text.explains))
        yield from _labelled("settle", _filled(text.settle or text.confirm))
        yield from _labelled("confirm", _filled(text.confirm))
        yield from _labelled("proof", _filled(text.prove))
        yield from _wrap(f"It can be wrong when: {_filled(text.wrong_when)}", "  ")
    yield ""
    yield "SOURCES"
    for source in rule.sources:
        yield from _wrap(source, "  - ", "    ")
    yield ""
    yield f"EXAMPLES ({len(rule.examples)})"
    for example in rule.examples:
        graded = f" (class {example.cls})" if example.cls is not None else ""
        yield from _wrap(f"{VERDICTS[example.verdict]}{graded}: {example.says}", "  ", "    ")
    yield ""
    yield from _wrap(wording().deferral)


def _terms(rule: Rule) -> Iterator[str]:
    for number, term in enumerate(rule.terms):
        its = catalogue()[term.fact]
        joined = [f"{_plain(key)} is the {_named(*of)}" for key, of in term.joins.items()]
        joined += [f"{_plain(key)} is {_plain(word)}" for key, word in term.words.items()]
        where = f" ({'; '.join(joined)})" if joined else ""
        lead = "" if number == 0 else "with "
        yield from _wrap(f"{lead}{term.alias}: {its.says}{where}", "  ", "    ")


def _condition(condition: Condition, depth: int) -> Iterator[str]:
    pad = "  " * depth
    if isinstance(condition, AllOf | AnyOf):
        yield pad + ("all of these:" if isinstance(condition, AllOf) else "one of these or more:")
        for each in condition.of:
            yield from _condition(each, depth + 1)
    elif isinstance(condition, Not):
        yield pad + "not so:"
        yield from _condition(condition.of, depth + 1)
    else:
        yield from _wrap(compared(condition), pad, pad + "  ")


def compared(test: Compare) -> str:
    """One comparison in words."""
    left = _named(test.left.alias, test.left.name)
    if test.right is None:
        verb = "is not" if test.op == "ne" else "is"
        return f"{left} {verb} {' or '.join(sorted(_plain(word) for word in test.words))}"
    return f"{left} is {ORDER[test.op]} {_right(test.right)}"


def _right(right: Attr | Amount | LimitRef) -> str:
    if isinstance(right, Attr):
        return _named(right.alias, right.name)
    if isinstance(right, Amount):
        return right.leaf.text
    its = limits()[right.name]
    if right.by is None:
        return f"{its.leaves[''].text} ({right.name})"
    return f"the figure of {right.name} for {_named(right.by.alias, right.by.name)}"


def _named(alias: str, name: str) -> str:
    return f"{_plain(name)} of {_plain(alias)}"


def _plain(word: str) -> str:
    return word.replace("_", " ")


def _limits(rule: Rule) -> Iterator[str]:
    """The limits that the rule compares with, each once, in reading order."""
    text = rule.finding
    whole = [rule.given, rule.when, rule.unless, *(condition for condition, _ in (text.graver if text else ()))]
    names = [name for condition in whole if condition is not None for name in _referred(condition)]
    yield from dict.fromkeys(names)


def _referred(condition: Condition) -> Iterator[str]:
    if isinstance(condition, AllOf | AnyOf):
        for each in condition.of:
            yield from _referred(each)
    elif isinstance(condition, Not):
        yield from _referred(condition.of)
    elif isinstance(condition.right, LimitRef):
        yield condition.right.name


def _limit(name: str) -> Iterator[str]:
    its = limits()[name]
    if "" in its.leaves:
        yield from _wrap(f"{name}: {its.leaves[''].text}, {its.says}", "  ", "    ")
    else:
        yield from _wrap(f"{name}: {its.says}", "  ", "    ")
        for text, words in _by_value({word: leaf.text for word, leaf in its.leaves.items()}):
            yield from _wrap(f"{text}: {', '.join(_plain(word) for word in words)}", "    ", "      ")
    yield from _wrap(f"source: {its.source} ({its.basis})", "    ", "      ")


def _by_value(texts: Mapping[str, str]) -> list[tuple[str, list[str]]]:
    found: dict[str, list[str]] = {}
    for word, text in texts.items():
        found.setdefault(text, []).append(word)
    return list(found.items())


def _follows(rule: Rule, rules: Sequence[Rule]) -> Iterator[str]:
    read = {term.fact for term in rule.terms}
    below = [each for each in rules if each.conclusion is not None and each.conclusion.fact in read]
    made = rule.conclusion
    above = [each for each in rules if made is not None and any(term.fact == made.fact for term in each.terms)]
    if made is None and not below:
        return
    yield ""
    yield "CONCLUSIONS"
    if made is not None:
        yield from _wrap(f"concludes: {catalogue()[made.fact].says}", "  ", "    ")
    for word, its in (("rests on", below), ("leads to", above)):
        for each in its:
            yield from _wrap(f"{word}: {each.title} ({each.name})", "  ", "    ")


def _grade(grade: Grade) -> str:
    severity, probability = SEVERITIES[grade.severity], PROBABILITIES[grade.probability]
    return f"{grade.cls}, {wording().classes[str(grade.cls)].lower()}; harm {severity}, {probability}"


def _worst(rule: Rule) -> int:
    text = rule.finding
    assert text is not None
    return min(grade.cls for grade in (text.grade, *(grade for _, grade in text.graver)))


def _filled(text: str) -> str:
    """A template with what goes into it in angle brackets."""
    return BRACES.sub(lambda match: f"<{_named(match[1], match[2])}>", text)


def _labelled(label: str, words: str) -> list[str]:
    return _wrap(words, f"  {label:10}", " " * 12)


def _wrap(words: str, first: str = "", hang: str | None = None) -> list[str]:
    hang = first if hang is None else hang
    # Names and paths stay whole, to be copied.
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=hang, break_on_hyphens=False)
