"""Cadences as chords: toward degrees, in variants, with another key breaking in."""

import pytest

from trainer.harmony.cadence import (
    CADENCES,
    CadenceNameError,
    CadenceType,
    chords_of,
    find_cadence,
    foreign_key,
    formula_for,
    functions_for,
    interruption_of,
)
from trainer.harmony.key import parse_key, simplest_key
from trainer.harmony.numeral import numeral_of, parse_any

INTERRUPTED = [row for row in CADENCES if row.shapes]


def spelled(row: CadenceType, key: str, degree: str | None = None, variant: int | None = None) -> str:
    """The chords of a row in a key, as text."""
    return " ".join(chord.text for chord in chords_of(row, parse_key(key), degree, variant))


@pytest.mark.parametrize(
    ("id", "degree", "chords"),
    [
        ("applied-five", "ii", "A7 Dm7"), ("applied-five", "V", "D7 G7"), ("applied-five", "IV", "C7 Fmaj7"),
        ("applied-five", "iii", "B7 Em7"), ("applied-five", "vi", "E7 Am7"), ("applied-five", "bVI", "Eb7 Abmaj7"),
        ("applied-two-five", "ii", "Em7b5 A7b9 Dm7"), ("applied-two-five", "V", "Am7 D7 G7"),
        ("applied-two-five", "IV", "Gm7 C7 Fmaj7"), ("applied-two-five", "vi", "Bm7b5 E7b9 Am7"),
        ("applied-two-five", "bIII", "Fm7 Bb7 Ebmaj7"), ("applied-tritone", "ii", "Eb7 Dm7"),
        ("applied-tritone", "V", "Ab7 G7"), ("applied-tritone", "bVI", "A7 Abmaj7"),
    ],
)  # fmt: skip
def test_cadences_toward_degrees_in_c(id: str, degree: str, chords: str) -> None:
    """Applied chords in C: half-diminished and b9 before minor degrees, plain before major ones (common practice)."""
    assert chords == spelled(find_cadence(id), "C", degree)


@pytest.mark.parametrize(
    ("id", "key", "chords"),
    [
        ("minor-plagal", "Eb", "Abm6 Ebmaj7"), ("sus-five-one", "C", "G9sus4 Cmaj7"),
        ("descending-tetrachord", "a", "Am G F E7 Am"), ("picardy", "a", "Am Dm7 E7 A"),
        ("deceptive-flat-six", "D", "Em7 A7 Bbmaj7"), ("deceptive-three", "F", "Gm7 C7 Am7"),
        ("extended-dominants", "C", "E7 A7 D7 G7 Cmaj7"), ("minor-turnaround", "c", "Cm Abmaj7 Dm7b5 G7b9"),
        ("chromatic-turnaround", "C", "Cmaj7 Eb7 Ab7 Db7"), ("line-cliche", "c", "Cm CmMaj7 Cm7 Cm6"),
        ("falling-from-sharp-four", "C", "F#m7b5 Fm6 Em7 Ebdim7 Dm7 G7 Cmaj7"),
        ("tonic-turns-minor", "G", "Gmaj7 Gm7 C7 Fmaj7"), ("common-tone-diminished", "C", "Cmaj7 Cdim7 Cmaj7"),
        ("two-five-chain", "C", "F#m7 B7 Em7 A7 Dm7 G7 Cmaj7"), ("minor-blues-last-four", "c", "Ab7 G7 Cm7"),
        ("major-third-cycle", "C", "Cmaj7 Eb7 Abmaj7 B7 Emaj7 G7 Cmaj7"), ("plagal", "Gb", "Cbmaj7 Gbmaj7"),
        ("flat-six-seven-one", "Gb", "Dmaj7 Fb7 Gbmaj7"), ("dominant-retreats", "A", "E D A"),
    ],
)  # fmt: skip
def test_cadences_in_their_keys(id: str, key: str, chords: str) -> None:
    """Cadences as the trade plays them (Levine, The Jazz Theory Book, 1995; from memory; else common practice)."""
    assert chords == spelled(find_cadence(id), key)


def test_no_two_rows_share_a_formula() -> None:
    """A formula names one cadence; two rows of the same mode never have the same chords."""
    formulas = [(row.mode, row.formula) for row in CADENCES if not row.shapes]
    assert len(set(formulas)) == len(formulas)
    for row in CADENCES:
        ways = [row.formula, *row.variants]
        assert len(set(ways)) == len(ways), row.id


