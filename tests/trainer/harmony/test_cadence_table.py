"""The table of cadence types: its ids, its order, its formulas."""

import pytest

from trainer.harmony.cadence import (
    CADENCE,
    CADENCES,
    CadenceNameError,
    chords_of,
    find_cadence,
    formula_for,
    functions_for,
    interruption_of,
)
from trainer.harmony.function import FUNCTIONS
from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.harmony.numeral import parse_any

IDS = """
major-two-five-one major-five-one major-four-five-one sus-five-one plagal minor-plagal backdoor
tritone-two-five-one tritone-five-one minor-two-to-major-one flat-six-seven-one flat-seven-one
minor-two-five-one minor-five-one minor-four-five-one minor-tritone-five-one descending-tetrachord picardy
half deceptive-six deceptive-flat-six deceptive-three unfinished-two-five dominant-retreats applied-five
applied-two-five applied-tritone extended-dominants one-six-two-five three-six-two-five minor-turnaround
chromatic-turnaround rising-diminished falling-from-sharp-four passing-diminished common-tone-diminished
line-cliche two-five-chain tonic-turns-minor major-third-cycle blues-four blues-last-four
minor-blues-last-four interrupted-after-two interrupted-after-two-and-again interrupted-after-two-five
interrupted-after-two-five-and-again interrupted-after-five
""".split()
"""Every id that is fixed for good: the command, the JSON and the store depend on them."""


def test_the_table_has_every_fixed_id_once() -> None:
    """All fixed ids are there, none twice."""
    assert set(IDS) <= set(CADENCE)
    assert len(CADENCES) == len(CADENCE)


def test_every_row_is_whole() -> None:
    """A row has a name, a sentence, one function a chord, known confusions and known prerequisites."""
    for row in CADENCES:
        assert row.name
        assert row.about.endswith(".")
        assert len(row.formula) == len(row.functions)
        assert set(row.functions) <= set(FUNCTIONS)
        assert set(row.taken_for) | set(row.after) <= set(CADENCE)
        assert row.id not in row.taken_for


def test_prerequisites_have_no_circle() -> None:
    """What comes before a type never leads back to it."""
    done: set[str] = set()
    left = set(CADENCE)
    while left:
        ready = {id for id in left if set(CADENCE[id].after) <= done}
        assert ready, left
        done |= ready
        left -= ready


def test_every_formula_reads_and_writes_back() -> None:
    """Each numeral of each formula and variant reads, and is written as it stands."""
    for row in CADENCES:
        for degree in row.degrees or (None,):
            for variant in (None, *range(len(row.variants))):
                formula = formula_for(row, degree, variant)
                assert list(formula) == [parse_any(text).text for text in formula], row.id
                assert len(formula) == len(functions_for(row, degree, variant)), row.id


@pytest.mark.parametrize(
    ("id", "key", "chords"),
    [
        ("major-two-five-one", "Bb", "Cm7 F7 Bbmaj7"), ("minor-two-five-one", "a", "Bm7b5 E7b9 Am6"),
        ("backdoor", "C", "Fm7 Bb7 Cmaj7"), ("tritone-two-five-one", "F", "Gm7 Gb7 Fmaj7"),
        ("deceptive-six", "G", "Am7 D7 Em7"), ("flat-six-seven-one", "C", "Abmaj7 Bb7 Cmaj7"),
        ("rising-diminished", "C", "Cmaj7 C#dim7 Dm7 G7"), ("chromatic-turnaround", "C", None),
        ("interrupted-after-two", "C", None), ("blues-four", "F", "F7 Bb7 F7"),
    ],
)  # fmt: skip
def test_textbook_cadences_in_their_keys(id: str, key: str, chords: str | None) -> None:
    """Cadences as the books spell them (Levine; Nettles & Graf; from memory)."""
    found = [chord.text for chord in chords_of(find_cadence(id), parse_key(key))]
    if chords is not None:
        assert chords.split() == found
    assert len(found) == len(find_cadence(id).formula)


def test_every_cadence_can_be_played_in_every_key() -> None:
    """All rows, degrees and variants in all keys give chords without absurd accidentals."""
    for row in CADENCES:
        for pitch_class in range(12):
            key: Key = simplest_key(pitch_class, row.mode)
            for degree in row.degrees or (None,):
                for chord in chords_of(row, key, degree):
                    assert abs(chord.root.alteration) <= 1, (row.id, key, chord.text)


def test_interrupted_rows_keep_their_halves_apart() -> None:
    """In the default interruption the foreign chords rest on another tonic and the rest is the awaited key's."""
    for id in IDS[-5:]:
        row = find_cadence(id)
        shape = interruption_of(row)
        chords = chords_of(row, parse_key("C"))
        inside = [chords[n] for n in shape.foreign_indices]
        assert "C" != str(inside[-1].root)
        assert "Cmaj7" == chords[-1].text


def test_an_unknown_type_is_told() -> None:
    """A type that isn't there names those that are."""
    with pytest.raises(CadenceNameError, match="major-two-five-one"):
        find_cadence("nope")
