"""Small rules made for the purpose: the ranking is tested on them, so the shipped rules may change."""

from collections.abc import Callable

import pytest
import yaml

from ringout.case.load import load_text
from ringout.inference.chain import Said
from ringout.review.review import Review, review
from ringout.rulebase.load import levelled, read_rule
from ringout.rulebase.rule import Rule
from ringout.text.document import read_text

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]
Only = Callable[[Review], Said]

WORDS = {key: f"{key} of {{b.part}}" for key in ("seen", "means", "do", "confirm", "prove", "wrong_when")}


@pytest.fixture
def rule() -> MakeRule:
    """A rule on batteries, wrong where the posts are bare: `rule(name, cls, changes of its file)`.

    A key set to None is left out; `with_` stands for `with`, `finding_` for the whole finding.
    """

    def make(name: str, cls: int = 4, *, finding: dict[str, object] | None = None, **changes: object) -> Rule:
        grade: dict[str, object] = {"class": str(cls), "severity": "3", "probability": "B", "who": "owner"}
        file = {
            "rule": name,
            "title": f"title of {name}",
            "area": "protection",
            "says": "made for a test",
            "looks_at": {"b": "battery"},
            "when": {"eq": ["b.post_covers", "none"]},
            "finding": grade | WORDS | (finding or {}),
            "sources": ["made for a test"],
            "examples": [],
        } | {key.rstrip("_"): value for key, value in changes.items()}
        kept = {key: value for key, value in file.items() if value is not None}
        return read_rule(read_text(yaml.safe_dump(kept), name))

    return make


@pytest.fixture
def judge() -> Judge:
    """The review of a case written out as parts, by the rules given: `judge(parts, rules, more blocks)`."""

    def made(parts: str, rules: list[Rule], more: str = "") -> Review:
        text = (
            "case: made for a test\nparts:\n" + "".join(f"  {line}\n" for line in parts.splitlines()) + more
        )
        return review(load_text(text, "made.yaml"), "plain", levelled(rules))

    return made


@pytest.fixture(scope="session")
def only() -> Only:
    """The one verdict of a review in which one rule speaks of one part."""

    def said(made: Review) -> Said:
        [its] = made.chained.said
        return its

    return said
