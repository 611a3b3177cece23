"""A rule as data: what it looks at, when it holds, what it concludes, how a finding is worded and ranked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ringout.rulebase.condition import Condition
from ringout.text.problem import Spot

SEVERITIES = {1: "catastrophic", 2: "critical", 3: "marginal", 4: "negligible"}
"""MIL-STD-882E (standard practice, 2012), table I."""
PROBABILITIES = {"A": "frequent", "B": "probable", "C": "occasional", "D": "remote", "E": "improbable"}
"""MIL-STD-882E (standard practice, 2012), table II."""
WHO = (
    "owner", "anyone_competent", "auto_electrician", "marine_electrician",
    "licensed_electrician", "gas_fitter",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Term:
    """One fact a rule asks for: type, joins (key -> earlier alias, its key), settled words (key -> word)."""

    alias: str
    fact: str
    joins: Mapping[str, tuple[str, str]]
    words: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Conclusion:
    """The fact a rule concludes: its keys from (alias, key) or a literal word."""

    fact: str
    keys: Mapping[str, tuple[str, str] | str]


@dataclass(frozen=True, slots=True)
class Grade:
    """Class 1 to 5, severity 1 to 4 and probability A to E of MIL-STD-882E."""

    cls: int
    severity: int
    probability: str

    @property
    def risk(self) -> str:
        """Severity and probability as MIL-STD-882E (standard practice, 2012) writes them together: ``2A``."""
        return f"{self.severity}{self.probability}"


@dataclass(frozen=True, slots=True)
class FindingText:
    """The words of a finding. Braces hold ``{alias.key}`` or ``{alias.attribute}``."""

    grade: Grade
    graver: tuple[tuple[Condition, Grade], ...]
    seen: str
    means: str
    do: str
    who: str
    mains: bool
    explains: tuple[str, ...]
    confirm: str
    prove: str
    settle: str
    open_title: str
    wrong_when: str
    confirms: tuple[str, ...] = ()
    """Rules that work out what this one finds by a reading: found of one part, both are one loss."""


@dataclass(frozen=True, slots=True)
class Example:
    """Facts, and the verdict that the rule must give on them, with the class and risk where they are said."""

    says: str
    verdict: str
    facts: tuple[tuple[str, Mapping[str, str]], ...]
    spot: Spot
    cls: int | None = None
    risk: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule, one file. The first term is the anchor: each of its facts gets exactly one verdict."""

    name: str
    title: str
    area: str
    says: str
    terms: tuple[Term, ...]
    given: Condition | None
    when: Condition | None
    unless: Condition | None
    conclusion: Conclusion | None
    finding: FindingText | None
    sources: tuple[str, ...]
    examples: Sequence[Example]
    spot: Spot
    level: int = 0

    @property
    def anchor(self) -> Term:
        return self.terms[0]
