"""Header lines: what is read from them, what is refused, what is kept and remarked on."""

from fractions import Fraction

import pytest

from tests.trainer.charts.asked import places_of, the_fault_of, timeline_of
from trainer.charts.chart import Meter
from trainer.charts.header import feel_text, number_text, parse_feel
from trainer.charts.reader import read_chart
from trainer.harmony.key import parse_key


def test_every_known_name_is_read() -> None:
    """Each header name lands in its own field."""
    chart = read_chart(
        "title: Low Tide Ledger\ncomposer: Ada Quill\nkey: F# minor\nmeter: 3/4\ntempo: 92.5\nfeel: 3:2\n"
        "form: A\npickup: 1\ntrains: waltzes\nsource: written here\n[A]\n| C#7 | F#m |"
    )
    assert "Low Tide Ledger" == chart.title
    assert "Ada Quill" == chart.composer
    assert parse_key("F# minor") == chart.key
    assert Meter(3, 4) == chart.meter
    assert Fraction(185, 2) == chart.tempo
    assert Fraction(3, 2) == chart.swing
    assert ("A",) == chart.form
    assert 1 == chart.pickup
    assert "waltzes" == chart.trains
    assert "written here" == chart.source
    assert () == chart.remarks


def test_header_may_say_nothing() -> None:
    """Without a header the meter is 4/4 and the rest is not said."""
    chart = read_chart("| C |")
    assert ("", Meter(4, 4), None, None, None, ()) == (
        chart.title, chart.meter, chart.key, chart.tempo, chart.swing, chart.form,
    )  # fmt: skip


def test_what_is_not_said_has_a_plain_value_when_played() -> None:
    """Tempo 120, straight, and the timeline knows that nobody asked for it."""
    timeline = timeline_of("| C |")
    assert (120, False, 1) == (timeline.tempo, timeline.tempo_given, timeline.swing)
    timeline = timeline_of("tempo: 120\nfeel: swing\n| C |")
    assert (120, True, 2) == (timeline.tempo, timeline.tempo_given, timeline.swing)


def test_names_may_have_capitals() -> None:
    """`Title:` is `title:`."""
    assert "Weir" == read_chart("Title : Weir\n| C |").title


def test_no_signature_is_no_key() -> None:
    """`key: none` says that nothing is printed."""
    assert read_chart("key: none\n| C |").key is None
    assert read_chart("key: None # at all\n| C |").key is None


@pytest.mark.parametrize(
    ("value", "swing"),
    [("straight", 1), ("Swing", 2), ("2:1", 2), ("3:2", Fraction(3, 2)), ("1.5", Fraction(3, 2)), ("1", 1)],
)
def test_feel_is_a_word_or_a_ratio(value: str, swing: Fraction) -> None:
    """Swing is 2:1, the triplet feel (common practice, no source)."""
    assert swing == parse_feel(value)


def test_feel_and_numbers_write_back() -> None:
    """What the writer makes of a feel or a number reads back as the same."""
    for swing in (Fraction(1), Fraction(2), Fraction(3, 2), Fraction(8, 5)):
        assert swing == parse_feel(feel_text(swing))
    assert ["132", "92.5", "0.25", "1/3", "61.05"] == [
        number_text(Fraction(text)) for text in ("132", "92.5", "0.25", "1/3", "61.05")
    ]


@pytest.mark.parametrize(
    ("line", "column"),
    [
        ("key: H", 6), ("key: Bb lydian", 9), ("key:", 5), ("key: C major minor", 8),
        ("meter: 4", 8), ("meter: 4/5", 8), ("meter: 0/4", 8), ("meter: 33/4", 8), ("meter: C", 8),
        ("meter:", 7), ("tempo:", 7),
        ("tempo: fast", 8), ("tempo: 0", 8), ("tempo: -3", 8), ("tempo: 9", 8), ("tempo: 601", 8),
        ("tempo: 120 bpm", 8), ("tempo: 1/0", 8), ("tempo: nan", 8), ("tempo: ٣٠", 8),
        ("feel: latin", 7), ("feel: 0:1", 7), ("feel: 1:2", 7), ("feel: 5:1", 7), ("feel: 2:0", 7),
        ("pickup: 4", 9), ("pickup: 0", 9), ("pickup: some", 9), ("pickup: 5", 9),
        ("form:", 6), ("form: B", 7), ("   key:   H", 11),
        ("tempo: " + "9" * 500, 8), ("key: " + "b" * 500, 6),
    ],
)  # fmt: skip
def test_bad_value_is_a_fault_at_its_place(line: str, column: int) -> None:
    """A value that can't be read is one fault, where it begins or where it goes wrong."""
    fault = the_fault_of(f"{line}\n[A]\n| C |")
    assert (1, column) == (fault.line, fault.column)
    assert fault.found
    assert fault.expected


def test_name_twice_is_a_fault() -> None:
    """A known name stands once."""
    assert [(2, 1)] == places_of("tempo: 100\nTempo: 120\n| C |")


def test_unknown_name_is_kept_and_remarked_on() -> None:
    """Names of other programs survive, in order and twice if need be; a near miss is pointed out."""
    chart = read_chart("mood: at dusk\ntmepo: 100\nmood: again\n| C |")
    assert (("mood", "at dusk"), ("tmepo", "100"), ("mood", "again")) == chart.extra
    assert [1, 2, 3] == [remark.line for remark in chart.remarks]
    assert "did you mean `tempo:`?" in chart.remarks[1].told("x")
    assert "did you mean" not in chart.remarks[0].told("x")
    assert chart.tempo is None


@pytest.mark.parametrize("line", ["title: Late", "tempo: 90", "mood: calm"])
def test_header_behind_bars_is_a_fault(line: str) -> None:
    """Only `meter:` may stand between bars."""
    fault = the_fault_of(f"| C |\n{line}\n| D |")
    assert (2, 1) == (fault.line, fault.column)
    assert "before the first bar" in fault.expected


def test_bad_meter_brings_no_faults_of_counting() -> None:
    """Where the meter can't be read, the bars' slots aren't judged by another one."""
    assert [(1, 8)] == places_of("meter: 7/9\n| C D E |\n| C D E F G |")
    assert [(1, 9)] == places_of("pickup: x\n| C D E |\n| C |")


def test_place_of_a_value_is_known() -> None:
    """The chart remembers where each header value stands."""
    assert (2, 6) == read_chart("title: Weir\nkey: F\n| C |").place_of("key")
    assert (0, 0) == read_chart("| C |").place_of("key")
