"""In which order bars are played: repeats, endings, sections, forms and jumps.

The played orders are written by hand. Da capo, dal segno, fine and coda: common practice, no source;
two shapes are also held against music21's own expansion of repeats (music21.repeat.Expander).
"""

import warnings

import pytest

from tests.trainer.charts.asked import faults_of, places_of, played, the_fault_of, timeline_of
from trainer.charts.order import MAX_PLAYED_BARS
from trainer.charts.reader import read_chart


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("| C | D |", [1, 2]),
        ("|: C | D :| E |", [1, 2, 1, 2, 3]),
        ("| C |: D :| E |", [1, 2, 2, 3]),
        ("|: C | D :| x3", [1, 2, 1, 2, 1, 2]),
        ("|: C :| x3 |: D | E :| F |", [1, 1, 1, 2, 3, 2, 3, 4]),
        ("|: C :|: D :| E |", [1, 1, 2, 2, 3]),
        ("| C | D :| E |", [1, 2, 1, 2, 3]),
        ("| C :| x4", [1, 1, 1, 1]),
        ("| C :|\n| D |\n|: E :|", [1, 1, 2, 3, 3]),
        ("[A]\n| C |\n[B]\n| D | E :|", [1, 2, 3, 2, 3]),
    ],
)
def test_repeats_play_their_passage_again(text: str, order: list[int]) -> None:
    """`|: :|` plays twice, a count as often as it says; a lone `:|` goes back to its section's start."""
    assert order == played(text)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("|: C | D | [1.] E :| [2.] F | G |", [1, 2, 3, 1, 2, 4, 5]),
        ("|: C | [1.] D | E :| [2.] F | G |", [1, 2, 3, 1, 4, 5]),
        ("|: C | [1,3.] D :| [2.] E :| [4.] F |", [1, 2, 1, 3, 1, 2, 1, 4]),
        ("|: C | [1,2.] D :| [3.] E |", [1, 2, 1, 2, 1, 3]),
        ("|: C | [1, 2.] D :| x3 [3.] E |", [1, 2, 1, 2, 1, 3]),
        ("| C | [1.] D :| [2.] E |", [1, 2, 1, 3]),
        ("|: [1.] C :| [2.] D |", [1, 2]),
        ("|: C | [1.] D :| [2.] E |: F :| G |", [1, 2, 1, 3, 4, 4, 5]),
        ("|: C | [1.] D :| [2.] E |: F | [1.] G :| [2.] A |", [1, 2, 1, 3, 4, 5, 4, 6]),
        ("|: C | [2.] D :| [1.] E :| [3.] F |", [1, 3, 1, 2, 1, 4]),
        ("|: [2.] C :| [1.] D :| [3.] E |", [2, 1, 3]),
        ("[A]\n|: C | [1.] D :|\n[2.] E |\n[B]\n| F |", [1, 2, 1, 3, 4]),
    ],
)
def test_endings_belong_to_passes(text: str, order: list[int]) -> None:
    """Each pass takes its own ending, and the last ending runs on."""
    assert order == played(text)


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("|: C | D |", [(1, 1)]),
        ("| C |: D |\n| E |", [(1, 5)]),
        ("|: C |\n[B]\n| D :|", [(1, 1)]),
        ("[A]\n|: C |\n[B]\n| D |", [(2, 1)]),
        ("|: C |: D :| E :|", [(1, 6), (1, 16)]),
        ("|: C :| D | E :|", [(1, 15)]),
        ("| C :| D :|", [(1, 10)]),
        ("[A]\n| C |\n[B]\n:| D |", [(4, 1)]),
        (":| C |", [(1, 1)]),
        ("| C |:\n", [(1, 5)]),
        ("[A]\n| C |:\n[B]\n| D |", [(2, 5)]),
        ("| C |:\n|: D |", [(1, 5)]),
    ],
)
def test_repeats_that_do_not_close_are_faults(text: str, places: list[tuple[int, int]]) -> None:
    """Repeats neither nest nor cross sections nor stay open, and a second one needs its own `|:`."""
    assert places == places_of(text)


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        ("|: C | [1.] D :| E |", (1, 15), "pass 2"),
        ("|: C | [1.] D :| [3.] E |", (1, 8), "pass 2"),
        ("|: C | [1.] D :| [2.] E :| F |", (1, 25), "pass 3"),
        ("|: C | [1.] D :| [1.] E |", (1, 18), "pass 1"),
        ("|: C | [1.] D :| [2,3.] E |", (1, 18), "[2,3.]"),
        ("|: C | [1.] D | [2.] E |", (1, 17), "[1.]"),
        ("|: C :| [2.] D |", (1, 9), "[2.]"),
        ("| C | [1.] D | E |", (1, 7), "[1.]"),
        ("|: C | [1.] D :| x3 [2.] E |", (1, 15), "x3"),
        ("|: C :| D | [1.] E :| [2.] F |", (1, 13), "without a repeat"),
    ],
)
def test_endings_cover_every_pass(text: str, place: tuple[int, int], word: str) -> None:
    """A pass without an ending, or with two, and an ending without `:|` are faults that name the pass."""
    fault = faults_of(text)[0]
    assert place == (fault.line, fault.column)
    assert word in fault.found


