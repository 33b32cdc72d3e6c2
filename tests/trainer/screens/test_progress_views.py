"""What the views of the progress say, against counts of the log that was made up for them."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from statistics import median

import pytest

from tests.trainer.memory.made import trial
from tests.trainer.practice.practising import HandClock
from tests.trainer.screens.practised import EARLY, UNITS, practised
from trainer.memory.progress_tables import TABLES
from trainer.memory.share import FEW
from trainer.memory.store import Store, open_store
from trainer.memory.trial import Trial
from trainer.memory.unit import tonic_place
from trainer.practice.clock import today
from trainer.practice.over_time import FIFTHS, heard_in_keys, seen_on
from trainer.practice.words import name_of
from trainer.screens.views import by_key, confusions, times, types, weeks
from trainer.screens.views.in_order import VIEWS
from trainer.screens.views.view import Shown
from trainer.screens.widgets.listing import CURSOR, Listing
from trainer.screens.widgets.sheet import Sheet, plain

DAY = today(HandClock(), 4)
WIDTHS = (56, 74, 92, 114, 146)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the store is."""
    return tmp_path_factory.mktemp("views")


@pytest.fixture(scope="module")
def log(folder: Path) -> list[Trial]:
    """What was answered."""
    return practised(folder)


@pytest.fixture(scope="module")
def store(folder: Path, log: list[Trial]) -> Iterator[Store]:
    """The store with these answers."""
    with open_store(folder / "memory.db") as opened:
        yield opened


@pytest.fixture(scope="module")
def shown(store: Store) -> Shown:
    """What the screen reads of it."""
    return read(store)


def read(store: Store, day: date = DAY) -> Shown:
    """What the screen reads of a store."""
    seen = seen_on(store, day, weeks.LAST_WEEKS)
    return Shown(seen, heard_in_keys(store, (row.unit for row in seen.rows)))


def practice_day(one: Trial) -> date:
    """The practice day of an answer, by hand."""
    return (one.at_utc + timedelta(minutes=one.utc_offset_minutes) - timedelta(hours=4)).date()


def rows_of(view_table: object) -> list[list[str]]:
    """The texts of a table."""
    return [[plain(cell) for cell in row] for row in view_table.rows]  # type: ignore[attr-defined]


def hundredths(told: str) -> float:
    """A share as it is written."""
    return int(told.removesuffix("%")) / 100


def above(answers: list[Trial]) -> float:
    """What was heard above guessing."""
    guess = sum(one.guess_chance for one in answers)
    return (sum(one.credit for one in answers) - guess) / (len(answers) - guess)


def test_types_say_what_the_command_does(store: Store, shown: Shown) -> None:
    """Chance, rung, share right, middle time, interval, status and reason are those of `progress --what types`."""
    told = {row["unit"]: row for row in TABLES["types"].rows(store, DAY, None)}
    table = types.table(shown, 146)
    assert len(told) == len(table.rows)
    for unit, row in zip(types.units(shown), rows_of(table), strict=True):
        values = told[unit]
        assert name_of(unit) == row[0]
        assert values["chance"] == pytest.approx(hundredths(row[2].split()[-1]), abs=0.0051)
        assert str(values["rung"]) == row[3]
        assert values["accuracy"] == pytest.approx(hundredths(row[4]), abs=0.0051)
        assert f"{values['median_answer_s']:.1f} s" == row[5]
        assert f"{values['interval_days']} d" == row[6]
        assert [str(values["trials"]), values["status"]] == row[7:9]
        assert str(values["why_today"] or "").endswith(row[9])
        assert bool(values["why_today"]) == bool(row[9])


def test_the_reason_stands_beneath_a_type(store: Store, shown: Shown) -> None:
    """Whatever the width, all about the marked type says why it comes today, its bounds and its due day."""
    told = {row["unit"]: row for row in TABLES["types"].rows(store, DAY, None)}
    for at, unit in enumerate(types.units(shown)):
        values, words = told[unit], types.about(shown, at)
        assert str(values["why_today"] or "") in words
        assert f"from {values['chance_low']:.0%} to {values['chance_high']:.0%}" in words
        assert str(values["due_day"]) in words


def test_a_digit_is_the_tenths_that_were_heard(shown: Shown, log: list[Trial]) -> None:
    """In each key the digit is that of a count of the log above guessing; fewer than six answers have a dot."""
    answers: dict[tuple[str, str], list[Trial]] = defaultdict(list)
    for one in log:
        answers[one.unit, tonic_place(one.key)].append(one)
    seen = Counter[str]()
    for unit, row in zip(by_key.units(shown), rows_of(by_key.table(shown, 74)), strict=True):
        for key, cell in zip(FIFTHS, row[1:], strict=True):
            of_key = answers[unit, tonic_place(key)]
            expected = by_key.FEW_SIGN if 0 < len(of_key) < 6 else str(by_key.tenths(above(of_key))) if of_key else ""
            assert expected == cell[:1]
            seen[cell[1:]] += 1
    assert seen[by_key.BETTER] > 5
    assert seen[by_key.WORSE] > 5