def test_every_way_to_play_a_row_has_its_functions() -> None:
    """Each variant has one function a chord, and a row that rests ends on a tonic in its formula."""
    for row in CADENCES:
        assert len(row.variants) == len(row.variant_functions)
        for variant, formula in enumerate(row.variants):
            assert len(formula) == len(functions_for(row, None, variant)), (row.id, formula)
        if row.rests and row.id != "line-cliche":
            assert "tonic" == row.functions[-1], row.id


def test_a_resting_row_ends_on_its_ones() -> None:
    """A row that rests ends on the first degree in each of its variants too, the line over a minor chord apart."""
    for row in CADENCES:
        if row.rests and row.id not in ("line-cliche", "blues-last-four"):
            for formula in (row.formula, *row.variants):
                assert 0 == parse_any(formula[-1]).degree.semitones, (row.id, formula)  # type: ignore[union-attr]


def test_goals_keep_their_own_function() -> None:
    """The chord that an applied chord leads to does what it does in the key."""
    row = find_cadence("applied-five")
    found = [functions_for(row, degree)[-1] for degree in ("ii", "V", "vi", "bVI")]
    assert ["predominant", "dominant", "tonic", "color"] == found


@pytest.mark.parametrize("row", INTERRUPTED, ids=lambda row: row.id)
def test_the_foreign_cadence_stands_in_the_foreign_key(row: CadenceType) -> None:
    """At each distance and in each variant the foreign chords are numerals of the foreign key, the others of home."""
    home = parse_key("G")
    for variant in (None, *range(len(row.variants))):
        shape = interruption_of(row, variant)
        for distance in shape.distances:
            foreign = foreign_key(home, distance)
            chords = chords_of(row, home, variant=variant, foreign_semitones=distance)
            assert distance == (foreign.tonic.pitch_class - home.tonic.pitch_class) % 12
            for index, (chord, text) in enumerate(zip(chords, shape.formula, strict=True)):
                key = foreign if index in shape.foreign_indices else home
                assert text == numeral_of(chord, key).text


def test_interruptions_stay_out_of_the_nearest_keys() -> None:
    """The fourth and the fifth are no foreign keys: their five–one is an applied dominant of home."""
    for row in INTERRUPTED:
        for shape in row.shapes:
            assert not {0, 5, 7} & set(shape.distances)
            assert len(set(shape.distances)) == len(shape.distances)


def test_the_likeliest_interruption_slides_in_by_half_step() -> None:
    """By default the foreign five lies a half step from the last chord heard before it (common practice)."""
    for row in INTERRUPTED:
        shape = row.shapes[0]
        chords = chords_of(row, parse_key("C"))
        last, first = chords[shape.foreign_indices[0] - 1], chords[shape.foreign_indices[0]]
        assert (first.root.pitch_class - last.root.pitch_class) % 12 in (1, 11)


def test_interrupted_cadence_in_g() -> None:
    """The ii of G, then Db's V–I a half step below it, then V–I of G."""
    assert "Am7 Ab7 Dbmaj7 D7 Gmaj7" == spelled(find_cadence("interrupted-after-two"), "G")


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: find_cadence("five-five"), "no cadence type 'five-five'"),
        (lambda: formula_for(find_cadence("plagal"), "ii"), "no degrees"),
        (lambda: formula_for(find_cadence("applied-five"), "bVII"), "the degrees ii, iii"),
        (lambda: formula_for(find_cadence("plagal"), None, 99), "variants 0 to"),
        (lambda: interruption_of(find_cadence("plagal")), "not interrupted"),
        (lambda: chords_of(find_cadence("plagal"), parse_key("C"), foreign_semitones=1), "no foreign key"),
        (
            lambda: chords_of(find_cadence("interrupted-after-two"), parse_key("C"), foreign_semitones=7),
            "foreign keys 1, 3, 4, 6, 8, 9, 10, 11",
        ),
    ],
)
def test_what_a_row_does_not_have_is_told(asked: object, told: str) -> None:
    """Asking for a degree, variant or key that a row hasn't says what it has."""
    assert callable(asked)
    with pytest.raises(CadenceNameError, match=told):
        asked()


def test_variants_are_spelled_in_every_key() -> None:
    """Each variant gives chords in all keys of its mode without a double accidental on a root."""
    for row in CADENCES:
        for pitch_class in range(12):
            key = simplest_key(pitch_class, row.mode)
            for variant in range(len(row.variants)):
                chords = chords_of(row, key, variant=variant)
                assert all(abs(chord.root.alteration) < 2 for chord in chords), (row.id, key.name)
