"""One number as people write it. What could be two different numbers is refused."""

from __future__ import annotations

import re
from fractions import Fraction

from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.text.problem import shown

# ASCII digits only: a digit of another script may look like a different one here.
# A digit must come first, so that the third dot of "0...5" is never read as a decimal point.
_NUMBER = re.compile(r"([+-]?)([0-9]+)(?:([.,])([0-9]+))?")
_EXPECTED = "a plain number such as 1000 or 2.5"


def read_number(text: str, at: int) -> tuple[Fraction, int]:
    """Read the number at the start of `text`, which begins in column `at` of what was written.

    Returns the number and how many characters it took. A comma is a decimal mark unless it could be a
    thousands mark: "3,5" is 3.5, "1,234" is refused with both readings. Raises NotUnderstood, Ambiguous.
    """
    match = _NUMBER.match(text)
    if match is None:
        raise NotUnderstood(_EXPECTED, shown(text) if text else "nothing", at)
    sign, whole, mark, decimals = match.groups()
    end = match.end()
    if re.match(r"[.,_'’]|\s+[0-9]", text[end:]):
        raise NotUnderstood(_EXPECTED, shown(text), at + end)
    if mark == "," and len(decimals) == 3 and len(whole) <= 3 and not whole.startswith("0"):
        rest = text[end:]
        decimal = f"{float(f'{whole}.{decimals}'):g}"
        readings = (shown(f"{sign}{decimal}{rest}"), shown(f"{sign}{whole}{decimals}{rest}"))
        raise Ambiguous(shown(text), at, readings)
    return Fraction(match.group().replace(",", ".")), end
