"""A tune at the player's hand: what each thing of `handles.py` does to the sound, and the terse line it is told by.

Steps start from what goes to the device next, so that pressed twice they go twice as far. A change of tempo
performs the same sheet again and goes on at the same beat.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from math import isfinite
from typing import TYPE_CHECKING, ClassVar, Literal

from synth.score import Part
from trainer.commands.handles import BY_KEY, Handle, find_word, help_rows
from trainer.commands.instrument import Instrument
from trainer.commands.told_playing import bar_told, bars_told, tempo_told, whereabouts_told
from trainer.errors import KeyfarerError
from trainer.harmony.note_names import Naming
from trainer.practice.listening_level import STEP_DB, level_told
from trainer.records import dataclass
from trainer.voicing.metronome import FASTEST, SLOWEST, faster, slower
from trainer.voicing.sheet import Performance, performed
from trainer.voicing.whereabouts import bar_at, barline_near, numbered, place_in, section_around, section_starts

if TYPE_CHECKING:  # arrays come with them
    from synth.output import Loop
    from synth.player import Player

RISE_S = 0.05
"""The sound rises a little before the place that is gone to; a step from so much before a bar is one from it."""
LATE_S = 0.5
"""A device is hardly later than this: what lies further from what it is given next is another place, just left."""
JUST_BEGUN_S = 0.8
"""A bar that began no longer ago is gone back from to the one before."""

Heard = Literal["all", "bass", "keys", "guide"]
HEARD_TOLD: dict[Heard, str] = {
    "all": "all parts", "bass": "bass alone", "keys": "keys alone", "guide": "guide tones alone",
}  # fmt: skip
HEARD_PARTS: dict[Heard, frozenset[Part] | None] = {
    "all": None, "bass": frozenset(("bass",)), "keys": frozenset(("keys",)), "guide": frozenset(("keys",)),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tune:
    """What is played, and how to have it otherwise."""

    performance: Performance
    tempo: float
    """Beats a minute, as charts count them."""
    again: Callable[[bool, float], Performance]
    """Performed at a tempo, as it was asked for or (True) as its guide tones."""
    has_guide: bool
    """Whether its guide tones have the same bars."""
    instrument: Instrument = "C"
    naming: Naming = "english"


class AtHand:
    """The state of the handling; everything is done through `asked`."""

    def __init__(
        self, player: "Player", tune: Tune, level: Callable[[float], float], keyed: bool, round: bool = False
    ) -> None:
        """`level` turns the sound by decibels, keeps it and tells where it stands; `round`: the whole tune loops."""
        self.player = player
        self.tune = tune
        self.level = level
        self.keyed = keyed
        self.now = tune.performance
        self.tempo = self.written_at = tune.tempo
        """Beats a minute as they are now, and as `now` is written."""
        self.heard: Heard = "all"
        self.round = whole(tune.performance) if round else None
        """First and last of the bars that go round, by their place in `bars`."""
        self.begin: int | None = None
        """Where a loop was said to begin, as long as it has no end."""
        self.stopped = False

    def asked(self, what: str) -> list[str]:
        """Do what a key or a typed line says; returns what to tell."""
        found = (BY_KEY[what], ()) if self.keyed and what in BY_KEY else None if self.keyed else find_word(what)
        if found is None:
            return [self._unknown(what)]
        handle, numbers = found
        if handle.id == "help":
            return self.help()
        if handle.id != "stop" and self.player.place_s is None:
            return ["it is over"]
        try:
            return [self._do(handle, *numbers)]
        except KeyfarerError as error:
            return str(error).splitlines()

    def help(self) -> list[str]:
        """Every key or word with what it does."""
        rows = help_rows(self.keyed)
        width = max(len(name) for name, _ in rows)
        return [f"{name:{width}}  {does}" for name, does in rows]

    def stretch(self) -> "Loop | None":
        """What goes round, in seconds."""
        from synth.output import Loop

        if self.round is None:
            return None
        first, last = self.round
        return Loop(self.now.bars[first].from_s, self.now.bars[last].until_s)

    def _unknown(self, what: str) -> str:
        if self.keyed:
            return f"no key {what} here; h tells the keys"
        return f"no word `{what}` here; help tells the words"

    def _do(self, handle: Handle, *numbers: int) -> str:
        return self._DOES[handle.id](self, *numbers)

    @property
    def _here(self) -> float:
        """Where a step starts from."""
        return (self.player.place_s or 0.0) + RISE_S

    def _bar(self) -> int:
        """The bar that is played, by its place; the first one during the count-in."""
        return bar_at(self.now, self._here) or 0

    def _pause(self) -> str:
        if self.player.paused:
            if self.keyed:
                return self._resume()
            return "it is paused"
        self.player.pause()
        return f"paused: {self._where_told(self.player.place_s or 0.0)}"

    def _resume(self) -> str:
        if not self.player.paused:
            return "it is not paused"
        self.player.resume()
        return "going on"

    def _go(self, to_s: float, told: str) -> str:
        """Go to a place; a loop that it lies outside of is left."""
        if self.round is not None:
            first, last = self.round
            if not self.now.bars[first].from_s <= to_s < self.now.bars[last].until_s:
                self._set_round(None)
                told = f"{told}; the loop is left"
        self.player.seek(to_s)
        return told

    def _to_bar(self, place: int) -> str:
        bar = self.now.bars[place]
        return self._go(bar.from_s, bar_told(self.now, bar))

    def _bar_back(self) -> str:
        at = bar_at(self.now, self._here)
        if at is None:
            return self._go(0.0, "the start")
        bar = self.now.bars[at]
        begun = min(JUST_BEGUN_S, (bar.until_s - bar.from_s) / 2) + RISE_S
        return self._to_bar(max(0, at - 1) if self._here - bar.from_s < begun else at)

    def _bar_on(self) -> str:
        at = bar_at(self.now, self._here)
        place = 0 if at is None else at + 1
        if self.round is not None and at == self.round[1]:
            place = self.round[0]
        if place >= len(self.now.bars):
            return "this is the last bar"
        return self._to_bar(place)

    def _section_back(self) -> str:
        starts = section_starts(self.now)
        before = [start for start in starts if start <= self._here - RISE_S - JUST_BEGUN_S]
        return self._to_section(before[-1] if before else starts[0])

    def _section_on(self) -> str:
        after = [start for start in section_starts(self.now) if start > self._here]
        return self._to_section(after[0]) if after else "this is the last section"

    def _to_section(self, start: float) -> str:
        place = bar_at(self.now, start) or 0
        names = [marker.text for marker in self.now.score.markers if marker.kind == "section" and marker.at_s == start]
        bar = bar_told(self.now, self.now.bars[place])
        return self._go(start, f"section {names[0]}, {bar}" if names else bar)

    def _to_number(self, number: int) -> str:
        bar = numbered(self.now, number, self._here)
        return self._no_bar() if bar is None else self._go(bar.from_s, bar_told(self.now, bar))

    def _no_bar(self) -> str:
        numbers = [bar.number for bar in self.now.bars]
        return f"there are bars {min(numbers)} to {max(numbers)} in what is played"

    def _set_round(self, round: tuple[int, int] | None) -> None:
        self.round, self.begin = round, None
        self.player.loop(self.stretch())

    def _loop(self, first: int, last: int) -> str:
        here, begin = self._here, self.now.bars[first].from_s
        self._set_round((first, last))
        if self.now.bars[0].from_s <= here < begin:
            self.player.seek(begin)
        return self._round_told()

    def _round_told(self) -> str:
        if self.round is None:
            return ""
        first, last = (self.now.bars[place] for place in self.round)
        if first.chorus != last.chorus:
            return f"round {bar_told(self.now, first)}, to {bar_told(self.now, last)}"
        return f"round {bars_told(first.number, last.number)}"

    def _loop_bar(self) -> str:
        return self._loop(self._bar(), self._bar())

    def _loop_section(self) -> str:
        start, end = section_around(self.now, self._here)
        inside = [place for place, bar in enumerate(self.now.bars) if start <= bar.from_s < end]
        return self._loop(inside[0], inside[-1])

    def _loop_from(self) -> str:
        line = barline_near(self.now, self._here - RISE_S)
        first = min(bar_at(self.now, line) or 0, len(self.now.bars) - 1)
        if self.round is not None and first <= self.round[1]:
            return self._loop(first, self.round[1])
        self.begin = first
        end = "o says" if self.keyed else "loop to says"
        return f"a loop from {bar_told(self.now, self.now.bars[first])}; {end} where it ends"

    def _loop_to(self) -> str:
        line = barline_near(self.now, self._here - RISE_S)
        first = self.begin if self.begin is not None else self.round[0] if self.round is not None else 0
        ending = [place for place, bar in enumerate(self.now.bars) if bar.until_s <= line + RISE_S]
        if not ending or ending[-1] < first:
            return f"a loop from {bar_told(self.now, self.now.bars[first])} ends at a later barline than this"
        return self._loop(first, ending[-1])

    def _loop_bars(self, first: int, last: int) -> str:
        one, other = numbered(self.now, first, self._here), numbered(self.now, last, self._here)
        if one is None or other is None:
            return self._no_bar()
        if one.from_s > other.from_s:
            return "say the earlier bar first"
        return self._loop(self.now.bars.index(one), self.now.bars.index(other))

    def _no_loop(self) -> str:
        if self.round is None and self.begin is None:
            return "there is no loop"
        self._set_round(None)
        return "no loop"

    def _slower(self) -> str:
        if self.tempo <= SLOWEST:
            return f"{tempo_told(self.tempo)} is the slowest"
        return self._at_tempo(slower(self.tempo))

    def _faster(self) -> str:
        if self.tempo >= FASTEST:
            return f"{tempo_told(self.tempo)} is the fastest"
        return self._at_tempo(faster(self.tempo))

    def _to_tempo(self, tempo: int) -> str:
        if not SLOWEST <= tempo <= FASTEST:
            return f"tempi go from {SLOWEST} to {FASTEST}"
        return self._at_tempo(float(tempo))

    def _at_tempo(self, tempo: float) -> str:
        written = self.now.written
        if written is None:
            found = self.tune.again(self.heard == "guide", tempo)
        else:
            found = performed(written, Fraction(tempo) / Fraction(self.written_at))
        self.tempo = tempo
        self._change(found)
        return tempo_told(tempo)

    def _change(self, found: Performance) -> None:
        place, self.now = place_in(self.now, found), found
        self.player.change(found.score, place, self.stretch())

    def _hear(self, heard: Heard) -> str:
        parts = HEARD_PARTS[heard]
        if heard == self.heard:
            return HEARD_TOLD[heard]
        if heard == "guide" and not self.tune.has_guide:
            return "what is played has no guide tones of its own"
        here = {note.part for note in self.tune.performance.score.notes}
        if parts is not None and heard != "guide" and not parts & here:
            return f"there is no {heard} part in what is played" if heard == "bass" else "no keys are played here"
        was, self.heard = self.heard, heard
        if heard == "guide":
            self.player.solo(parts)
        if "guide" in (was, heard):
            self.written_at = self.tempo
            self._change(self.tune.again(heard == "guide", self.tempo))
        self.player.solo(parts)
        return HEARD_TOLD[heard]

    def _turn(self, by_db: float) -> str:
        return level_told(self.level(by_db)).lower()

    def _meter(self) -> str:
        meter = self.player.meter()
        if not isfinite(meter.short_term_lufs):
            return "silence for three seconds"
        return f"{meter.short_term_lufs:.0f} LUFS over three seconds, peaks to {meter.highest_dbtp:.0f} dBTP"

    def _where(self) -> str:
        next_s, heard_s = self.player.place_s or 0.0, self.player.playhead_s
        at_s = heard_s if heard_s is not None and 0.0 <= next_s - heard_s < LATE_S else next_s
        words = [self._where_told(at_s), tempo_told(self.tempo)]
        if self.round is not None:
            words.append(self._round_told())
        if self.heard != "all":
            words.append(HEARD_TOLD[self.heard])
        if self.player.paused:
            words.append("paused")
        return ", ".join(words)

    def _where_told(self, at_s: float) -> str:
        return ", ".join(whereabouts_told(self.now, at_s, self.tune.instrument, self.tune.naming))

    def _stop(self) -> str:
        self.stopped = True
        self.player.stop()
        return "stopped"

    _DOES: ClassVar[Mapping[str, Callable[..., str]]] = {
        "pause": _pause, "resume": _resume, "bar-back": _bar_back, "bar-on": _bar_on, "section-back": _section_back,
        "section-on": _section_on, "bar": _to_number, "loop-bar": _loop_bar, "loop-section": _loop_section,
        "loop-from": _loop_from, "loop-to": _loop_to, "loop-bars": _loop_bars, "no-loop": _no_loop,
        "slower": _slower, "faster": _faster, "tempo": _to_tempo, "meter": _meter, "where": _where, "stop": _stop,
        "bass": lambda self: self._hear("bass"), "keys": lambda self: self._hear("keys"),
        "guide": lambda self: self._hear("guide"), "all": lambda self: self._hear("all"),
        "louder": lambda self: self._turn(STEP_DB), "softer": lambda self: self._turn(-STEP_DB),
    }  # fmt: skip


def whole(performance: Performance) -> tuple[int, int]:
    """The bars of a whole tune that go round; a pickup is played once, before them."""
    bars = performance.bars
    pickup = len(bars) > 1 and bars[0].number == 0 and bars[0].beats < bars[1].beats
    return int(pickup), len(bars) - 1