@pytest.mark.parametrize("ending", ["[1]", "[0.]", "[1,1.]", "[1,.]", "[1-3.]", "[100.]", "[1.2.]", "[1 2.]", "[.]"])
def test_ending_has_its_own_form(ending: str) -> None:
    """An ending is its passes with commas between them and a point behind."""
    assert f"`{ending}`" == faults_of(f"|: C | {ending} D :| [2.] E |")[0].found


def test_ending_stands_first_in_its_bar() -> None:
    """Behind a chord an ending has no bar to begin with, and a bar has one ending."""
    assert (1, 10) in places_of("|: C | D [1.] :| [2.] E |")
    assert (1, 13) in places_of("|: C | [1.] [2.] D :| E |")


# Sections and form


def test_sections_play_as_written() -> None:
    """Without a form the sections follow the text, and a name alone plays its last bars again."""
    timeline = timeline_of("| C |\n[A]\n| D |\n[B]\n| E |\n[A]\n[A]\n| F |\n[B]\n[A]\n")
    assert [1, 2, 3, 2, 4, 3, 4] == [bar.written_bar for bar in timeline.bars]
    assert ("A", "B", "A", "A", "B", "A") == timeline.form
    assert [None, "A", "B", "A", "A", "B", "A"] == [section.name for section in timeline.sections]


def test_sections_hold_their_bars_and_spans() -> None:
    """Each playing of a section knows its first and last bar and span, half open."""
    timeline = timeline_of("pickup: 1\nform: A B A\n[A]\n| G7 | C F | % |\n[B]\n| D |")
    assert [(0, 3, 0, 5), (3, 4, 5, 6), (4, 6, 6, 10)] == [
        (section.first_bar, section.until_bar, section.first_span, section.until_span) for section in timeline.sections
    ]
    assert [0, 0, 0, 1, 2, 2] == [bar.section for bar in timeline.bars]
    assert [0] * 5 + [1] + [2] * 4 == [span.section for span in timeline.spans]


def test_form_names_bodies_in_turn() -> None:
    """The nth naming plays the nth body, and the last body thereafter."""
    text = "form: A A B A A\n[A]\n| C |\n[B]\n| D |\n[A]\n| E |\n"
    assert [1, 3, 2, 3, 3] == played(text)


def test_name_alone_is_a_body_again() -> None:
    """Beside a form a name alone stands for the bars before it under that name."""
    assert [1, 1, 2] == played("form: A A A\n[A]\n| C |\n[A]\n[A]\n| D |\n")


def test_form_takes_commas_and_names_of_several_words() -> None:
    """Names in the form are parted by spaces or commas and may have several words."""
    assert [1, 2, 2, 1] == played("form: Verse 2, Bridge Bridge Verse 2\n[Verse 2]\n| C |\n[Bridge]\n| D |\n")
    bodies = "[A]\n| C |\n[A B]\n| D |\n[B C]\n| E |\n"
    assert [1, 3, 2] == played(f"form: A B C A B\n{bodies}")


