"""`ringout why`: the list of verdicts, the proof of one, and names that are not to be found."""

from collections.abc import Callable
from typing import Any

import pytest

Ringout = Callable[..., Any]

LOOP = "charger-fed-by-its-own-battery"


def test_without_a_rule_all_verdicts_are_listed(ringout: Ringout) -> None:
    ran = ringout("why", "cases/reed-loop.yaml")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("WRONG (3)\n")
    assert f"\n  {LOOP}: charger\n" in ran.out
    assert "\n  rcd-missing: bench\n" in ran.out


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


def test_parts_to_which_the_rule_does_not_apply_are_only_named(ringout: Ringout) -> None:
    ran = ringout("why", "cases/crake.yaml", "corroded-joint")
    assert ran.out.count("Rule corroded-joint: ") == 1
    assert ran.out.endswith("\nIt does not apply for: board; galley; inlet.\n")
    one = ringout("why", "cases/crake.yaml", "corroded-joint", "board")
    assert "Does not apply. Looked for: a part made for battery voltage." in one.out


def test_a_part_may_be_named_as_it_is_printed(ringout: Ringout) -> None:
    as_written = ringout("why", "cases/crake.yaml", "no-main-switch", "house")
    assert as_written.out and as_written == ringout("why", "cases/crake.yaml", "no-main-switch", "battery house")


def test_what_if_prints_only_what_changes(ringout: Ringout) -> None:
    ran = ringout("why", "cases/crake.yaml", "--what-if", "house.chemistry=LFP")
    assert (ran.status, ran.err) == (0, "")
    assert "wrong now, does not apply then [lithium-profile-on-lead]" in " ".join(ran.out.split())
    assert "fuse-bridged" not in ran.out


def test_what_if_of_one_rule_gives_its_numbers_on_both_sides(ringout: Ringout) -> None:
    ran = ringout(
        "why", "cases/crake.yaml", "fridge-starved-by-its-lead",
        "--what-if", "fridge_fuse~fridge.size=16 mm2", "--what-if", "fridge.current=5 A",
    )  # fmt: skip
    assert "  - drop to fridge as a share: 4.98 to 9.04 % now, " in ran.out


@pytest.mark.parametrize(
    ("setting", "error"),
    [
        (
            "house.chemstry=LFP",
            "--what-if expected a fact of the case, such as house.chemistry, found 'house.chemstry'; "
            "did you mean 'house.chemistry'?",
        ),
        (
            "house.chemistry=LPF",
            "--what-if house.chemistry: expected one of flooded, sealed_flooded, EFB, AGM, gel, LFP, "
            "lithium_other, nickel, sodium, found 'LPF'; did you mean 'LFP'?",
        ),
        ("x", "expected PATH=VALUE, such as house.chemistry=LFP, behind --what-if, found 'x'"),
        ("fridge.current=bananas", "--what-if fridge.current: expected a current such as 4 A, found 'bananas'"),
    ],
)
def test_a_setting_that_cannot_be_made_is_one_clear_line(ringout: Ringout, setting: str, error: str) -> None:
    ran = ringout("why", "cases/crake.yaml", "--what-if", setting)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"ringout why: {error}\n"
