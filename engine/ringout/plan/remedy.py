"""Remedies as data: one file each in `rules/remedies`, checked against the rules that they claim to cure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field as Key

from ringout.facts.catalogue import catalogue
from ringout.kept import remembered
from ringout.rulebase.limits import limits
from ringout.rulebase.load import rulebase
from ringout.rulebase.rule import WHO, Rule
from ringout.shipped import rules_root
from ringout.text.checked import OneOf, Strict, Words, YesNo, problem, validate
from ringout.text.document import Document, read
from ringout.text.problem import Loc, Problem, Unusable, did_you_mean

BRACES = re.compile(r"\{([a-z_]+)(?:\.([a-z]+))?\}")
"""What an operation takes from the case: ``{name}`` or, of a run or a feed, ``{name.part}``."""
NAME: tuple[str, ...] = ()
RUN = ("from", "to", "size", "length", "n")
FEED = ("from",)
LOOKS: Mapping[str, tuple[bool, tuple[str, ...]]] = {
    "one_of_kind": (False, NAME),
    "links_of": (True, RUN),
    "lead_of": (True, RUN),
    "last_run_to": (True, RUN),
    "runs_at_panels_of": (True, RUN),
    "unfused_leads_of": (True, RUN),
    "minus_lead_of": (True, (*RUN, "far")),
    "feed_of": (True, FEED),
    "place_of": (True, NAME),
    "distances_of": (True, NAME),
}
"""What can be looked up in a case: whether of something named before (else of a kind of part), and what each
thing found can tell of itself."""
OPERATIONS: Mapping[str, tuple[str, ...]] = {
    "set": (),
    "add": ("part", "run", "feed"),
    "remove": ("part", "run", "feed", "statement"),
    "move_feed": ("consumer",),
}
"""The operations, and by which of these names each says what it is about; `set` holds paths."""
GIVEN: Mapping[str, tuple[str, ...]] = {"run": ("size", "length"), "consumer": ("to",)}
"""What else stands beside those names; beside `part`, when it is added, the fields of the part."""


class AskLine(Strict):
    """Something the planner chooses. Without a choice the values are tried in order until one is proven."""

    says: str
    values: list[str]


class SettingLine(Strict):
    """A voltage midway between two limits for a type (`by`), brought from 12 V to the bank's (`at`)."""

    between: Words
    by: str
    at: str


class Remedy(Strict):
    """One remedy as it is written."""

    remedy: str
    title: str
    does: str
    who: Annotated[str, OneOf(WHO)]
    mains: YesNo = False
    caution: str = ""
    cures: dict[str, dict[str, str]]
    find: dict[str, dict[str, str]] = Key(default_factory=dict)
    settings: dict[str, SettingLine] = Key(default_factory=dict)
    ask: dict[str, AskLine] = Key(default_factory=dict)
    changes: list[dict[str, dict[str, str]]]
    sources: list[str]


@remembered
def remedies() -> tuple[Remedy, ...]:
    """All shipped remedies by name. Raises Unusable with every problem of every file."""
    return load_remedies(rules_root() / "remedies", rulebase())


def load_remedies(folder: Path, rules: Iterable[Rule]) -> tuple[Remedy, ...]:
    """The remedies in a folder, each in the file of its name. Raises Unusable."""
    by_name = {rule.name: rule for rule in rules}
    found: list[Remedy] = []
    problems: list[Problem] = []
    for path in sorted(folder.glob("*.yaml")):
        try:
            found.append(read_remedy(read(path), by_name))
        except Unusable as fault:
            problems += fault.problems
    if problems:
        raise Unusable(problems)
    return tuple(found)


def read_remedy(document: Document, rules: Mapping[str, Rule]) -> Remedy:
    """One remedy from its file. Raises Unusable with the problems found."""
    remedy = validate(document, Remedy)
    problems = list(_Checked(document, remedy, rules).problems())
    if problems:
        raise Unusable(problems)
    return remedy


