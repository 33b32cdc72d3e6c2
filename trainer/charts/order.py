"""In which order the written bars are played: form, repeats, endings and jumps.

Without `form:` the sections play as they stand; a name alone plays its last bars again. In `form:`
the nth naming of a section plays its nth body, and the last body thereafter.
After D.C. or D.S. the repeats that are played again play once, with their last ending; one that is
met for the first time then, as in a coda, plays as written (common practice, no source). Each of these
jumps is taken once; `fine` counts after a jump, and after one `al coda` only once the coda is reached.
The pickup bar sounds once, at the very beginning.
"""

from collections.abc import Iterator

from trainer.charts.chart import Chart, Remark, WrittenBar
from trainer.charts.form import bodies_of, faults_of_signs, playings_of_form
from trainer.charts.repeats import Repeat, repeats_of
from trainer.errors import Fault
from trainer.records import dataclass

MAX_PLAYED_BARS = 4096


@dataclass(frozen=True, slots=True)
class Step:
    """One bar being played."""

    section: int
    """Which written section it belongs to, an index into Chart.sections."""
    bar: int
    """An index into that section's bars."""
    playing: int
    """Counts the playings of sections from 0; a jump back begins a new one."""


@dataclass(frozen=True, slots=True)
class Order:
    """The bars in played order, or the faults that leave it open."""

    steps: tuple[Step, ...]
    faults: tuple[Fault, ...]
    remarks: tuple[Remark, ...] = ()


def order_of(chart: Chart) -> Order:
    """Lay out the bars of a chart as they are played; never more than MAX_PLAYED_BARS."""
    faults: list[Fault] = []
    repeats: dict[int, tuple[Repeat, ...]] = {}
    for index, section in enumerate(chart.sections):
        repeats[index], faults_of_repeats = repeats_of(section.bars)
        faults += faults_of_repeats
    bodies, faults_of_bodies = bodies_of(chart)
    faults += faults_of_bodies
    if chart.form:
        playings, faults_of_form = playings_of_form(chart, bodies)
        faults += faults_of_form
    else:
        playings = [body for body in bodies if body is not None]
    faults += faults_of_signs(chart)
    if not any(section.bars for section in chart.sections):
        faults.append(Fault(0, 0, "no bars", "a line of bars, such as `| Dm7 | G7 | Cmaj7 | % |`"))
    if faults:
        return Order((), tuple(faults))
    return _Player(chart, playings, repeats).order()


