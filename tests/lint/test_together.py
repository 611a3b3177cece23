"""Two rules that always fire together."""

from collections.abc import Callable

import pytest

from ringout.lint.together import together

Complaints = Callable[..., list[str]]
CONCLUDES = "concludes: {fact: starved, keys: {load: read.part}}\nfinding:"


@pytest.fixture
def twin(good: str) -> str:
    return good.replace("rule: too-much-lost", "rule: too-much-lost-again")


def test_one_rule_alone_is_clean(complaints: Complaints) -> None:
    assert complaints(together) == []


def test_a_twin_is_found(complaints: Complaints, twin: str) -> None:
    assert complaints(together, files={"loads/twin.yaml": twin}) == [
        "loads/too-much-lost.yaml:1:7: too-much-lost: expected a case of its own, or a conclusion that both share, "
        "found the same 2 firings as too-much-lost-again over all examples and cases"
    ]


def test_a_rule_that_fires_elsewhere_too_is_none(complaints: Complaints, twin: str) -> None:
    wider = twin.replace("{limit: most_lost}", "0.9 V")
    assert complaints(together, files={"loads/twin.yaml": wider}) == []


def test_rules_whose_conclusions_merge_are_none(complaints: Complaints, twin: str) -> None:
    twin = twin.replace("finding:", CONCLUDES)
    assert complaints(together, ("finding:", CONCLUDES), files={"loads/twin.yaml": twin}) == []


def test_a_rule_that_reads_what_the_other_concludes_is_none(complaints: Complaints, twin: str) -> None:
    # On its own example the cause is a fact; the first rule's examples hold none, so both fire on the same.
    above = (
        twin.replace("when: {gt", "with:\n  cause: {fact: starved, where: {load: read.part}}\nwhen: {gt")
        .replace("drop_12: 1.02 V}}]", "drop_12: 1.02 V}}, {starved: {load: p}}]")
        .replace("drop_12: 1 V}}]", "drop_12: 1 V}}, {starved: {load: p}}]")
        .replace("reading: r}}]", "reading: r}}, {starved: {load: p}}]")
    )
    assert complaints(together, ("finding:", CONCLUDES), files={"loads/above.yaml": above}) == []
