"""Every check of a rule base, in the order in which a mistake is best mended."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from ringout.interview.script import script
from ringout.interview.stop import drills
from ringout.interview.symptoms import symptoms
from ringout.lint.base import Base, read_base
from ringout.lint.exercised import exercised, supplied
from ringout.lint.names import names
from ringout.lint.possible import impossible
from ringout.lint.sides import sides
from ringout.lint.texts import texts
from ringout.lint.together import together
from ringout.plan.remedy import remedies
from ringout.report.wording import wording
from ringout.shipped import cases_root
from ringout.text.problem import Problem

Check = Callable[[Base], Iterator[Problem]]
CHECKS: dict[str, tuple[str, Check]] = {
    "names": ("names and words that nothing knows", names),
    "impossible": ("what can never come true", impossible),
    "exercised": ("rules that examples or cases do not try", exercised),
    "sides": ("limits without an example just on either side", sides),
    "supplied": ("what no question and no reading supplies", supplied),
    "together": ("rules that always fire together", together),
    "texts": ("lengths, sources, words that look like a brand", texts),
}
"""What is looked at, in words, by the name of the check."""


def lint(cases: Sequence[Path]) -> tuple[Base, dict[str, list[Problem]]]:
    """The rule base in force and the complaints of every check. Raises Unusable where it cannot be read."""
    for read in (remedies, script, symptoms, drills, wording):
        read()
    base = read_base([*sorted(cases_root().glob("*.yaml")), *cases])
    return base, {name: sorted(set(check(base))) for name, (_, check) in CHECKS.items()}
