"""Note names as players of other tongues say them: told at the border, read back there, never in data.

english is C D E F G A B with b and #. german says H for B natural and B for B flat, and -is and -es for the rest
(Cis, Es, As); keys are Es-Dur and es-Moll; a chord symbol keeps # and b but for its B and H, so that B7 is the chord
on B flat and F#m7 stays (common practice, no source). solfege is the fixed do of the Romance tongues, do re mi fa sol
la si, with b and #; a key's mode stays English, since these tongues have words of their own, and a minor chord is
written with a dash, for Dom7 would be read as a dominant seventh (common practice, no source).

Charts, files and data are written in English names always.
"""

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Literal, cast

from trainer.harmony.key import Key, Mode
from trainer.harmony.pitch import (
    FURTHEST_ALTERATION,
    LETTERS,
    NoteName,
    NoteNameError,
    accidental_text,
    read_letter_and_signs,
)
from trainer.harmony.suffix import ChordError, parse_quality
from trainer.harmony.symbol import parse_chord

Naming = Literal["english", "german", "solfege"]

NAMINGS: Mapping[Naming, str] = MappingProxyType(
    {"english": "C D E F G A B, Bb", "german": "C D E F G A H, B", "solfege": "do re mi fa sol la si, sib"}
)
"""Each way with its naturals and its B flat."""

_SOLFEGE = {"C": "Do", "D": "Re", "E": "Mi", "F": "Fa", "G": "Sol", "A": "La", "B": "Si"}
_GERMAN_MODES = {"major": "Dur", "minor": "Moll"}


def _german(name: NoteName) -> str:
    if name.letter == "B" and name.alteration == -1:
        return "B"
    letter = "H" if name.letter == "B" else name.letter
    if name.alteration > 0:
        return letter + "is" * name.alteration
    flats = "es" * -name.alteration
    return letter + (flats[1:] if letter in "AE" else flats)


def note_told(name: NoteName, naming: Naming) -> str:
    """A note's name: `Bb`, `B` or `Sib`."""
    if naming == "german":
        return _german(name)
    if naming == "solfege":
        return _SOLFEGE[name.letter] + accidental_text(name.alteration)
    return str(name)


def key_told(key: Key, naming: Naming) -> str:
    """A key's name: `Bb minor`, `b-Moll` or `Sib minor`."""
    if naming == "german":
        tonic = _german(key.tonic)
        return f"{tonic.lower() if key.mode == 'minor' else tonic}-{_GERMAN_MODES[key.mode]}"
    return key.name if naming == "english" else f"{note_told(key.tonic, naming)} {key.mode}"


def chord_told(text: str, naming: Naming) -> str:
    """A chord symbol as it is written, under another root: `Bbm7/F`, `Bm7/F` or `Sib-7/Fa`. Raises ChordError."""
    if naming == "english":
        return text
    symbol = parse_chord(text)
    read = read_letter_and_signs(text)
    assert read is not None
    root, start = read
    told_bass, suffix = "", text[start:]
    if "/" in suffix and (symbol.bass is not None or not suffix.rpartition("/")[2][:1].isdigit()):
        suffix, _, bass = suffix.rpartition("/")
        told_bass = f"/{_chord_note(read_bass(bass), naming)}"
    if naming == "solfege":
        suffix = re.sub(r"^(?:min|mi|m)(?!a)", "-", suffix)
    return f"{_chord_note(root, naming)}{suffix}{told_bass}"


def read_bass(text: str) -> NoteName:
    """The note after a chord's slash, which was read before."""
    read = read_letter_and_signs(text)
    assert read is not None
    return read[0]


def _chord_note(name: NoteName, naming: Naming) -> str:
    if naming == "solfege":
        return note_told(name, naming)
    if name.letter != "B":
        return str(name)
    return "B" if name.alteration == -1 else f"H{accidental_text(name.alteration)}"


_NOTE = r"[A-G](?:bb|##|b|#)?"
_KEY = re.compile(rf"(?P<tonic>{_NOTE}) (?P<mode>major|minor)(?![\w-])")
_WORD = re.compile(rf"(?<![\w#/.])(?:{_KEY.pattern}|(?P<word>{_NOTE}[^\s]*))")
_ENDS = ",;:.!?\"”'’`"
_AFTER_A = re.compile(
    r" (?:is|falls|slides|rises|steps|stays|goes|stands|leads|passes|prepares|belongs|lasts|takes|wants|points|has"
    r"|comes|breaks|and|or|as|against|to|in|on|toward|by)\b| [A-G0-9(]|[^ \w]|$"
)
"""What stands behind a capital A at a sentence's start where it is a name; elsewhere it is no name there."""
_NOUN = re.compile(r" (?:blues|chord|chords|key|seventh|sixth|third|second|triad|home|four|two|one)\b")
"""Behind `A minor` at a sentence's start these say that it is no key."""
_START = re.compile(r"(?:^|[.!?\n]\s+|[\"“'’`]\s*)$")


