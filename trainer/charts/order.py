"""In which order the written bars are played: form, repeats, endings and jumps.

Without `form:` the sections play as they stand; a name alone plays its last bars again. In `form:`
the nth naming of a section plays its nth body, and the last body thereafter.
After D.C. or D.S. every repeat plays once, with its last ending (common practice, no source). Each
of these jumps is taken once; `fine` counts after a jump, and after one `al coda` only once the coda
is reached. The pickup bar sounds once, at the very beginning.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.charts.chart import Chart, Remark, WrittenBar, WrittenSection
from trainer.charts.repeats import Repeat, repeats_of
from trainer.errors import Fault

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
    bodies, faults_of_bodies = _bodies(chart)
    faults += faults_of_bodies
    if chart.form:
        playings, faults_of_form = _playings_of_form(chart, bodies)
        faults += faults_of_form
    else:
        playings = [body for body in bodies if body is not None]
    faults += _faults_of_signs(chart)
    if not any(section.bars for section in chart.sections):
        faults.append(Fault(0, 0, "no bars", "a line of bars, such as `| Dm7 | G7 | Cmaj7 | % |`"))
    if faults:
        return Order((), tuple(faults))
    return _Player(chart, playings, repeats).order()


def _bodies(chart: Chart) -> tuple[list[int | None], list[Fault]]:
    """For each written section the one whose bars it plays: itself, or the last of its name that has bars."""
    last: dict[str | None, int] = {}
    bodies: list[int | None] = []
    faults = []
    for index, section in enumerate(chart.sections):
        if section.bars:
            last[section.name] = index
        elif section.name not in last:
            told = f"section `[{section.name}]` without bars"
            expected = "bars below it, or the name of an earlier section to play that again"
            faults.append(Fault(section.line, section.column, told, expected))
        bodies.append(last.get(section.name))
    return bodies, faults


def _playings_of_form(chart: Chart, bodies: list[int | None]) -> tuple[list[int], list[Fault]]:
    line, column = chart.place_of("form")
    of_name: dict[str, list[int]] = {}
    written: dict[str, list[WrittenSection]] = {}
    faults = []
    for section, body in zip(chart.sections, bodies, strict=True):
        if section.name is None:
            where = _place(section)
            faults.append(
                Fault(*where, "bars before the first section, and a `form:`", "a section name above them")
            )
        elif body is not None:
            of_name.setdefault(section.name, []).append(body)
            written.setdefault(section.name, []).append(section)
    named = Counter(chart.form)
    known = {section.name for section in chart.sections}
    for name in dict.fromkeys(chart.form):
        if name not in known:
            faults.append(Fault(line, column, f"section `{name}` in the form", _sections_told(of_name)))
    for name, sections in written.items():
        for naming, section in enumerate(sections):
            if naming >= named[name]:
                which = f"`[{name}]`" if len(sections) == 1 else f"`[{name}]` number {naming + 1}"
                told = f"section {which} that the form never plays"
                faults.append(Fault(section.line, section.column, told, "it named in `form:`, or left out"))
    playings = []
    count: Counter[str] = Counter()
    for name in chart.form:
        if name in of_name:
            playings.append(of_name[name][min(count[name], len(of_name[name]) - 1)])
            count[name] += 1
    return playings, faults


def _sections_told(of_name: dict[str, list[int]]) -> str:
    names = ", ".join(f"`{name}`" for name in list(of_name)[:12])
    if not names:
        return "sections such as `[A]` above the bars"
    return f"names of sections with spaces between them: {names}"


def _place(section: WrittenSection) -> tuple[int, int]:
    if section.line or not section.bars:
        return section.line, section.column
    return section.bars[0].line, section.bars[0].column


def _faults_of_signs(chart: Chart) -> list[Fault]:
    """Signs that stand twice, miss their counterpart, or stand beside `form:`."""
    faults: list[Fault] = []
    bars = [bar for section in chart.sections for bar in section.bars]
    found: dict[str, list[WrittenBar]] = {}
    for bar in bars:
        for sign in bar.signs:
            found.setdefault(sign, []).append(bar)

    def fault(sign: str, bar: WrittenBar, told: str, expected: str) -> None:
        faults.append(Fault(*bar.place_of(sign), told, expected))

    if chart.form:
        for sign, places in found.items():
            for bar in places:
                fault(sign, bar, f"`{sign}` and a `form:`", "one or the other to say the order")
        return faults
    for sign in ("segno", "to coda", "coda", "fine"):
        for bar in found.get(sign, [])[1:]:
            fault(sign, bar, f"a second `{sign}`", "it once in a chart")
    jumps = [sign for sign in found if sign.startswith("D.")]
    needs = {"D.S.": ["segno"], "al coda": ["to coda", "coda"], "al fine": ["fine"]}
    for jump in jumps:
        needed = [sign for part, signs in needs.items() if part in jump for sign in signs]
        for sign in (sign for sign in needed if sign not in found):
            fault(jump, found[jump][0], f"`{jump}` and no `{sign}`", f"`{sign}` where it leads")
    if not any("al coda" in jump for jump in jumps):
        for sign in ("to coda", "coda"):
            if sign in found:
                fault(
                    sign,
                    found[sign][0],
                    f"`{sign}` that nothing leads to",
                    "`D.C. al coda` or `D.S. al coda`",
                )
    if "fine" in found and not jumps and found["fine"][0] is not bars[-1]:
        fault("fine", found["fine"][0], "`fine` that no jump leads to", "`D.C. al fine` or `D.S. al fine`")
    return faults


class _Player:
    """Walks through the sections as they are played."""

    def __init__(self, chart: Chart, playings: list[int], repeats: dict[int, tuple[Repeat, ...]]) -> None:
        self.chart = chart
        self.playings = playings
        self.repeats = repeats
        self.taken: set[tuple[int, int]] = set()
        """Jumps that have been taken, by section and bar."""
        self.passes: dict[tuple[int, int], int] = {}
        """The pass that each repeat is in, by playing and its first bar."""
        self.goal = ""
        """Where a jump leads: empty before the first, then `end`, `fine`, `coda`."""
        self.goal_place: WrittenBar | None = None
        self.faults: list[Fault] = []

    def order(self) -> Order:
        steps: list[Step] = []
        for step in self.walk():
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

    def walk(self) -> Iterator[Step]:
        here: tuple[int, int] | None = (0, self.ending(0, 0))
        playing_count = 0
        section_before = 0
        while here is not None:
            playing, index = here
            if playing != section_before:
                playing_count += 1
                section_before = playing
            yield Step(self.playings[playing], index, playing_count)
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
            self.check_goal()
            self.goal = "coda" if "al coda" in jump else "fine" if "al fine" in jump else "end"
            self.goal_place = bar
            target = self.place_of_sign("segno") if "D.S." in jump else (0, 0)
            return (self.enter(*target) if target else None), True
        return self.enter(playing, index + 1), False

    def again(self, playing: int, index: int) -> int | None:
        """The bar that a `:|` here goes back to; None where there is none or its passes are over."""
        if self.goal:
            return None
        for repeat in self.repeats[self.playings[playing]]:
            if index in repeat.ends:
                key = (playing, repeat.first)
                if self.passes.get(key, 1) < repeat.times:
                    self.passes[key] = self.passes.get(key, 1) + 1
                    return repeat.first
        return None

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
        for repeat in self.repeats[self.playings[playing]]:
            if repeat.fork == index:
                number = repeat.times if self.goal else self.passes.get((playing, repeat.first), 1)
                return repeat.ending_of_pass[number - 1]
        return index

    def place_of_sign(self, sign: str) -> tuple[int, int] | None:
        for playing, section in enumerate(self.playings):
            for index, bar in enumerate(self.chart.sections[section].bars):
                if sign in bar.signs:
                    return playing, index
        return None

    def check_goal(self) -> None:
        """Note a jump whose `to coda` was not met before the next jump or the end."""
        if self.goal == "coda" and self.goal_place is not None:
            sign = next(sign for sign in self.goal_place.signs if sign.startswith("D."))
            told = f"`{sign}`, and no `to coda` on the way from where it leads"
            self.faults.append(
                Fault(*self.goal_place.place_of(sign), told, "`to coda` in a bar that is played again")
            )

    def faults_after(self, steps: list[Step]) -> Iterator[Fault]:
        self.check_goal()
        yield from self.faults_of_fine()
        for section, written in enumerate(self.chart.sections):
            for index, bar in enumerate(written.bars):
                jump = next((sign for sign in bar.signs if sign.startswith("D.")), None)
                if jump and (section, index) not in self.taken:
                    yield Fault(
                        *bar.place_of(jump), f"`{jump}` that is never reached", "it where the music comes by"
                    )
        first = self.chart.sections[steps[0].section].bars[steps[0].bar]
        if first.chords[0].held:
            chord = first.chords[0]
            yield Fault(
                chord.line, chord.column, "`/` before anything sounds", "a chord or `N.C.` to begin with"
            )

    def faults_of_fine(self) -> Iterator[Fault]:
        if self.goal == "fine" and self.goal_place is not None:
            sign = next(sign for sign in self.goal_place.signs if sign.startswith("D."))
            if "al fine" in sign:
                told = f"`{sign}`, and no `fine` on the way from where it leads"
                yield Fault(*self.goal_place.place_of(sign), told, "`fine` in a bar that is played again")

    def remarks(self, steps: list[Step]) -> Iterator[Remark]:
        played = {(step.section, step.bar) for step in steps}
        signs = [sign for section in self.chart.sections for bar in section.bars for sign in bar.signs]
        for section, written in enumerate(self.chart.sections):
            for index, bar in enumerate(written.bars):
                if (section, index) not in played:
                    yield Remark(bar.line, bar.column, f"written bar {bar.number} is never played")
                if "segno" in bar.signs and not any(sign.startswith("D.S.") for sign in signs):
                    yield Remark(*bar.place_of("segno"), "no `D.S.` leads to this `segno`")
