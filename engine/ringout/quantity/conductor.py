"""Copper area of a conductor from each way its size is written.

Two traps of this trade: "6 mm2" is copper, but "6 mm auto" is the outside diameter of the insulation, with
4.59 mm2 of copper inside; and of two cables called "8 gauge", the SAE one holds less copper than the AWG one.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ringout.quantity.number import read_number
from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.quantity.span import Span
from ringout.text.problem import shown

MM2_PER_CMIL = math.pi / 4 * 0.0254**2
"""A circular mil is the area of a circle one thousandth of an inch across."""

AUTO_AREA = {"2.5": 0.64, "3": 1.13, "4": 1.84, "5": 2.90, "6": 4.59}
"""mm2 of copper in AU/NZ auto cable by trade size, its outside diameter in mm.

Source: AU wire-gauge worksheet and AU cable conversion table (each agrees with its own strand count).
"""

B_AND_S_AREA = {8: 7.91, 6: 13.56, 3: 25.72, 2: 32.15, 1: 39.55, 0: 49.2, -1: 64.9, -2: 85.0}
"""mm2 of copper in AU B&S battery cable as sold. Source: AU wire-gauge worksheet."""

B_AND_S_SHARE = (0.92, 1.02)
"""Sizes outside that table: the spread of its areas against AWG (0.920 at size 0, 1.020 at size 6)."""

SAE_CMIL = {
    18: 1537, 16: 2336, 14: 3702, 12: 5833, 10: 9343, 8: 14810, 6: 24538, 4: 37360, 2: 62450,
    1: 77790, 0: 98980, -1: 125100, -2: 158600, -3: 205500,
}  # fmt: skip
"""Circular mils in SAE cable. Source: marine wire maker, appendix table (AWG and SAE columns)."""

SAE_SHARE = (0.88, 0.93)
"""SAE copper against AWG: "7 to 12 % less", common practice, no source. The table above says up to 0.971."""

THINNEST_GAUGE = 40
THICKEST_STRAND = 3.2  # mm; also refuses "35/50", which is no strand count
THINNEST_STRAND_UNASKED = 0.1  # mm; below this the old inch sizes ("7/.029") are as likely
THINNEST_CORE = 0.5  # mm2; from here on "7 x 0.75" may as well be seven cores
NOT_A_STRAND_COUNT = range(2, 6)  # one wire, or seven and more, make a conductor; 2 to 5 are as likely cores
MM_PER_INCH = 25.4

EXPECTED = "a conductor size such as 6 mm2, 8 AWG, 6 mm auto or 112/0.30"

_GAUGE = r"(?P<gauge>[1-9][0-9]?|0{1,4}|[1-4]/0)"
_SYSTEM = r"(?P<system>awg|sae|b\s?(?:&|and)\s?s)"
_WORD = r"(?:gauge|gage|ga|g)\.?"
_AFTER = re.compile(rf"#?{_GAUGE}\s*(?:{_WORD}\s*)?{_SYSTEM}(?:\s*{_WORD})?")
_BEFORE = re.compile(rf"{_SYSTEM}\s*(?:{_WORD}\s*)?#?{_GAUGE}(?:\s*{_WORD})?")
_NO_SYSTEM = re.compile(rf"#?{_GAUGE}\s*{_WORD}|#(?P<hash>[1-9][0-9]?)|(?P<noughts>0{{2,4}}|[1-4]/0)")
_AUTO = re.compile(r"(?P<after>[0-9.,]+)\s*mm\s+auto(?:motive)?|auto(?:motive)?\s+(?P<before>[0-9.,]+)\s*mm")
_STRANDS = re.compile(
    r"(?P<count>[0-9]+)\s*(?P<sign>[/x×])\s*(?P<across>[0-9]*[.,][0-9]+|[0-9]+)\s*(?P<unit>mm|in|inch)?"
)
_PLAIN_MM = re.compile(r"(?P<number>[0-9.,]+)\s*mm")
_NOUN = re.compile(r"\s+(?:cable|wire)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Copper:
    """Copper area in mm2, as a range, and how it was come by."""

    area: Span
    note: str


def awg_area(gauge: int) -> float:
    """mm2 of an AWG (B&S) size; 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0.

    ASTM B258: diameter 0.127 mm * 92^((36 - gauge)/39).
    """
    return math.pi / 4 * (0.127 * math.pow(92, (36 - gauge) / 39)) ** 2


def strands_area(count: int, across: float) -> float:
    """mm2 of `count` round strands, each `across` mm in diameter."""
    return count * math.pi / 4 * across**2


def b_and_s_area(gauge: int) -> Span:
    """mm2 of AU B&S trade cable: from the AWG figure to what is sold under that number."""
    nominal = awg_area(gauge)
    if gauge not in B_AND_S_AREA:
        return Span(B_AND_S_SHARE[0] * nominal, B_AND_S_SHARE[1] * nominal)
    sold = B_AND_S_AREA[gauge]
    return Span(min(nominal, sold), max(nominal, sold))


def sae_area(gauge: int) -> Span:
    """mm2 of SAE cable: the trade's share of AWG, widened to the published table. KeyError if not listed."""
    nominal, listed = awg_area(gauge), SAE_CMIL[gauge] * MM2_PER_CMIL
    return Span(SAE_SHARE[0] * nominal, max(SAE_SHARE[1] * nominal, listed))


