"""Note names of other tongues: told as music21 has them, read back, and nothing is guessed."""

import music21
import pytest

from trainer.drills.rungs import ALL_KEYS
from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.harmony.note_names import NAMINGS, Naming, chord_told, english, key_told, named, note_told
from trainer.harmony.pitch import LETTERS, NoteName, NoteNameError
from trainer.harmony.symbol import parse_chord

NAMES = [NoteName(letter, step) for letter in LETTERS for step in range(-2, 3)]


@pytest.mark.parametrize("name", NAMES, ids=str)
def test_notes_are_named_as_music21_names_them(name: NoteName) -> None:
    """German names are music21's; of its Italian, Spanish and French ones the syllable is ours, accents aside."""
    pitch = music21.pitch.Pitch(str(name).replace("b", "-"))
    assert pitch.german == note_told(name, "german")
    syllable = note_told(name, "solfege").rstrip("b#").lower()
    for theirs in (pitch.italian, pitch.spanish, pitch.french):
        assert theirs.split()[0].replace("é", "e") == syllable


@pytest.mark.parametrize("naming", NAMINGS)
@pytest.mark.parametrize("name", NAMES, ids=str)
def test_a_note_is_read_back(name: NoteName, naming: Naming) -> None:
    """What is told is read as the same note, in large and small letters."""
    told = note_told(name, naming)
    assert str(name) == english(told, naming)
    if naming != "english":
        assert str(name).lower() == english(told.lower(), naming).lower()


@pytest.mark.parametrize("naming", NAMINGS)
@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("tonic", ALL_KEYS)
def test_a_key_is_read_back(tonic: int, mode: str, naming: Naming) -> None:
    """A key's name, typed as it is told, is that key."""
    key = simplest_key(tonic, "minor" if mode == "minor" else "major")
    assert key == parse_key(english(key_told(key, naming), naming))


@pytest.mark.parametrize(
    "text", ["Bbm7/F", "B7", "Ebmaj7", "F#m7b5/B", "C6/9", "Abdim7", "G7(b9,#11)", "Am", "Bb", "B"]
)
@pytest.mark.parametrize("naming", ["german", "solfege"])
def test_a_chord_is_read_back(text: str, naming: Naming) -> None:
    """A chord's symbol is the same chord when its parts are read."""
    told, _, bass = chord_told(text, naming).partition("/")
    ours, theirs = parse_chord(text), english(told, naming)
    if bass and not bass[0].isdigit():
        theirs += f"/{english(bass, naming)}"
    elif bass:
        theirs += f"/{bass}"
    assert ours == parse_chord(theirs)


@pytest.mark.parametrize(
    ("text", "german", "solfege"),
    [
        ("Bb7 B7 Ebm7/Bb", "B7 H7 Ebm7/B", "Sib7 Si7 Mib-7/Sib"),
        ("Here Bb minor takes over from B major.", "Here b-Moll takes over from H-Dur.",
         "Here Sib minor takes over from Si major."),
        ("It falls to Eb (4).", "It falls to Es (4).", "It falls to Mib (4)."),
        ("A falls a fifth to D.", "A falls a fifth to D.", "La falls a fifth to Re."),
        ("A dominant a half step above.", "A dominant a half step above.", "A dominant a half step above."),
        ("A minor blues in B", "A minor blues in H", "A minor blues in Si"),
        ("A minor, then home.", "a-Moll, then home.", "La minor, then home."),
        ("Both: Dm7 G7 is ii7 V7, bVII too.", "Both: Dm7 G7 is ii7 V7, bVII too.",
         "Both: Re-7 Sol7 is ii7 V7, bVII too."),
        ("by name: `F major`", "by name: `F-Dur`", "by name: `Fa major`"),
    ],
)  # fmt: skip
def test_sentences_are_named(text: str, german: str, solfege: str) -> None:
    """Notes, keys and chords of a sentence are renamed, an article isn't."""
    assert (text, german, solfege) == (named(text, "english"), named(text, "german"), named(text, "solfege"))


def test_a_triad_is_told_from_a_note() -> None:
    """A bare name that is a chord there keeps its sign in German, as chord symbols do."""
    assert "Es" == named("Eb", "german")
    assert "Eb" == named("Eb", "german", ("Eb",))


@pytest.mark.parametrize(
    ("naming", "typed", "expected"),
    [
        ("german", "H", "B"), ("german", "B", "Bb"), ("german", "C Es am H", "C Eb am B"),
        ("german", "fis moll", "f# minor"), ("german", "b3 6m 1", "b3 6m 1"), ("german", "b 2", "b 2"),
        ("german", "B7 1", "B7 1"), ("german", "bVII V", "bVII V"), ("german", "backdoor", "backdoor"),
        ("german", "yes 3 up a half step", "yes 3 up a half step"), ("german", "H#", "B#"),
        ("solfege", "sib", "Bb"), ("solfege", "do mib lam", "C Eb Am"), ("solfege", "fa# minor", "F# minor"),
        ("solfege", "minor 2 5 1", "minor 2 5 1"), ("solfege", "b3 6m", "b3 6m"), ("solfege", "deceptive six",
                                                                                  "deceptive six"),
        ("english", "H", "H"),
    ],
)  # fmt: skip
def test_what_is_typed_is_read_in_its_names(naming: Naming, typed: str, expected: str) -> None:
    """Names are put into English, degrees and words stay."""
    assert expected == english(typed, naming)


@pytest.mark.parametrize("typed", ["B#", "b#", "Bbb"])
def test_what_says_two_things_is_refused(typed: str) -> None:
    """A German B with a sharp or two flats is no note that anybody is sure of."""
    with pytest.raises(NoteNameError, match="H for B natural"):
        english(typed, "german")


def test_minor_keys_stand_small_in_german() -> None:
    """Keys are written as the language has them: es-Moll, Es-Dur (Duden, from memory)."""
    assert ("es-Moll", "Es-Dur", "h-Moll") == (
        key_told(parse_key("Eb minor"), "german"), key_told(Key(NoteName("E", -1), "major"), "german"),
        key_told(parse_key("B minor"), "german"),
    )  # fmt: skip
