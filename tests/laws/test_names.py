"""Names do not matter: neither those in a case nor the aliases in the rules.

With other names in the same order of the alphabet the review is the same to the byte. With names in any order the
verdicts, classes, risks and numbers are the same; all that a name may decide is which of several things a reader meets
first that are alike in all else (of two links or two sources, which one is named before the other), and by which of
its batteries a bank goes that nobody named.
"""

import json
import random
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
import yaml
from case_leaves import CASES
from renamed import Names, back, by_letter, by_number, names, read, renamed, shuffled, text

from ringout.case.case import Case
from ringout.case.load import load, load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.inference.chain import Verdict, chain
from ringout.inference.plain import PlainMatcher
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import domain_of
from ringout.report.json import as_json
from ringout.review.review import review
from ringout.rulebase.load import BRACES, rulebase
from ringout.shipped import cases_root, knowledge_in, rules_root
from ringout.system.network import Network

SHUFFLES = 1
DIGITS = 9
"""Figures to which numbers agree when sums are added up in another order."""

PAIRS = {"link_pair", "supply_pair", "inverter_pair"}
"""Facts of two things of which neither comes first; they are the last two keys."""
BANKS = {("bank", "part"), ("bank_seen", "part"), ("filled_from", "source")}
"""Keys that name a bank besides those that are called so."""

MANY_OPEN = {"hide", "pencilled", "punt", "unread", "06-fuses-at-each-battery"}
PRINTED = [path for path in CASES if path.stem not in MANY_OPEN]
"""Cases of which the whole review in JSON is compared; of those in which little is known that would take minutes."""

each_case = pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
each_printed = pytest.mark.parametrize("path", PRINTED, ids=lambda path: path.stem)


def with_names(path: Path, new: Names) -> Case:
    return load_text(text(renamed(read(path), new)), path.name)


def printed(path: Path, new: Names) -> str:
    """The review in JSON of a case with other names, these replaced by the old ones."""
    return back(as_json(review(with_names(path, new), "plain")), new)


@cache
def numbered(path: Path) -> str:
    return printed(path, by_number(names(read(path))))


def judged(case: Case, new: Names) -> list[str]:
    """Every fact with the domain of each of its values, and every verdict, with the old names."""
    facts = gather(case)
    out = chain(rulebase(), facts, PlainMatcher)
    made = [f"{fact.id} {name} {told(domain_of(value))}" for fact in facts for name, value in fact.values.items()]
    made += [f"{each.rule.name} {each.anchor.id} {each.verdict.value}" for each in out.said]
    return [back(line, new) for line in made]


def told(domain: Domain) -> str:
    """A domain to the last figure; words in the order in which they were given names."""
    return f"{domain.lo!r} {domain.hi!r}" if isinstance(domain, Span) else " ".join(sorted(domain.options))


@each_case
def test_other_names_in_the_same_order_give_the_same_values_to_the_last_figure(path: Path) -> None:
    found = names(read(path))
    one, other = (judged(with_names(path, new), new) for new in (by_number(found), by_letter(found)))
    assert one == other


@each_printed
def test_other_names_in_the_same_order_give_the_same_bytes(path: Path) -> None:
    assert printed(path, by_letter(names(read(path)))) == numbered(path)


@each_printed
def test_names_in_any_order_give_the_same_verdicts_classes_and_numbers(path: Path) -> None:
    found, first = names(read(path)), said(numbered(path))
    for seed in range(SHUFFLES):
        again = said(printed(path, shuffled(found, random.Random(f"{path.stem} {seed}"))))
        assert differing(first, again) == {}, f"seed {seed}"


@each_case
def test_names_in_any_order_and_as_written_give_the_same_verdicts(path: Path) -> None:
    """No name of a case means anything to the program."""
    found = names(read(path))

    def verdicts(case: Case, new: Names) -> dict[tuple[str, str], Verdict]:
        unnamed = {bank.name: bank.batteries for bank in Network(case).banks if bank.name in bank.batteries}
        said = chain(rulebase(), gather(case), PlainMatcher).said
        return {(each.rule.name, anchor(each.anchor, unnamed, new)): each.verdict for each in said}

    first = verdicts(load(path), {})
    for seed in range(SHUFFLES):
        new = shuffled(found, random.Random(f"{path.stem} {seed}"))
        assert differing(first, verdicts(with_names(path, new), new)) == {}, f"seed {seed}"


def anchor(fact: Fact, unnamed: Mapping[str, tuple[str, ...]], new: Names) -> str:
    """A subject with the old names; a bank that nobody named by all its batteries."""

    def old(key: str, name: str) -> str:
        names = unnamed.get(name, (name,)) if key == "bank" or (fact.type, key) in BANKS else (name,)
        return "&".join(sorted(re.sub("<[a-z]+ ([^<>]+)>", r"\1", back(each, new)) for each in names))

    return subject(f"{fact.type}({', '.join(old(*each) for each in fact.keys.items())})")


def differing(one: Mapping[Any, Any], other: Mapping[Any, Any]) -> dict[Any, Any]:
    keys = one.keys() | other.keys()
    return {key: (one.get(key), other.get(key)) for key in keys if one.get(key) != other.get(key)}


