"""What stands between two barlines: slots, holds, silence, `%`, meters, pickups."""

from fractions import Fraction

import pytest

from tests.trainer.charts.asked import faults_of, places_of, slots_of, the_fault_of, timeline_of
from trainer.charts.bars import slot_counts
from trainer.charts.chart import Meter
from trainer.charts.reader import read_chart


def test_tokens_are_equal_slots() -> None:
    """N tokens share the bar equally."""
    assert [("Cm7", 0, 4)] == slots_of("Cm7")
    assert [("Cm7", 0, 2), ("F7", 2, 2)] == slots_of("Cm7 F7")
    assert [(name, at, 1) for at, name in enumerate(("C", "D", "E", "F"))] == slots_of("C D E F")


def test_slash_holds_one_slot_more() -> None:
    """`Cm7 / / F7` gives three beats and one."""
    assert [("Cm7", 0, 3), ("F7", 3, 1)] == slots_of("Cm7 / / F7")
    assert [("Cm7", 0, 1), ("F7", 1, 3)] == slots_of("Cm7 F7 / /")
    assert [("Cm7", 0, 4)] == slots_of("Cm7 / / /")


def test_slots_may_be_parts_of_a_beat() -> None:
    """Eight tokens in 4/4 are eighths, twelve are eighth triplets."""
    assert [("C", 0, Fraction(7, 2)), ("D", Fraction(7, 2), Fraction(1, 2))] == slots_of("C" + " /" * 6 + " D")
    assert [("C", 0, Fraction(4, 3)), ("D", Fraction(4, 3), Fraction(8, 3))] == slots_of("C / / / D" + " /" * 7)


def test_silence_takes_slots() -> None:
    """`N.C.` is silence and can be held."""
    assert [("N.C.", 0, 3), ("C", 3, 1)] == slots_of("N.C. / / C")
    assert slots_of("N.C.") == slots_of("n.c.") == slots_of("NC")


@pytest.mark.parametrize(
    ("meter", "counts"),
    [
        ("4/4", {1, 2, 4, 8, 12, 16}), ("3/4", {1, 3, 6, 9, 12, 15}), ("5/4", {1, 5, 10, 15}),
        ("2/2", {1, 2, 4, 6, 8, 10, 12, 14, 16}), ("7/8", {1, 7, 14}), ("6/8", {1, 2, 3, 6, 12}),
        ("9/8", {1, 3, 9}), ("12/8", {1, 2, 3, 4, 6, 12}),
    ],
)  # fmt: skip
def test_number_of_slots_divides_or_multiplies_the_beats(meter: str, counts: set[int]) -> None:
    """Every number of tokens up to 16 is judged by the rule; dotted beats divide compound bars."""
    for count in range(1, 17):
        text = f"meter: {meter}\n| {' '.join(['C'] * count)} |"
        if count in counts:
            assert count == len(read_chart(text).sections[0].bars[0].chords)
        else:
            fault = the_fault_of(text)
            assert (2, 3) == (fault.line, fault.column)
            assert f"{count} " in fault.found
            assert meter in fault.found
            assert "`/`" in fault.expected


def test_compound_slots_may_be_dotted_beats() -> None:
    """Two tokens in 6/8 last three eighths each, four in 12/8 as well."""
    assert [("C", 0, 3), ("D", 3, 3)] == slots_of("C D", "meter: 6/8")
    assert [3, 3, 3, 3] == [beats for _, _, beats in slots_of("C D E F", "meter: 12/8")]
    assert [3, 3, 3] == [beats for _, _, beats in slots_of("C D E", "meter: 9/8")]


def test_too_many_slots_are_a_fault() -> None:
    """A bar has at most 96 slots."""
    assert 96 == len(slots_of(" ".join(["C"] * 96)))
    assert "at most 96" in the_fault_of(f"| {' '.join(['C'] * 100)} |").expected


def test_counts_of_slots_of_a_broken_bar_length() -> None:
    """A pickup of a beat and a half takes one chord or three eighths."""
    assert (1, 3, 6, 9) == slot_counts(Fraction(3, 2))[:4]


def test_slash_first_in_a_bar_holds_from_the_bar_before() -> None:
    """What sounded goes on as a span of its own that continues."""
    spans = timeline_of("| Cm7 F7 | / / / Bb7 |").spans
    assert ["Cm7", "F7", "F7", "Bb7"] == [span.symbol and span.symbol.text for span in spans]
    assert [False, False, True, False] == [span.continues for span in spans]
    assert [2, 2, 3, 1] == [span.beats for span in spans]


