"""The nodal solve against ngspice, an independent solver, on random banks and the trees that hang on them.

Each installation is written twice from the same random numbers: as a case in text, which goes the whole way
through reading, wiring and mesh, and as resistors for the solver, with copper worked out here.
"""

import itertools
import os
import random
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from ringout.case.load import load_text
from ringout.physics.circuit import circuit
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import Value, domain_of
from ringout.system.network import Network

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None and os.environ.get("RINGOUT_REQUIRE_NGSPICE") != "1",
    reason="NOT CHECKED: ngspice is not installed, so nothing independent checks the nodal solve",
)

SEEDS = range(48)
EXACT = 1e-6
RHO = 0.017241  # IEC 60028 (standard, 1925), ohm.mm2/m at 20 C
LUG, BOLTED, SMALL = 0.0001, 0.0002, 0.004
CELL_V = 12.0
PROBE_A = 100.0


def exactly(value: float) -> Span:
    return Span(value, value)


POINT: dict[str, Domain] = {
    "tables.joint": exactly(LUG),
    "tables.stranding": exactly(1.0),
    "tables.conductor_temperature": exactly(20.0),
    "tables.device_in_lead": exactly(BOLTED),
    "tables.small_device_in_lead": exactly(SMALL),
}
"""The uncertain values of the tables, put at one point."""