def test_better_and_worse_are_those_of_the_command(store: Store, shown: Shown) -> None:
    """A sign stands where `progress TYPE --what keys` has five hundredths or more beside the usual."""
    for unit, row in zip(by_key.units(shown), rows_of(by_key.table(shown, 74)), strict=True):
        told = {tonic_place(str(one["key"])): one for one in TABLES["keys"].rows(store, DAY, unit)}
        for key, cell in zip(FIFTHS, row[1:], strict=True):
            one = told.get(tonic_place(key))
            more = 0.0 if one is None or one["few"] else float(str(one["beside_usual"]))
            assert (by_key.BETTER if more >= 0.05 else by_key.WORSE if more <= -0.05 else "") == cell[1:]


def test_in_the_keys_color_says_nothing_that_a_digit_does_not(shown: Shown) -> None:
    """Cells of the same text have the same color."""
    styles: dict[str, set[str]] = defaultdict(set)
    for row in by_key.table(shown, 74).rows:
        for cell in row[1:]:
            text, style = (cell, "") if isinstance(cell, str) else cell
            styles[text.rstrip(by_key.BETTER + by_key.WORSE)].add(style)
    assert {1} == {len(found) for found in styles.values()}


def test_confusions_are_counted_from_the_log(store: Store, shown: Shown, log: list[Trial]) -> None:
    """Each pair with how often, its share of the type's answers, since when, and whether it stands out."""
    pairs = Counter((one.unit, one.taken_for) for one in log if one.taken_for)
    answers = Counter(one.unit for one in log)
    out = {(row["unit"], row["taken_for"]): row["stands_out"] for row in TABLES["confusions"].rows(store, DAY, None)}
    names = {(name_of(unit), name_of(str(other))): (unit, other) for unit, other in pairs}
    rows = rows_of(confusions.table(shown, 114))
    assert len(pairs) == len(rows)
    for row in rows:
        pair = names[row[0], row[1]]
        first = min(practice_day(one) for one in log if (one.unit, one.taken_for) == pair)
        assert [str(pairs[pair]), confusions.OUT * bool(out[pair]), f"{first:%Y-%m}"] == row[2:5]
        assert f"{pairs[pair] / answers[pair[0]]:.0%}" == row[7]
    assert f"{sum(map(bool, out.values()))} more often than by chance" in confusions.sum_of(shown)


def test_a_pair_says_what_to_listen_to(shown: Shown) -> None:
    """Beneath a confusion stands in which chords the two types differ."""
    at = next(n for n, one in enumerate(shown.seen.confusions) if one.pair.unit == "major-two-five-one")
    words = confusions.about(shown, at)
    assert "taken for" in words
    assert "Listen to chord" in words or "They differ in length" in words


def test_times_are_the_middle_ones_of_the_log(shown: Shown, log: list[Trial]) -> None:
    """Each type's time is the median of its newest fifty from the sound's end; bars are as long, early ones left."""
    table = times.table(shown, 92)
    rows = rows_of(table)
    assert len(UNITS) == len(rows)
    per_second = []
    for unit, row in zip(times.units(shown), rows, strict=True):
        newest = [one for one in log if one.unit == unit][-50:]
        after = median(one.answer_s - one.sound_s for one in newest)
        assert times.time_word(after) == row[1]
        before, _, behind = row[3].partition(times.END)
        assert (unit == EARLY) == (times.BAR in before) == (times.BAR not in behind)
        if times.GOES_ON not in row[3]:
            per_second.append((row[3].count(times.BAR) - 0.5, row[3].count(times.BAR) + 0.5, abs(after)))
    scale = [(low / s, high / s) for low, high, s in per_second]
    assert max(low for low, _ in scale) <= min(high for _, high in scale)


@pytest.mark.parametrize("room", [12, 13, 30, 90])
@pytest.mark.parametrize("after", [[], [0.0], [-3.0], [-0.1, 0.0, 60.0], [2.0, 2.5, 3.0, 58.0], [-4.0, -4.0, 11.0]])
def test_a_bar_never_outgrows_its_room(room: int, after: list[float]) -> None:
    """Whatever the times are, bars fit, have the sound's end in one column, and one that goes on says so."""
    bars = times.bars_of(after, room)
    assert len(after) == len(bars)
    assert all(len(bar) <= room for bar in bars)
    assert len({bar.index(times.END) for bar in bars}) <= 1
    assert len(times.scale_word(after, room)) <= room
    if after == [2.0, 2.5, 3.0, 58.0]:
        assert [False, False, False, True] == [times.GOES_ON in bar for bar in bars]


