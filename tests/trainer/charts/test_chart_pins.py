"""Pins: how they are read, how long they hold, and how the command's own go before them."""

from fractions import Fraction

import pytest

from tests.trainer.charts.asked import faults_of, pins_of, the_fault_of, timeline_of
from trainer.charts.chart import Pin
from trainer.charts.pins import PlacedPin, parse_pin, pin_text
from trainer.charts.reader import read_chart
from trainer.charts.unfold import parse_pin_option
from trainer.errors import TextError
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import parse_numeral


@pytest.mark.parametrize(
    ("text", "pin"),
    [
        ("Bb", Pin(parse_key("Bb major"))),
        ("G minor", Pin(parse_key("G minor"))),
        ("g", Pin(parse_key("G minor"))),
        ("F# minor", Pin(parse_key("F# minor"))),
        ("", Pin(None)),
        ("  ", Pin(None)),
        ("Bb: ii7", Pin(parse_key("Bb"), parse_numeral("ii7"))),
        (" Bb:ii7 ", Pin(parse_key("Bb"), parse_numeral("ii7"))),
        ("g:V7b9", Pin(parse_key("G minor"), parse_numeral("V7b9"))),
        ("C: I/3", Pin(parse_key("C"), parse_numeral("I/3"))),
    ],
)
def test_pin_is_a_key_with_or_without_a_numeral(text: str, pin: Pin) -> None:
    """A small letter is minor, nothing ends the pin before, a numeral stands behind a colon."""
    assert pin == parse_pin(text)
    assert pin == parse_pin(pin_text(pin)[1:-1])


@pytest.mark.parametrize(
    ("pin", "column"),
    [("{Qb}", 4), ("{ H}", 5), ("{Bb: }", 8), ("{Bb: ii7 x}", 8), ("{Bb: xx}", 8), ("{C lydian}", 6)],
)
def test_bad_pin_is_a_fault_in_its_column(pin: str, column: int) -> None:
    """The column points into the braces."""
    fault = the_fault_of(f"| {pin} C |")
    assert 1 == fault.line
    assert column <= fault.column <= column + len(pin)


def test_bad_pin_tells_all_its_faults() -> None:
    """Key and numeral may both be wrong."""
    assert 2 == len(faults_of("| {H: xx} C |"))


def test_center_holds_from_the_next_chord_to_the_next_pin() -> None:
    """A pin between chords begins to hold at the chord behind it."""
    assert [None, "Bb major", "Bb major", "G minor"] == pins_of("| C {Bb} Cm7 | F7 {g} D7 |")


def test_empty_pin_ends_a_center() -> None:
    """Behind `{}` nothing is pinned."""
    assert ["Bb major", None, None] == pins_of("| {Bb} Cm7 {} F7 | G7 |")


def test_section_line_ends_a_center() -> None:
    """A pin doesn't reach into the next section, not even into the same one written again."""
    assert ["Bb major", "Bb major", None] == pins_of("[A]\n| {Bb} Cm7 | F7 |\n[B]\n| G7 |")


def test_pin_at_a_bars_end_waits_for_the_next_chord() -> None:
    """The next chord may stand in the next bar or on the next line."""
    assert [None, "Bb major"] == pins_of("| Cm7 {Bb} |\n| F7 |")
    assert read_chart("| Cm7 {Bb} | F7 |") == read_chart("| Cm7 | {Bb} F7 |")


def test_function_pin_holds_one_chord() -> None:
    """`{Bb: ii7}` is for one chord, and as the next pin it ends a center."""
    assert [None, "Bb major ii7", None] == pins_of("| C | {Bb: ii7} Cm7 | F7 |")
    assert ["G major", "Bb major ii7", None] == pins_of("| {G} C | {Bb: ii7} Cm7 | F7 |")


def test_function_pin_goes_with_a_chord_held_over() -> None:
    """The chord that is held over a barline, or repeated by `%`, keeps its function."""
    assert ["Bb major ii7"] * 2 + [None] == pins_of("| {Bb: ii7} Cm7 | / F7 |")
    assert ["Bb major ii7", None] * 2 == pins_of("| {Bb: ii7} Cm7 F7 | % |")


def test_percent_is_pinned_as_the_bar_it_repeats() -> None:
    """A `%` has the pins of its bar, unless it has one of its own."""
    assert [None, "Bb major", None, "Bb major"] == pins_of("| C {Bb} Cm7 | % |")
    assert [None, "Bb major", "G minor", "G minor"] == pins_of("| C {Bb} Cm7 | {g} % |")


