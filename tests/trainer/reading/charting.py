"""Charts in one line for the tests of the reading: bars apart by `|`, sections as `[A]`."""

from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis


def timeline_of(bars: str, header: str = "") -> Timeline:
    """The timeline of bars such as `Dm7 G7 | Cmaj7`; `[A]` begins a section."""
    lines = ["title: A test", header] if header else ["title: A test"]
    for part in bars.replace("[", "\n[").splitlines():
        part = part.strip()
        if part.startswith("[") and "]" in part:
            name, _, part = part[1:].partition("]")
            lines.append(f"[{name}]")
        if part.strip(" |"):
            lines.append("| " + part.strip().strip("|").strip() + " |")
    return unfold(read_chart("\n".join(lines) + "\n", "a test"))


def reading_of(bars: str, header: str = "") -> Analysis:
    """The reading of bars."""
    return analyze(timeline_of(bars, header))


def told(analysis: Analysis) -> list[str]:
    """Each chord as `symbol center numeral function goal`, with `C` and `c` for C major and minor."""
    out = []
    for chord in analysis.chords:
        if chord.center is None or chord.span.symbol is None or chord.numeral is None:
            out.append("N.C.")
            continue
        tonic = str(chord.center.tonic)
        center = tonic if chord.center.mode == "major" else tonic[0].lower() + tonic[1:]
        goal = "" if chord.applied_to is None else f"/{chord.applied_to}"
        out.append(f"{chord.span.symbol.text} {center} {chord.numeral.text} {chord.function}{goal}")
    return out


def short(analysis: Analysis) -> str:
    """Centers and functions alone, held chords once: `C:T.P.D.T`; letters as in LETTERS."""
    words: list[str] = []
    before = None
    for chord in analysis.chords:
        if chord.center is None or chord.span.continues:
            continue
        tonic = str(chord.center.tonic)
        center = tonic if chord.center.mode == "major" else tonic[0].lower() + tonic[1:]
        if center != before:
            words.append(f"{center}:")
            before = center
        goal = "" if chord.applied_to is None else f"/{chord.applied_to}"
        words.append(LETTERS[chord.function] + goal)
    return " ".join(words).replace(": ", ":")


LETTERS = {
    "tonic": "T", "predominant": "P", "dominant": "D", "plagal": "L", "passing": "x", "color": "c", "none": "-",
}  # fmt: skip