def test_slash_holds_silence_too() -> None:
    """A bar that begins with a hold behind `N.C.` stays silent."""
    span = timeline_of("| N.C. | / |").spans[1]
    assert (None, True) == (span.symbol, span.continues)


def test_nothing_can_be_held_at_the_very_start() -> None:
    """`/` before anything sounds is a fault at its place."""
    fault = the_fault_of("title: Weir\n| / C |")
    assert (2, 3) == (fault.line, fault.column)


def test_percent_repeats_the_whole_bar_before() -> None:
    """`%` plays both chords of the bar before again, as spans that continue."""
    spans = timeline_of("| Cm7 / / F7 | % | % |").spans
    assert ["Cm7", "F7"] * 3 == [span.symbol and span.symbol.text for span in spans]
    assert [False, False, True, True, True, True] == [span.continues for span in spans]
    assert [3, 1] * 3 == [span.beats for span in spans]
    assert [1, 1, 2, 2, 3, 3] == [span.written_bar for span in spans]


def test_percent_behind_a_hold_repeats_what_sounded() -> None:
    """The bar before may itself begin with a hold."""
    spans = timeline_of("| Cm7 | / F7 | % |").spans
    assert ["Cm7", "Cm7", "F7", "Cm7", "F7"] == [span.symbol and span.symbol.text for span in spans]


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("| % | C |", (1, 3)),
        ("[A]\n| C |\n[B]\n| % | C |", (4, 3)),
        ("| C | % F7 |", (1, 7)),
        ("| C | F7 % |", (1, 10)),
        ("| C | % % |", (1, 7)),
        ("| C | / % |", (1, 9)),
        ("| C |\nmeter: 3/4\n| % |", (3, 3)),
        ("| C |\nmeter: 4/2\n| % |", (3, 3)),
        ("pickup: 1\n| C | % |", (2, 7)),
    ],
)
def test_percent_out_of_place_is_a_fault(text: str, place: tuple[int, int]) -> None:
    """`%` stands alone, not first in a section, behind a bar of the same length."""
    fault = the_fault_of(text)
    assert place == (fault.line, fault.column)
    assert "`%`" in fault.found


def test_percent_may_follow_a_change_of_meter_by_a_bar() -> None:
    """Once a bar stands in the new meter it can be repeated."""
    assert [4, 3, 3] == [bar.quarters for bar in timeline_of("| C |\nmeter: 3/4\n| D | % |").bars]


def test_meter_changes_between_lines_of_bars() -> None:
    """The new meter holds from the next bar on, across sections."""
    chart = read_chart("meter: 4/4\n[A]\n| C | D |\nmeter: 3/4\n| E |\n[B]\n| F |\nmeter: 4/4\n| G |")
    meters = [str(bar.meter) for section in chart.sections for bar in section.bars]
    assert ["4/4", "4/4", "3/4", "3/4", "4/4"] == meters
    assert Meter(4, 4) == chart.meter
    assert [0, 4, 8, 11, 14] == [
        bar.start for bar in timeline_of("| C | D |\nmeter: 3/4\n| E | F |\nmeter: 2/2\n| G |").bars
    ]


def test_meter_below_a_section_name_is_a_change() -> None:
    """A meter line behind `[A]` leaves the header's meter alone."""
    chart = read_chart("meter: 4/4\n[A]\nmeter: 5/4\n| C |")
    assert ("4/4", "5/4") == (str(chart.meter), str(chart.sections[0].bars[0].meter))


def test_meter_without_bars_behind_it_is_a_fault() -> None:
    """A meter that governs nothing is no silent line."""
    assert [(2, 1)] == places_of("| C |\nmeter: 3/4\n")


def test_quarters_follow_the_meter_unit() -> None:
    """A bar of 6/8 lasts three quarters, one of 2/2 four."""
    assert [3] == [bar.quarters for bar in timeline_of("meter: 6/8\n| C |").bars]
    assert [4] == [bar.quarters for bar in timeline_of("meter: 2/2\n| C |").bars]


