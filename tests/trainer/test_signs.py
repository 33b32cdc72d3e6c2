"""Signs and their ASCII twins."""

import ast
import codecs
import io
from pathlib import Path

import pytest
from rich.cells import cell_len

import synth
import trainer
from trainer.screens.widgets.chart_view import CURSOR, PLAYING
from trainer.screens.widgets.journey import SIGNS
from trainer.signs import ENCODING, TWINS, in_ascii

NEVER_SHOWN = {"\ufeff", "�", "\ud7ff", "\ue000", "𐀀", "\U0010ffff", "𝄪", "𝄫", "𝄋", "𝄌", "⊕", "é", "à"}
"""What is read and not shown; letters, and what stands for a letter that is none."""


def written_in_the_source() -> set[str]:
    """All signs beside ASCII in texts of the source, docstrings left out."""
    found: set[str] = set()
    for room in (trainer, synth):
        for path in Path(str(room.__file__)).parent.rglob("*.py"):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
            for node in ast.walk(tree):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
                    found |= set(node.value)
    return {sign for sign in found if not sign.isascii()}


def test_every_sign_of_the_source_has_a_twin() -> None:
    """Whatever screens and commands can write has its place in the table."""
    missing = written_in_the_source() - set(TWINS) - NEVER_SHOWN
    assert set() == missing


def test_a_twin_is_one_ascii_sign_in_one_cell() -> None:
    """Twins are single, printable and as wide as their signs (a space is a space)."""
    for sign, twin in TWINS.items():
        assert twin.isascii(), sign
        assert twin.isprintable(), sign
        assert (1, 1) == (len(twin), cell_len(sign)), sign


def test_what_must_be_told_apart_is_told_apart() -> None:
    """The signs of a session differ, and so do cursor and what sounds, and a heavy and a light rule."""
    assert len(SIGNS) == len({in_ascii(sign) for sign, _ in SIGNS})
    assert in_ascii(CURSOR) != in_ascii(PLAYING)
    assert in_ascii("━") != in_ascii("─")
    assert in_ascii("█") != in_ascii("│")


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("iiø7 vii°7 Bb♭ F♯ CΔ7", "ii07 viio7 Bbb F# CM7"),
        ("Café à l’Étoile", "Cafe a l'Etoile"),
        ("Cafe\u0301", "Cafe"),
        ("夜の橋", "??????"),
        ("Мост", "????"),
        ("a\ud800b", "a?b"),
    ],
)
def test_texts_are_written_with_replacements(written: str, shown: str) -> None:
    """Music, letters with marks, wide letters, other alphabets, half of a pair: a text in ASCII, and never a fault."""
    assert shown == in_ascii(written)
    assert shown.encode("ascii") == codecs.encode(written, ENCODING)


def test_wide_letters_stay_as_wide() -> None:
    """Two cells stay two, so that columns stand."""
    assert 6 == cell_len("夜の橋") == cell_len(in_ascii("夜の橋"))


def test_a_stream_writes_twins() -> None:
    """A text stream with the encoding writes ASCII, whatever its errors are set to."""
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="utf-8", newline="\n")
    stream.reconfigure(encoding=ENCODING)
    stream.write("1 ━━━  ▶\n")
    stream.flush()
    assert b"1 ===  *\n" == raw.getvalue()