def said(made: str) -> dict[tuple[str, str], tuple[Any, ...]]:
    """What is said of each subject, without the order in which it is told."""
    data = json.loads(made)
    found: dict[tuple[str, str], list[Any]] = {
        (each["rule"], subject(each["subject"])): [each["verdict"], len(each["needs"]) > 0] for each in data["verdicts"]
    }
    for each in data["findings"]:
        numbers = [] if each["subject"].startswith("link_pair(") else [number(one) for one in each["numbers"]]
        its = [each["title"], each["class"], each["risk"], each["who"], sorted(each["explains"])]
        found[each["rule"], subject(each["subject"])] += [*its, sorted(numbers, key=str)]
    for each in data["complaints"]:
        causes = [[one["rule"], subject(one["subject"]), one["standing"]] for one in each["causes"]]
        found["", each["name"]] = sorted(causes)
    found["", ""] = [data["counts"], data["not_inspected"], data["readings_not_used"]]
    return {key: tuple(value) for key, value in found.items()}


def subject(id: str) -> str:
    """A subject; of two that make a pair it does not matter which stands first."""
    type, _, rest = id.removesuffix(")").partition("(")
    if type not in PAIRS:
        return id
    *where, one, other = rest.split(", ")
    return f"{type}({', '.join([*where, *sorted((one, other))])})"


def number(made: Mapping[str, Any]) -> tuple[Any, ...]:
    ends = (made["low"], made["high"])
    return made["value"], made["dimension"], *(end if end is None else float(f"{end:.{DIGITS}g}") for end in ends)


def test_the_names_that_a_case_uses_are_found() -> None:
    found = names(read(next(path for path in CASES if path.stem == "heron")))
    assert {"b1", "house", "seat_box", "kettle"} <= set(found["part"])
    assert found["input"] == ["inverter", "shore"] and found["set"] == ["kettle"]
    assert found["reading"] == ["draw", "rest", "sag"] and found["complaint"] == ["blower", "early", "short"]


# -- aliases in rules ----------------------------------------------------------------------------------------


def other_aliases(rule: Path) -> str:
    """The text of a rule with every alias replaced by another, also in the braces of its texts."""
    data = yaml.load(rule.read_text("utf-8"), yaml.BaseLoader)
    aliases = [*data["looks_at"], *data.get("with", {})]
    # Backward, so that no order of the alphabet is kept.
    new = {alias: f"qz{len(aliases) - n}" for n, alias in enumerate(aliases)}

    def path(value: str) -> str:
        alias, dot, name = value.partition(".")
        return f"{new[alias]}.{name}" if dot and alias in new and re.fullmatch(r"\w+", name) else value

    def paths(value: Any) -> Any:
        if isinstance(value, str):
            return path(value)
        if isinstance(value, list):
            return [paths(each) for each in value]
        return {key: paths(each) for key, each in value.items()}

    def braced(value: Any) -> Any:
        if isinstance(value, str):
            return BRACES.sub(lambda match: f"{{{new.get(match[1], match[1])}.{match[2]}}}", value)
        if isinstance(value, list):
            return [braced(each) for each in value]
        return {key: paths(each) if key == "when" else braced(each) for key, each in value.items()}

    made = dict(data)
    made["looks_at"] = {new[alias]: fact for alias, fact in data["looks_at"].items()}
    if "with" in data:
        made["with"] = {new[alias]: paths(line) for alias, line in data["with"].items()}
    for key in ("given", "when", "unless", "concludes"):
        if key in data:
            made[key] = paths(data[key])
    if "finding" in data:
        made["finding"] = braced(data["finding"])
    return text(made)


@pytest.fixture(scope="module")
def renamed_rules(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rule base with other aliases in every rule."""
    folder = tmp_path_factory.mktemp("aliases") / "rules"
    copytree(rules_root(), folder)
    for rule in rulebase():
        place = Path(rule.area) / f"{rule.name}.yaml"
        (folder / place).write_text(other_aliases(rules_root() / place), "utf-8")
    return folder


def all_reviews() -> dict[str, str]:
    """The reviews of the samples in JSON, without the mark and the folder of the rule base and the lines of rules."""
    samples = [path for path in CASES if path.parent == cases_root()]
    made = {path.stem: as_json(review(load(path), "plain")).replace(f'"{rules_root()}/', '"rules/') for path in samples}
    areas = "|".join(sorted({rule.area for rule in rulebase()}))
    lines = r'"rulebase": "[^"]*"|rule\.[0-9]+\.[0-9]+'
    place = rf'("rules/(?:{areas})/[a-z0-9-]+\.yaml):[0-9]+:[0-9]+"'
    return {stem: re.sub(place, r'\1"', re.sub(lines, "", each)) for stem, each in made.items()}


def test_other_aliases_in_the_rules_give_the_same_bytes(renamed_rules: Path) -> None:
    before = all_reviews()
    with knowledge_in(renamed_rules):
        assert not any(alias in rule.anchor.alias for rule in rulebase() for alias in ("inv", "bank"))
        after = all_reviews()
    assert [stem for stem in before if before[stem] != after[stem]] == []