def named(text: str, naming: Naming, chords: Collection[str] = ()) -> str:
    """An English sentence of ours with its notes, keys and chords named otherwise.

    chords: symbols that sound where it is told; a bare name among them is a triad, any other one a note.
    """
    if naming == "english":
        return text
    return _WORD.sub(lambda found: _renamed(found, text, naming, chords), text)


def _renamed(found: re.Match[str], text: str, naming: Naming, chords: Collection[str]) -> str:
    behind = text[found.end() :]
    starts = _START.search(text[: found.start()]) is not None
    if found["tonic"] is not None:
        if found["tonic"] == "A" and starts and _NOUN.match(behind):
            return found[0]
        return key_told(Key(read_bass(found["tonic"]), cast(Mode, found["mode"])), naming)
    word = found["word"].rstrip(_ENDS)
    while word.endswith(")") and word.count(")") > word.count("("):
        word = word[:-1].rstrip(_ENDS)
    rest = found["word"][len(word) :]
    if word == "A" and starts and not _AFTER_A.match(rest + behind):
        return found[0]
    read = read_letter_and_signs(word)
    if read is not None and read[1] == len(word) and word not in chords:
        return note_told(read[0], naming) + rest
    try:
        return chord_told(word, naming) + rest
    except ChordError:
        return found[0]


@lru_cache(maxsize=4)
def _names(naming: Naming) -> Mapping[str, NoteName]:
    """Every name in small letters, the longest first."""
    every = [NoteName(letter, step) for letter in LETTERS for step in range(-FURTHEST_ALTERATION, 3)]
    names = {note_told(name, naming).lower(): name for name in every}
    if naming == "german":
        names |= {"bb": NoteName("B", -1), "asas": NoteName("A", -2)}
        names |= {_chord_note(name, naming).lower(): name for name in every if name.letter != "B"}
        names |= {"h#": NoteName("B", 1), "hb": NoteName("B", -1)}
    return dict(sorted(names.items(), key=lambda item: -len(item[0])))


_MAJOR = ("dur", "maj", "major")
_MINOR = ("moll", "min", "minor", "m", "-")
_WORDS = {"dur": "major", "moll": "minor"}
_FLAT = r"[bB](?=\s+(?:[1-7]|[iIvV]+\b|one|two|three|four|five|six|seven))"
_DOUBTFUL = re.compile(r"[bB](#|bb)")
_TYPED = re.compile(rf"(?P<flat>(?<![^\s,;|]){_FLAT})|[^\s,;|→>()]+")


def english(text: str, naming: Naming) -> str:
    """What was typed with the names in it in English; what is no name stays as it is.

    In German a B is B flat, however it stands. A degree such as `b3` is no name. Raises NoteNameError for a German B
    with a sharp or two flats, which would say two things.
    """
    if naming == "english":
        return text

    def read(found: re.Match[str]) -> str:
        return found[0] if found["flat"] else _in_english(found[0], naming)

    return _TYPED.sub(read, text.replace("♭", "b").replace("♯", "#"))


def _in_english(word: str, naming: Naming) -> str:
    core = word.rstrip(".:")
    if naming == "german" and (found := _DOUBTFUL.match(core)) is not None:
        raise NoteNameError(core, 2, repr(found[1]), "H for B natural, B for B flat; so H# or Heses")
    if naming == "german" and core.lower() in _WORDS:
        return _WORDS[core.lower()] + word[len(core) :]
    for name, note in _names(naming).items():
        if core.lower().startswith(name) and (rest := _rest(core[len(name) :], core, naming)) is not None:
            small = naming == "german" and core[0].islower()
            return (str(note).lower() if small else str(note)) + rest + word[len(core) :]
    return word


def _rest(rest: str, word: str, naming: Naming) -> str | None:
    """What stands behind a name, in English; None where it says that the word is no name."""
    if not rest:
        return ""
    mode = rest.lower() if len(rest) == 1 else rest.lower().removeprefix("-")
    if rest == "M" or mode in _MAJOR:
        return "maj"
    if mode in _MINOR:
        return "m"
    german = naming == "german"
    if german and (word[0].islower() or (word[0] == "B" and re.fullmatch(r"[1-7].*|[iIvV]+.*", rest))):
        return None
    if rest.lower().startswith("mi") and not german:  # it may as well be the note
        return None
    try:
        parse_quality(rest, 0, rest)
    except ChordError:
        return None
    return rest
