"""The durable engine's driver: what it promises, what it refuses, and what it hands to the engine."""

import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from ringout.inference import durable
from ringout.inference.durable import MAX_CONDITIONS, MAX_JOINS, DurableMatcher
from ringout.inference.pattern import Pattern, PatternError, Record, Term

needs_durable = pytest.mark.skipif(
    not durable.available() and os.environ.get("RINGOUT_REQUIRE_DURABLE") != "1",
    reason="durable-rules cannot be imported here",
)

BATTERY = Term("battery", "battery")
FED = Term("cable", "cable", (("pole", "positive"),), (("from", "battery", "name"),))
FUSED = Term("fuse", "fuse", (), (("on", "cable", "name"),))
FED_AND_FUSED = Pattern("fed and fused", (BATTERY, FED, FUSED))
HUT = [
    Record("bank", "battery", {"name": "bank"}),
    Record("red", "cable", {"name": "red", "from": "bank", "pole": "positive"}),
    Record("black", "cable", {"name": "black", "from": "bank", "pole": "negative"}),
    Record("unmarked", "cable", {"name": "unmarked", "from": "bank"}),
    Record("main", "fuse", {"on": "red"}),
    Record("spare", "fuse", {}),
]


@needs_durable
def test_literals_joins_and_missing_keys() -> None:
    assert DurableMatcher([[FED_AND_FUSED]]).match(0, HUT) == [("fed and fused", ("bank", "red", "main"))]


@needs_durable
def test_one_record_may_fill_two_terms() -> None:
    twins = Pattern("twins", (Term("a", "fuse"), Term("b", "fuse")))
    assert DurableMatcher([[twins]]).match(0, HUT) == [
        ("twins", ("main", "main")),
        ("twins", ("main", "spare")),
        ("twins", ("spare", "main")),
        ("twins", ("spare", "spare")),
    ]


@needs_durable
def test_a_matcher_keeps_nothing_from_one_match_to_the_next() -> None:
    matcher = DurableMatcher([[FED_AND_FUSED], [], [Pattern("batteries", (BATTERY,))]])
    other = DurableMatcher([[Pattern("fuses", (Term("fuse", "fuse"),))]])
    for _ in range(3):
        assert matcher.match(0, HUT) == [("fed and fused", ("bank", "red", "main"))]
        assert other.match(0, HUT) == [("fuses", ("main",)), ("fuses", ("spare",))]
        assert matcher.match(0, HUT[:4]) == []
        assert matcher.match(1, HUT) == []
        assert matcher.match(2, HUT[::-1]) == [("batteries", ("bank",))]
        assert matcher.match(2, []) == []


@needs_durable
def test_what_cannot_be_answered_is_refused() -> None:
    matcher = DurableMatcher([[FED_AND_FUSED]])
    with pytest.raises(PatternError, match="found level 1"):
        matcher.match(1, HUT)
    with pytest.raises(PatternError, match="two records"):
        matcher.match(0, [*HUT, *HUT])
    with pytest.raises(PatternError, match="twice"):
        DurableMatcher([[FED_AND_FUSED, FED_AND_FUSED]])


def joined(joins: int) -> Pattern:
    keys = [f"key {number}" for number in range(joins)]
    return Pattern("joined", (Term("a", "cable"), Term("b", "fuse", (), tuple((k, "a", k) for k in keys))))


@needs_durable
def test_every_one_of_the_most_joins_counts() -> None:
    keys = {f"key {number}": "same" for number in range(MAX_JOINS)}
    fuses = [Record("all", "fuse", keys)]
    fuses += [Record(f"not {key}", "fuse", {**keys, key: "other"}) for key in keys]
    matcher = DurableMatcher([[joined(MAX_JOINS)]])
    assert matcher.match(0, [Record("cable", "cable", keys), *fuses]) == [("joined", ("cable", "all"))]


@needs_durable
def test_one_join_too_many_is_refused() -> None:
    with pytest.raises(PatternError) as refused:
        DurableMatcher([[joined(MAX_JOINS + 1)]])
    assert str(refused.value) == "rule 'joined', term 'b': found 29 joins, expected at most 28"


