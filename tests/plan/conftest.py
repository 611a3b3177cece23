"""Small invented installations of a society that rings marsh birds, and ways to try a remedy on them."""

from collections.abc import Callable
from difflib import ndiff
from pathlib import Path

import pytest

from ringout.case.case import Case
from ringout.case.load import load, load_text
from ringout.plan.compare import all_findings
from ringout.plan.prove import Proof, first_proven
from ringout.plan.remedy import remedies
from ringout.review.finding import Finding
from ringout.review.review import Review, review

CASES = Path(__file__).parents[2] / "cases"

HIDE = """\
case: The hide at the reed beds
invented: yes
kind: cabin
dc_volts: 12 V
looked_for: {fuse: none seen, breaker: none seen, rcd: none seen, rcbo: none seen (said)}
parts:
  b1: {kind: battery, chemistry: LFP (label), nominal: 12 V (label), capacity: 100 Ah (label), place: bench}
  bars: {kind: busbars}
  inverter: {kind: inverter, rating: 300 W (label), efficiency: 85..90 % (manual), idle: 5..8 W (manual)}
  charger: {kind: mains_charger, output: 10 A, profile: AGM (display), absorption: 15.2 V (measured)}
  controller: {kind: solar_controller, rating: 20 A (label), senses: own_terminals, place: gable}
  panel: {kind: solar_panel, power: 120 W (label), place: roof}
  inlet: {kind: inlet}
  board: {kind: board}
  bench_outlet: {kind: outlet}
  kettle: {kind: appliance}
dc:
  # the leads, as they were measured
  - b1 = bars : 35 mm2 (label), 0.5 m    # no fuse anywhere
  - b1 = inverter : 4 mm2 (label), 3 m
  - b1 = controller : 4 mm2 (label), 6 m
  - b1 = charger : 4 mm2 (label), 1 m
  - controller.pv = panel : 4 mm2, 2 m
ac:
  - inlet > board > bench_outlet, charger
distances: {controller to b1: 6 m, b1 to gas_bottle: 2 m}
"""

MakeCase = Callable[..., Case]
Found = Callable[[Review, str], Finding]
Try = Callable[..., Proof]
Differs = Callable[[Case, Case], list[str]]


@pytest.fixture
def hide() -> Case:
    """One battery without a fuse, thin leads, a charger set too high, an outlet without an RCD."""
    return load_text(HIDE, "hide.yaml")


@pytest.fixture(scope="session")
def heron() -> Case:
    """The sample motorhome."""
    return load(CASES / "heron.yaml")


@pytest.fixture(scope="session")
def reviewed_heron(heron: Case) -> Review:
    """The review of the sample motorhome."""
    return review(heron, "plain")


@pytest.fixture
def wired() -> MakeCase:
    """Four batteries, a fuse, bars, an inverter, a charger and outlets, with lines of `dc:` and `ac:`."""

    def made(dc: str = "", ac: str = "", more: str = "") -> Case:
        batteries = "".join(f"  b{n}: {{kind: battery}}\n" for n in range(1, 5))
        parts = (
            batteries + "  bank: {kind: bank, of: b1 b2 b3 b4}\n"
            "  fuse: {kind: fuse}\n  shunt: {kind: shunt}\n"
            "  bars: {kind: busbars}\n  inverter: {kind: inverter}\n  charger: {kind: mains_charger}\n"
            "  inlet: {kind: inlet}\n  co: {kind: changeover}\n  rcd: {kind: rcd}\n"
            "  galley: {kind: outlet}\n  dinette: {kind: outlet}\n"
        )
        text = f"case: wires of the ringing boat\ninvented: yes\ndc_volts: 12 V\nparts:\n{parts}{more}"
        text += "".join(f"{key}:\n{lines}" for key, lines in (("dc", dc), ("ac", ac)) if lines)
        return load_text(text, "wires.yaml")

    return made


@pytest.fixture
def found() -> Found:
    """The first thing that a rule found wrong."""

    def made(of: Review, rule: str) -> Finding:
        return next(each for each in all_findings(of) if each.rule.name == rule and not each.open)

    return made


@pytest.fixture
def attempt(found: Found) -> Try:
    """Try a remedy on the first finding of a rule: `attempt(review, rule, remedy, choices)`."""

    def made(before: Review, rule: str, remedy: str, **choices: str) -> Proof:
        its = next(each for each in remedies() if each.remedy == remedy)
        return first_proven(before, found(before, rule), its, choices)

    return made


@pytest.fixture
def differs() -> Differs:
    """The lines that differ between two cases, with - and + before them."""

    def made(before: Case, after: Case) -> list[str]:
        lines = ndiff(before.document.text.splitlines(), after.document.text.splitlines())
        return [line for line in lines if line.startswith(("-", "+"))]

    return made
