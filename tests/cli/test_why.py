"""`ringout why`: the list of verdicts, the proof of one, and names that are not to be found."""

from collections.abc import Callable
from typing import Any

import pytest

Ringout = Callable[..., Any]

LOOP = "charger-fed-by-its-own-battery"


def test_without_a_rule_all_verdicts_are_listed(ringout: Ringout) -> None:
    ran = ringout("why", "cases/reed-loop.yaml")
    assert (ran.status, ran.err) == (0, "")
    assert f"wrong          {LOOP} charger\n" in ran.out
    assert "right          rcd-missing bench\n" in ran.out


def test_a_rule_is_proven(ringout: Ringout) -> None:
    ran = ringout("why", "cases/reed-loop.yaml", LOOP)
    assert ran.status == 0
    assert ran.out.startswith("The charger runs from the battery it charges: wrong for charger\n")
    assert "cases/reed-loop.yaml:" in ran.out


def test_a_rule_about_several_parts_is_proven_for_each(ringout: Ringout) -> None:
    rule = "lithium-profile-on-lead"
    both = ringout("why", "cases/heron.yaml", rule)
    one = ringout("why", "cases/heron.yaml", rule, "controller")
    assert (both.out.count(f"Rule {rule}: "), one.out.count(f"Rule {rule}: ")) == (2, 1)
    assert one.out.startswith("A lead battery is charged on a lithium setting: wrong for controller")


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (
            ("charger-fed-by-its-own-batery",),
            "ringout why: expected a rule with a verdict in this case, "
            f"found 'charger-fed-by-its-own-batery'; did you mean '{LOOP}'?",
        ),
        (("no such rule",), "ringout why: expected a rule with a verdict in this case, found 'no such rule'"),
        ((LOOP, "charjer"), "ringout why: expected one of charger, found 'charjer'; did you mean 'charger'?"),
        ((LOOP, "zzz"), "ringout why: expected one of charger, found 'zzz'"),
    ],
)
def test_a_name_not_to_be_found_is_one_clear_line(
    ringout: Ringout, words: tuple[str, ...], error: str
) -> None:
    ran = ringout("why", "cases/reed-loop.yaml", *words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == error + "\n"


def test_both_engines_prove_alike(ringout: Ringout) -> None:
    plain = ringout("why", "cases/reed-loop.yaml", LOOP, "--engine", "plain")
    best = ringout("why", "cases/reed-loop.yaml", LOOP)
    assert plain == best
