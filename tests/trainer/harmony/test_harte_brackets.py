"""Bracketed suffixes read as Harte's chord syntax, where brackets only ever add tones.

Source: Harte, Sandler, Abdallah & Gómez, Symbolic Representation of Musical Chords, ISMIR 2005, as
mir_eval reads it, with extended chords folded into the octave.
"""

import mir_eval.chord

from trainer.harmony.quality import SPELLINGS
from trainer.harmony.symbol import parse_chord

READ_OTHERWISE: tuple[tuple[str, str], ...] = (
    ("(#5) (b5)", "an interval without a shorthand stands alone above the root"),
    (
        "7(#5) 7(#5,#11) 7(#5,#9) 7(#5,b9) 7(#5,b9,#9) 7(b5) 7(b5,#5) 7(b5,#9) 7(b5,b13) 7(b5,b9)",
        "the perfect fifth of the seventh chord stays beside the changed one",
    ),
    (
        "9(#5) 9(b5) 13(#5) 13(b5) maj7(#5) maj7(#5,#11) maj7(b5) maj9(#5) maj9(b5)",
        "the perfect fifth stays beside the changed one",
    ),
    (
        "13(#11) 13(#9) 13(#9,#11) 13(b9) 13(b9,#11) maj13(#11)",
        "the natural 9th or 11th of the 13th chord stays beside the changed one",
    ),
)
"""Suffixes that mean something else in Harte's syntax, with the reason."""


def test_brackets_that_add_tones_mean_the_same() -> None:
    """Each bracketed suffix that is Harte syntax sounds alike there, but for exactly those listed."""
    accepted, differing = set(), set()
    for text in SPELLINGS:
        if "(" not in text:
            continue
        try:
            root, steps, _ = mir_eval.chord.encode("C:" + text, reduce_extended_chords=True)
        except mir_eval.chord.InvalidChordException:
            continue
        accepted.add(text)
        heard = {(int(root) + step) % 12 for step, on in enumerate(steps) if on}
        if heard != parse_chord("C" + text).pitch_classes:
            differing.add(text)
    assert 55 <= len(accepted)
    assert {text for texts, _ in READ_OTHERWISE for text in texts.split()} == differing
