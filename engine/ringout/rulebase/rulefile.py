"""One rule file: every name, word, amount and text in it checked against the catalogue of facts."""

from __future__ import annotations

import re

from ringout.case.form import sheet
from ringout.facts.catalogue import FactType, catalogue
from ringout.rulebase.condition import Condition, Reader
from ringout.rulebase.rule import (
    SEVERITIES,
    Conclusion,
    Example,
    FindingText,
    Grade,
    Rule,
    Term,
)
from ringout.rulebase.shape import ExampleLine, GradeLine, RuleFile
from ringout.text.checked import Loc, problem, validate
from ringout.text.document import Document
from ringout.text.problem import Problem, Unusable, did_you_mean

BRACES = re.compile(r"\{([a-z_][a-z0-9_]*)\.([a-z_][a-z0-9_]*)\}")
"""What a finding's text takes from a fact: ``{alias.key}`` or ``{alias.attribute}``."""
UNGRADED = ("right", "does_not_apply")
"""Verdicts that make no finding, so that there is nothing to grade."""
TITLE, RATIONALE = 60, 280
"""Most characters of a title and of each text of a finding."""


def read_rule(document: Document) -> Rule:
    """One rule from its file, level not yet known. Raises Unusable with the problems found."""
    raw = validate(document, RuleFile)
    return _Maker(document, raw).make()


