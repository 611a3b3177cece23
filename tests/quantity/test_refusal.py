from ringout.quantity.refusal import Ambiguous, NotUnderstood


def test_a_refusal_reads_as_one_line() -> None:
    refusal = NotUnderstood("a length such as 4 m", "'4 A' (a current)", 2)
    assert str(refusal) == "expected a length such as 4 m, found '4 A' (a current)"
    assert (refusal.offset, refusal.readings) == (2, ())


def test_an_ambiguous_text_shows_every_reading() -> None:
    refusal = Ambiguous("'6 mm'", 0, ("6 mm2 of copper", "6 mm auto"))
    assert (
        str(refusal)
        == "expected one clear meaning, found '6 mm', which can mean 6 mm2 of copper or 6 mm auto"
    )