class _Player:
    """Walks through the sections as they are played."""

    def __init__(self, chart: Chart, playings: list[int], repeats: dict[int, tuple[Repeat, ...]]) -> None:
        self.chart = chart
        self.playings = playings
        """The written section of each playing."""
        self.ends = {
            section: {end: repeat for repeat in found for end in repeat.ends} for section, found in repeats.items()
        }
        self.forks = {section: {repeat.fork: repeat for repeat in found} for section, found in repeats.items()}
        self.signs = {
            sign: (section, index)
            for section, written in enumerate(chart.sections)
            for index, bar in enumerate(written.bars)
            for sign in bar.signs
        }
        self.taken: set[tuple[int, int]] = set()
        """Jumps that have been taken, by section and bar."""
        self.played: set[tuple[int, int]] = set()
        """Section and bar of everything played so far."""
        self.heard: set[tuple[int, int]] = set()
        """What had been played when the last jump was taken: its repeats play once from then on."""
        self.passes: dict[tuple[int, int], int] = {}
        """The pass that each repeat is in, by playing and its first bar."""
        self.goal = ""
        """Where a jump leads: empty before the first, then `end`, `fine`, `coda`."""
        self.goal_place: WrittenBar | None = None
        self.faults: list[Fault] = []

    def order(self) -> Order:
        steps: list[Step] = []
        for step in self.walk() if self.signs or any(self.ends.values()) else self.straight():
            if len(steps) == MAX_PLAYED_BARS:
                told = f"more than {MAX_PLAYED_BARS} bars when everything is played out"
                return Order((), (Fault(0, 0, told, "fewer repeats or a shorter form"),))
            steps.append(step)
        self.faults += self.faults_after(steps)
        if self.faults:
            return Order((), tuple(self.faults))
        return Order(tuple(steps), (), tuple(self.remarks(steps)))

    def bar(self, playing: int, bar: int) -> WrittenBar:
        return self.chart.sections[self.playings[playing]].bars[bar]

    def length(self, playing: int) -> int:
        return len(self.chart.sections[self.playings[playing]].bars)

    def straight(self) -> Iterator[Step]:
        """Every bar of every playing, as `walk` finds them where nothing is repeated or jumped to."""
        count = 0
        for playing, section in enumerate(self.playings):
            bars = enumerate(self.chart.sections[section].bars)
            steps = [Step(section, index, count) for index, bar in bars if bar.number or not (playing or index)]
            yield from steps
            count += bool(steps)

    def walk(self) -> Iterator[Step]:
        """Bar after bar, wherever repeats, endings and jumps lead."""
        here: tuple[int, int] | None = (0, self.ending(0, 0))
        playing_count = 0
        section_before = 0
        while here is not None:
            playing, index = here
            if playing != section_before:
                playing_count += 1
                section_before = playing
            yield Step(self.playings[playing], index, playing_count)
            self.played.add((self.playings[playing], index))
            here, jumped_back = self.next(playing, index)
            if jumped_back and here is not None:
                playing_count += 1
                section_before = here[0]

    def next(self, playing: int, index: int) -> tuple[tuple[int, int] | None, bool]:
        """Where to go after a bar, and whether by D.C. or D.S.; None at the end."""
        bar = self.bar(playing, index)
        if self.goal == "coda" and "to coda" in bar.signs:
            self.goal = "fine"
            return self.place_of_sign("coda"), False
        if self.goal in ("end", "fine") and "fine" in bar.signs:
            self.goal = "done"
            return None, False
        again = self.again(playing, index)
        if again is not None:
            return self.enter(playing, again), False
        jump = next((sign for sign in bar.signs if sign.startswith("D.")), None)
        if jump and (self.playings[playing], index) not in self.taken:
            self.taken.add((self.playings[playing], index))
            self.heard = set(self.played)
            self.check_goal()
            self.goal = "coda" if "al coda" in jump else "fine" if "al fine" in jump else "end"
            self.goal_place = bar
            target = self.place_of_sign("segno") if "D.S." in jump else (0, 0)
            return self.enter(*target), True
        return self.enter(playing, index + 1), False

    def again(self, playing: int, index: int) -> int | None:
        """The bar that a `:|` here goes back to; None where there is none or its passes are over."""
        section = self.playings[playing]
        repeat = self.ends[section].get(index)
        if repeat is None or self.once(section, repeat):
            return None
        number = self.passes.get((playing, repeat.first), 1)
        if number == repeat.times:
            return None
        self.passes[playing, repeat.first] = number + 1
        return repeat.first

    def once(self, section: int, repeat: Repeat) -> bool:
        """Whether a repeat has been played before a jump, so that it now plays once."""
        return any((section, end) in self.heard for end in repeat.ends)

    def enter(self, playing: int, index: int) -> tuple[int, int] | None:
        """The bar that is played on coming to one: its pass's ending, no second pickup, the next section."""
        while playing < len(self.playings):
            if index >= self.length(playing):
                playing, index = playing + 1, 0
            elif self.bar(playing, index).number == 0:
                index += 1
            else:
                return playing, self.ending(playing, index)
        return None

    def ending(self, playing: int, index: int) -> int:
        """The bar itself, or where the ending of this pass begins."""
        section = self.playings[playing]
        repeat = self.forks[section].get(index)
        if repeat is None:
            return index
        once = self.once(section, repeat)
        number = repeat.times if once else self.passes.get((playing, repeat.first), 1)
        return repeat.ending_of_pass[number - 1]

    def place_of_sign(self, sign: str) -> tuple[int, int]:
        """Where a sign is played first; it stands once in the chart."""
        section, index = self.signs[sign]
        return self.playings.index(section), index

    def check_goal(self) -> None:
        """Note a jump that leads to a sign which the music never met, at the next jump or at the end."""
        if self.goal_place is None or self.goal not in ("coda", "fine"):
            return
        jump = next(sign for sign in self.goal_place.signs if sign.startswith("D."))
        sign = "to coda" if self.goal == "coda" else "fine"
        if sign == "fine" and "al fine" not in jump:
            return
        told = f"`{jump}`, and no `{sign}` on the way from where it leads"
        expected = f"`{sign}` in a bar that is played again"
        self.faults.append(Fault(*self.goal_place.place_of(jump), told, expected))

    def faults_after(self, steps: list[Step]) -> Iterator[Fault]:
        """What the whole order shows to be wrong."""
        self.check_goal()
        for section, written in enumerate(self.chart.sections):
            for index, bar in enumerate(written.bars):
                jump = next((sign for sign in bar.signs if sign.startswith("D.")), None)
                if jump and (section, index) not in self.taken:
                    expected = "it in a bar where the music comes by"
                    yield Fault(*bar.place_of(jump), f"`{jump}` that is never reached", expected)
        chord = self.chart.sections[steps[0].section].bars[steps[0].bar].chords[0]
        if chord.held:
            yield Fault(chord.line, chord.column, "`/` before anything sounds", "a chord or `N.C.` first")

    def remarks(self, steps: list[Step]) -> Iterator[Remark]:
        """What the order shows that is worth telling."""
        played = {(step.section, step.bar) for step in steps}
        for section, written in enumerate(self.chart.sections):
            for index, bar in enumerate(written.bars):
                if (section, index) not in played:
                    yield Remark(bar.line, bar.column, f"written bar {bar.number} is never played")
                if "segno" in bar.signs and not any(sign.startswith("D.S.") for sign in self.signs):
                    yield Remark(*bar.place_of("segno"), "no `D.S.` leads to this `segno`")