def test_pickup_is_bar_zero() -> None:
    """The first bar has the pickup's beats, and the next one is bar 1."""
    timeline = timeline_of("pickup: 2\n| G7 Db7 | C | F |")
    assert [(0, 2), (1, 4), (2, 4)] == [(bar.number, bar.quarters) for bar in timeline.bars]
    assert [0, 0, 1, 2] == [span.bar for span in timeline.spans]
    assert [0, 1, 2, 6] == [span.start for span in timeline.spans]
    assert [0, 1, 2] == [bar.written_bar for bar in timeline.bars]


def test_pickup_slots_are_counted_against_its_own_beats() -> None:
    """Three tokens fill a pickup of three beats, not one of two."""
    assert 3 == len(read_chart("pickup: 3\n| C D E | F |").sections[0].bars[0].chords)
    assert "pickup of 2 beats" in the_fault_of("pickup: 2\n| C D E | F |").found


@pytest.mark.parametrize("text", ["| C | | D |", "| C ||  | D |", "| |", "||  |", "| C :| |: D :|", "|: | C :|"])
def test_empty_bar_is_a_fault(text: str) -> None:
    """Two barlines in a line with nothing between them want `%` or `N.C.`."""
    fault = faults_of(text)[0]
    assert "nothing between" in fault.found
    assert "`N.C.`" in fault.expected


@pytest.mark.parametrize("text", ["| {Bb} | C |", "| segno | C |", "| [1.] | C |", "| C | fine |"])
def test_bar_of_signs_alone_is_a_fault(text: str) -> None:
    """A bar needs something that sounds or is silent."""
    assert any(
        "neither chord nor hold" in fault.found or "before the chords" in fault.found for fault in faults_of(text)
    )


@pytest.mark.parametrize(
    ("text", "place"),
    [("C | D |", (1, 1)), ("| C | D", (1, 8)), ("| C |\n D | E |", (2, 2)), ("| C |\n| D | E  # |", (2, 8))],
)
def test_line_of_bars_begins_and_ends_with_a_barline(text: str, place: tuple[int, int]) -> None:
    """A missing barline is a fault where it should stand."""
    fault = the_fault_of(text)
    assert place == (fault.line, fault.column)
    assert "barline" in fault.expected


def test_barlines_of_two_lines_are_one() -> None:
    """The barline that ends a line and the one that begins the next say together what the bar's end is."""
    bars = read_chart("| C |\n|| D |\n|: E |\n| F :|\n| G |\n|] A |").sections[0].bars
    assert [True, False, False, False, False, False] == [bar.double_barline for bar in bars]
    assert [False, False, True, False, False, False] == [bar.repeat_start for bar in bars]
    assert [0, 0, 0, 2, 0, 0] == [bar.repeat_end for bar in bars]
    assert [False, False, False, False, True, False] == [bar.final_barline for bar in bars]


def test_repeat_sign_may_stand_on_either_side_of_a_line_break() -> None:
    """`:|` may end a line or begin the next, and `:|:` is both signs."""
    assert read_chart("| C |\n| D :|\n| E |") == read_chart("| C |\n| D |\n:| E |")
    assert read_chart("|: C :|\n|: D :|") == read_chart("|: C :|: D :|")
    assert 3 == read_chart("|: C :| x3\n:| D |").sections[0].bars[0].repeat_end


def test_two_counts_at_one_barline_are_a_fault() -> None:
    """The line's end says three times, the next line's start four."""
    assert [(2, 1)] == places_of("|: C :| x3\n:| x4 D |")


def test_chord_keeps_its_spelling_and_place() -> None:
    """The player's own spelling, the line and the column are kept beside the symbol."""
    chord = read_chart("\n| A-7 D7 |").sections[0].bars[0].chords[0]
    assert ("A-7", "Am7", 2, 3) == (chord.text, chord.symbol and chord.symbol.text, chord.line, chord.column)
    assert ["A-7", "A-7", "N.C."] == [span.written for span in timeline_of("| A-7 | / | N.C. |").spans]


@pytest.mark.parametrize(
    ("bar", "column"), [("Hm7", 3), ("C7 X", 6), ("Cmaj77", 8), ("C/H", 5), ("D7/Gm7", 7), ("c7", 3)]
)
def test_bad_chord_is_a_fault_in_its_column(bar: str, column: int) -> None:
    """The column points into the chord, at what can't be read."""
    fault = the_fault_of(f"| {bar} |")
    assert (1, column) == (fault.line, fault.column)


def test_long_word_is_no_chord() -> None:
    """A word of thousands of letters is refused and shown short."""
    fault = the_fault_of(f"| C{'b' * 100_000} |")
    assert len(fault.told("x")) < 200
