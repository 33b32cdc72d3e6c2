"""What `keyfarer play` was asked for, performed: a tune's chart, its route, one part, or two readings."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import cast

from trainer.charts.chart import Chart, Pin
from trainer.charts.pins import PlacedPin, parse_pin_option
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.commands.options import PlayOptions
from trainer.errors import KeyfarerError
from trainer.harmony.interval import Interval, between
from trainer.harmony.key import parse_key
from trainer.harmony.pitch import HarmonyError, NoteName, parse_note_name
from trainer.practice.played_tunes import HANDS_SEED, comping_for
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis
from trainer.records import dataclass
from trainer.settings import Settings
from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
from trainer.voicing.performance import perform_chart
from trainer.voicing.plain_chords import numerals
from trainer.voicing.readings import differing_bars, perform_readings
from trainer.voicing.sheet import Performance
from trainer.voicing.styles import Style
from trainer.voicing.tune import What as Performed

_PERFORMED: dict[str, Performed] = {"route": "route", "tonics": "route", "guide-tones": "guide-tones", "bass": "bass"}


_LEFT_OUT: dict[str, tuple[str, ...]] = {
    "readings": ("comping", "bass", "time", "choruses", "rise"),
    "guide-tones": ("style", "comping", "bass"),
    "bass": ("style", "comping"),
    "keys": ("bass",),
}
"""What has no place in what is played."""


class PlayError(KeyfarerError):
    """Something that was asked for and can't be played or written."""


@dataclass(frozen=True, slots=True)
class Manners:
    """How tunes are played, as the options say, and as the settings say where these don't."""

    style: Style
    comping: Comping | None
    """None is the Charleston, or the waltz in three."""
    bass: BassFeel
    time: TimeKeeping | None
    seed: int | None
    """Of uneven hands."""
    room: float


def manners_of(options: PlayOptions, settings: Settings) -> Manners:
    """Return how it is to be played."""
    time = settings.time if options.time is None else options.time
    hands = settings.hands if options.hands is None else options.hands
    return Manners(
        options.style or cast(Style, settings.style),
        options.comping or cast(Comping, settings.comping) or None,
        options.bass or cast(BassFeel, settings.bass),
        None if time in ("", "none") else cast(TimeKeeping, time),
        HANDS_SEED if hands else None,
        settings.room if options.room is None else options.room,
    )


def swing_of(options: PlayOptions, settings: Settings, timeline: Timeline) -> Fraction | None:
    """Return long to short of eighths; None is the chart's own. A ratio that is set makes no straight tune swing."""
    if options.ratio is not None or options.swing is False:
        return options.ratio or Fraction(1)
    swings = timeline.swing > 1 if options.swing is None else options.swing
    if swings and settings.ratio:
        return Fraction(settings.ratio).limit_denominator(100)
    return Fraction(2) if options.swing else None


def perform(options: PlayOptions, chart: Chart, settings: Settings) -> Performance:
    """Perform what was asked for. Raises PlayError, TextError."""
    pins = tuple(parse_pin_option(text) for text in options.pins)
    timeline = unfold(chart, () if options.what == "readings" else pins)
    if not any(span.symbol is not None for span in timeline.spans):
        raise PlayError(f"{options.file}: there is no chord to play in it")
    analysis = analyze(timeline)
    options = replace(options, bars=_bars(options, timeline))
    transpose = None if options.key is None else _moved_by(options.key, analysis)
    manners, swing = manners_of(options, settings), swing_of(options, settings, timeline)
    if options.what == "readings":
        return _readings(options, chart, timeline, analysis, pins, transpose, manners, swing)
    return perform_chart(
        timeline, analysis, _PERFORMED.get(options.what, "chart"), options.tempo, options.count_in,
        style=manners.style, with_bass=options.what != "keys", comping=comping_for(timeline, manners.comping),
        bass_feel=manners.bass, time=manners.time, swing=swing, choruses=options.choruses,
        rise=options.rise, bars=options.bars, transpose=transpose,
        route_as="tonic" if options.what == "tonics" else "cadence", functions=numerals(analysis), seed=manners.seed,
    )  # fmt: skip


def left_out(options: PlayOptions) -> tuple[str, ...]:
    """Return the options that were asked for and have no place in what is played."""
    defaults = PlayOptions(options.file)
    asked = (name for name in _LEFT_OUT.get(options.what, ()) if getattr(options, name) != getattr(defaults, name))
    return tuple(f"--{name}" for name in asked)


def _bars(options: PlayOptions, timeline: Timeline) -> tuple[int, int] | None:
    first, last, bars = timeline.bars[0].number, timeline.bars[-1].number, options.bars
    if bars is not None and not first <= bars[0] <= bars[1] <= last:
        raise PlayError(f"--bars: found {bars[0]}-{bars[1]}; expected bars from {first} to {last}, as played")
    return bars


def _readings(
    options: PlayOptions,
    chart: Chart,
    timeline: Timeline,
    first: Analysis,
    pins: Sequence[PlacedPin],
    transpose: Interval | None,
    manners: Manners,
    swing: Fraction | None,
) -> Performance:
    """The reading beside the one that the pins make, or beside the strongest rival."""
    second = analyze(unfold(chart, pins or (_strongest_rival(options, first),)))
    try:
        bars = options.bars or differing_bars(first, second)
    except ValueError:
        told = "`keyfarer analyze --explain BAR` names a bar's rivals"
        raise PlayError(f"--what readings: the reading is the same with these pins; {told}") from None
    return perform_readings(
        timeline, first, second, bars, options.tempo, style=manners.style, swing=swing,
        transpose=transpose, functions=(numerals(first), numerals(second)), seed=manners.seed,
    )  # fmt: skip


def _strongest_rival(options: PlayOptions, analysis: Analysis) -> PlacedPin:
    """A pin that gives the chord with the strongest rival in another key to this rival."""
    bars = options.bars
    rivals = [
        (rival.share, chord.span, Pin(rival.center, rival.numeral))
        for chord in analysis.chords
        if bars is None or bars[0] <= chord.span.bar <= bars[1]
        for rival in chord.rivals
        if rival.center is not None and rival.numeral is not None and rival.center != chord.center
    ]
    if not rivals:
        where = "this tune" if bars is None else "these bars"
        raise PlayError(f"--what readings: {where} can be heard in one way only; name another with --pin, such as 5=Bb")
    _, span, pin = max(rivals, key=lambda rival: rival[0])
    return PlacedPin(span.bar, span.beat, pin)


def _moved_by(text: str, analysis: Analysis) -> Interval | None:
    """From the tune's home to a note, or to a key of the same mode."""
    home = analysis.home
    if home is None:
        return None
    try:
        tonic = _tonic(text, home.key.mode)
    except HarmonyError as error:
        raise PlayError(f"--key {text}: found {error.found}; expected {error.expected}") from None
    return between(home.key.tonic, tonic) if tonic != home.key.tonic else None


def _tonic(text: str, mode: str) -> NoteName:
    try:
        return parse_note_name(text[:1].upper() + text[1:])
    except HarmonyError:
        key = parse_key(text)
    if key.mode != mode:
        raise PlayError(f"--key {text}: this tune is in {mode}; expected a {mode} key, or a note alone as in `Eb`")
    return key.tonic
