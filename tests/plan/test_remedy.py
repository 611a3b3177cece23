"""Remedy files: the shipped ones, and every mistake in one with its place."""

from pathlib import Path

import pytest

from ringout.plan.remedy import Remedy, load_remedies, read_remedy, remedies
from ringout.rulebase.load import rulebase
from ringout.text.document import read_text
from ringout.text.problem import Unusable

RULES = {rule.name: rule for rule in rulebase()}

GOOD = """\
remedy: made
title: Made for a test
does: It moves a feed.
who: licensed_electrician
mains: yes
cures:
  charger-fed-by-its-own-battery: {charger: chg.part, bank: draw.bank}
  changeover-left-on-the-inverter: {charger: chg.part}
find:
  inlet: {one_of_kind: inlet}
  feed: {feed_of: charger}
ask:
  size: {says: copper, values: [4 mm2]}
changes:
  - move_feed: {consumer: "{charger}", to: "{inlet}"}
  - set: {"{charger}.place": "{feed.from}"}
sources: ["common practice, no source"]
"""


def made(*changes: tuple[str, str]) -> Remedy:
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_remedy(read_text(text, "made.yaml"), RULES)


def test_the_shipped_remedies_are_usable_and_each_says_who_may_do_it() -> None:
    assert {
        "charger-ahead-of-the-changeover",
        "charge-set-for-the-type",
        "thicker-inverter-lead",
        "links-alike",
        "leads-from-opposite-ends",
        "fuse-in-every-lead",
        "controller-beside-the-bank",
        "rcd-ahead-of-the-outlet",
    } <= {each.remedy for each in remedies()}
    for each in remedies():
        assert each.who and each.caution and each.sources
        # What touches mains voltage is never left to an unlicensed person.
        assert each.mains == (each.who == "licensed_electrician")
        assert all(RULES[rule].finding and RULES[rule].finding.mains <= each.mains for rule in each.cures)


def test_a_good_remedy_is_read() -> None:
    remedy = made()
    assert list(remedy.cures) == ["charger-fed-by-its-own-battery", "changeover-left-on-the-inverter"]
    assert remedy.ask["size"].values == ["4 mm2"]


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ("remedy: made", "remedy: other", "1:9: remedy: expected the name of the file, found 'other'"),
        ("changeover-left-on", "changeover-lef-on", "did you mean 'changeover-left-on-the-inverter'?"),
        ("bank: draw.bank", "bank: draw.bnak", "an alias of charger-fed-by-its-own-battery and a key"),
        ("one_of_kind: inlet", "one_of_knid: inlet", "did you mean 'one_of_kind'?"),
        ("feed_of: charger", "feed_of: chargr", "did you mean 'charger'?"),
        ("feed_of: charger", "feed_of: bank", "find.feed.feed_of: expected a name known by then"),
        ("{feed.from}", "{feed.to}", "something that feed tells, found 'to'"),
        ("{feed.from}", "{feed.from", "braces that hold a name"),
        ('"{inlet}"', '"{inlt}"', "did you mean 'inlet'?"),
        ("move_feed:", "move_fed:", "did you mean 'move_feed'?"),
        ("consumer:", "consume:", "changes.1.move_feed: expected one of consumer, found 'consume, to'"),
        (', to: "', ', form: "', "changes.1.move_feed.form: expected to, found 'form'"),
        ("who: licensed_electrician", "who: owners", "one of owner,"),
        ("values: [4 mm2]", "values: []", "ask.size.values: expected at least one, found nothing"),
        ('["common practice, no source"]', "[]", "sources: expected at least one, found nothing"),
    ],
)
def test_a_mistake_is_named_with_its_place(old: str, new: str, problem: str) -> None:
    with pytest.raises(Unusable) as fault:
        made((old, new))
    assert problem in str(fault.value)
    assert str(fault.value).startswith("made.yaml:")


def test_a_limit_must_be_there() -> None:
    setting = "settings:\n  volts: {between: absorption_lest absorption_most, by: charger, at: charger}\nask:"
    with pytest.raises(Unusable, match="did you mean 'absorption_least'"):
        made(("ask:", setting))


def test_the_problems_of_all_files_come_at_once(tmp_path: Path) -> None:
    for name in ("made", "other", "third"):
        (tmp_path / f"{name}.yaml").write_text(GOOD, encoding="utf-8")
    with pytest.raises(Unusable) as fault:
        load_remedies(tmp_path, rulebase())
    assert len(fault.value.problems) == 2
