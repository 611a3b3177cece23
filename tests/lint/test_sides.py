"""Examples on both sides of each limit, close to it, and telling."""

from collections.abc import Callable

import pytest

from ringout.lint.sides import sides

Complaints = Callable[..., list[str]]
AT = "loads/too-much-lost.yaml:6:12: too-much-lost: "
GRAVER = """  probability: B
  graver:
    - {when: {gt: [read.drop_12, 2 V]}, class: 3, severity: 3, probability: B}
"""


def test_the_good_rule_is_clean(complaints: Complaints) -> None:
    assert complaints(sides) == []


@pytest.mark.parametrize(
    ("old", "new", "side"),
    [
        ("drop_12: 1.02 V", "drop_12: 1.06 V", "fulfils"),
        ("drop_12: 1 V", "drop_12: 0.94 V", "misses"),
        ("drop_12: 1 V", "drop_12: 0.9..1.1 V", "misses"),
    ],
)
def test_a_side_without_an_example_close_to_it(complaints: Complaints, old: str, new: str, side: str) -> None:
    wanted = f"expected an example that just {side} it (read.drop_12 at 1 V, within 5 %) and turns on it, found none"
    assert complaints(sides, (old, new)) == [AT + wanted]


def test_an_example_counts_only_where_the_limit_decides_it(complaints: Complaints) -> None:
    # The second branch makes it wrong whatever the first says.
    either = "when: {any: [{gt: [read.drop_12, {limit: most_lost}]}, {eq: [it.joined, yes]}]}"
    bank = "{bank: {part: b, joined: yes}}"
    found = complaints(
        sides,
        ("looks_at: {read: drop_reading}", "looks_at: {read: drop_reading}\nwith:\n  it: {fact: bank}"),
        ("when: {gt: [read.drop_12, {limit: most_lost}]}", either),
        ("drop_12: 1.02 V}}]", f"drop_12: 1.02 V}}}}, {bank}]"),
        ("drop_12: 1 V}}]", f"drop_12: 1 V}}}}, {bank.replace('yes', 'no')}]"),
    )
    assert len(found) == 1 and "just fulfils it (read.drop_12 at 1 V" in found[0]


def test_the_limit_of_a_graver_grade_needs_both_sides_too(complaints: Complaints) -> None:
    found = complaints(sides, ("  probability: B\n", GRAVER))
    assert [each.partition("that just ")[2][:8] for each in found] == ["fulfils ", "misses i"]


def test_a_grade_shows_only_in_examples_that_state_it(complaints: Complaints) -> None:
    facts = "{says: far, verdict: wrong, %sfacts: [{drop_reading: {part: p, bank: b, reading: r, drop_12: %s V}}]}"

    def with_stated(cls: str) -> list[str]:
        more = "".join(f"  - {facts % (cls and f'class: {n}, ', volts)}\n" for n, volts in ((3, "2.02"), (4, "2")))
        start = "  - {says: over,"
        return complaints(sides, ("  probability: B\n", GRAVER), (start, more + start))

    assert len(with_stated("")) == 2
    assert with_stated("class") == []


def test_a_limit_by_word_needs_both_sides_for_each_word(complaints: Complaints) -> None:
    table = "by_sort: {says: x, quantity: voltage, by: {yes: 1 V, no: 2 V}, basis: practice, source: x}\n"
    bank = "{bank: {part: b, joined: yes}}"
    found = complaints(
        sides,
        ("looks_at: {read: drop_reading}", "looks_at: {read: drop_reading}\nwith:\n  it: {fact: bank}"),
        ("{limit: most_lost}", "{limit: by_sort, by: it.joined}"),
        ("drop_12: 1.02 V}}]", f"drop_12: 1.02 V}}}}, {bank}]"),
        ("drop_12: 1 V}}]", f"drop_12: 1 V}}}}, {bank}]"),
        files={"limits/all.yaml": table},
    )
    assert len(found) == 2 and all("read.drop_12 at 2 V for no" in each for each in found)
