"""The proof of a remedy: the case is changed as it would be, reviewed like any other, and compared.

A remedy is proven when all that it claims to cure is gone and nothing is wrong that was not found before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from ringout.case.case import Case
from ringout.plan.compare import Change, Comparison, Identity, all_findings, compare, identity
from ringout.plan.operations import apply, replaced
from ringout.plan.propose import Proposal, bindings, proposals
from ringout.plan.remedy import Remedy
from ringout.plan.written import Unfit
from ringout.review.finding import Finding
from ringout.review.review import Review, review
from ringout.text.problem import Unusable


class Outcome(Enum):
    """What came of a trial, best first."""

    PROVEN = "proven on the case as written"
    OPEN = "not known until it is measured"
    FAILS = "fails, since something stays or becomes wrong"


RANK = list(Outcome)


@dataclass(frozen=True, slots=True)
class Proof:
    """What a proposal does: the proposed case, to print as `case.document.text`, and what became of all."""

    proposal: Proposal
    case: Case
    claims: frozenset[Identity]
    comparison: Comparison

    @property
    def cured(self) -> tuple[Change, ...]:
        """Of what it claims to cure, that which is gone."""
        return tuple(each for each in self.comparison.gone if each.identity in self.claims)

    @property
    def not_cured(self) -> tuple[Change, ...]:
        """Of what it claims to cure, that which is still wrong, or no longer known to be right."""
        left = (*self.comparison.still, *self.comparison.unsettled)
        return tuple(each for each in left if each.identity in self.claims)

    @property
    def outcome(self) -> Outcome:
        """It fails where a claim is still wrong, or anything is wrong that was not found before."""
        its = self.comparison
        if its.new or its.now_known or any(each.identity in self.claims for each in its.still):
            return Outcome.FAILS
        return Outcome.OPEN if self.not_cured else Outcome.PROVEN

    def says(self) -> Iterator[str]:
        """The outcome, a plain sentence each; where it is open, the reading that tells."""
        yield f"{self.proposal.remedy.title}: {self.outcome.value}."
        its = self.comparison
        for words, changes in (
            ("cures", self.cured),
            ("does not cure", [each for each in its.still if each.identity in self.claims]),
            ("leaves not known", its.unsettled),
            ("also ends", [each for each in its.gone if each.identity not in self.claims]),
            ("makes wrong", its.new),
            ("brings to light", its.now_known),
            ("leaves to be checked", its.opened),
        ):
            for each in changes:
                yield f"It {words}: {each.title} ({each.about})."
        for each in self.not_cured:
            if each.before.finding is not None:
                yield f"Afterwards measure: {each.before.finding.prove}"


def prove(before: Review, proposal: Proposal) -> Proof:
    """Try a proposal on the case of a review, with the engine and rules of that review.

    Raises Unfit where the proposal does not fit the case, or the changed case could not be read.
    """
    try:
        case = apply(before.case, proposal.operations, f"proposed: {proposal.remedy.title}")
    except Unusable as fault:
        raise Unfit(f"the changed case cannot be used: {fault.problems[0]}") from None
    after = review(case, before.chained.engine)
    comparison = compare(before, after, replaced(proposal.operations))
    return Proof(proposal, case, claims(before, proposal), comparison)


def first_proven(
    before: Review, finding: Finding, remedy: Remedy, choices: Mapping[str, str] | None = None
) -> Proof:
    """The first way of doing a remedy that is proven; where none is, the last of those that came nearest.

    Raises Unfit where the remedy cannot be fitted to the case at all.
    """
    best: Proof | None = None
    for proposal in proposals(before.case, finding, remedy, choices):
        proof = prove(before, proposal)
        if best is None or RANK.index(proof.outcome) <= RANK.index(best.outcome):
            best = proof
        if proof.outcome is Outcome.PROVEN:
            break
    assert best is not None  # a remedy tries one way at least
    return best


def claims(before: Review, proposal: Proposal) -> frozenset[Identity]:
    """All that a proposal claims to cure: every finding of its rules about the very parts it was made for."""
    found = set()
    for finding in all_findings(before):
        names = proposal.remedy.cures.get(finding.rule.name)
        if finding.open or names is None:
            continue
        try:
            bound = bindings(finding, names)
        except Unfit:
            continue
        shared = bound.keys() & proposal.bound.keys()
        if all(bound[name] == proposal.bound[name] for name in shared):
            found.add(identity(before.case, finding.said, {}))
    return frozenset(found)
