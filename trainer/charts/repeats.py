"""Which bars of one section are repeated, how often, and which ending belongs to which pass.

Bars are counted from 0 within the section. A repeat that has no `|:` begins with its section; no
repeat stands within another or reaches into another section. The last ending has no `:|`: it runs on
to the section's end or to the next `|:`.
"""

from collections.abc import Sequence

from trainer.charts.chart import WrittenBar
from trainer.errors import Fault
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class Repeat:
    """A passage that is played more than once."""

    first: int
    """The bar that each pass begins with."""
    times: int
    """Passes in all."""
    ends: frozenset[int]
    """The bars with `:|`."""
    fork: int | None = None
    """The bar where the first ending begins; None where there are no endings."""
    ending_of_pass: tuple[int, ...] = ()
    """The first bar of each pass's ending, from pass 1 on."""


@dataclass(slots=True)
class _Open:
    """A repeat while its bars are being walked through."""

    first: int
    endings: list[tuple[int, tuple[int, ...]]]
    ends: list[int]

    @property
    def closed(self) -> bool:
        """Whether the passage, or its latest ending, has its `:|`."""
        if not self.endings:
            return bool(self.ends)
        return bool(self.ends) and self.ends[-1] >= self.endings[-1][0]


def repeats_of(bars: Sequence[WrittenBar]) -> tuple[tuple[Repeat, ...], tuple[Fault, ...]]:
    """Find the repeats of a section's bars, and the faults of its repeat signs and endings."""
    walk = _Walk(bars)
    for index in range(len(bars)):
        walk.step(index)
    walk.finish(len(bars))
    return tuple(walk.repeats), tuple(walk.faults)


class _Walk:
    def __init__(self, bars: Sequence[WrittenBar]) -> None:
        self.bars = bars
        self.open: _Open | None = None
        self.any_before = False
        """Whether a repeat stands earlier in the section: then a further one needs its own `|:`."""
        self.repeats: list[Repeat] = []
        self.faults: list[Fault] = []

    def fault(self, index: int, sign: str, found: str, expected: str) -> None:
        line, column = self.bars[index].place_of(sign)
        self.faults.append(Fault(line, column, found, expected))

    def step(self, index: int) -> None:
        bar = self.bars[index]
        if self.open and self.open.closed and not bar.ending:
            self.finish(index)
        if bar.repeat_start:
            self.start(index)
        if bar.ending:
            self.ending(index, bar.ending)
        if bar.repeat_end:
            self.end(index)

    def start(self, index: int) -> None:
        if self.open and not self.open.closed and not self.open.endings:
            line = self.bars[self.open.first].place_of("|:")[0]
            told = f"`|:` within the repeat that line {line} begins" if line else "`|:` within another repeat"
            self.fault(index, "|:", told, "`:|` first: repeats don't nest")
            self.open = None
        self.finish(index)
        self.open = _Open(index, [], [])

    def implicit(self, index: int, sign: str, told: str) -> _Open:
        """The repeat that begins with its section, because nothing else begins it."""
        if self.any_before:
            self.fault(index, sign, told, "`|:` where this repeat begins: another repeat stands before it")
        self.open = _Open(0, [], [])
        return self.open

    def ending(self, index: int, passes: tuple[int, ...]) -> None:
        repeat = self.open or self.implicit(index, "[", "an ending without a repeat of its own")
        if repeat.endings and not repeat.closed:
            start, earlier = repeat.endings[-1]
            told = f"ending {_told(passes)} while ending {_told(earlier)} has no `:|`"
            self.fault(index, "[", told, "`:|` at the end of the ending before")
            repeat.ends.append(max(start, index - 1))
        elif repeat.ends and not repeat.endings:
            expected = "an ending for pass 1 as well, before `:|`"
            self.fault(
                index, "[", f"ending {_told(passes)} behind a repeat that has no other ending", expected
            )
            self.open = None
            return
        repeat.endings.append((index, passes))

    def end(self, index: int) -> None:
        repeat = self.open or self.implicit(index, ":|", "`:|` without a `|:` of its own")
        repeat.ends.append(index)

    def finish(self, index: int) -> None:
        """Close the open repeat, if any: a passage outside it begins at a bar, or the section ends."""
        repeat, self.open = self.open, None
        if repeat is None:
            return
        self.any_before = True
        if repeat.endings:
            self.finish_with_endings(repeat)
        elif repeat.ends:
            end = repeat.ends[-1]
            self.repeats.append(Repeat(repeat.first, self.bars[end].repeat_end, frozenset(repeat.ends)))
        else:
            self.fault(repeat.first, "|:", "`|:` that is never closed", "`:|` before the section ends")

    def finish_with_endings(self, repeat: _Open) -> None:
        count = len(self.faults)
        passes = [number for _, numbers in repeat.endings for number in numbers]
        total = max(passes)
        starts: dict[int, int] = {}
        for start, numbers in repeat.endings:
            for number in numbers:
                if number in starts:
                    self.fault(start, "[", f"a second ending for pass {number}", "one ending for each pass")
                starts[number] = start
        missing = [number for number in range(1, total) if number not in starts]
        last_start, last_numbers = repeat.endings[-1]
        if not repeat.ends:
            told = f"ending {_told(last_numbers)} in a passage without `:|`"
            self.fault(last_start, "[", told, "`:|` behind the first ending")
        elif missing:
            first = repeat.endings[0][0]
            told = f"endings up to pass {total} and none for {_passes_told(missing)}"
            self.fault(first, "[", told, "endings for every pass")
        elif repeat.closed:
            told = f"`:|` behind ending {_told(last_numbers)}, and no ending for pass {total + 1}"
            expected = f"`[{total + 1}.]` behind it, or no `:|`: the last ending has none"
            self.fault(repeat.ends[-1], ":|", told, expected)
        elif last_numbers != (total,):
            told = f"ending {_told(last_numbers)} without `:|` in the last place"
            self.fault(
                last_start, "[", told, f"the ending for pass {total} alone to be the last, or `:|` behind it"
            )
        for end in repeat.ends:
            times = self.bars[end].repeat_end
            if times > 2 and times != total:
                told = f"`:| x{times}` in a repeat with endings for {total} passes"
                self.fault(end, ":|", told, "as many passes as there are endings for")
        if len(self.faults) == count:
            of_pass = tuple(starts[number] for number in range(1, total + 1))
            self.repeats.append(
                Repeat(repeat.first, total, frozenset(repeat.ends), repeat.endings[0][0], of_pass)
            )


def _told(passes: Sequence[int]) -> str:
    return f"`[{','.join(map(str, passes))}.]`"


def _passes_told(passes: Sequence[int]) -> str:
    shown = ", ".join(map(str, passes[:5])) + (" and more" if len(passes) > 5 else "")
    return f"pass {shown}" if len(passes) == 1 else f"passes {shown}"
