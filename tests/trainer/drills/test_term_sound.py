"""Words that can be heard: each example sounds, and is read back as what it says."""

import pytest

from trainer.drills.rungs import ALL_KEYS
from trainer.drills.term_sound import example_timeline, term_sound
from trainer.harmony.glossary import TERM, TERMS, Term, stated
from trainer.harmony.key import simplest_key
from trainer.reading.analysis import analyze

HEARD = [term for term in TERMS if term.example is not None]
LONGEST_S = 30


@pytest.mark.parametrize("tonic", ALL_KEYS)
def test_every_example_is_read_as_what_it_says(tonic: int) -> None:
    """In each key the analysis finds the type or the function of a word in the word's example."""
    for term in HEARD:
        read = analyze(example_timeline(term, simplest_key(tonic, "major")))
        found = {cadence.type for cadence in read.cadences} | {chord.function for chord in read.chords}
        assert term.found in found, term.id
        assert ("interrupt" in term.id) <= bool(read.interruptions), term.id


@pytest.mark.parametrize("term", HEARD, ids=lambda term: term.id)
def test_every_example_sounds(term: Term) -> None:
    """Each example is performed, chord after chord, after its key, and isn't long."""
    assert term.example is not None
    performed = term_sound(term)
    named = [chord.symbol for chord in performed.chords if chord.role != "confirm"]
    expected = [chord.symbol for chord in stated(term.example)]
    assert [symbol for n, symbol in enumerate(expected) if n == 0 or symbol != expected[n - 1]] == [
        symbol for n, symbol in enumerate(named) if n == 0 or symbol != named[n - 1]
    ]
    assert 0 < performed.score.duration_s < LONGEST_S
    assert any(note.part == "keys" for note in performed.score.notes)


def test_a_word_without_an_example_is_silent() -> None:
    """What nothing sounds of is refused."""
    with pytest.raises(ValueError, match="rung has no example"):
        term_sound(TERM["rung"])
