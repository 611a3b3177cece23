"""Messages about a file: exact text, order, and hints that never invent a word."""

from hypothesis import given
from hypothesis import strategies as st

from ringout.text.problem import Problem, Spot, Unusable, did_you_mean, dotted, shown


def test_a_problem_names_place_path_expected_found_and_hint() -> None:
    hint = did_you_mean("LPF", ["AGM", "LFP"])
    problem = Problem(Spot("case.yaml", 8, 16), "b1.chemistry", "one of LFP, AGM", "'LPF'", hint)
    assert str(problem) == (
        "case.yaml:8:16: b1.chemistry: expected one of LFP, AGM, found 'LPF'; did you mean 'LFP'?"
    )


def test_path_and_hint_are_left_out_when_there_is_none() -> None:
    assert str(Problem(Spot("a", 1, 1), "", "a file", "a folder")) == "a:1:1: expected a file, found a folder"


def test_problems_stand_in_the_order_of_the_file() -> None:
    late = Problem(Spot("a.yaml", 10, 1), "x", "a", "b")
    middle = Problem(Spot("a.yaml", 9, 12), "x", "a", "b")
    early = Problem(Spot("a.yaml", 9, 2), "x", "a", "b")
    unusable = Unusable([late, middle, early])
    assert unusable.problems == (early, middle, late)
    assert str(unusable).splitlines() == [str(early), str(middle), str(late)]


def test_a_path_counts_list_positions_from_one() -> None:
    assert dotted(("batteries", 0, "chemistry")) == "batteries.1.chemistry"
    assert dotted(()) == ""


def test_no_text_from_a_file_can_forge_a_line_of_a_message() -> None:
    assert shown("a\nb\x1b[0m") == r"'a\nb\x1b[0m'"
    assert dotted(("a\nb",)) == r"a\nb"
    assert str(Spot("a\nb.yaml", 1, 2)) == r"a\nb.yaml:1:2"


def test_a_long_text_is_cut() -> None:
    assert shown("x" * 60) == f"'{'x' * 60}'"
    assert shown("x" * 61) == f"'{'x' * 59}…'"


def test_what_is_no_text_is_named_for_what_it_is() -> None:
    assert shown(None) == "nothing"
    assert shown({"a": "b"}) == "names with values of their own"
    assert shown(["a"]) == "a list"


def test_a_spelling_that_differs_in_capitals_comes_first() -> None:
    assert did_you_mean("agm", ["agma", "AGM"]) == "did you mean 'AGM'?"
    assert did_you_mean("chemsitry", ["capacity", "chemistry"]) == "did you mean 'chemistry'?"


def test_nothing_near_gives_no_hint() -> None:
    assert did_you_mean("bittern", ["LFP", "AGM"]) == ""
    assert did_you_mean("bittern", []) == ""


def test_a_word_too_long_to_be_a_slip_gives_no_hint() -> None:
    assert did_you_mean("a" * 61, ["a" * 60]) == ""
    assert did_you_mean("A" * 61, ["a" * 61]) == f"did you mean {shown('a' * 61)}?"


@given(st.text(max_size=12), st.lists(st.text(max_size=12), max_size=6))
def test_a_hint_names_a_candidate(word: str, candidates: list[str]) -> None:
    hint = did_you_mean(word, candidates)
    assert hint == "" or hint in {f"did you mean {shown(candidate)}?" for candidate in candidates}