def in_one_type(literals: int) -> Pattern:
    """Two types, 28 keys joined to, 28 joins and their guard, and the literals."""
    joins = tuple((f"key {number}", "a", f"key {number}") for number in range(MAX_JOINS))
    marks = tuple((f"key {number}", "yes") for number in range(literals))
    return Pattern("one type", (Term("a", "fuse"), Term("b", "fuse", marks, joins)))


def marked(literals: int) -> Pattern:
    return Pattern("marked", (Term("a", "fuse", tuple((f"key {n}", "yes") for n in range(literals))),))


@needs_durable
def test_the_most_conditions_on_one_type_are_met_by_one_record() -> None:
    matcher = DurableMatcher([[marked(MAX_CONDITIONS - 1)]])
    keys = {f"key {number}": "yes" for number in range(300)}
    assert matcher.match(0, [Record("fuse", "fuse", keys)]) == [("marked", ("fuse",))]
    assert matcher.match(0, [Record("fuse", "fuse", {**keys, "key 58": "no"})]) == []


@needs_durable
def test_one_condition_too_many_is_refused() -> None:
    fuse = Record("fuse", "fuse", {f"key {number}": "yes" for number in range(MAX_JOINS)})
    assert DurableMatcher([[in_one_type(1)]]).match(0, [fuse]) == [("one type", ("fuse", "fuse"))]
    with pytest.raises(PatternError) as refused:
        DurableMatcher([[in_one_type(2)]])
    assert str(refused.value) == (
        "rule 'one type': found 61 conditions on 'fuse' (types, literals, joins and keys joined to), "
        "expected at most 60"
    )


class Recorder:
    """Stands before the engine and keeps what it is asked. Answers for the engine that it knows `refused`."""

    def __init__(self, engine: Any) -> None:
        self.engine = engine
        self.asked: list[tuple[str, tuple[Any, ...]]] = []
        self.live: set[tuple[int, str]] = set()
        self.refused = ""
        self.pause = 0.0

    def __getattr__(self, name: str) -> Any:
        def ask(*given: Any) -> Any:
            self.asked.append((name, given))
            if name == "assert_fact":
                self.live.add((given[0], json.loads(given[1])["sid"]))
                assert len(self.live) == 1, "two states alive"
                time.sleep(self.pause)
            if name == "delete_state":
                self.live.remove(given)
            if name == "assert_fact" and json.loads(given[1])["id"] == self.refused:
                return 2, 0
            return getattr(self.engine, name)(*given)

        return ask


@pytest.fixture
def recorder(monkeypatch: pytest.MonkeyPatch) -> Recorder:
    recorder = Recorder(vars(durable)["engine"])
    monkeypatch.setattr(durable, "engine", recorder)
    return recorder


def names_in(value: object) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*map(names_in, value.values()))
    return set().union(*map(names_in, value)) if isinstance(value, list) else set()


@needs_durable
def test_the_engine_is_asked_for_nothing_it_is_known_to_do_wrong(recorder: Recorder) -> None:
    """No retraction, no batch, no Host; in rulesets no negation, no `any`, no `$or`, no arithmetic."""
    matcher = DurableMatcher([[FED_AND_FUSED], [marked(3), joined(2)]])
    matcher.match(0, HUT)
    matcher.match(1, HUT)
    del matcher
    assert {name for name, _ in recorder.asked} == {
        "create_ruleset",
        "assert_fact",
        "start_action_for_state",
        "complete_and_start_action",
        "delete_state",
        "delete_ruleset",
    }
    rulesets = [json.loads(given[1]) for name, given in recorder.asked if name == "create_ruleset"]
    words = {word for word in names_in(rulesets) if not word[-1].isdigit()}
    assert sorted(words) == ["$and", "$ex", "_", "all", "boot", "dist", "fact"]


