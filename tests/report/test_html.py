"""The page is sound HTML, needs nothing outside it, all can read it, and no text breaks out of its place."""

import re
import textwrap
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from hashlib import sha256
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reworded import reworded

from ringout import __version__
from ringout.case.load import load_text
from ringout.cli.main import main
from ringout.kept import digest
from ringout.report.html import PAGES, TITLE, css_text, html
from ringout.report.text import text
from ringout.report.view import view
from ringout.report.wording import wording
from ringout.review.finding import Finding
from ringout.review.review import Review, review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]
PageOf = Callable[[str], str]
Shape = list[tuple[str, dict[str, str | None]]]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
# HTML (living standard, WHATWG), "Void elements", as far as the page uses them.
VOID = {"meta"}
JARGON = re.compile(r"\b(subject|fact base|Kleene|proof tree|leaf|lethal)s?\b", re.IGNORECASE)
TEXTS = st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=40)
"""What a case file may hold: its reader refuses control characters."""


@dataclass
class Element:
    tag: str
    attributes: dict[str, str | None]
    inside: list["Element | str"] = field(default_factory=list)

    @property
    def words(self) -> str:
        return " ".join("".join(self._words()).split())

    def _words(self) -> list[str]:
        return [each if isinstance(each, str) else each.words + " " for each in self.inside]

    def all(self, *tags: str) -> list["Element"]:
        """The elements beneath in the order of the page, those of some tags or every one."""
        found = []
        for each in self.inside:
            if isinstance(each, Element):
                found += [each] if not tags or each.tag in tags else []
                found += each.all(*tags)
        return found

    def by_id(self, name: str) -> "Element":
        return next(each for each in self.all() if each.attributes.get("id") == name)