def test_weeks_have_the_days_minutes(store: Store, shown: Shown, log: list[Trial]) -> None:
    """Each day's minutes are the command's, each week's answers those of the log, from this week to the first."""
    days = {row["day"]: max(1, round(float(str(row["minutes"])))) for row in TABLES["days"].rows(store, DAY, None)}
    answers = Counter(day - timedelta(days=day.weekday()) for day in map(practice_day, log))
    rows = rows_of(weeks.table(shown, 74))
    assert DAY - timedelta(days=DAY.weekday()) == date.fromisoformat(rows[0][0])
    assert min(answers) == date.fromisoformat(rows[-1][0])
    found = {}
    for row in rows:
        monday = date.fromisoformat(row[0])
        for n, cell in enumerate(row[1:8]):
            if cell not in ("", weeks.NOTHING):
                found[(monday + timedelta(days=n)).isoformat()] = int(cell)
        assert str(sum(int(cell) for cell in row[1:8] if cell.isdigit())) == row[8]
        assert str(answers[monday]) == row[9]
    assert days.keys() == found.keys()
    assert all(abs(found[day] - minutes) <= 1 for day, minutes in days.items())


def test_a_week_without_practice_stands_there_too(tmp_path: Path) -> None:
    """Between two weeks of practice one without has its row, and days to come are left blank."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(), trial(timedelta(days=15))])
        store.refresh()
        shown = read(store, date(2027, 3, 17))
    rows = rows_of(weeks.table(shown, 74))
    assert ["2027-03-15", "2027-03-08", "2027-03-01"] == [row[0] for row in rows]
    assert ["·", "1", "·", "", "", "", ""] == rows[0][1:8]
    assert ["·"] * 7 == rows[1][1:8]
    assert "no practice" in weeks.about(shown, 1)
    assert "1 minute this week, on 1 day." == weeks.sum_of(shown)


@pytest.mark.parametrize("count", [0, 1, 3])
def test_few_answers_say_that_they_are_few(tmp_path: Path, count: int) -> None:
    """With none, one or three answers every view stands, and nothing is told of shares by key."""
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(timedelta(minutes=n), credit=0.0) for n in range(count)])
        store.refresh()
        shown = read(store, date(2027, 3, 2))
    for view in VIEWS:
        for width in WIDTHS:
            table = view.table(shown, width)
            for at in range(len(table.rows)):
                assert view.about(shown, at)
        assert view.sum(shown).endswith(".")
    assert "too few to tell" in by_key.sum_of(shown)
    assert 6 == FEW, "the words say six"
    assert "nothing was taken" in confusions.sum_of(shown)
    if count:
        assert "%" not in times.about(shown, 0)
        assert "too few to tell" in by_key.about(shown, 0)
        assert "few" == rows_of(weeks.table(shown, 74))[0][10]


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
@pytest.mark.parametrize("width", WIDTHS)
def test_every_row_fits_and_the_marked_one_is_told_without_color(shown: Shown, view: object, width: int) -> None:
    """At any width no line is wider, no number is cut, and a pointer stands before the marked row alone."""
    listing = Listing()
    listing.make = lambda room: view.table(shown, room)  # type: ignore[attr-defined]
    listing.cursor = 2
    lines = [line.plain for line in listing.lines(width)]
    assert max(map(len, lines)) <= width
    assert [2] == [n for n, line in enumerate(lines[1:]) if line.startswith(CURSOR)]
    if width >= 74:
        table = view.table(shown, width - 2)  # type: ignore[attr-defined]
        for row, line in zip(table.rows, lines[1:], strict=True):
            for head, cell in zip(table.heads, row, strict=True):
                assert head.gives or plain(cell) in line
            assert plain(row[0])[:9] in line


def test_the_log_is_never_read(store: Store) -> None:
    """All that is shown comes from derived rows."""
    asked: list[str] = []
    store._connection.set_trace_callback(asked.append)
    read(store)
    store._connection.set_trace_callback(None)
    assert len(asked) > len(UNITS)
    assert [] == [sql for sql in asked if re.search(r"(?i)\b(from|join)\s+(trials|outcomes)\b", sql)]


def test_a_sheet_without_rows_takes_no_room() -> None:
    """Where there is nothing to show not even heads stand."""
    assert [] == Sheet().lines(74)
