"""What `analyze` prints for the player: golden printouts, and what holds for every tune."""

from fractions import Fraction
from pathlib import Path

import pytest

from tests.golden.commands.make_printouts import FOLDER, PRINTOUTS, PROGRESS, told
from tests.trainer.commands.commanding import keyfarer
from trainer.charts.library import exercise_tunes
from trainer.charts.pins import parse_pin_option
from trainer.charts.timeline import Place
from trainer.commands.told_analysis import bars_text
from trainer.commands.told_chord import place_text


@pytest.mark.parametrize("name", PRINTOUTS)
def test_the_printout_is_as_it_was_approved(name: str) -> None:
    """The printed reading equals the printout that was read and approved."""
    assert (FOLDER / name).read_text(encoding="utf-8") == told(name)


def test_every_printout_has_its_command() -> None:
    """No printout lies about that nothing makes."""
    assert {*PRINTOUTS, *PROGRESS} == {path.name for path in FOLDER.glob("*.txt")}


@pytest.mark.parametrize("columns", [40, 60, 72, 80, 200])
def test_no_line_is_wider_than_the_terminal_or_80(columns: int) -> None:
    """On any terminal lines fit, and on a wide one they stop at 80 columns; nothing is drawn or colored."""
    tunes = [name for name, _ in exercise_tunes()]
    done = keyfarer("analyze", *tunes, "--why", surroundings={"COLUMNS": str(columns)})
    assert 0 == done.returncode
    assert max(map(len, done.stdout.splitlines())) <= min(columns, 80)
    assert not set(done.stdout) & set("\x1b│─┌┐└┘├┤\t")


def test_every_chord_of_every_section_is_told() -> None:
    """A section that comes again with the same reading is told in a line, all other bars one by one."""
    done = keyfarer("analyze", "ropewalk-morning")
    assert "A, bars 25-32: the same as bars 9-16\n" in done.stdout
    places = [line.split()[0] for line in done.stdout.splitlines() if line.startswith("    ")]
    assert {str(bar) for bar in range(1, 25)} <= set(places)


@pytest.mark.parametrize(
    ("from_", "until", "words"),
    [
        ((1, 1), (9, 1), "bars 1-8"),
        ((4, 1), (5, 1), "bar 4"),
        ((4, 3), (5, 3), "bars 4-5"),
        ((4, 1), (4, 3), "bar 4"),
    ],
)
def test_a_half_open_stretch_is_told_by_the_bars_it_sounds_in(
    from_: tuple[int, int], until: tuple[int, int], words: str
) -> None:
    """A stretch that ends at a bar's first beat doesn't name that bar."""
    assert words == bars_text(*(Place(bar, Fraction(beat)) for bar, beat in (from_, until)))


def test_a_place_is_written_as_the_pin_takes_it(tmp_path: Path) -> None:
    """The place before a chord can be given back to `--pin`."""
    chart = tmp_path / "waltz.chart"
    chart.write_text("meter: 3/4\n[A]\n| Dm7 / G7 | C |\n", encoding="utf-8")
    printed = keyfarer("analyze", str(chart)).stdout
    assert "    1.3  G7" in printed
    assert "pinned" in keyfarer("analyze", str(chart), "--pin", "1.3=C:V7").stdout
    for text in ("2", "2.3", "2.5/2"):
        pin = parse_pin_option(f"{text}=C")
        assert text == place_text(Place(pin.bar, pin.beat))
