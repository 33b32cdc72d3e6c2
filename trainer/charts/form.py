"""Which sections a chart plays, and whether its form and its jump signs fit together."""

from collections import Counter

from trainer.charts.chart import Chart, WrittenBar, WrittenSection
from trainer.errors import Fault


def bodies_of(chart: Chart) -> tuple[list[int | None], list[Fault]]:
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


def playings_of_form(chart: Chart, bodies: list[int | None]) -> tuple[list[int], list[Fault]]:
    """The written section behind each name of the form, and the faults of the form."""
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


def faults_of_signs(chart: Chart) -> list[Fault]:
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
