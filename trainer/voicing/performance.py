"""Performances: a question's chords, or a tune as chart, route, guide tones or bass.

A tempo counts quarter notes a minute, dotted quarters in compound meters, as in charts; a beat is
the meter's unit. Everything is exact until the score is made; the same arguments give the same score.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from synth.score import KeyChange, Score
from trainer.charts.chart import Meter
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import voice
from trainer.voicing.patterns import accent, quarter_tempo, quarters_of
from trainer.voicing.shapes import Aim, Style
from trainer.voicing.sheet import Performance, PlayedChord, Sheet, strike
from trainer.voicing.tune import perform_chart

__all__ = ["Performance", "PlayedChord", "give_key", "joined", "perform_chart", "perform_progression"]

Hearing = Literal["all", "bass", "guide-tones"]
"""What of a question sounds."""

ConfirmBy = Literal["cadence", "drone"]
"""How a key is given: I IV V I, or a sustained tonic chord."""

DRONE_VELOCITY = 64

SHORTEST_QUESTION_S = 1
"""A question lasts no less: its loudness must be measurable and its sound heard out."""

CONFIRM_TEMPO = Fraction(100)
_CONFIRM_METER = (3, 4)
_CONFIRM_CHORDS = {"major": ("I", "IV", "V", "I"), "minor": ("i", "iv", "V", "i")}
_CONFIRM_QUARTERS = (1, 1, 1, 2)
"""Two bars of three: the tonic on one, the dominant on three, the tonic on one again, a beat of rest."""
_CONFIRM_LENGTH = Fraction(6)
_DRONE_QUARTERS = Fraction(5)
_DRONE_FROM = 45

FOUR_FOUR = Meter(4, 4)


def perform_progression(
    symbols: Sequence[ChordSymbol],
    beats: Sequence[Fraction | int],
    tempo: Fraction | float,
    style: Style = "close",
    with_bass: bool = True,
    confirm: Key | None = None,
    *,
    confirm_by: ConfirmBy = "cadence",
    meter: Meter = FOUR_FOUR,
    aims: Sequence[Aim | None] | None = None,
    start_on: int | None = None,
    hearing: Hearing = "all",
    arpeggiate: bool = False,
    slower: Fraction | float = 1,
    roles: Sequence[str] | None = None,
    key: Key | None = None,
    title: str = "",
    seed: int | None = None,
) -> Performance:
    """Play chords of so many beats each, one stroke a chord, after a key confirmation where one is wanted.

    `slower` divides the tempo of the question, not of the confirmation. `roles` names what each chord is
    there for, `question` where it is left out. `key` is for the MIDI file's signature alone; `confirm`
    stands in for it.
    """
    lengths = [Fraction(count) * 4 / meter.unit for count in beats]
    whole = sum(lengths, Fraction(0))
    if whole <= 0:
        raise ValueError("a question has at least one chord, and a length")
    sheet = Sheet()
    start = Fraction(0) if confirm is None else give_key(sheet, confirm, confirm_by)
    quickest = whole * 60 / SHORTEST_QUESTION_S
    sheet.tempos.append((start, min(quarter_tempo(tempo, meter) / Fraction(slower), quickest)))
    sheet.meter(start, (meter.beats, meter.unit))
    if hearing == "guide-tones":
        style, with_bass = "guide-tones", False
    voicings = voice(symbols, style, with_bass or hearing == "bass", aims, start_on=start_on)
    if hearing == "bass":
        voicings = tuple(replace(voicing, keys=(), stack=()) for voicing in voicings)
    at, role = start, None
    for index, (voicing, length) in enumerate(zip(voicings, lengths, strict=True)):
        if (now := roles[index] if roles else "question") != role:
            role = now
            sheet.mark(at, "role", role)
        strike(sheet, at, length, voicing, accent((at - start) % quarters_of(meter), meter), role, arpeggiate)
        sheet.name(voicing.symbol, at, at + length, role, voicing)
        at += length
    return sheet.finished(at, key or confirm, title, seed)


def give_key(sheet: Sheet, key: Key, by: ConfirmBy = "cadence") -> Fraction:
    """Give the key at the start of a sheet, in two bars of three; says where they end."""
    sheet.tempos.append((Fraction(0), CONFIRM_TEMPO))
    sheet.meter(Fraction(0), _CONFIRM_METER)
    sheet.mark(Fraction(0), "role", "confirm")
    sheet.mark(Fraction(0), "center", key.name)
    chords = [chord_of(parse_numeral(text), key) for text in _CONFIRM_CHORDS[key.mode]]
    if by == "drone":
        for midi in _drone(chords[0]):
            sheet.play(Fraction(0), _DRONE_QUARTERS, midi, DRONE_VELOCITY, "drone", "confirm")
        sheet.name(chords[0], Fraction(0), _DRONE_QUARTERS, "confirm", None)
        return _CONFIRM_LENGTH
    at = Fraction(0)
    for voicing, quarters in zip(voice(chords, "close"), _CONFIRM_QUARTERS, strict=True):
        strike(sheet, at, Fraction(quarters), voicing, accent(at % 3, Meter(*_CONFIRM_METER)), "confirm")
        sheet.name(voicing.symbol, at, at + quarters, "confirm", voicing)
        at += quarters
    return _CONFIRM_LENGTH


def _drone(tonic: ChordSymbol) -> tuple[int, ...]:
    """Root, fifth and the third above them."""
    root = _DRONE_FROM + (tonic.root.pitch_class - _DRONE_FROM) % 12
    third = tonic.quality.intervals[1]
    return (root, root + 7, root + 12 + third)


def joined(first: Performance, second: Performance, gap_s: float = 0.8) -> Performance:
    """One performance after the other, with a rest of whole bars between them, at least `gap_s` long."""
    last, tempo = first.score.meters[-1], first.score.tempos[-1]
    bar_s = 4 * last.beats / last.unit * 60 / tempo.quarters_per_minute
    bars = 1
    while last.at_s + bars * bar_s < first.score.duration_s + gap_s:
        bars += 1
    by = last.at_s + bars * bar_s
    one, two = first.score, second.score
    score = Score(
        notes=one.notes + tuple(replace(note, onset_s=note.onset_s + by) for note in two.notes),
        duration_s=by + two.duration_s,
        tempos=one.tempos + tuple(replace(change, at_s=change.at_s + by) for change in two.tempos),
        meters=one.meters + tuple(replace(change, at_s=change.at_s + by) for change in two.meters),
        markers=one.markers + tuple(replace(marker, at_s=marker.at_s + by) for marker in two.markers),
        key_signature=one.key_signature,
        title=one.title,
        key_changes=one.key_changes + _keys_after(one, two, by),
    )
    later = tuple(replace(chord, from_s=chord.from_s + by, until_s=chord.until_s + by) for chord in second.chords)
    timed = tuple(replace(bar, from_s=bar.from_s + by, until_s=bar.until_s + by) for bar in second.bars)
    return Performance(score, first.chords + later, first.bars + timed)


def _keys_after(one: Score, two: Score, by: float) -> tuple[KeyChange, ...]:
    """The key signatures of a score that begins so late, its first one where it isn't the one in force."""
    changes = two.key_changes
    if two.key_signature is not None:
        changes = (KeyChange(0.0, two.key_signature), *changes)
    before = one.key_changes[-1].key_signature if one.key_changes else one.key_signature
    if changes and changes[0].key_signature == before:
        changes = changes[1:]
    return tuple(replace(change, at_s=change.at_s + by) for change in changes)