class _Checked:
    """Looks up every name in a remedy."""

    def __init__(self, document: Document, remedy: Remedy, rules: Mapping[str, Rule]) -> None:
        self.document = document
        self.remedy = remedy
        self.rules = rules
        self.known: dict[str, tuple[str, ...]] = {}

    def wrong(self, loc: Loc, expected: str, found: object, hint: str = "") -> Problem:
        return problem(self.document, loc, expected, found, hint)

    def problems(self) -> Iterable[Problem]:
        its = self.remedy
        if Path(self.document.file).stem != its.remedy:
            yield self.wrong(("remedy",), "the name of the file", its.remedy)
        for loc in (("cures",), ("changes",), ("sources",), *(("ask", name, "values") for name in its.ask)):
            if not self.document.at(loc):
                yield self.wrong(loc, "at least one", None)
        for rule, names in its.cures.items():
            yield from self.cure(rule, names)
        shared = set.intersection(*(set(names) for names in its.cures.values())) if its.cures else set()
        self.known = dict.fromkeys(shared, NAME)
        for name, line in its.find.items():
            yield from self.look(name, line)
        for name, setting in its.settings.items():
            for key in ("by", "at"):
                yield from self.name(("settings", name, key), getattr(setting, key))
            for each in setting.between:
                if each not in limits():
                    hint = did_you_mean(each, limits())
                    yield self.wrong(("settings", name, "between"), "a limit", each, hint)
            self.known[name] = NAME
        self.known |= dict.fromkeys(its.ask, NAME)
        for number, change in enumerate(its.changes):
            yield from self.change(("changes", number), change)

    def cure(self, name: str, names: Mapping[str, str]) -> Iterable[Problem]:
        loc: Loc = ("cures", name)
        rule = self.rules.get(name)
        if rule is None or rule.finding is None:
            yield self.wrong(loc, "a rule with a finding", name, did_you_mean(name, self.rules))
            return
        types = {term.alias: catalogue()[term.fact] for term in rule.terms}
        for key, text in names.items():
            alias, _, attribute = text.partition(".")
            its = types.get(alias)
            if its is None or attribute not in (*its.keys, *its.known, *its.attributes):
                yield self.wrong((*loc, key), f"an alias of {name} and a key or attribute of it", text)

    def look(self, name: str, line: Mapping[str, str]) -> Iterable[Problem]:
        loc: Loc = ("find", name)
        what = next(iter(line), "")
        if len(line) != 1 or what not in LOOKS:
            expected = "one of " + ", ".join(LOOKS)
            yield self.wrong(loc, expected, ", ".join(line), did_you_mean(what, LOOKS))
            return
        named, tells = LOOKS[what]
        if named:
            yield from self.name((*loc, what), line[what])
        self.known[name] = tells

    def name(self, loc: Loc, name: str) -> Iterable[Problem]:
        if name not in self.known:
            hint = did_you_mean(name, self.known)
            yield self.wrong(loc, "a name known by then, the same for every rule it cures", name, hint)

    def change(self, loc: Loc, change: Mapping[str, Mapping[str, str]]) -> Iterable[Problem]:
        what = next(iter(change), "")
        if len(change) != 1 or what not in OPERATIONS:
            expected = "one of " + ", ".join(OPERATIONS)
            yield self.wrong(loc, expected, ", ".join(change), did_you_mean(what, OPERATIONS))
            return
        said = change[what]
        about = [name for name in OPERATIONS[what] if name in said]
        if OPERATIONS[what] and not about:
            yield self.wrong((*loc, what), "one of " + ", ".join(OPERATIONS[what]), ", ".join(said))
        if about and not (what == "add" and about == ["part"]):
            beside = GIVEN.get(about[0], ()) if what != "remove" else ()
            expected = " or ".join(beside) or "nothing more"
            for key in sorted(said.keys() - {about[0], *beside}):
                yield self.wrong((*loc, what, key), expected, key)
        for key, text in said.items():
            for template in (key, text):
                yield from self.template((*loc, what, key), template)

    def template(self, loc: Loc, text: str) -> Iterable[Problem]:
        for name, part in BRACES.findall(text):
            if name not in self.known:
                yield from self.name(loc, name)
            elif part and part not in self.known[name]:
                hint = did_you_mean(part, self.known[name])
                yield self.wrong(loc, f"something that {name} tells", part, hint)
        if "{" in BRACES.sub("", text):
            yield self.wrong(loc, "braces that hold a name, or a name and what it tells", text)