def test_pins_count_at_every_playing() -> None:
    """A written pin holds each time its bar is played."""
    assert ["Bb major", "Bb major", None] * 2 == pins_of("form: A A\n[A]\n| {Bb} Cm7 | F7 | {} G7 |")
    assert [None, "Bb major"] * 2 == pins_of("|: C | {Bb} F7 :|")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("| {Bb} {g} C | D |", (1, 8)),
        ("| C {Bb} / D / |", (1, 5)),
        ("| C | D {Bb} |", (1, 9)),
        ("[A]\n| C {Bb} |\n[B]\n| D |", (2, 5)),
    ],
)
def test_pin_without_a_chord_of_its_own_is_a_fault(text: str, place: tuple[int, int]) -> None:
    """Two pins for one chord, a pin before a hold, and one that no chord follows are not guessed at."""
    fault = the_fault_of(text)
    assert place == (fault.line, fault.column)
    assert "pin" in fault.found


def test_empty_pin_may_stand_at_the_very_end() -> None:
    """`{}` before a section line ends what ends there anyway."""
    assert read_chart("[A]\n| C |\n[B]\n| D |") == read_chart("[A]\n| C {} |\n[B]\n| D {} |")


def test_pin_may_stand_before_a_hold_that_begins_a_bar() -> None:
    """A chord held over the barline is a span of its own that can be pinned."""
    assert [None, "Bb major", "Bb major"] == pins_of("| Cm7 | {Bb} / F7 |")


# On the command


@pytest.mark.parametrize(
    ("option", "bar", "beat", "pin"),
    [
        ("9=Bb", 9, Fraction(1), "{Bb}"),
        ("9.3=Bb:ii7", 9, Fraction(3), "{Bb: ii7}"),
        (" 9.3 = Bb: ii7 ", 9, Fraction(3), "{Bb: ii7}"),
        ("0=g", 0, Fraction(1), "{G minor}"),
        ("9.2.5=Bb", 9, Fraction(5, 2), "{Bb}"),
        ("9.7/3=Bb", 9, Fraction(7, 3), "{Bb}"),
        ("12.10=F# minor", 12, Fraction(10), "{F# minor}"),
        ("9=", 9, Fraction(1), "{}"),
        ("9={Bb}", 9, Fraction(1), "{Bb}"),
    ],
)
def test_option_is_a_place_and_a_pin(option: str, bar: int, beat: Fraction, pin: str) -> None:
    """Bar and beat as played, then what would stand in braces."""
    assert PlacedPin(bar, beat, parse_pin(pin[1:-1]), option) == parse_pin_option(option)


@pytest.mark.parametrize(
    "option",
    [
        "",
        "9",
        "Bb",
        "9:Bb",
        "=Bb",
        "9.0=Bb",
        "9.1/0=Bb",
        "-1=Bb",
        "9=H",
        "9.x=Bb",
        "9=Bb:xx",
        "9" * 99 + "=C",
    ],
)
def test_bad_option_is_refused(option: str) -> None:
    """What can't be read names the option itself."""
    with pytest.raises(TextError, match="--pin"):
        parse_pin_option(option)


def test_options_go_before_the_chart() -> None:
    """A placed pin holds until the chart's next pin, the next placed pin, or the next section."""
    text = "[A]\n| C | Cm7 | {g} D7 | G7 |\n[B]\n| F | Bb |"
    assert [None, "Bb major", "G minor", "G minor", None, None] == pins_of(text, "2=Bb")
    assert ["F major", "F major", "D major", "D major", None, None] == pins_of(text, "3=D", "1=F")
    assert [None, None, "G minor", "Eb major", None, None] == pins_of(text, "4=Eb")
    assert [None, None, None, None, "Eb major", None] == pins_of(text, "3=", "5=Eb", "6=")


def test_option_for_one_chord_leaves_the_others() -> None:
    """A placed function is for its chord, and for that chord held over, alone."""
    text = "| {F} C | Cm7 | / F7 | G7 |"
    assert ["F major", "Bb major ii7", "Bb major ii7", "F major", "F major"] == pins_of(text, "2=Bb:ii7")
    assert ["Bb major ii7", None] == pins_of("| Cm7 | Cm7 |", "1=Bb:ii7")


def test_option_counts_bars_as_played() -> None:
    """The second playing of a bar can be pinned without the first."""
    assert [None, None, None, "Bb major"] == pins_of("|: C | F7 :|", "4=Bb")


def test_option_counts_beats_from_one() -> None:
    """`1.3` is the chord on the third beat."""
    assert [None, "Bb major"] == pins_of("| Cm7 F7 |", "1.3=Bb")


@pytest.mark.parametrize(
    ("pins", "words"),
    [
        (["7=Bb"], ["`7=Bb`", "from 1 to 2"]),
        (["1.2=Bb"], ["`1.2=Bb`", "1, 3"]),
        (["1=Bb", "1.1=g"], ["`1.1=g`", "second"]),
        (["7=Bb", "8=Bb"], ["`7=Bb`", "`8=Bb`"]),
    ],
)
def test_option_without_a_chord_is_refused(pins: list[str], words: list[str]) -> None:
    """A place where no chord begins is told with the places that there are; all such options at once."""
    with pytest.raises(TextError) as caught:
        timeline_of("| Cm7 F7 | Bb |", *pins)
    for word in words:
        assert word in str(caught.value)
