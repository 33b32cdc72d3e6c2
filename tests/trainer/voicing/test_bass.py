"""Bass lines: what stands on which beat."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from synth.score import Note
from tests.trainer.voicing.passages import any_symbols, plain_symbols
from tests.trainer.voicing.tunes import bars
from trainer.harmony.quality import semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.aims import aims_of
from trainer.voicing.bass import WALKING_REGISTER
from trainer.voicing.leading import muddy
from trainer.voicing.performance import Performance, PlayedChord, perform_chart
from trainer.voicing.scales import scale_of

E1, G3 = 28, 55
"""The lowest string of a double bass, and a tenth above its highest open one."""


def walked(line: str, **kw: str) -> Performance:
    """A chart with a walking bass."""
    return perform_chart(bars(line, **kw), count_in=False, bass_feel="walking")


def numbers(performance: Performance) -> list[int]:
    """The bass line as MIDI numbers."""
    return [note.midi for note in performance.score.notes if note.part == "bass"]


def under(performance: Performance, chord: PlayedChord) -> list[Note]:
    """The bass notes of one chord."""
    notes = (note for note in performance.score.notes if note.part == "bass")
    return [note for note in notes if chord.from_s - 1e-9 <= note.onset_s < chord.until_s - 1e-9]


@pytest.mark.parametrize("meter", ["4/4", "3/4", "5/4", "6/8", "2/4"])
@given(symbols=st.lists(st.one_of(plain_symbols, any_symbols), min_size=2, max_size=8), halves=st.booleans())
@settings(max_examples=40)
def test_every_note_is_a_tone_of_the_chord_or_its_scale_or_leads_on(
    meter: str, symbols: list[ChordSymbol], halves: bool
) -> None:
    """The bass first, then chord and scale tones; a last note may come from elsewhere a step or a fifth above."""
    two_a_bar = halves and meter in ("4/4", "2/4") and len(symbols) % 2 == 0
    texts = [symbol.text for symbol in symbols]
    cells = [" ".join(pair) for pair in zip(texts[::2], texts[1::2], strict=True)] if two_a_bar else texts
    played = walked("| " + " | ".join(cells) + " |", meter=meter)
    aims = aims_of([chord.symbol for chord in played.chords])
    line = numbers(played)
    assert all(E1 <= midi <= G3 for midi in line)
    at = 0
    for place, (chord, aim) in enumerate(zip(played.chords, aims, strict=True)):
        here = [note.midi for note in under(played, chord)]
        symbol = chord.symbol
        assert here[0] % 12 == symbol.bass_name.pitch_class
        assert chord.voicing is not None
        assert chord.voicing.bass is not None
        assert here[0] == chord.voicing.bass.midi
        own = {semitones_of(tone) % 12 for tone in (*symbol.quality.tones, *scale_of(symbol.quality, aim))}
        own |= {(symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12}
        for index, midi in enumerate(here):
            assert not any(midi >= key.midi or muddy(midi, key.midi) for key in chord.voicing.keys)
            if (midi - symbol.root.pitch_class) % 12 not in own:
                assert index == len(here) - 1
                goal = played.chords[place + 1].symbol.bass_name.pitch_class
                assert (midi - goal) % 12 in (1, 2, 7, 10, 11)
        at += len(here)
    assert len(line) == at


@pytest.mark.parametrize(("line", "beats"), [("| Dm7 | G7 | Cmaj7 | A7 |", 4), ("| Dm7 G7 | Cmaj7 A7 | Dm7 G7 |", 2)])
def test_a_root_that_changes_is_led_into(line: str, beats: int) -> None:
    """The last note before another root is a half or whole step from it, or its fifth above."""
    played = walked(line)
    found = numbers(played)
    firsts = found[::beats]
    for before, after in zip(found[beats - 1 :: beats], firsts[1:], strict=False):
        assert abs(before - after) in (1, 2, 5, 7)
    assert len(firsts) * beats == len(found)


def test_a_line_of_a_common_progression() -> None:
    """II-V-I in C: up or down the scale into each root, steps far oftener than leaps (common practice, no source)."""
    found = numbers(walked("| Dm7 | G7 | Cmaj7 | Cmaj7 | Dm7 | G7 | Cmaj7 | A7 |"))
    gaps = [abs(after - before) for before, after in pairwise(found)]
    assert 32 == len(found)
    assert sum(gap in (1, 2) for gap in gaps) >= 0.6 * len(gaps)
    assert max(gaps) <= 12
    assert 0 not in gaps


def test_three_beats_walk_too() -> None:
    """In 3/4 each bar has root, a tone on the way, and a note that leads on."""
    found = numbers(walked("| Gmaj7 | E7 | Am7 | D7 |", meter="3/4"))
    assert [7, 4, 9, 2] == [midi % 12 for midi in found[::3]]
    for before, after in zip(found[2::3], found[3::3], strict=False):
        assert abs(before - after) in (1, 2, 5, 7)


def test_a_written_bass_comes_first() -> None:
    """C/E begins on E and Dm7/C on C; a descending bass is led by step."""
    found = numbers(walked("| C/E | Dm7 | Dm7/C | Bm7b5 |"))
    assert [4, 2, 0, 11] == [midi % 12 for midi in found[::4]]


@pytest.mark.parametrize("line", ["| Dm7/G | G7 | Dm7/G | G7 |", "| F/G | C/G | F/G | G7 |", "| Db/C | Db/C |"])
def test_a_pedal_stays(line: str) -> None:
    """A bass that neighbours share or that is foreign to its chord is held through, on one note."""
    assert 1 == len(set(numbers(walked(line))))


def test_silence_is_a_rest() -> None:
    """Nothing sounds in a bar of N.C., and the line begins anew after it."""
    played = walked("| Dm7 | N.C. | G7 |")
    onsets = [note.onset_s for note in played.score.notes if note.part == "bass"]
    assert [0.0, 0.5, 1.0, 1.5, 4.0, 4.5, 5.0, 5.5] == onsets


def test_the_same_tune_is_walked_the_same() -> None:
    """Nothing in a line is left to chance."""
    line = "| Dm7 G7 | Em7 A7 | Dm7 | G7 |"
    assert walked(line) == walked(line)


def test_the_register_is_a_double_basss() -> None:
    """From its lowest string to no more than G3 (common practice, no source)."""
    assert E1 == WALKING_REGISTER.low
    assert WALKING_REGISTER.high <= G3


def test_the_bossa_has_root_and_fifth_in_dotted_pairs() -> None:
    """Root, fifth an eighth ahead of 3, fifth on 3, root an eighth ahead of 1 (common practice, no source)."""
    played = perform_chart(bars("| C6 | F6 |"), count_in=False, bass_feel="bossa", comping="bossa")
    notes = [note for note in played.score.notes if note.part == "bass"]
    assert [0.0, 0.75, 1.0, 1.75, 2.0, 2.75, 3.0, 3.75] == [note.onset_s for note in notes]
    assert [0, 7, 7, 0, 5, 0, 0, 5] == [note.midi % 12 for note in notes]


def test_fifths_go_the_short_way_round() -> None:
    """The fifth of each root lies where the line leaps least, a chord's altered fifth among them."""
    played = perform_chart(bars("| C6 | Bm7b5 |"), count_in=False, bass_feel="halves")
    found = numbers(played)
    assert [0, 7, 11, 5] == [midi % 12 for midi in found]
    assert all(abs(after - before) <= 8 for before, after in pairwise(found))
