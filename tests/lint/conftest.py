"""A tiny rule base of one good rule, to be spoilt in one way at a time."""

import re
import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from ringout.lint.base import Base, read_base
from ringout.shipped import knowledge_in, rules_root
from ringout.text.problem import Problem

GOOD = """\
rule: too-much-lost
title: A lead loses too much
area: loads
says: A volt lost on the way is a volt too few at the load.
looks_at: {read: drop_reading}
when: {gt: [read.drop_12, {limit: most_lost}]}
finding:
  class: 4
  severity: 4
  probability: B
  seen: "{read.part} loses {read.drop_12}."
  means: It works badly.
  do: Fit a thicker cable.
  who: owner
  confirm: Read it again.
  prove: It reads less.
  wrong_when: The meter is wrong.
sources: ["common practice, no source"]
examples:
  - {says: over, verdict: wrong, facts: [{drop_reading: {part: p, bank: b, reading: r, drop_12: 1.02 V}}]}
  - {says: at it, verdict: right, facts: [{drop_reading: {part: p, bank: b, reading: r, drop_12: 1 V}}]}
  - {says: not read, verdict: not_known, facts: [{drop_reading: {part: p, bank: b, reading: r}}]}
"""
LIMITS = """\
most_lost:
  says: most volts lost on the way
  quantity: voltage
  value: 1 V
  basis: practice
  source: "common practice, no source"
"""
PARTS = ("any", "bank", "battery", "rcd", "fuse", "inverter", "body", "breaker")
FACTS = ("drop_reading", "bank", "rcd", "complaint", "surroundings", "starved")

Check = Callable[[Base], Iterator[Problem]]
Complaints = Callable[..., list[str]]


@pytest.fixture
def good() -> str:
    """The good rule."""
    return GOOD


@pytest.fixture
def limit() -> str:
    """The one limit."""
    return LIMITS


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    """The folder of the tiny rule base: some of the shipped forms and facts, one limit, one rule."""
    root = tmp_path / "rules"
    for name in ("parts", "tables", "limits", "loads"):
        (root / name).mkdir(parents=True)
    shutil.copytree(rules_root() / "forms", root / "forms")
    for kind in PARTS:
        shutil.copy(rules_root() / "parts" / f"{kind}.yaml", root / "parts")
    shutil.copy(rules_root() / "tables" / "names.yaml", root / "tables")
    facts = re.split(r"^(?=[a-z])", (rules_root() / "facts.yaml").read_text("utf-8"), flags=re.M)
    (root / "facts.yaml").write_text("".join(each for each in facts if each.partition(":")[0] in FACTS))
    (root / "limits" / "all.yaml").write_text(LIMITS)
    (root / "loads" / "too-much-lost.yaml").write_text(GOOD)
    return root


def fill(pack: Path) -> None:
    """All the shipped knowledge but the rules: what a case needs to be reviewed."""
    for name in ("parts", "tables"):
        shutil.copytree(rules_root() / name, pack / name, dirs_exist_ok=True)
    shutil.copy(rules_root() / "facts.yaml", pack)


@pytest.fixture
def complaints(pack: Path) -> Complaints:
    """What one check says of the tiny rule base, its file names cut to what lies below it.

    `changes` are pairs of texts to put one for the other in the rule; `files` more files to write.
    """

    def found(
        check: Check, *changes: tuple[str, str], files: dict[str, str] | None = None, cases: Sequence[Path] = ()
    ) -> list[str]:
        text = GOOD
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        if cases:
            fill(pack)
        (pack / "loads" / "too-much-lost.yaml").write_text(text)
        for name, written in (files or {}).items():
            (pack / name).write_text(written)
        with knowledge_in(pack):
            return [str(each).replace(f"{pack}/", "") for each in check(read_base(cases))]

    return found
