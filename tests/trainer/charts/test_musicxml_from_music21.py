"""MusicXML files that music21 writes, read as charts: chords, repeats, endings, pickups, meters, compressed too."""

import zipfile
from collections.abc import Callable, Sequence
from fractions import Fraction
from io import BytesIO

import pytest
from music21 import bar, harmony, key, metadata, meter, note, repeat, spanner, stream, tempo
from music21.musicxml.m21ToXml import GeneralObjectExporter

from trainer.charts.musicxml import read_musicxml
from trainer.charts.unfold import unfold
from trainer.harmony.symbol import ChordSymbol, parse_chord

Made = Sequence[tuple[float, str]]
"""Chords of a measure as music21 spells them, with their quarter note in it."""


def measures_of(bars: Sequence[Made], signature: str = "4/4") -> list[stream.Measure]:
    """Measures with a rest for their whole length under their chords."""
    made = []
    for number, chords in enumerate(bars, start=1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append(meter.TimeSignature(signature))
        length = meter.TimeSignature(signature).barDuration.quarterLength
        measure.insert(0.0, note.Rest(quarterLength=length))
        for at, figure in chords:
            symbol = harmony.NoChord() if figure == "N.C." else harmony.ChordSymbol(figure)
            measure.insert(at, symbol)
        made.append(measure)
    return made


def written(measures: Sequence[stream.Measure], *others: object) -> bytes:
    """The file that music21 makes of a part with these measures."""
    part = stream.Part(measures)
    score = stream.Score([part])
    for other in others:
        score.insert(0, other)
    data = GeneralObjectExporter(score).parse()
    assert isinstance(data, bytes)
    return data


def heard(data: bytes) -> list[str]:
    """The roots that are played, in order; a dash is silence."""
    return [str(span.symbol.root) if span.symbol else "-" for span in unfold(read_musicxml(data)).spans]


def sound_of(symbol: ChordSymbol) -> tuple[int, frozenset[int], int]:
    """Root, all that sounds, and bass, as pitch classes."""
    return symbol.root.pitch_class, symbol.pitch_classes, symbol.bass_name.pitch_class


FIGURES = {
    "triads": "C Dm E+ F#dim B-sus4 A-sus2 Cpower",
    "sevenths": "Cmaj7 Dm7 G7 Bm7b5 Bo7 CmM7 C+7",
    "sixths": "C6 Dm6 B-6 F#m6",
    "ninths": "C9 CM9 Dm9 E-9 F#m9",
    "elevenths": "C11 Dm11 B-11",
    "thirteenths": "C13 Dm13 CM13 A-13",
    "added tones": "C7b9 C7#9 C7#11 Cadd9 F7b5",
    "over a bass": "C/E Dm7/C F/G E-maj7/B- G7/B Cm/E-",
    "flat and sharp roots": "D-7 E-m7 G-maj7 A-7 B-m7 C#m7 F#7 G#m7 A#dim",
}
ELSEWHERE = {"Cpower": "C5", "C+7": "C7#5", "Bo7": "Bdim7", "Cm/E-": "Cm/Eb"}


@pytest.mark.parametrize("figures", FIGURES.values(), ids=FIGURES.keys())
def test_chords_of_many_kinds(figures: str) -> None:
    """Each chord symbol comes in with the root, the tones and the bass that music21 gives it."""
    names = figures.split()
    data = written(measures_of([[(0.0, name)] for name in names]))
    spans = unfold(read_musicxml(data)).spans
    for name, span in zip(names, spans, strict=True):
        theirs = harmony.ChordSymbol(name)
        expected = (
            theirs.root().pitchClass,
            frozenset(pitch.pitchClass for pitch in theirs.pitches),
            theirs.bass().pitchClass,
        )
        assert span.symbol is not None
        assert expected == sound_of(span.symbol)
        assert parse_chord(ELSEWHERE.get(name, name.replace("-", "b"))).root == span.symbol.root


@pytest.mark.parametrize(
    ("signature", "chords", "expected"),
    [
        ("4/4", [(0.0, "C"), (2.0, "F")], [0, 2]),
        ("4/4", [(0.0, "C"), (1.0, "F"), (2.0, "G"), (3.0, "C")], [0, 1, 2, 3]),
        ("4/4", [(0.0, "C"), (2.5, "F")], [0, Fraction(5, 2)]),
        ("3/4", [(0.0, "C"), (2.0, "G")], [0, 2]),
        ("5/4", [(0.0, "C"), (3.0, "G")], [0, 3]),
        ("6/8", [(0.0, "C"), (1.5, "G")], [0, 3]),
        ("2/2", [(0.0, "C"), (2.0, "G")], [0, 1]),
        ("4/4", [(1.0, "C")], [0, 1]),
    ],
)  # fmt: skip
def test_places_in_meters(signature: str, chords: Made, expected: list[Fraction]) -> None:
    """Chords stand at the beats they stand at in the file, in every meter; what comes before the first is silence."""
    (section,) = read_musicxml(written(measures_of([chords], signature))).sections
    assert [signature] == [str(bar.meter) for bar in section.bars]
    assert expected == [chord.at for chord in section.bars[0].chords]


def plain() -> list[stream.Measure]:
    """Six bars of a chord each."""
    return measures_of([[(0.0, figure)] for figure in ("C", "D", "E", "F", "G", "A")])


def repeated() -> list[stream.Measure]:
    """Bars 2 and 3 twice."""
    made = plain()
    made[1].leftBarline = bar.Repeat(direction="start")
    made[2].rightBarline = bar.Repeat(direction="end")
    return made


def repeated_from_the_start() -> list[stream.Measure]:
    """Bars 1 and 2 twice, without a sign where they begin."""
    made = plain()
    made[1].rightBarline = bar.Repeat(direction="end")
    return made


def three_times() -> list[stream.Measure]:
    """Bar 2 three times."""
    made = plain()
    made[1].leftBarline = bar.Repeat(direction="start")
    made[1].rightBarline = bar.Repeat(direction="end", times=3)
    return made


def two_repeats() -> list[stream.Measure]:
    """Bars 1 and 2 twice, then bars 3 and 4 twice, one sign at either's start missing."""
    made = repeated_from_the_start()
    made[3].rightBarline = bar.Repeat(direction="end")
    return made


def with_endings() -> list[stream.Measure]:
    """Bar 3 the first time, bar 4 the second."""
    made = plain()
    made[0].leftBarline = bar.Repeat(direction="start")
    made[2].rightBarline = bar.Repeat(direction="end")
    return made


def da_capo_al_fine() -> list[stream.Measure]:
    """Back to the start from the end, until bar 3."""
    made = plain()
    made[2].append(repeat.Fine())
    made[5].append(repeat.DaCapoAlFine())
    return made


def dal_segno_al_fine() -> list[stream.Measure]:
    """Back to bar 2 from the end, until bar 4."""
    made = plain()
    made[1].insert(0, repeat.Segno())
    made[3].append(repeat.Fine())
    made[5].append(repeat.DalSegnoAlFine())
    return made


def da_capo_al_coda() -> list[stream.Measure]:
    """Back to the start from bar 4, and from bar 2 on to bar 5."""
    made = plain()
    made[1].append(repeat.Coda("To Coda"))
    made[3].append(repeat.DaCapoAlCoda())
    made[4].insert(0, repeat.Coda())
    return made


def da_capo() -> list[stream.Measure]:
    """Everything twice."""
    made = plain()
    made[5].append(repeat.DaCapo())
    return made


@pytest.mark.parametrize(
    ("make", "expected"),
    [
        (plain, "C D E F G A"),
        (repeated, "C D E D E F G A"),
        (repeated_from_the_start, "C D C D E F G A"),
        (three_times, "C D D D E F G A"),
        (two_repeats, "C D C D E F E F G A"),
        (da_capo_al_fine, "C D E F G A C D E"),
        (dal_segno_al_fine, "C D E F G A D E F"),
        (da_capo_al_coda, "C D E F C D G A"),
        (da_capo, "C D E F G A C D E F G A"),
    ],
    ids=lambda made: getattr(made, "__name__", ""),
)
def test_what_is_played(make: Callable[[], list[stream.Measure]], expected: str) -> None:
    """Repeats and jumps are played as music21's own signs say."""
    assert expected.split() == heard(written(make()))


def test_endings() -> None:
    """First and second endings that music21 writes as brackets are those of the chart."""
    made = with_endings()
    first, second = spanner.RepeatBracket(made[2], number=1), spanner.RepeatBracket(made[3], number=2)
    part = stream.Part([*made, first, second])
    data = GeneralObjectExporter(stream.Score([part])).parse()
    assert "C D E C D F G A".split() == heard(data)
    bars = [bar for section in read_musicxml(data).sections for bar in section.bars]
    assert [(), (), (1,), (2,), (), ()] == [bar.ending for bar in bars]


def test_a_pickup() -> None:
    """A first measure that is padded on its left is bar 0 and as long as what is in it."""
    made = plain()
    pickup = stream.Measure(number=0)
    pickup.append(meter.TimeSignature("4/4"))
    pickup.insert(0, note.Rest(quarterLength=1.0))
    pickup.insert(0, harmony.ChordSymbol("G7"))
    pickup.paddingLeft = 3.0
    made[0].removeByClass(meter.TimeSignature)
    chart = read_musicxml(written([pickup, *made]))
    assert (1, "4/4") == (chart.pickup, str(chart.meter))
    assert "G C D E F G A".split() == [str(span.symbol.root) for span in unfold(chart).spans if span.symbol]
    assert 0 == chart.sections[0].bars[0].number


def test_meters_change() -> None:
    """A new meter holds from its measure on."""
    made = plain()
    made[2].removeByClass(note.Rest)
    for at, signature in ((2, "3/4"), (4, "6/8")):
        made[at].insert(0, meter.TimeSignature(signature))
        for measure in made[at : at + 2]:
            measure.removeByClass(note.Rest)
            measure.insert(0, note.Rest(quarterLength=3.0))
    (section,) = read_musicxml(written(made)).sections
    assert ["4/4", "4/4", "3/4", "3/4", "6/8", "6/8"] == [str(bar.meter) for bar in section.bars]


def test_silence_between_chords() -> None:
    """N.C. is silence from its beat on."""
    assert ["C", "-", "F"] == heard(written(measures_of([[(0.0, "C"), (2.0, "N.C.")], [(0.0, "F")]])))


def test_title_composer_key_and_tempo() -> None:
    """What stands over the first bar is the chart's header."""
    made = plain()
    made[0].insert(0, key.Key("g"))
    made[0].insert(0, tempo.MetronomeMark(number=152))
    over = metadata.Metadata(title="Ledger of Small Hours", composer="Ivo Tarn")
    chart = read_musicxml(written(made, over))
    assert ("Ledger of Small Hours", "Ivo Tarn", "G minor", 152) == (
        chart.title,
        chart.composer,
        str(chart.key),
        chart.tempo,
    )


def test_the_part_with_the_chords_is_read() -> None:
    """Of many parts the one with chord symbols counts, wherever it stands."""
    tunes = [
        stream.Part([stream.Measure([note.Note(pitch, quarterLength=4.0)], number=at) for at in range(1, 7)])
        for pitch in ("G4", "C3")
    ]
    score = stream.Score([tunes[0], stream.Part(plain()), tunes[1]])
    assert "C D E F G A".split() == heard(GeneralObjectExporter(score).parse())


@pytest.mark.parametrize("folder", ["", "a folder/"])
def test_compressed_files(folder: str) -> None:
    """A compressed score is found through its container, wherever in the archive it lies."""
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        root = f'<rootfile full-path="{folder}score.xml" media-type="application/vnd.recordare.musicxml+xml"/>'
        archive.writestr("META-INF/container.xml", f"<container><rootfiles>{root}</rootfiles></container>")
        archive.writestr(f"{folder}score.xml", written(repeated()))
    assert "C D E D E F G A".split() == heard(packed.getvalue())