class _Maker:
    """Turns the lines of one file into a rule and gathers what is wrong with them."""

    def __init__(self, document: Document, raw: RuleFile) -> None:
        self.document = document
        self.raw = raw
        self.problems: list[Problem] = []
        self.types: dict[str, FactType] = {}
        self.unread: set[str] = set()

    def make(self) -> Rule:
        raw = self.raw
        terms = self.terms()
        if self.problems:
            raise Unusable(self.problems)
        reader = Reader(self.document, self.types)
        given, when, unless = (self.condition(reader, key) for key in ("given", "when", "unless"))
        finding = self.finding(reader)
        conclusion = self.conclusion()
        if finding is None and conclusion is None:
            self.wrong((), "a finding, a conclusion, or both", None)
        if len(raw.title) > TITLE:
            self.wrong(("title",), f"at most {TITLE} characters", raw.title)
        examples = tuple(self.example(n, each) for n, each in enumerate(raw.examples))
        if self.problems:
            raise Unusable(self.problems)
        return Rule(
            raw.rule,
            raw.title,
            raw.area,
            raw.says,
            tuple(terms),
            given,
            when,
            unless,
            conclusion,
            finding,
            tuple(raw.sources),
            examples,
            self.document.spot(("rule",)),
        )

    def wrong(self, loc: Loc, expected: str, found: object, hint: str = "") -> None:
        self.problems.append(problem(self.document, loc, expected, found, hint))

    def condition(self, reader: Reader, key: str) -> Condition | None:
        raw = getattr(self.raw, key)
        if raw is None:
            return None
        try:
            return reader.read((key,), raw)
        except Unusable as fault:
            self.problems += fault.problems
            return None

    # -- terms -----------------------------------------------------------------------------------------------

    def terms(self) -> list[Term]:
        if len(self.raw.looks_at) != 1:
            self.wrong(("looks_at",), "one alias and its fact", self.raw.looks_at)
            return []
        ((alias, fact),) = self.raw.looks_at.items()
        found = [self.term(("looks_at", alias), alias, fact, {})]
        for alias, line in self.raw.with_.items():
            found.append(self.term(("with", alias), alias, line.fact, line.where))
        anchor = self.types.get(next(iter(self.raw.looks_at)))
        if anchor is not None and anchor.concluded:
            expected = "a fact that is no conclusion (conclusions stand under 'with')"
            self.wrong(("looks_at",), expected, anchor.name)
        return [each for each in found if each is not None]

    def term(self, loc: Loc, alias: str, fact: str, where: dict[str, str]) -> Term | None:
        its = catalogue().get(fact)
        at = loc if loc[0] == "looks_at" else (*loc, "fact")
        if its is None:
            hint = did_you_mean(fact, catalogue())
            self.wrong(at, "a fact of the catalogue", fact, hint)
            self.unread.add(alias)
            return None
        if alias in self.types:
            self.wrong(at, "an alias of its own for each fact", alias)
        joins: dict[str, tuple[str, str]] = {}
        words: dict[str, str] = {}
        for key, text in where.items():
            here = (*loc, "where", key)
            if key not in its.keys and key not in its.known:
                known = (*its.keys, *its.known)
                keys = ", ".join(known)
                expected = f"a key of {fact} ({keys}); anything that may be unknown goes under 'when'"
                self.wrong(here, expected, key, did_you_mean(key, known))
                continue
            other, dot, name = text.partition(".")
            if dot:
                self.join(here, other, name, text)
                joins[key] = (other, name)
            else:
                options = its.known.get(key, ())
                if options and text not in options:
                    self.wrong(here, "one of " + ", ".join(options), text, did_you_mean(text, options))
                words[key] = text
        self.types[alias] = its
        return Term(alias, fact, joins, words)

    def join(self, loc: Loc, alias: str, name: str, text: str) -> None:
        """Check that ``alias.name`` is a settled word of a fact named before."""
        its = self.types.get(alias)
        if alias in self.unread:
            return  # said already, where its fact is named
        if its is None:
            self.wrong(loc, "a word, or a key of a fact named before", text, did_you_mean(alias, self.types))
        elif name not in its.keys and name not in its.known:
            self.wrong(loc, f"a key of {its.name}", text, did_you_mean(name, (*its.keys, *its.known)))

    # -- what follows ----------------------------------------------------------------------------------------

    def conclusion(self) -> Conclusion | None:
        line = self.raw.concludes
        if line is None:
            return None
        its = catalogue().get(line.fact)
        loc: Loc = ("concludes", "fact")
        if its is None or not its.concluded:
            known = [name for name, each in catalogue().items() if each.concluded]
            hint = did_you_mean(line.fact, known)
            self.wrong(loc, "a fact that rules conclude", line.fact, hint)
            return None
        if set(line.keys) != set(its.keys):
            expected = f"the keys {', '.join(its.keys)}"
            self.wrong(("concludes", "keys"), expected, ", ".join(line.keys))
            return None
        keys: dict[str, tuple[str, str] | str] = {}
        for key in its.keys:
            alias, dot, name = line.keys[key].partition(".")
            if not dot:
                keys[key] = alias
            elif alias in self.types and name in self.types[alias].keys:
                keys[key] = (alias, name)
            else:
                where = ("concludes", "keys", key)
                self.wrong(where, "alias.key or a word", line.keys[key])
        return Conclusion(line.fact, keys)

    def finding(self, reader: Reader) -> FindingText | None:
        line = self.raw.finding
        if line is None:
            return None
        graver = []
        for number, each in enumerate(line.graver):
            loc: Loc = ("finding", "graver", number)
            try:
                graver.append((reader.read((*loc, "when"), each.when), self.grade(loc, each)))
            except Unusable as fault:
                self.problems += fault.problems
        symptoms = sheet("complaint").fields["symptom"].options
        for word in line.explains:
            if word not in symptoms:
                hint = did_you_mean(word, symptoms)
                self.wrong(("finding", "explains"), "a known symptom", word, hint)
        for key in ("seen", "means", "do", "confirm", "prove", "settle", "open_title", "wrong_when"):
            self.template(("finding", key), getattr(line, key))
        return FindingText(
            self.grade(("finding",), line),
            tuple(graver),
            line.seen,
            line.means,
            line.do,
            line.who,
            line.mains,
            line.explains,
            line.confirm,
            line.prove,
            line.settle,
            line.open_title,
            line.wrong_when,
            line.confirms,
        )

    def grade(self, loc: Loc, line: GradeLine) -> Grade:
        if not 1 <= line.cls <= 5:
            self.wrong((*loc, "class"), "a class from 1 to 5", str(line.cls))
        if line.severity not in SEVERITIES:
            self.wrong((*loc, "severity"), "1 to 4", str(line.severity))
        return Grade(line.cls, line.severity, line.probability)

    def template(self, loc: Loc, text: str) -> None:
        if len(text) > RATIONALE:
            self.wrong(loc, f"at most {RATIONALE} characters", str(len(text)))
        for alias, name in BRACES.findall(text):
            its = self.types.get(alias)
            if its is None or (name not in its.keys and name not in its.attributes and name not in its.known):
                self.wrong(loc, "an alias and a key or attribute", f"{alias}.{name}")
        if BRACES.sub("", text).count("{"):
            self.wrong(loc, "braces that hold alias.attribute", text)

    def example(self, number: int, line: ExampleLine) -> Example:
        loc: Loc = ("examples", number)
        facts = []
        for n, entry in enumerate(line.facts):
            at = (*loc, "facts", n)
            if len(entry) != 1:
                self.wrong(at, "one fact a line", entry)
                continue
            ((fact, said),) = entry.items()
            its = catalogue().get(fact)
            if its is None:
                hint = did_you_mean(fact, catalogue())
                self.wrong(at, "a fact of the catalogue", fact, hint)
                continue
            allowed = {*its.keys, *its.known, *its.attributes} | ({"sure"} if its.concluded else set())
            for key in said:
                if key not in allowed:
                    hint = did_you_mean(key, allowed)
                    self.wrong((*at, fact, key), f"a key of {fact}", key, hint)
            for key, options in its.known.items():
                if options and said.get(key, options[0]) not in options:
                    hint = did_you_mean(said[key], options)
                    self.wrong((*at, fact, key), "one of " + ", ".join(options), said[key], hint)
            for key in its.keys:
                if key not in said:
                    self.wrong((*at, fact), f"a key '{key}'", None)
            facts.append((fact, said))
        if (line.cls is not None or line.risk) and (line.verdict in UNGRADED or self.raw.finding is None):
            key = "class" if line.cls is not None else "risk"
            self.wrong((*loc, key), "no grade where nothing is found", line.verdict)
        spot = self.document.spot(loc)
        return Example(line.says, line.verdict, tuple(facts), spot, line.cls, line.risk)