class Reader(HTMLParser):
    """Builds the tree and insists that every element is closed where it should be."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.root = Element("", {})
        self.open = [self.root]
        self.declared: list[str] = []
        self.feed(page)
        self.close()
        assert self.open == [self.root], f"not closed: {[each.tag for each in self.open]}"

    def handle_decl(self, decl: str) -> None:
        self.declared.append(decl)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(dict(attrs)) == len(attrs), f"an attribute of {tag} stands twice"
        made = Element(tag, dict(attrs))
        self.open[-1].inside.append(made)
        if tag not in VOID:
            self.open.append(made)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop().tag == tag, f"{tag} is closed out of order at {self.getpos()}"

    def handle_data(self, data: str) -> None:
        self.open[-1].inside.append(data)


def tree(page: str) -> Element:
    return Reader(page).root


def shape(page: str) -> Shape:
    """Tags and attributes in order, without the policy, which names the digest of the style sheet."""
    return [(each.tag, each.attributes) for each in tree(page).all() if "http-equiv" not in each.attributes]


def filled(made: Review, words: str) -> Review:
    """A review in which every text that a person may write says the same words."""
    case = made.case
    complaint = next(iter(case.complaints.values())).model_copy(update={"says": words})
    frame = case.frame.model_copy(
        update={"case": words, "scope": words, "visited": words, "complaints": {"one": complaint}}
    )
    parts = {name: replace(part, place=words) for name, part in case.parts.items()}
    document = replace(case.document, file=words)
    return replace(
        made,
        case=replace(case, frame=frame, parts=parts, document=document),
        complaints=tuple(replace(each, says=words) for each in made.complaints),
        found=tuple(refilled(each, words) for each in made.found),
    )


def refilled(finding: Finding, words: str) -> Finding:
    return reworded(finding, title=words, about=words, seen=words, means=words, do=words, prove=words)


@pytest.fixture(scope="session")
def page_of(reviewed: Reviewed) -> PageOf:
    """The page of a sample case by its name, made once."""
    return cache(lambda name: html(reviewed(name)))


@pytest.fixture(scope="session")
def plain_shape(reviewed: Reviewed) -> Shape:
    """The shape of a page whose texts are harmless."""
    return shape(html(filled(reviewed("reed-loop"), "plain")))


@pytest.mark.parametrize("name", CASES)
def test_the_page_is_well_formed_and_declared(page_of: PageOf, reviewed: Reviewed, name: str) -> None:
    page = page_of(name)
    assert page.startswith("<!DOCTYPE html>\n")
    top = Reader(page)
    assert top.declared == ["DOCTYPE html"]
    root = top.root
    assert [each.attributes for each in root.all("html")] == [{"lang": "en"}]
    assert [each.words for each in root.all("title")] == [f"Review: {reviewed(name).case.title}"]
    assert root.all("meta")[0].attributes == {"charset": "utf-8"}


@pytest.mark.parametrize("name", CASES)
def test_the_page_is_ascii_so_that_no_encoding_can_spoil_it(reviewed: Reviewed, name: str) -> None:
    assert html(filled(reviewed(name), "Vesikivi \u2013 \u6c34\u9ce5 \U0001f426")).isascii()


@pytest.mark.parametrize("name", CASES)
def test_headings_go_down_one_step_at_a_time(page_of: PageOf, name: str) -> None:
    levels = [int(each.tag[1]) for each in tree(page_of(name)).all("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert [(upper, lower) for upper, lower in pairwise(levels) if lower > upper + 1] == []


@pytest.mark.parametrize("name", CASES)
def test_links_lead_to_a_place_on_the_page(page_of: PageOf, name: str) -> None:
    root = tree(page_of(name))
    ids = [each.attributes["id"] for each in root.all() if "id" in each.attributes]
    assert len(ids) == len(set(ids))
    links = {str(each.attributes["href"]) for each in root.all("a")}
    assert links
    assert {link for link in links if not link.startswith("#") or link[1:] not in ids} == set()


@pytest.mark.parametrize("name", CASES)
def test_tables_can_be_read_aloud(page_of: PageOf, name: str) -> None:
    root = tree(page_of(name))
    for table in root.all("table"):
        named = [each.words for each in table.all("caption")]
        if "aria-labelledby" in table.attributes:
            named.append(root.by_id(str(table.attributes["aria-labelledby"])).words)
        assert len(named) == 1
        assert named[0]
        columns = table.all("thead")[0].all("th")
        assert {each.attributes["scope"] for each in columns} == {"col"}
        for row in table.all("tbody")[0].all("tr"):
            cells = row.all("th", "td")
            assert [each.attributes.get("scope") for each in cells] == ["row"] + [None] * (len(columns) - 1)


@pytest.mark.parametrize("name", CASES)
def test_nothing_outside_the_page_is_needed_and_nothing_runs(page_of: PageOf, name: str) -> None:
    root = tree(page_of(name))
    tags = {each.tag for each in root.all()}
    assert tags & {"script", "link", "img", "iframe", "object", "embed", "form", "base", "svg"} == set()
    names = {attribute for each in root.all() for attribute in each.attributes}
    assert {each for each in names if each.startswith("on") or each in ("src", "style", "srcset")} == set()
    (style,) = root.all("style")
    assert not re.search(r"url\(|@import|@font-face|</", "".join(map(str, style.inside)))


@pytest.mark.parametrize("name", CASES)
def test_the_page_forbids_itself_everything_but_its_own_style(page_of: PageOf, name: str) -> None:
    page = page_of(name)
    style = page.split("<style>")[1].split("</style>")[0]
    # CSP Level 3 (W3C working draft): base64 of the SHA-256 of the text between the tags.
    own = b64encode(sha256(style.encode()).digest()).decode()
    (policy,) = [x.attributes["content"] for x in tree(page).all("meta") if "http-equiv" in x.attributes]
    assert policy == f"default-src 'none'; style-src 'sha256-{own}'"


@settings(max_examples=25)
@given(words=TEXTS)
def test_no_text_breaks_out_of_its_place(plain_shape: Shape, reviewed: Reviewed, words: str) -> None:
    assert shape(html(filled(reviewed("reed-loop"), words))) == plain_shape


@pytest.mark.parametrize(
    "words",
    [
        "<script>alert(1)</script>",
        "</style><script>alert(1)</script>",
        '" onclick="alert(1)',
        "' autofocus onfocus='alert(1)",
        "<!-- ",
        "]]>",
        "&lt;b&gt; &amp; &#60;",
        "{{ 7 * 7 }}{% raw %}",
        '"; } * { display: none } @page { content: "',
        "\\\u202etxet",
    ],
)
def test_hostile_texts_are_shown_as_they_were_written(
    plain_shape: Shape, reviewed: Reviewed, words: str
) -> None:
    made = filled(reviewed("reed-loop"), words)
    page = html(made)
    assert shape(page) == plain_shape
    root = tree(page)
    shown = " ".join(words.split())
    assert root.all("h1")[0].words == shown
    assert shown in root.by_id("safety").words or shown in root.by_id("faults").words


def test_a_case_file_with_markup_in_it_stays_text() -> None:
    attack = "<img src=x onerror=alert(1)>"
    written = f"""
case: "{attack}"
kind: cabin
scope: "{attack}"
complaints:
  one: {{says: "{attack}", symptom: flat_by_morning}}
parts:
  house: {{kind: battery, chemistry: LFP, place: "{attack}"}}
  inverter: {{kind: inverter}}
