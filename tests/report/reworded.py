"""Findings made for a test."""

from dataclasses import replace

from ringout.review.finding import Finding


def reworded(finding: Finding, **words: object) -> Finding:
    """The finding with other words (or lists) than its rule and its step give."""
    made = replace(finding)
    vars(made).update(words)  # where a cached property finds what it need not put together
    return made
