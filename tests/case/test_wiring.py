"""The shorthand for wiring: words of chains and lines, each with its place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.wiring import End, NotAChain, Piece, ac_line, dc_chain, ends, pieces, split


def test_a_chain_is_its_ends_in_order() -> None:
    assert dc_chain("b1+ = fmain = house+") == [
        End("b1", "", "+", 0),
        End("fmain", "", "", 6),
        End("house", "", "+", 14),
    ]


def test_an_end_names_a_port_and_a_pole() -> None:
    assert dc_chain("mppt.pv- = panel_2-") == [End("mppt", "pv", "-", 0), End("panel_2", "", "-", 11)]
    assert [str(end) for end in dc_chain(" mppt.pv-=b1 ")] == ["mppt.pv-", "b1"]


def test_a_line_is_its_alternatives_and_its_stages() -> None:
    first, rest = ac_line("board | inlet > rcd > gpo1, gpo2")
    assert [str(end) for end in first] == ["board", "inlet"]
    assert [[str(end) for end in stage] for stage in rest] == [["rcd"], ["gpo1", "gpo2"]]
    assert rest[1][1].offset == 28


@pytest.mark.parametrize(
    ("text", "expected", "found", "offset"),
    [
        ("b1", "two parts joined by '=', such as b1+ = fmain", "b1", 0),
        ("", "two parts joined by '=', such as b1+ = fmain", None, 0),
        ("b1 > b2", "'=' between the parts of a DC chain ('>' is for AC feeds)", ">", 3),
        ("b1 = = b2", "a part such as b1, b1+ or co.shore", None, 5),
        ("b1 = 2b", "a part such as b1, b1+ or co.shore", "2b", 5),
        ("b1 = b2 b3", "a part such as b1, b1+ or co.shore", "b2 b3", 5),
        ("b1+- = b2", "a part such as b1, b1+ or co.shore", "b1+-", 0),
        ("b1.dc.in = b2", "a part such as b1, b1+ or co.shore", "b1.dc.in", 0),
        ("bé = b2", "a part such as b1, b1+ or co.shore", "bé", 0),
    ],
)
def test_what_is_no_chain_is_refused_at_its_place(
    text: str, expected: str, found: str | None, offset: int
) -> None:
    with pytest.raises(NotAChain) as caught:
        dc_chain(text)
    assert (caught.value.expected, caught.value.found, caught.value.offset) == (expected, found, offset)


@pytest.mark.parametrize(
    ("text", "expected", "found", "offset"),
    [
        ("board", "a feed such as inlet > board", "board", 0),
        ("a = b", "'>' between the parts of an AC line ('=' is for DC chains)", "=", 2),
        ("a > b, c > d", "several parts only at the end of an AC line", "c", 7),
        ("a > b+", "no + or - in an AC line", "b+", 4),
        ("a- > b", "no + or - in an AC line", "a-", 0),
        ("a | > b", "a part such as b1, b1+ or co.shore", None, 4),
        ("a > b | c", "a part such as b1, b1+ or co.shore", "b | c", 4),
        ("a, b > c", "a part such as b1, b1+ or co.shore", "a, b", 0),
    ],
)
def test_what_is_no_ac_line_is_refused_at_its_place(
    text: str, expected: str, found: str | None, offset: int
) -> None:
    with pytest.raises(NotAChain) as caught:
        ac_line(text)
    assert (caught.value.expected, caught.value.found, caught.value.offset) == (expected, found, offset)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("50 mm2", [Piece("50 mm2", 0)]),
        ("50 mm2, 0.2 m,  about 1 m", [Piece("50 mm2", 0), Piece("0.2 m", 8), Piece("about 1 m", 16)]),
        ("6 mm2, 3,5 m", [Piece("6 mm2", 0), Piece("3,5 m", 7)]),
        ("2 m (measured May, noon), 3 m", [Piece("2 m (measured May, noon)", 0), Piece("3 m", 26)]),
        ("6 mm2,", [Piece("6 mm2", 0), Piece("", 6)]),
        ("6 mm2, , 3 m", [Piece("6 mm2", 0), Piece("", 7), Piece("3 m", 9)]),
    ],
)
def test_statements_behind_the_colon_are_parted_by_commas(text: str, found: list[Piece]) -> None:
    assert pieces(text) == found


def test_stretches_between_marks_keep_their_offsets() -> None:
    assert split("a|b|", "|") == [(0, 1), (2, 3), (4, 4)]
    assert split("xx a|b yy", "|", 3, 6) == [(3, 4), (5, 6)]
    assert ends("xx a+ yy", 2, 6) == End("a", "", "+", 3)


NAMES = st.from_regex(r"[a-z][a-z0-9_]{0,5}(\.[a-z]{1,3})?[+-]?", fullmatch=True)
GAPS = st.sampled_from(["", " ", "   "])


@given(st.lists(st.tuples(GAPS, NAMES, GAPS), min_size=2, max_size=6))
def test_each_end_stands_where_its_offset_says(words: list[tuple[str, str, str]]) -> None:
    text = "=".join("".join(each) for each in words)
    chain = dc_chain(text)
    assert [str(end) for end in chain] == [name for _, name, _ in words]
    assert all(text[end.offset :].startswith(str(end)) for end in chain)


@given(st.text(max_size=40))
def test_any_text_is_a_line_or_refused_inside_it(text: str) -> None:
    for read in (dc_chain, ac_line):
        try:
            read(text)
        except NotAChain as fault:
            assert 0 <= fault.offset <= len(text)


@given(st.text(alphabet="ab1,( )", max_size=30))
def test_no_character_behind_the_colon_is_lost(text: str) -> None:
    found = pieces(text)
    assert all(text[piece.offset :].startswith(piece.text) for piece in found)
    lost = text.replace(" ", "").replace(",", "")
    assert "".join(piece.text for piece in found).replace(" ", "").replace(",", "") == lost
