"""One tune: its chart with what each chord does, the reasons of the bar under the cursor, and its sound."""

from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from typing import ClassVar, Literal

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from synth.errors import SoundError
from trainer.drills.material import TuneMaterial
from trainer.errors import KeyfarerError
from trainer.harmony.note_names import Naming, chord_told, key_told, named
from trainer.memory.unit import Status
from trainer.practice.played_tunes import performed_as_set
from trainer.practice.sounding import Loudspeaker
from trainer.practice.words import name_of
from trainer.reading.values import ChordReading
from trainer.screens.actions import TUNE, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.listening import TICK_S
from trainer.screens.widgets.chart_view import ChartView
from trainer.screens.widgets.route_view import RouteView
from trainer.voicing.sheet import BarTime

WORTH_TELLING = 0.02
"""Share of all readings from which a rival is told."""
ROWS = 4
"""Rows of a line of bars: band, chords, functions and what is braced."""
ROUTE_TOLD = "You hear the key centers, each by a cadence. {play} stops it."
SOUND = "tune"
"""The group of workers that play."""


class TunePage(Page):
    """The chart, the reasons, the sound."""

    NAME = TUNE
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TUNE)

    DEFAULT_CSS = """
    TunePage #about { color: $secondary; }
    TunePage #made { color: $quiet; }
    TunePage #chart { margin: 1 0 0 0; }
    TunePage #route { margin: 2 0 0 0; }
    TunePage #heard { color: $secondary; }
    """

    class Made(Message):
        """What the tune is made of, beside the player's ear."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Begun(Message):
        """Something sounds, or could not."""

        def __init__(self, bars: tuple[BarTime, ...], words: str) -> None:
            super().__init__()
            self.bars = bars
            self.words = words

    def __init__(self, tune: TuneMaterial) -> None:
        super().__init__()
        self.tune = tune
        self.times: tuple[BarTime, ...] = ()
        """When each bar that sounds is played; empty where it is no bar of the chart."""
        self.sounds = False

    def body(self) -> list[Widget]:
        """Where it goes, the chart, and its route as a picture."""
        return [text("about"), text("made"), ChartView(id="chart"), RouteView(id="route")]

    def beneath(self) -> list[Widget]:
        """The reasons of a bar, and what is played."""
        return [text("why"), text("heard")]

    def begin(self) -> None:
        """Show the chart."""
        analysis = self.tune.analysis
        home = "" if analysis.home is None else key_told(analysis.home.key, self.naming)
        self.headline(self.tune.timeline.title, home)
        self.say("about", about(self.tune, self.naming))
        bars = self.tune.timeline.bars
        self.query_one(ChartView).put(self.tune.timeline, analysis, self.naming)
        self.query_one(RouteView).put(analysis, bars[0].number, len(bars), self.naming)
        self.say("heard", "")
        self.say("made", "")
        self.tell_bar()
        self.made_of()
        self.set_interval(TICK_S, self.follow)

    @work(thread=True, exclusive=True, group="made")
    def made_of(self) -> None:
        """Look up beside the event loop which of its cadences are known by ear."""
        with suppress(KeyfarerError):  # the tune is there all the same
            self.post_message(self.Made(made_of(self.tune, self.keyfarer.doors.standing())))

    def on_tune_page_made(self, message: Made) -> None:
        """Say what it is made of."""
        self.say("made", message.words)

    def tell_bar(self) -> None:
        """The reasons of the bar under the cursor."""
        chart = self.query_one(ChartView)
        if chart.bars:
            bar = chart.bars[chart.cursor]
            told = [reason for slot in bar.slots if (reason := why(self.tune.analysis.chords[slot.index], self.naming))]
            self.say("why", f"Bar {bar.number}. {' '.join(told) or 'Nothing new is struck.'}")

    def go(self, by: int) -> None:
        """Move the cursor by some bars."""
        chart = self.query_one(ChartView)
        chart.move_to(chart.cursor + by)
        self.tell_bar()
        self.call_after_refresh(self.keep_in_sight)  # the reasons beneath may have grown

    def keep_in_sight(self) -> None:
        """Scroll so that the line of the cursor is seen."""
        chart, body = self.query_one(ChartView), self.query_one("#body")
        row = chart.region.y + chart.row_of(chart.cursor)
        top, bottom = body.region.y, body.region.bottom
        if row < top or row + ROWS > bottom:
            body.scroll_relative(y=row - top - body.size.height // 3, animate=False)

    def follow(self) -> None:
        """Point at the bar that sounds."""
        if self.keyfarer.leaving or not self.sounds:
            return
        sounding = self.keyfarer.doors.sounding
        at = sounding.playhead_s if isinstance(sounding, Loudspeaker) else None
        heard = [bar.number for bar in self.times if at is not None and bar.from_s <= at < bar.until_s]
        chart = self.query_one(ChartView)
        self.point(next((n for n, bar in enumerate(chart.bars) if bar.number in heard), None))

    def point(self, bar: int | None) -> None:
        """Show in chart and picture which bar sounds."""
        self.query_one(ChartView).point(bar)
        self.query_one(RouteView).point(bar)

    def refused(self, words: str) -> None:
        """Tell what is played, or why nothing is."""
        self.say("heard", words)

    @work(thread=True, exclusive=True, group=SOUND)
    def sound(self, what: Literal["chart", "route"], bars: tuple[int, int] | None) -> None:
        """Perform and begin to play, beside the event loop."""
        doors = self.keyfarer.doors
        try:
            played = performed_as_set(self.tune.timeline, self.tune.analysis, doors.settings, what, bars)
            doors.sounding.play_tune(played, doors.settings.room)
        except (KeyfarerError, SoundError, OSError) as error:
            self.post_message(self.Begun((), " ".join(str(error).split())))
            return
        words = self.keyed(ROUTE_TOLD if bars is None else f"You hear it from bar {bars[0]}. {{play}} stops it.")
        if doors.sounding.remark:
            words = f"{words} Sound: {doors.sounding.remark}"
        self.post_message(self.Begun(() if what == "route" else played.bars, words))

    def on_tune_page_begun(self, message: Begun) -> None:
        """Say what sounds."""
        self.times, self.sounds = message.bars, True
        self.refused(message.words)

    def hush(self) -> None:
        """Let it fall silent."""
        self.sounds, self.times = False, ()
        self.point(None)
        self.keyfarer.doors.sounding.stop()
        self.refused("")

    def level_is_set(self) -> bool:
        """Whether the listening level was set once; else it is set now, before anything sounds."""
        if self.keyfarer.doors.settings.level_set:
            return True
        from trainer.screens.level import LevelPage

        self.app.push_screen(LevelPage())
        return False

    def action_play(self) -> None:
        """Play from the bar under the cursor, or stop."""
        chart, sounding = self.query_one(ChartView), self.keyfarer.doors.sounding
        over = isinstance(sounding, Loudspeaker) and sounding.playhead_s is None
        if self.sounds and not over:
            self.hush()
        elif chart.bars and self.level_is_set():
            self.sound("chart", (chart.bars[chart.cursor].number, chart.bars[-1].number))

    def action_route(self) -> None:
        """Hear the key centers alone."""
        if self.level_is_set():
            self.sound("route", None)

    def action_bar_on(self) -> None:
        """A bar on."""
        self.go(1)

    def action_bar_back(self) -> None:
        """A bar back."""
        self.go(-1)

    def action_line_on(self) -> None:
        """A line on."""
        self.go(self.query_one(ChartView).a_line())

    def action_line_back(self) -> None:
        """A line back."""
        self.go(-self.query_one(ChartView).a_line())

    def action_back(self) -> None:
        """Back to the tunes; what sounds falls silent."""
        self.hush()
        self.app.pop_screen()

    def action_leave(self) -> None:
        """Leave the app."""
        self.hush()
        super().action_leave()


def about(tune: TuneMaterial, naming: Naming = "english") -> str:
    """A tune in a line: where it goes."""
    route = tune.analysis.route
    if len(route) < 2:
        return "It stays in one key." if route else ""
    centers = [key_told(step.center, naming) for step in route]
    return f"It goes through {len(route)} key centers: {', '.join(centers)}."


def made_of(tune: TuneMaterial, standing: Mapping[str, Status]) -> str:
    """The types of a tune's cadences, each with how often it comes and whether it is known by ear."""
    counts = Counter(cadence.type for cadence in tune.analysis.cadences)
    told = []
    for id, times in counts.items():
        known = ", known by ear" * (standing.get(id) is Status.KNOWN)
        told.append(f"{name_of(id)} ({'once' if times == 1 else f'{times} times'}{known})")
    return f"Its cadences: {', '.join(told)}." if told else ""


def why(reading: ChordReading, naming: Naming = "english") -> str:
    """What a chord is, why, and what else it may be."""
    span = reading.span
    if span.symbol is None or span.continues or reading.center is None or reading.numeral is None:
        return ""
    shares: dict[str, float] = {}
    for rival in reading.rivals:
        if rival.center is None or rival.numeral is None:
            continue
        if (rival.center, rival.numeral) != (reading.center, reading.numeral):
            words = f"{rival.numeral.text} in {key_told(rival.center, naming)}"
            shares[words] = shares.get(words, 0.0) + rival.share
    rivals = [f"{words} ({share:.0%})" for words, share in shares.items() if share >= WORTH_TELLING]
    symbol, center = chord_told(span.symbol.text, naming), key_told(reading.center, naming)
    reasons = named(" ".join(reading.why), naming, (span.symbol.text,))
    told = f"{symbol} is {reading.numeral.text} in {center}. {reasons}"
    return f"{told} It may also be {' or '.join(rivals)}." if rivals else told
