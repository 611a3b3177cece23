"""The shipped rule base is clean, and every check is made."""

from ringout.lint.lint import CHECKS, lint


def test_the_shipped_rule_base_is_clean() -> None:
    base, complaints = lint([])
    assert [str(each) for found in complaints.values() for each in found] == []
    assert list(complaints) == list(CHECKS) and len(CHECKS) == 7
    # Not for want of something to look at.
    assert len(base.rules) >= 155 and len(base.reviews) >= 13
