"""The exercise tunes against readings made by hand before this program read them (tests/golden/readings)."""

from pathlib import Path

import pytest

from trainer.charts.library import load
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json

FOLDER = Path(__file__).parents[2] / "golden" / "readings"
NAMES = sorted(path.stem for path in FOLDER.glob("*.txt"))


def read(name: str) -> tuple[list[str], dict[str, list[str]], list[list[str]]]:
    """The golden file's home, its other headers by word, and its rows."""
    headers: dict[str, list[str]] = {}
    rows = []
    for line in (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            word, _, rest = line.lstrip("# ").partition(": ")
            headers.setdefault(word, []).append(rest)
        elif line.strip():
            rows.append(line.split("\t"))
    return headers["home"], headers, rows


def test_there_are_golden_readings_of_every_exercise_tune() -> None:
    """Every shipped tune has its golden reading, and there are at least sixteen."""
    from trainer.charts.library import exercise_tunes

    assert sorted(id for id, _ in exercise_tunes()) == NAMES
    assert len(NAMES) >= 16


@pytest.mark.parametrize("name", NAMES)
def test_golden_reading(name: str) -> None:
    """Every chord, the home key, the sections, the route and the interruptions are read as by hand."""
    home, headers, rows = read(name)
    found = analysis_json(analyze(unfold(load(name))))
    mine = [
        [
            f"{chord['bar']}.{chord['beat']:g}",
            chord["symbol"],
            "-" if chord["center"] is None else f"{chord['center']['tonic']} {chord['center']['mode']}",
            chord["numeral"] or "-",
            chord["function"],
            chord["applied_to"] or "-",
        ]
        for chord in found["chords"]
    ]
    assert rows == mine
    assert home == [f"{found['home']['tonic']} {found['home']['mode']}"]
    assert headers.get("section", []) == [
        f"{section['name']} {section['from']['bar']} {section['until']['bar']}"
        for section in found["sections"]
        if section["name"] is not None
    ]
    assert headers.get("route", []) == [
        f"{step['center']['tonic']} {step['center']['mode']} {place(step['from'])} {place(step['until'])}"
        for step in found["route"]
    ]
    assert headers.get("interruption", []) == [
        f"shape {one['shape']} awaited {one['awaited']['tonic']} {one['awaited']['mode']} "
        f"heard {one['heard']['tonic']} {one['heard']['mode']} from {place(one['from'])} until {place(one['until'])}"
        for one in found["interruptions"]
    ]


def place(where: dict[str, float]) -> str:
    """A place as the golden files write it."""
    return f"{where['bar']}.{where['beat']:g}"