class Installation:
    """A random bank with a random tree of bars, devices and loads."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.parts: list[str] = []
        self.chains: list[str] = []
        self.resistors: list[tuple[str, str, float]] = []
        self.batteries: dict[str, float] = {}
        self.loads: dict[str, float] = {}
        self.bars: list[str] = []
        self.devices = 0
        self._bank()
        self._tree()

    def cable(self) -> tuple[float, float]:
        return self.random.choice((2.5, 6, 16, 35, 70)), round(self.random.uniform(0.1, 6), 2)

    def run(self, a: str, b: str) -> None:
        size, length = self.cable()
        self.chains.append(f"{a} = {b} : {size} mm2, {length} m")
        self.resistors.append((a, b, RHO * length / size + 2 * LUG))

    def run_with_device(self, a: str, b: str) -> None:
        self.devices += 1
        name, (size, near), (_, far) = f"d{self.devices}", self.cable(), self.cable()
        kind, rating = self.random.choice(("fuse", "breaker", "isolator")), self.random.choice((60, 250))
        self.parts.append(f"{name}: {{kind: {kind}, rating: {rating} A}}")
        self.chains.append(f"{a} = {name} = {b} : {size} mm2, {near} m, {far} m")
        self.resistors += [
            (a, f"{name}.in", RHO * near / size + 2 * LUG),
            (f"{name}.in", f"{name}.out", BOLTED if rating >= 100 else SMALL),
            (f"{name}.out", b, RHO * far / size + 2 * LUG),
        ]

    def pair(self, a: str, b: str) -> None:
        """Both poles, perhaps with a device in each."""
        for pole in "+-":
            self.random.choice((self.run, self.run_with_device))(a + pole, b + pole)

    def add_bars(self) -> str:
        name = f"bars{len(self.bars)}"
        self.parts.append(f"{name}: {{kind: busbars}}")
        self.bars.append(name)
        return name

    def _bank(self) -> None:
        strings, series = self.random.randint(1, 4), self.random.randint(1, 2)
        tops, middles, bottoms = [], [], []
        for _ in range(strings):
            names = [f"b{len(self.batteries) + n + 1}" for n in range(series)]
            for name in names:
                self.batteries[name] = round(self.random.uniform(1, 12), 3)
                self.parts.append(f"{name}: {{kind: battery, internal: {self.batteries[name]} mohm}}")
            if series == 2:
                self.run(f"{names[0]}-", f"{names[1]}+")
                middles.append(f"{names[0]}-")
            tops.append(f"{names[0]}+")
            bottoms.append(f"{names[-1]}-")
        self.volts = CELL_V * series
        house = self.add_bars()
        if self.random.random() < 0.3:
            for top, bottom in zip(tops, bottoms, strict=True):
                self.run_with_device(top, f"{house}+")
                self.run(bottom, f"{house}-")
        else:
            rows = [tops, bottoms] + ([middles] if self.random.random() < 0.3 else [])
            for row in rows:
                for a, b in itertools.pairwise(row):
                    for _ in range(self.random.choice((1, 1, 2))):
                        self.run(a, b)
            self.run_with_device(tops[0], f"{house}+")
            self.run(self.random.choice(bottoms), f"{house}-")

    def _tree(self) -> None:
        for _ in range(self.random.randint(0, 2)):
            near = self.random.choice(self.bars)
            self.pair(near, self.add_bars())
        if len(self.bars) == 3 and self.random.random() < 0.5:
            self.pair(self.bars[1], self.bars[2])
        for n in range(self.random.randint(1, 4)):
            name = f"load{n}"
            self.parts.append(f"{name}: {{kind: dc_load}}")
            self.loads[name] = round(self.random.uniform(1, 200), 1)
            self.pair(self.random.choice([*self.bars, "b1"]) if self.volts == CELL_V else self.bars[0], name)

    @property
    def text(self) -> str:
        """The case, as a person would write it."""
        rows = ["case: a hut of the bird ringers, invented", "parts:", *(f"  {part}" for part in self.parts)]
        return "\n".join([*rows, "dc:", *(f"  - {chain}" for chain in self.chains)])

    def netlist(self) -> str:
        """The same for the solver: each load alone with the probe current, then all together."""
        lines = ["* an invented hut"]
        for n, (a, b, ohm) in enumerate(self.resistors):
            lines.append(f"R{n} {node(a)} {node(b)} {ohm!r}")
        for name, mohm in self.batteries.items():
            lines.append(f"V{name} {name}_emf {node(name + '-')} {CELL_V}")
            lines.append(f"Rint_{name} {name}_emf {node(name + '+')} {mohm / 1000!r}")
        lines += [f"I{name} {node(name + '+')} {node(name + '-')} 0" for name in self.loads]
        # One terminal has to be the solver's zero.
        lines += [f"Vzero {node('b1-')} 0 0", ".control", "set numdgt=16"]
        currents = " ".join(f"i(v{name})" for name in self.batteries)
        for one in self.loads:
            lines += [f"alter i{each} = {PROBE_A if each == one else 0.0}" for each in self.loads]
            lines += ["op", f"print {currents}"]
        lines += [f"alter i{name} = {amps}" for name, amps in self.loads.items()]
        lines.append("op")
        lines += [f"print v({node(name + '+')},{node(name + '-')})" for name in self.loads]
        return "\n".join([*lines, "quit", ".endc", ".end", ""])


def node(terminal: str) -> str:
    return terminal.replace("+", "_p").replace("-", "_m").replace(".", "_")


def solved(deck: Path) -> list[float]:
    """What the solver prints, in order."""
    command = ["ngspice", "-b", str(deck)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    found = [float(number) for number in re.findall(r"^\S+ = (\S+)$", done.stdout, re.MULTILINE)]
    assert found, done.stdout + done.stderr
    return found


def number(value: Value) -> float:
    domain = domain_of(value, POINT)
    assert isinstance(domain, Span)
    assert domain.hi == pytest.approx(domain.lo, rel=1e-12)
    return domain.lo


@pytest.mark.parametrize("seed", SEEDS)
def test_shares_and_volts_lost(seed: int, tmp_path: Path) -> None:
    its = Installation(seed)
    deck = tmp_path / "hut.cir"
    deck.write_text(its.netlist(), "ascii")
    printed = iter(solved(deck))

    network = Network(load_text(its.text, "hut.yaml"))
    (bank,) = network.banks
    assert bank.joined
    ends = {name: (f"{name}+", f"{name}-") for name in its.loads}
    keep = {end for pair in ends.values() for end in pair}
    made = circuit(network, bank, keep, equal=False)
    assert made is not None
    for name in its.loads:
        for battery in its.batteries:
            # A battery that gives current takes it in at its plus end in the solver's count.
            share = number(made.share(battery, ends[name], battery))
            assert share == pytest.approx(-next(printed) / PROBE_A, rel=EXACT, abs=1e-9)
    draws: list[tuple[str, str, Value]] = [
        (*ends[name], Leaf(f"{name}.amps", exactly(amps), "current")) for name, amps in its.loads.items()
    ]
    for name in its.loads:
        lost = number(made.lost(draws, ends[name], name))
        assert lost == pytest.approx(its.volts - next(printed), rel=EXACT)
    assert next(printed, None) is None


def test_the_installations_are_many_sorted() -> None:
    all_of_them = [Installation(seed) for seed in SEEDS]
    assert len({each.text for each in all_of_them}) == len(SEEDS) >= 40
    assert {len(each.batteries) for each in all_of_them} >= {1, 2, 3, 4, 6, 8}
    assert {len(each.bars) for each in all_of_them} == {1, 2, 3}
    assert {len(each.loads) for each in all_of_them} == {1, 2, 3, 4}