def test_form_that_can_be_read_in_two_ways_is_a_fault() -> None:
    """`A B` is one section or two: nothing is guessed."""
    assert "two ways" in faults_of("form: A B\n[A]\n| C |\n[B]\n| D |\n[A B]\n| E |\n")[0].found


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        ("form: A C\n[A]\n| C |", (1, 9), "`C`"),
        ("form: A\n[A]\n| C |\n[B]\n| D |", (4, 1), "`[B]`"),
        ("form: A\n[A]\n| C |\n[A]\n| D |", (4, 1), "number 2"),
        ("form: A\n| C |\n[A]\n| D |", (2, 1), "before the first section"),
        ("form: AA\n[A]\n| C |", (1, 7), "`AA`"),
        ("form: A\n[A]\n| C D.C. |", (3, 5), "`D.C.`"),
        ("form: A\n[A]\n| segno C |", (3, 3), "`segno`"),
        ("form: A\n[A]\n| C fine |", (3, 5), "`fine`"),
    ],
)
def test_form_and_text_must_agree(text: str, place: tuple[int, int], word: str) -> None:
    """Unknown and unplayed sections, bars before the first section, and jumps beside a form are faults."""
    fault = next(fault for fault in faults_of(text) if (fault.line, fault.column) == place)
    assert word in fault.found


def test_form_without_spaces_gets_a_hint() -> None:
    """`AABA` is answered with `A A B A`."""
    assert "`A A B A`" in faults_of("form: AABA\n[A]\n| C |\n[B]\n| D |")[0].expected


def test_form_names_are_told_apart_by_capitals() -> None:
    """`a` is not `A`."""
    assert (1, 7) in places_of("form: a\n[A]\n| C |")


@pytest.mark.parametrize("line", ["[]", "[ ]", "[-]", "[A", "[A,B]", "[A|B]", "[A{B]", "['a]", f"[{'A' * 41}]", "[*]"])
def test_section_name_begins_with_a_letter(line: str) -> None:
    """Other brackets at a line's start are faults there."""
    assert (1, 1) in places_of(f"{line}\n| C |")


def test_section_without_bars_is_a_fault() -> None:
    """A name alone needs bars of that name before it."""
    assert [(1, 1)] == places_of("[A]\n[B]\n| C |")


def test_bars_may_follow_a_section_name() -> None:
    """`[A] | C |` is the same as two lines, columns included."""
    assert read_chart("[A]\n| C | D |") == read_chart("[A] | C | D |")
    assert [(1, 7)] == places_of("[A] | H |")


def test_section_name_within_bars_is_a_fault() -> None:
    """Sections begin on a line of their own."""
    assert "line of its own" in the_fault_of("| C | [B] D |").expected