@needs_durable
def test_what_makes_joins_safe_is_always_there(recorder: Recorder) -> None:
    """Every joined term ends with a comparison that is true, and every key joined to must be there."""
    DurableMatcher([[FED_AND_FUSED, joined(2)]]).match(0, HUT)
    [ruleset] = [json.loads(given[1]) for name, given in recorder.asked if name == "create_ruleset"]
    facts = [json.loads(given[1]) for name, given in recorder.asked if name == "assert_fact"]
    assert [fact["_"] for fact in facts if fact["id"] != "boot"] == ["1"] * len(HUT)
    for name in ("r0", "r1"):
        terms = [term[f"t{place}"]["$and"] for place, term in enumerate(ruleset[name]["all"])]
        there = {
            f"t{place}": {key for c in term for key in c.get("$ex", {})} for place, term in enumerate(terms)
        }
        for term in terms[1:]:
            assert term[-1] == {"_": {"t0": "_"}}
            for condition in term[:-1]:
                for joined_to in condition.values():
                    if isinstance(joined_to, dict) and "$ex" not in condition:
                        [(alias, key)] = joined_to.items()
                        assert key in there[alias]


@needs_durable
def test_no_text_of_a_case_or_rule_reaches_the_engine(recorder: Recorder) -> None:
    """The engine compares names by a 32-bit hash and reads meaning into some of them."""
    DurableMatcher([[FED_AND_FUSED]]).match(0, HUT)
    told = " ".join(str(given) for _, given in recorder.asked)
    texts = {text for record in HUT for text in (record.id, record.fact, *record.keys, *record.keys.values())}
    assert [text for text in sorted(texts | {"fed and fused"}) if text in told] == []


@needs_durable
def test_one_state_is_alive_at_a_time_and_none_afterwards(recorder: Recorder) -> None:
    types = [Pattern(f"rule {n}", (Term("a", f"type {n}"),)) for n in range(2 * MAX_CONDITIONS + 1)]
    matcher = DurableMatcher([types])
    assert sum(name == "create_ruleset" for name, _ in recorder.asked) == 3
    assert matcher.match(0, [Record("only", "type 120", {})]) == [("rule 120", ("only",))]
    assert sum(name == "delete_state" for name, _ in recorder.asked) == 3
    assert recorder.live == set()


@needs_durable
def test_a_fact_not_taken_is_an_error_and_the_state_is_deleted(recorder: Recorder) -> None:
    matcher = DurableMatcher([[Pattern("batteries", (BATTERY,))]])
    records = [Record("a", "battery", {}), Record("b", "battery", {})]
    recorder.refused = "f1"
    with pytest.raises(RuntimeError, match=r"^durable-rules did not take fact f1 \(outcome 2\)$"):
        matcher.match(0, records)
    assert recorder.live == set()
    recorder.refused = ""
    assert matcher.match(0, records) == [("batteries", ("a",)), ("batteries", ("b",))]


@needs_durable
def test_rulesets_are_given_back_with_their_matcher(recorder: Recorder) -> None:
    matcher = DurableMatcher([[FED_AND_FUSED], [FED_AND_FUSED]])
    assert not any(name == "delete_ruleset" for name, _ in recorder.asked)
    del matcher
    assert sum(name == "delete_ruleset" for name, _ in recorder.asked) == 2


@needs_durable
def test_matches_in_several_threads_wait_for_each_other(recorder: Recorder) -> None:
    recorder.pause = 0.001
    matchers = [DurableMatcher([[FED_AND_FUSED]]) for _ in range(2)]
    answers: list[object] = []

    def ask(number: int) -> None:
        answers.extend(matchers[number % 2].match(0, HUT) for _ in range(5))

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [[("fed and fused", ("bank", "red", "main"))]] * 20


def test_without_durable_rules_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable, "engine", None)
    assert not durable.available()
    with pytest.raises(RuntimeError, match=r"^durable-rules cannot be imported here: use the plain engine$"):
        DurableMatcher([])


PITFALLS = sorted(Path(__file__).with_name("pitfalls").glob("*.py"))


@needs_durable
@pytest.mark.parametrize("pitfall", PITFALLS, ids=lambda path: path.stem)
def test_the_driver_survives(pitfall: Path) -> None:
    """Each runs in a process of its own, so that a crash or an endless loop is one red test."""
    package = Path(durable.__file__).parents[2]
    child = subprocess.run(
        [sys.executable, "-W", "error", "-X", "faulthandler", str(pitfall)],
        env={**os.environ, "PYTHONPATH": str(package)},
        capture_output=True,
        text=True,
        timeout=30,
    )
    assert child.returncode == 0, f"ended with {child.returncode}\n{child.stderr}"