"""
    page = html(review(load_text(written, f"{attack}.yaml"), "plain"))
    assert "<img" not in page
    assert tree(page).all("h1")[0].words == attack


@given(words=st.text())
def test_words_in_the_style_sheet_are_codes_that_mean_the_same(words: str) -> None:
    coded = css_text(words)
    assert re.fullmatch(r"(?:[A-Za-z0-9]|\\[0-9a-f]{1,6} )*", coded)
    # CSS Syntax Level 3 (W3C candidate recommendation), 4.3.7: up to six hex digits and one space.
    assert re.sub(r"\\([0-9a-f]+) ", lambda match: chr(int(match[1], 16)), coded) == words


def luminance(colour: str) -> float:
    """WCAG 2.1 (W3C recommendation, 2018), "relative luminance"."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = [x / 12.92 if x <= 0.03928 else ((x + 0.055) / 1.055) ** 2.4 for x in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.1 (W3C recommendation, 2018), "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_is_reckoned_right() -> None:
    # WCAG 2.1 (W3C recommendation, 2018): from 1 to 21. The grey is the lightest that passes, from memory.
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#ffffff", "#ffffff") == pytest.approx(1)
    assert contrast("#ffffff", "#767676") > 4.5 > contrast("#ffffff", "#777777")


def test_every_colour_can_be_read_in_the_light_and_in_the_dark_scheme() -> None:
    look = (PAGES / "look.css.j2").read_text(encoding="utf-8")
    schemes = [
        dict(re.findall(r"--(\w+): (#\w{6});", block)) for block in re.findall(r":root \{(.*?)\}", look, re.S)
    ]
    assert len(schemes) == 2
    assert "prefers-color-scheme: dark" in look
    for colours in schemes:
        for ink in ("ink", "soft", "accent"):
            for ground in ("paper", "shade"):
                # WCAG 2.1 (W3C recommendation, 2018), 1.4.3: 4.5 to 1 for text.
                assert contrast(colours[ink], colours[ground]) >= 4.5
    foot = re.findall(r"color: (#\w{6})", look.split("@page")[1])
    assert foot
    assert all(contrast(each, "#ffffff") >= 4.5 for each in foot)


def test_paper_is_a4_with_numbered_pages_and_whole_findings(page_of: PageOf) -> None:
    page = page_of("heron")
    assert "size: A4" in page
    assert '"page " counter(page) " of " counter(pages)' in page
    assert re.search(r"\.item \{[^}]*break-inside: avoid", page)
    assert 'content: "The\\20 Heron\\2c \\20 as\\20 found"' in page
    articles = [each for each in tree(page).all("article") if str(each.attributes.get("id")).startswith("n")]
    assert articles
    assert {each.attributes["class"] for each in articles} == {"item"}


def test_a_long_title_at_the_foot_is_cut_between_characters(reviewed: Reviewed) -> None:
    page = html(filled(reviewed("reed-loop"), '"' * 500))
    assert f'@bottom-left {{ content: "{css_text(chr(34) * TITLE)}"; ' in page


@pytest.mark.parametrize("name", CASES)
def test_the_parts_stand_in_order(page_of: PageOf, name: str) -> None:
    order = ["safety", "faults", "unknown", "complaints", "right", "not-drawn", "not-looked-for", "not-used"]
    order += ["cautions", "annex"]
    found = [str(each.attributes["id"]) for each in tree(page_of(name)).all("section")]
    assert found == [each for each in order if each in found]
    assert {"safety", "complaints", "right", "cautions", "annex"} <= set(found)


def test_the_head_names_case_visit_scope_engine_and_rules(page_of: PageOf) -> None:
    head = tree(page_of("heron")).all("header")[0].words
    for words in (
        "The Heron, as found",
        "an invented one",
        "2026-05-03",
        "without taking the furniture out",
        "heron.yaml",
    ):
        assert words in head
    assert f"ringout {__version__}, plain engine, rules {digest()}" in head
    assert "half as long as the old ones did" in head


def test_what_the_case_does_not_say_is_called_not_stated(page_of: PageOf) -> None:
    head = tree(page_of("ten-facts")).all("header")[0].words
    assert "Date of visit not stated" in head
    assert "Scope not stated" in head


@pytest.mark.parametrize("name", CASES)
def test_the_page_shows_under_the_same_numbers_what_the_text_shows(
    page_of: PageOf, reviewed: Reviewed, name: str
) -> None:
    made = reviewed(name)
    root, plain = tree(page_of(name)), " ".join(text(made).split())
    shown = view(made)
    rows = [*shown.unsafe.shown, *shown.rest.shown]
    for headline in (*shown.dangers, *shown.faults):
        words = f"{headline.number} {headline.finding.title}"
        assert root.by_id(f"n{headline.number}").words.startswith(words)
        assert words in plain
    # On its one screen the text may have room for fewer questions.
    for row in rows if made.found else rows[:1]:
        words = f"{row.number} {row.settles} check {row.check}"
        assert root.by_id(f"n{row.number}").words == words
        assert words in plain