# Jumps


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("| C | D | E D.C. |", [1, 2, 3, 1, 2, 3]),
        ("| C | D fine | E D.C. al fine |", [1, 2, 3, 1, 2]),
        ("| C | D fine | E D.C. |", [1, 2, 3, 1, 2]),
        ("| C | segno D | E fine | F D.S. al fine |", [1, 2, 3, 4, 2, 3]),
        ("| C | segno D | E | F D.S. |", [1, 2, 3, 4, 2, 3, 4]),
        ("| C | D to coda | E D.C. al coda | coda F | G |", [1, 2, 3, 1, 2, 4, 5]),
        ("| C | segno D | E to coda | F D.S. al coda | coda G | A |", [1, 2, 3, 4, 2, 3, 5, 6]),
        ("| C | segno D to coda | F D.S. al coda | coda G fine | A |", [1, 2, 3, 2, 4]),
        ("| C fine | segno D to coda | F D.S. al coda | coda G |", [1, 2, 3, 2, 4]),
        ("| segno C | D fine | E to coda | F D.S. al coda | coda G |", [1, 2, 3, 4, 1, 2, 3, 5]),
        ("pickup: 1\n| G7 | C | D D.C. |", [0, 1, 2, 1, 2]),
    ],
)
def test_jumps_lead_on(text: str, order: list[int]) -> None:
    """D.C. goes to the start, D.S. to the segno; from there to the end, the fine or the coda."""
    assert order == played(text)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("|: C :| D | E D.C. |", [1, 1, 2, 3, 1, 2, 3]),
        ("|: C | [1.] D :| [2.] E | F D.C. |", [1, 2, 1, 3, 4, 1, 3, 4]),
        ("|: C | [1,3.] D :| [2.] E :| [4.] F | G D.C. |", [1, 2, 1, 3, 1, 2, 1, 4, 5, 1, 4, 5]),
        ("|: segno C | D to coda | [1.] E :| [2.] F D.S. al coda |\n| coda G |", [1, 2, 3, 1, 2, 4, 1, 2, 5]),
        ("| C | D D.C. :|", [1, 2, 1, 2, 1, 2]),
        ("| C :| D to coda | E D.C. al coda | coda F |: G :| x3", [1, 1, 2, 3, 1, 2, 4, 5, 5, 5]),
        ("[A]\n| C |\n[B]\n|: D to coda :| E D.C. al coda |\n[C]\n| coda F |", [1, 2, 2, 3, 1, 2, 4]),
    ],
)
def test_repeats_after_a_jump_play_once(text: str, order: list[int]) -> None:
    """What has been repeated before plays once, with its last ending; a coda's own repeats are new."""
    assert order == played(text)


def test_jump_back_begins_a_new_playing() -> None:
    """The section that D.S. leads into counts as played again from there."""
    timeline = timeline_of("[A]\n| C | segno D |\n[B]\n| E D.S. al coda |\n[A]\n| F to coda |\n[Coda]\n| coda G |")
    # The D.S. is taken from B; after it B is passed once more on the way to the second A.
    assert ("A", "A") == timeline_of("[A]\n| C | D D.C. |").form
    assert ("A", "B", "A", "B", "A", "Coda") == timeline.form
    assert [1, 2, 3, 2, 3, 4, 5] == [bar.written_bar for bar in timeline.bars]


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        ("| C | D D.S. |", (1, 9), "no `segno`"),
        ("| C | D D.C. al fine |", (1, 9), "no `fine`"),
        ("| C | D D.C. al coda |", (1, 9), "no `to coda`"),
        ("| C to coda | D D.C. al coda |", (1, 17), "no `coda`"),
        ("| C to coda | D D.C. | coda E |", (1, 5), "nothing leads to"),
        ("| C fine | D |", (1, 5), "no jump"),
        ("| segno C | segno D | E D.S. |", (1, 13), "second"),
        ("| C fine | D fine | E D.C. |", (1, 14), "second"),
        ("| C | segno D | E to coda | F D.C. al fine | G fine |", (1, 19), "nothing leads"),
        ("| C to coda | segno D | E D.S. al coda | coda F |", (1, 27), "on the way"),
        ("| C fine | segno D | E D.S. al fine |", (1, 24), "on the way"),
        ("|: C | [1.] D D.C. :| [2.] E |", (1, 15), "never reached"),
        ("| C D.C. al |", (1, 5), "D.C. al"),
        ("| C al fine |", (1, 5), "al"),
        ("| C to |", (1, 5), "to"),
        ("| C DC |", (1, 5), "DC"),
        ("| D.C. C |", (1, 3), "before the chords"),
        ("| C segno |", (1, 5), "behind a chord"),
        ("| C | D D.C. D.C. |", (1, 14), "twice"),
        ("| segno C | D D.C. D.S. |", (1, 20), "beside another"),
        ("| C D.C. D |", (1, 10), "behind `D.C.`"),
    ],
)
def test_signs_that_lead_nowhere_are_faults(text: str, place: tuple[int, int], word: str) -> None:
    """A sign without its counterpart, out of place or never met is a fault at its place."""
    fault = next(fault for fault in faults_of(text) if (fault.line, fault.column) == place)
    assert word in fault.found


