"""The same question put to CLIPS, a forward-chaining engine of another make.

CLIPS itself joins the facts, goes through the levels by salience, compares ranges and sets by their ends, puts
conditions together by Kleene's tables, gives each row its verdict, concludes and merges. What is not there
(nothing stands with an anchor, no fact of a partner's type, no worse verdict) it finds by its own `not`.

Two things need worlds, which it does not have: splitting over open words, and two sides on a common leaf. So
where its own answer to a condition is "not known", it asks the brute-force evaluator; a settled answer is its
own. The ends of computed values are brute force's too.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from brute import Answer, Truth, judged, span

from ringout.facts.fact import Fact
from ringout.quantity.span import Span
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Condition, LimitRef, Not, attributes
from ringout.rulebase.limits import Limit
from ringout.rulebase.rule import Rule

try:
    import clips
except ImportError:
    clips = None

FUNCTIONS = """
(deftemplate sure (slot id))
(deftemplate supposed (slot id))
(deffunction flip (?t) (switch ?t (case y then n) (case n then y) (default u)))
(deffunction every ($?t) (if (member$ n ?t) then n else (if (member$ u ?t) then u else y)))
(deffunction some ($?t) (if (member$ y ?t) then y else (if (member$ u ?t) then u else n)))
(deffunction gt (?a ?b ?c ?d) (if (> ?a ?d) then y else (if (<= ?b ?c) then n else u)))
(deffunction lt (?a ?b ?c ?d) (if (< ?b ?c) then y else (if (>= ?a ?d) then n else u)))
(deffunction ge (?a ?b ?c ?d) (flip (lt ?a ?b ?c ?d)))
(deffunction le (?a ?b ?c ?d) (flip (gt ?a ?b ?c ?d)))
(deffunction in (?have ?asked)
   (if (subsetp ?have ?asked) then (return y))
   (foreach ?word ?have (if (member$ ?word ?asked) then (return u)))
   n)
(deffunction all-sure ($?ids)
   (foreach ?id ?ids (if (not (any-factp ((?s sure)) (eq ?s:id ?id))) then (return u)))
   y)
(deffunction one-supposed ($?ids)
   (foreach ?id ?ids (if (any-factp ((?s supposed)) (eq ?s:id ?id)) then (return y)))
   n)
(deffunction verdict (?given ?when ?unless ?sure ?supposed)
   (bind ?holds (every ?sure ?when (flip ?unless)))
   (if (eq ?given n) then (return idle))
   (if (and (eq ?holds n) (eq ?supposed n)) then (return right))
   (if (eq y ?holds ?given) then (return wrong))
   open)
(defrule said-wrong (declare (salience -60)) (step ?r wrong ? ? ? ?a $?) => (assert (said ?r wrong ?a)))
(defrule said-open (declare (salience -60))
   (step ?r open ? ? ? ?a $?) (not (step ?r wrong ? ? ? ?a $?)) => (assert (said ?r open ?a)))
(defrule said-right (declare (salience -60))
   (step ?r right ? ? ? ?a $?) (not (step ?r wrong|open ? ? ? ?a $?)) => (assert (said ?r right ?a)))
(defrule said-idle (declare (salience -60))
   (step ?r idle ? ? ? ?a $?) (not (step ?r wrong|open|right ? ? ? ?a $?)) => (assert (said ?r idle ?a)))