def read_conductor(text: str, at: int) -> Copper | None:
    """Read a size that only conductors have; None when it is not one (a plain area such as "6 mm2").

    `at` is the column where the text begins. Raises NotUnderstood, or Ambiguous with every reading.
    """
    size = " ".join(without_noun(text).lower().split())
    if "swg" in size:
        raise NotUnderstood(EXPECTED, f"{shown(text)} (SWG: write its area in mm2)", at)
    if match := _AFTER.fullmatch(size) or _BEFORE.fullmatch(size):
        return _in_system(match["system"], _gauge(match["gauge"], text, at), text, at)
    if match := _NO_SYSTEM.fullmatch(size):
        gauge = match["gauge"] or match["hash"] or match["noughts"]
        raise Ambiguous(shown(text), at, _gauge_readings(gauge, _gauge(gauge, text, at)))
    if match := _AUTO.fullmatch(size):
        return _auto(match["after"] or match["before"], text, at)
    if match := _STRANDS.fullmatch(size):
        return _strands(match, text, at)
    if match := _PLAIN_MM.fullmatch(size):
        raise Ambiguous(shown(text), at, _mm_readings(match["number"]))
    return None


def without_noun(text: str) -> str:
    """ "16 mm2 cable" is "16 mm2"."""
    return _NOUN.sub("", text)


def _gauge(written: str, text: str, at: int) -> int:
    """ "8" is 8, "0" and "1/0" are 0, "00" and "2/0" are -1."""
    if written.endswith("/0"):
        return 1 - int(written[0])
    if not written.strip("0"):
        return 1 - len(written)
    if int(written) > THINNEST_GAUGE:
        raise NotUnderstood("a gauge from 4/0 to 40", shown(text), at)
    return int(written)


def _in_system(system: str, gauge: int, text: str, at: int) -> Copper:
    if system == "awg":
        return Copper(_exactly(awg_area(gauge)), "AWG by the formula of ASTM B258")
    if system == "sae":
        if gauge not in SAE_CMIL:
            listed = ", ".join(str(size) for size in SAE_CMIL if size > 0)
            raise NotUnderstood(f"an SAE gauge of {listed} or 1/0 to 4/0", shown(text), at)
        return Copper(sae_area(gauge), "SAE gauge: less copper than AWG of the same number")
    return Copper(b_and_s_area(gauge), "B&S: from the AWG figure to what is sold under that number")


def _gauge_readings(written: str, gauge: int) -> tuple[str, ...]:
    b_and_s = b_and_s_area(gauge)
    readings = [
        f"{written} AWG ({awg_area(gauge):.3g} mm2 of copper)",
        f"{written} B&S ({b_and_s.lo:.3g} to {b_and_s.hi:.3g} mm2)",
    ]
    if gauge in SAE_CMIL:
        sae = sae_area(gauge)
        readings.append(f"{written} SAE ({sae.lo:.3g} to {sae.hi:.3g} mm2)")
    return tuple(readings)


def _auto(written: str, text: str, at: int) -> Copper:
    size = _decimal(written, at)
    if size not in AUTO_AREA:
        raise NotUnderstood(f"an auto cable of {', '.join(AUTO_AREA)} mm", shown(text), at)
    area = AUTO_AREA[size]
    return Copper(_exactly(area), f"{size} mm auto is the outside diameter: {area:.2f} mm2 of copper")


def _mm_readings(written: str) -> tuple[str, ...]:
    try:
        size = _decimal(written, 0)
    except NotUnderstood:
        return (f"{written} mm2 of copper", f"{written} mm across")
    if size in AUTO_AREA:
        auto = f"{size} mm auto, the outside diameter ({AUTO_AREA[size]:.2f} mm2 of copper)"
        return (f"{size} mm2 of copper", auto)
    return (f"{size} mm2 of copper", f"{size} mm across, which does not tell the copper")


def _strands(match: re.Match[str], text: str, at: int) -> Copper:
    count, written, unit = int(match["count"]), match["across"], match["unit"]
    across = float(read_number(f"0{written}" if written[0] in ".," else written, at)[0])
    if unit == "in":
        across *= MM_PER_INCH
    if count == 0 or not 0 < across <= THICKEST_STRAND:
        raise NotUnderstood(f"strands of up to {THICKEST_STRAND} mm, such as 112/0.30", shown(text), at)
    area = strands_area(count, across)
    strands = f"{count} strands of {across:.3g} mm ({area:.3g} mm2 of copper)"
    if not unit and across < THINNEST_STRAND_UNASKED:
        inches = strands_area(count, across * MM_PER_INCH)
        raise Ambiguous(shown(text), at, (strands, f"{count} strands of {across:.3g} in ({inches:.3g} mm2)"))
    # "2 x 2.5 mm" is how people write two cores of 2.5 mm2.
    if count in NOT_A_STRAND_COUNT or (match["sign"] != "/" and across >= THINNEST_CORE):
        raise Ambiguous(shown(text), at, (strands, f"{count} cores of {across:.3g} mm2 each"))
    return Copper(_exactly(area), f"{count} strands of {across:.3g} mm")


def _decimal(written: str, at: int) -> str:
    """ "2,5" and "2.50" are "2.5"; "6.0" is "6"."""
    number, end = read_number(written, at)
    if end < len(written):
        raise NotUnderstood("a plain number", shown(written), at + end)
    return f"{float(number):g}"


def _exactly(area: float) -> Span:
    return Span(area, area)