def test_fine_at_the_very_end_may_stand_alone() -> None:
    """A fine in the last bar says what is so anyway."""
    assert [1, 2] == played("| C | D fine |]")


def test_signs_may_have_capitals() -> None:
    """`D.C. al Fine` is what many print."""
    assert read_chart("| C fine | D D.C. al fine |") == read_chart("| C Fine | D d.c. al Fine |")


def test_what_is_never_played_is_remarked_on() -> None:
    """Bars behind a D.C. al fine, and a segno that nobody leads to, are told without refusing the chart."""
    chart = read_chart("| C fine | segno D D.C. al fine | E |")
    told = [remark.told("x") for remark in chart.remarks]
    assert 2 == len(told)
    assert "segno" in told[0]
    assert "bar 3 is never played" in told[1]


# The pickup and the limit


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("pickup: 1\n| G7 | C | D :|", [0, 1, 2, 1, 2]),
        ("pickup: 1\n|: G7 | C | D :|", [0, 1, 2, 1, 2]),
        ("pickup: 1\nform: A A\n[A]\n| G7 | C |", [0, 1, 1]),
    ],
)
def test_pickup_sounds_once(text: str, order: list[int]) -> None:
    """The pickup opens the tune and is not played again (common practice, no source)."""
    assert order == played(text)


def test_longest_chart_is_played() -> None:
    """As many bars as the limit allows are played out."""
    repeats = "|: C | D | E | F | G | A | B | C :| x512\n"
    assert MAX_PLAYED_BARS == len(played(repeats))
    assert "4096" in the_fault_of(f"{repeats}| C |").found


@pytest.mark.parametrize(
    "text",
    [
        "form: " + "A " * 5000 + "\n[A]\n" + "|: C :| x999\n" * 900,
        "[A]\n| C |\n" + "[A]\n" * 200_000,
        "[A]\n" + "|: C :| x999\n" * 50_000,
        "[A]\n" + "| C | D | E | F |\n" * 2_000,
    ],
    ids=["form", "names alone", "repeats", "bars"],
)
def test_charts_beyond_the_limit_are_refused_before_they_grow(text: str) -> None:
    """However the bars multiply, the answer is one fault and comes soon."""
    fault = the_fault_of(text)
    assert (0, 0) == (fault.line, fault.column)
    assert str(MAX_PLAYED_BARS) in fault.found


def test_jumps_agree_with_music21() -> None:
    """A D.C. al coda with a repeat before it and one in the coda is played as music21 expands it."""
    # Source: music21.repeat.Expander, which renumbers the measures; a pitch stands for each written bar.
    text = "|: C :| D to coda | E | F D.C. al coda |: coda G | A :|"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert expanded_by_music21(6, to_coda=2, jump=4, coda=5, repeats=((1, 1), (5, 6))) == played(text)


def test_fine_agrees_with_music21() -> None:
    """A D.C. al fine without repeats is played as music21 expands it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert expanded_by_music21(4, fine=2, jump=4) == played("| C | D fine | E | F D.C. al fine |")


def expanded_by_music21(
    bars: int,
    *,
    jump: int,
    to_coda: int = 0,
    coda: int = 0,
    fine: int = 0,
    repeats: tuple[tuple[int, int], ...] = (),
) -> list[int]:
    """The written bars in the order that music21 plays them."""
    from music21 import bar, note, repeat, stream

    part = stream.Part()
    for number in range(1, bars + 1):
        measure = stream.Measure(number=number)
        measure.append(note.Note(60 + number, type="whole"))
        if number in (to_coda, coda):
            measure.insert(0, repeat.Coda())
        if number == fine:
            measure.append(repeat.Fine())
        if number == jump:
            measure.append(repeat.DaCapoAlCoda() if coda else repeat.DaCapoAlFine())
        for first, last in repeats:
            if number == first:
                measure.leftBarline = bar.Repeat(direction="start")
            if number == last:
                measure.rightBarline = bar.Repeat(direction="end", times=2)
        part.append(measure)
    return [int(found.pitch.midi) - 60 for found in repeat.Expander(part).process().flatten().notes]