@pytest.mark.parametrize("name", CASES)
def test_a_finding_has_six_lines_and_a_way_to_its_numbers(
    page_of: PageOf, reviewed: Reviewed, name: str
) -> None:
    made = reviewed(name)
    root, shown = tree(page_of(name)), view(made)
    for headline in (*shown.dangers, *shown.faults):
        item = root.by_id(f"n{headline.number}")
        assert [each.words for each in item.all("dt")] == ["where", "seen", "means", "do", "who", "proof"]
        assert all(each.words for each in item.all("dd"))
        assert [each.attributes["href"] for each in item.all("a")] == [f"#a{headline.number}"]
        assert headline.finding.title in root.by_id(f"a{headline.number}").words


def test_what_follows_from_a_finding_is_said_with_it(page_of: PageOf) -> None:
    root = tree(page_of("reed-loop"))
    means = next(each for each in root.all("dd") if "So: The charge loop drains the bank" in each.words)
    assert re.search(r"loses [\d.]+ to [\d.]+ A net", means.words)


def test_the_other_parts_with_the_same_fault_are_named(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    one = made.found[0]
    other = reworded(one, about="controller", names=("controller",))
    two = replace(made, found=(one, other, other))
    assert "The same at controller." in tree(html(two)).by_id("faults").words
    # A part that already speaks for itself is not named again.
    assert "The same at" not in html(replace(made, found=(one, one)))


def test_a_finding_that_rests_on_an_assumed_value_says_so(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    leaf = made.case.dc_volts
    guessed = replace(made, found=tuple(reworded(each, assumed=(leaf,)) for each in made.found))
    assert f"Partly assumed: {leaf.path}." in html(guessed)
    assert "Partly assumed" not in html(made)


@pytest.mark.parametrize("name", CASES)
def test_the_page_defers_once_and_once_more_at_each_mains_task(
    page_of: PageOf, reviewed: Reviewed, name: str
) -> None:
    made = reviewed(name)
    words = tree(page_of(name)).words
    assert words.count(wording().deferral) == 1
    shown = view(made)
    tasks = [each.finding for each in (*shown.dangers, *shown.faults)]
    assert words.count(wording().mains_deferral) == sum(task.text.mains for task in tasks)


def test_complaints_show_their_causes_by_standing(page_of: PageOf) -> None:
    part = tree(page_of("reed-loop")).by_id("complaints")
    assert [each.words for each in part.all("dt")] == ["supported", "open", "ruled out"]
    assert "The charger runs from the battery it charges" in part.all("dd")[0].words


@pytest.mark.parametrize("name", CASES)
def test_what_was_not_looked_for_is_listed(page_of: PageOf, reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    assert made.not_inspected
    part = tree(page_of(name)).by_id("not-looked-for")
    assert all(kind.replace("_", " ") in part.words for kind in made.not_inspected)


@pytest.mark.parametrize("name", CASES)
def test_the_words_are_plain(page_of: PageOf, name: str) -> None:
    root = tree(page_of(name))
    main = root.all("main")[0]
    said = " ".join(each.words for each in main.all("section") if each.attributes["id"] != "annex")
    assert JARGON.findall(main.words) == []
    assert "!" not in main.words
    assert "{" not in said, "a template was not filled"
    assert not re.search(r"\b[a-z]+_[a-z]", said), "a name of a file's field is not a word"
    assert "does not apply" not in main.words


@pytest.mark.parametrize("name", CASES)
def test_no_folder_of_the_machine_is_shown(page_of: PageOf, name: str) -> None:
    assert str(cases_root().parent) not in page_of(name)


@pytest.mark.parametrize("name", CASES)
def test_the_front_page_fits_in_forty_five_lines(page_of: PageOf, name: str) -> None:
    root = tree(page_of(name))
    front = [*root.all("header")[0].all("p", "h1", "div"), root.by_id("safety").all("h2")[0]]
    front += [root.by_id("safety").all("p")[0], *root.all("nav")[0].all("p", "li")]
    # At the size of the print on A4 a line holds about 110 characters.
    lines = [line for each in front for line in textwrap.wrap(each.words, 110)]
    assert len(lines) <= 45


def test_the_command_prints_the_page(capsys: pytest.CaptureFixture[str], page_of: PageOf) -> None:
    case = str(cases_root() / "reed-loop.yaml")
    assert main(["review", case, "--format", "html", "--engine", "plain"]) == 1
    assert capsys.readouterr().out == page_of("reed-loop")


def test_readings_that_nothing_was_made_of_are_named(reviewed: Reviewed) -> None:
    assert "<h2>Readings that nothing was made of</h2>" in html(reviewed("heron"))
    assert "<h2>Readings that nothing was made of</h2>" not in html(reviewed("ten-facts"))
