"""The glossary: every word that is used has its entry, can be found by its names, and spells its chords right."""

import re

import music21
import pytest

from trainer.drills.rungs import ALL_KEYS
from trainer.errors import KeyfarerError
from trainer.harmony.cadence import CADENCES
from trainer.harmony.function import FUNCTIONS
from trainer.harmony.glossary import TERM, TERMS, TermError, find_term, matching, stated
from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.memory.unit import Status
from trainer.settings import BASS_FEELS, COMPINGS, PLAYED_STYLES, TIME_KEEPERS

SAID = (
    *(row.id for row in CADENCES),
    *(function for function in FUNCTIONS if function != "none"),
    *PLAYED_STYLES, *COMPINGS, *BASS_FEELS, *TIME_KEEPERS,
    Status.RESTING.value, Status.KNOWN.value,
    "key center", "cadence", "two-five-one", "ii–V–I", "applied dominant", "substitute", "tritone substitute",
    "turnaround", "interruption", "guide tones", "shell", "drop 2", "comping", "walking bass", "rung", "chance",
    "rests", "route", "move", "pin", "share", "rival", "slip", "close call", "parallel key", "relative key",
    "half-diminished", "leading tone", "degree", "numeral", "home", "chorus", "section", "swing", "type",
)  # fmt: skip
"""Words that texts, options and settings of ours use."""


@pytest.mark.parametrize("word", SAID)
def test_every_word_that_is_used_has_an_entry(word: str) -> None:
    """Cadence types, functions, styles, patterns and the trade's words of our texts are all explained."""
    assert find_term(word).says


def test_the_table_is_whole() -> None:
    """Ids are unique, what is near a word is a word, and each says one sentence or more, and at most three."""
    assert len(TERMS) == len(TERM)
    for term in TERMS:
        assert set(term.near) <= set(TERM) - {term.id}, term.id
        assert 1 <= len(re.findall(r"[.!?](?=\s|$)", term.says)) <= 3, term.id
        assert term.example is not None or term.group in ("practice", "playing"), term.id
        assert (term.example is None) == (term.found == ""), term.id


def test_a_word_is_found_by_every_name() -> None:
    """Case, spaces and dashes say nothing, and each name leads to a word that bears it."""
    for term in TERMS:
        assert term == find_term(term.id)
        for name in (term.name, *term.also):
            found = find_term(name.upper())
            assert name in (found.id, found.name, *found.also) or found.id == term.id
    assert TERM["guide-tones"] == find_term("Guide  Tones")
    assert TERM["two-five-one"] == find_term("ii-v-i")


def test_an_unknown_word_is_told_near_ones() -> None:
    """What isn't in the table is refused, with words that are spelled nearly so."""
    with pytest.raises(TermError, match="near it: backdoor"):
        find_term("bakdor")
    with pytest.raises(KeyfarerError, match="keyfarer words"):
        find_term("zzzzz")


def test_typing_narrows_the_list() -> None:
    """All words for nothing typed, then those with a name that holds it, those that begin so first."""
    assert TERMS == matching("")
    some = matching("trit")
    assert {"tritone", "tritone-substitute", "applied-tritone"} <= {term.id for term in some}
    assert some[0].name.startswith("tritone")
    assert () == matching("qqq")


DEGREE = re.compile(r"(?P<signs>[b#]*)(?P<roman>[iIvV]+)[^/]*(?:/(?P<of>[b#]*[iIvV]+))?")


def music21_root(numeral: str, key: Key) -> int:
    """The pitch class of a numeral's root by music21, counted against the major scale of the key's tonic."""
    found = DEGREE.match(numeral)
    assert found is not None
    scale = music21.key.Key(str(key.tonic).replace("b", "-"), "major")
    figure = found["signs"] + found["roman"]
    if found["of"]:
        goal = music21.roman.RomanNumeral(found["of"].upper(), scale).root()
        scale = music21.key.Key(goal, "major")
    return int(music21.roman.RomanNumeral(figure.upper().replace("B", "b"), scale).root().pitchClass)


@pytest.mark.parametrize("tonic", ALL_KEYS)
def test_music21_agrees_with_the_roots_of_all_examples(tonic: int) -> None:
    """In each key every chord of every example has the root that music21's roman numerals give."""
    for term in TERMS:
        if term.example is None:
            continue
        for chord in stated(term.example, simplest_key(tonic, term.example.mode)):
            expected = music21_root(chord.numeral, chord.key)
            assert expected == chord.symbol.root.pitch_class, (term.id, chord.numeral, chord.key.name)


def test_an_example_keeps_its_mode() -> None:
    """A key that is asked for gives the tonic; whether it is major or minor the example says."""
    example = TERM["minor-two-five-one"].example
    assert example is not None
    assert parse_key("Bb minor") == stated(example, parse_key("Bb"))[-1].key