"""
MISSING = '"\x01"'
"""What stands in the slot of a key that a fact lacks: no text of a case, and it meets nothing."""
VERDICTS = {"wrong": "wrong", "open": "not known", "right": "right", "idle": "does not apply"}
TRUTHS: Mapping[str, Truth] = {"y": True, "n": False, "u": None}


def available() -> bool:
    """Say whether CLIPS can be had here."""
    return clips is not None


def text(word: str) -> str:
    """A text as CLIPS reads it."""
    return '"' + word.replace("\\", "\\\\").replace('"', '\\"') + '"'


class Clips:
    """One environment, used once: an environment that is reset leaks."""

    def __init__(self, rules: Sequence[Rule], facts: Sequence[Fact], limits: Mapping[str, Limit]) -> None:
        self.rules = rules
        self.limits = limits
        self.asked = self.settled = 0
        self.given = {fact.id: fact for fact in facts}
        self.env: Any = clips.Environment()
        self.env.define_function(self.ask, "ask")
        self.slots: dict[str, set[str]] = {}
        self.values: dict[str, set[str]] = {}
        self.gather()
        self.types = {type: f"T{n}" for n, type in enumerate(sorted(self.slots))}
        keys = sorted({key for each in self.slots.values() for key in each})
        self.codes = {key: f"k{n}" for n, key in enumerate(keys)}
        source = [FUNCTIONS]
        for type, name in self.types.items():
            slots = [f"(slot {self.codes[key]} (default {MISSING}))" for key in sorted(self.slots[type])]
            slots += [f"(multislot v-{value})" for value in sorted(self.values[type])]
            source.append(f"(deftemplate {name} (slot id) {' '.join(slots)})")
        source += [self.rule(f"r{number}", rule) for number, rule in enumerate(rules)]
        self.build("\n".join(source))

    def build(self, source: str) -> None:
        """Compile constructs, from a file: texts are read through a call into Python for every letter."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "rules.clp"
            path.write_text(source, encoding="utf-8", newline="")
            self.env.load(str(path))

    def gather(self) -> None:
        """The keys and values of each type that rules and facts speak of."""
        for rule in self.rules:
            types = {term.alias: term.fact for term in rule.terms}
            for term in rule.terms:
                self.slots.setdefault(term.fact, set()).update(term.words, term.joins)
                self.values.setdefault(term.fact, set())
                for alias, key in term.joins.values():
                    self.slots[types[alias]].add(key)
            for part in (rule.given, rule.when, rule.unless):
                for attr in attributes(part) if part else ():
                    self.values[types[attr.alias]].add(attr.name)
        for rule in self.rules:
            types = {term.alias: term.fact for term in rule.terms}
            if rule.conclusion:
                self.slots.setdefault(rule.conclusion.fact, set()).update(rule.conclusion.keys)
                self.values.setdefault(rule.conclusion.fact, set())
                for source in rule.conclusion.keys.values():
                    if not isinstance(source, str):
                        self.slots[types[source[0]]].add(source[1])

    # -- a rule --------------------------------------------------------------------------------------------

    def rule(self, name: str, rule: Rule) -> str:
        """A rule as one production, and those that say what was missing where nothing stood together."""
        place = {term.alias: n for n, term in enumerate(rule.terms)}
        wanted = {source for term in rule.terms for source in term.joins.values()}
        if rule.conclusion:
            wanted |= {source for source in rule.conclusion.keys.values() if not isinstance(source, str)}
        lines = []
        for n, term in enumerate(rule.terms):
            slots: dict[str, list[str]] = {}
            for key in sorted(key for alias, key in wanted if alias == term.alias):
                slots.setdefault(key, []).append(f"?{self.codes[key]}-{n}")
            for key, (alias, other) in term.joins.items():
                slots.setdefault(key, []).append(f"?{self.codes[other]}-{place[alias]}")
            for key, word in term.words.items():
                found = slots.setdefault(key, [])
                # A literal beside a variable makes CLIPS refuse later terms whose literals differ: it is tested.
                found.append(f":(eq {found[0]} {text(word)})" if found else text(word))
            for key in slots.keys() - term.words.keys():
                slots[key].append(f"~{MISSING}")
            tests = [f"({self.codes[key]} {'&'.join(found)})" for key, found in slots.items()]
            lines.append(f"?f{n} <- ({self.types[term.fact]} (id ?i{n}) {' '.join(tests)})")
        ids = " ".join(f"?i{n}" for n in range(len(rule.terms)))
        parts = []
        for part, condition in (("given", rule.given), ("when", rule.when), ("unless", rule.unless)):
            default = "n" if part == "unless" else "y"
            said = self.condition(condition, place) if condition else default
            parts.append(f"(bind ?{part} {said}) (if (eq ?{part} u) then (bind ?{part} (ask {name} {part} {ids})))")
        concludes = ""
        if rule.conclusion:
            keys = {
                key: text(source) if isinstance(source, str) else f"?{self.codes[source[1]]}-{place[source[0]]}"
                for key, source in rule.conclusion.keys.items()
            }
            listed = ' ", " '.join(keys.values())
            slots_made = " ".join(f"({self.codes[key]} {value})" for key, value in keys.items())
            concludes = (
                f'(bind ?id (str-cat {text(rule.conclusion.fact + "(")} {listed} ")"))'
                f" (if (member$ ?v (create$ wrong open)) then"
                f" (assert ({self.types[rule.conclusion.fact]} (id ?id) {slots_made})))"
                f" (if (eq ?v wrong) then (assert (sure (id ?id))))"
            )
        made = [
            f"(defrule {name} (declare (salience {-rule.level})) {' '.join(lines)} => {' '.join(parts)}"
            f" (bind ?v (verdict ?given ?when ?unless (all-sure {ids}) (one-supposed {ids})))"
            f" (assert (step {name} ?v ?given ?when ?unless {ids})) {concludes})"
        ]
        anchor, *partners = [self.types[term.fact] for term in rule.terms]
        alone = f"(declare (salience -50)) ({anchor} (id ?a)) (not (step {name} ? ? ? ? ?a $?))"
        there = ""
        for n, type in enumerate(partners):
            made.append(
                f"(defrule {name}-lacks-{n} {alone} {there} (not ({type})) =>"
                f" (assert (said {name} idle ?a {type})))"
            )
            there += f" (exists ({type}))"
        if partners:
            last = partners[-1]
            made.append(f"(defrule {name}-apart {alone} {there} => (assert (said {name} idle ?a {last})))")
        return "\n".join(made)

    def condition(self, condition: Condition, place: Mapping[str, int]) -> str:
        """A condition as an expression that comes to y, n or u."""
        if isinstance(condition, Not):
            return f"(flip {self.condition(condition.of, place)})"
        if isinstance(condition, AllOf | AnyOf):
            name = "every" if isinstance(condition, AllOf) else "some"
            return f"({name} {' '.join(self.condition(each, place) for each in condition.of)})"

        def value(attr: Attr) -> str:
            return f"(fact-slot-value ?f{place[attr.alias]} v-{attr.name})"

        left, right = value(condition.left), condition.right
        if right is None:
            found = f"(in {left} (create$ {' '.join(text(word) for word in sorted(condition.words))}))"
            return f"(flip {found})" if condition.op == "ne" else found
        if isinstance(right, LimitRef) and right.by:
            return "u"
        if isinstance(right, Attr):
            ends = f"(nth$ 1 {value(right)}) (nth$ 2 {value(right)})"
        else:
            domain = (right.leaf if isinstance(right, Amount) else self.limits[right.name].leaves[""]).domain
            assert isinstance(domain, Span)
            ends = f"{domain.lo!r} {domain.hi!r}"
        return f"({condition.op} (nth$ 1 {left}) (nth$ 2 {left}) {ends})"

    def ask(self, name: str, part: str, *ids: str) -> Any:
        """What brute force makes of a condition that the ends leave open."""
        self.asked += 1
        rule = self.rules[int(str(name)[1:])]
        condition = {"given": rule.given, "when": rule.when, "unless": rule.unless}[str(part)]
        row = {term.alias: self.given[id] for term, id in zip(rule.terms, ids, strict=True) if id in self.given}
        truth = judged(condition, row, self.limits)
        return clips.Symbol("u" if truth is None else "y" if truth else "n")

    # -- facts -----------------------------------------------------------------------------------------------

    def assert_fact(self, fact: Fact) -> None:
        its = {**fact.keys, **fact.known}
        slots: dict[str, Any] = {"id": fact.id}
        slots |= {self.codes[key]: word for key, word in its.items() if key in self.slots[fact.type]}
        for name in self.values[fact.type]:
            value = fact.values[name]
            points = sorted(span(value, {}))
            words = isinstance(points[0], str)
            slots[f"v-{name}"] = tuple(points) if words else (float(points[0]), float(points[-1]))
        self.env.find_template(self.types[fact.type]).assert_fact(**slots)

    def run(self, facts: Sequence[Fact]) -> Answer:
        """Assert, fire until nothing is left, read what was said."""
        answer = Answer()
        for fact in facts:
            if not fact.standing:
                self.env.find_template("sure").assert_fact(id=fact.id)
            if any(leaf.origin.value == "supposed" for leaf in fact.standing):
                self.env.find_template("supposed").assert_fact(id=fact.id)
            answer.sure[fact.id] = not fact.standing
            if fact.type in self.types:
                self.assert_fact(fact)
        self.env.run()
        rules = {f"r{n}": rule for n, rule in enumerate(self.rules)}
        types = {code: type for type, code in self.types.items()}
        for fact in list(self.env.facts()):
            kind = fact.template.name
            if kind in types:
                answer.sure.setdefault(fact["id"], False)
            elif kind == "sure":
                answer.sure[fact["id"]] = True
            elif kind == "step":
                name, found, given, when, unless, *ids = map(str, fact)
                truths = TRUTHS[given], TRUTHS[when], TRUTHS[unless]
                self.settled += sum(each is not None for each in truths)
                answer.steps[rules[name].name, tuple(ids)] = (VERDICTS[found], *truths)
            elif kind == "said":
                name, found, anchor, *lacks = map(str, fact)
                place = rules[name].name, anchor
                assert place not in answer.said, f"said twice: {place}"
                answer.said[place] = VERDICTS[found], types[lacks[0]] if lacks else ""
        return answer

