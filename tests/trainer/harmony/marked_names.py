"""Names that show where they stand: every note, key and chord is written between brackets while they are on.

So any text of ours can be told in other names by what it was made from, which is what `named` has to come to.
"""

import re
from collections.abc import Collection

import pytest

from trainer.harmony.key import Key, parse_key
from trainer.harmony.note_names import Naming, chord_told, key_told, note_told
from trainer.harmony.pitch import NoteName, accidental_text, parse_note_name
from trainer.harmony.symbol import ChordSymbol

_MARK = re.compile(r"⟨(?P<what>[nkc]):(?P<text>[^⟩]*)⟩")


def _note(name: NoteName) -> str:
    return name.letter + accidental_text(name.alteration)


def _chord(symbol: ChordSymbol) -> str:
    bass = "" if symbol.bass is None else f"/{_note(symbol.bass)}"
    return f"{_note(symbol.root)}{symbol.quality.spelling}{bass}"


def mark_names(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the brackets on."""
    monkeypatch.setattr(NoteName, "__str__", lambda name: f"⟨n:{_note(name)}⟩")
    monkeypatch.setattr(Key, "name", property(lambda key: f"⟨k:{_note(key.tonic)} {key.mode}⟩"))
    monkeypatch.setattr(ChordSymbol, "text", property(lambda symbol: f"⟨c:{_chord(symbol)}⟩"))


def plain(marked: str) -> str:
    """The text without brackets."""
    return _MARK.sub(lambda found: found["text"], marked)


def told(marked: str, naming: Naming, chords: Collection[str]) -> str:
    """The text in other names, by its brackets; a note that is a chord's symbol there is told as one."""

    def name(found: re.Match[str]) -> str:
        text = found["text"]
        if found["what"] == "k":
            return key_told(parse_key(text), naming)
        if found["what"] == "c" and (text in chords or len(text) > 2):
            return chord_told(text, naming)
        return chord_told(text, naming) if text in chords else note_told(parse_note_name(text), naming)

    return _MARK.sub(name, marked)
