"""Words that wrap: nothing lost, nothing wider than the room, what can be typed never parted."""

from hypothesis import given
from hypothesis import strategies as st

from trainer.screens.widgets.prose import Prose

HINT = "Fill 3 blanks with degrees, such as `2 5 1` or `ii7 V7 Imaj7`; `?` leaves one out."


def lines_of(words: str, width: int) -> list[str]:
    """The lines of a text."""
    prose = Prose()
    prose.put(words)
    return [str(line) for line in prose.lines(width)]


def test_what_can_be_typed_is_never_parted() -> None:
    """At every width that holds it, a row of degrees stands in one line, its punctuation beside it."""
    for width in range(14, 90):
        lines = lines_of(HINT, width)
        assert any("2 5 1" in line for line in lines), width
        assert any("ii7 V7 Imaj7;" in line for line in lines), width


def test_no_word_stands_alone_on_the_last_line() -> None:
    """Lines are drawn in where a lone word would be left, and no line more is taken for it."""
    assert [
        "Fill 3 blanks with degrees, such as 2 5 1 or",
        "ii7 V7 Imaj7; ? leaves one out.",
    ] == lines_of(HINT, 72)


@given(
    words=st.lists(st.text("abc\u2013.", min_size=1, max_size=12), min_size=1, max_size=40),
    width=st.integers(1, 60),
)
def test_nothing_is_lost_and_nothing_too_wide(words: list[str], width: int) -> None:
    """Whatever the words and the width, every letter stands there in order, within the width."""
    lines = lines_of(" ".join(words), width)
    assert all(0 < len(line) <= width for line in lines)
    assert "".join(words) == "".join(lines).replace(" ", "")


def test_a_lone_backtick_is_a_backtick() -> None:
    """What a player typed is told as it was, even where it isn't a pair of signs."""
    assert ["I can't read '`' as a degree."] == lines_of("I can't read '`' as a degree.", 60)


def test_paragraphs_stay_apart() -> None:
    """A line break in the words is one on the screen."""
    assert ["Chord 2: left out", "Chord 3: left out"] == lines_of("Chord 2: left out\nChord 3: left out", 60)
