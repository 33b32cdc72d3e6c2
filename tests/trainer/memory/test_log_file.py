"""The memory as one open file: every trial goes out and comes in whole, and what can't be read is told by its line."""

import io
import json
from datetime import UTC, date, datetime, time, timedelta
from math import prod
from pathlib import Path
from random import Random
from typing import Any

import fsrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.memory.made import KEYS, MONDAY, trial
from tests.trainer.memory.million import fill
from trainer.memory.log_file import LONGEST, read_log, write_log
from trainer.memory.logged import LineError, Logged, head_line, read_line, write_line
from trainer.memory.schedule import Settings
from trainer.memory.store import open_store
from trainer.memory.trial import Trial

TEXT = st.text(st.characters(codec="utf-8"), max_size=20)
LOGGED = st.builds(
    Logged,
    store=st.sampled_from(["9f2c41d07be35a68", "another"]),
    number=st.integers(1, 2**63 - 1),
    trial=st.builds(
        trial,
        after=st.timedeltas(timedelta(0), timedelta(days=4000)),
        utc_offset_minutes=st.integers(-720, 840),
        key=st.sampled_from(KEYS),
        seed=st.integers(-(2**63), 2**63 - 1),
        tempo_bpm=st.none() | st.floats(30, 400),
        question=TEXT,
        answer=TEXT,
        credit=st.floats(0, 1),
        helps=st.lists(TEXT, max_size=4).map(tuple),
        answer_s=st.floats(0, 1e6),
        taken_for=st.none() | TEXT,
    ),
    slips=st.lists(st.datetimes(datetime(2027, 1, 1), timezones=st.just(UTC)), max_size=2).map(tuple),  # noqa: DTZ001
)


@given(logged=LOGGED)
def test_a_line_reads_back(logged: Logged) -> None:
    """Whatever a trial holds, its line is one line and gives it back to the bit."""
    line = write_line(logged)
    assert "\n" not in line
    assert logged == read_line(line)


def lines_of(count: int, *more: str) -> bytes:
    """A file with so many trials, and more lines behind them."""
    trials = [write_line(Logged("a", number, trial(timedelta(minutes=number)))) for number in range(1, count + 1)]
    return "\n".join((head_line("a", count, 0), *trials, *more, "")).encode()


def read(file: bytes) -> tuple[list[Logged], list[tuple[int, str]]]:
    """What a file holds, and what was told of it."""
    faults: list[tuple[int, str]] = []
    return list(read_log(io.BytesIO(file), lambda line, why: faults.append((line, why)))), faults


def without(name: str, **other: Any) -> str:
    """A trial's line without a field, or with other values."""
    values = {**json.loads(write_line(Logged("a", 9, trial()))), **other}
    values.pop(name, None)
    return json.dumps(values)


@pytest.mark.parametrize(
    ("why", "line"),
    [
        ("no JSON", '{"store": "a", "num'),
        ("no JSON", "[" * 100_000),
        ("no trial", "[1, 2]"),
        ("`answer` is missing", without("answer")),
        ("`slips` is missing", without("slips")),
        ("`rung` is '3', not a number", without("", rung="3")),
        ("`rung` is 'True', not a number", without("", rung=True)),
        ("its rung is 9", without("", rung=9)),
        ("`unit` is 'None', not text", without("", unit=None)),
        ("`credit` is 'None', not a number", without("", credit=None)),
        ("its credit is 1.5", without("", credit=1.5)),
        ("its credit is nan", without("", credit=float("nan"))),
        ("`at_utc` is 'soon', not a moment", without("", at_utc="soon")),
        ("`at_utc` is '2027-03-01T18:00:00', not a moment", without("", at_utc="2027-03-01T18:00:00")),
        ("`helps` holds something else", without("", helps=["again", 3])),
        ("`slips` is 'later'", without("", slips=["later"])),
        ("`number` is not from 1 on", without("", number=0)),
        ("`store` is empty", without("", store="")),
    ],
)
def test_what_cant_be_read_is_told_with_its_line(why: str, line: str) -> None:
    """A line that is none is told with its number, and those before and after it are taken."""
    after = write_line(Logged("a", 7, trial(timedelta(days=1))))
    found, faults = read(lines_of(2, line, after))
    assert [1, 2, 7] == [one.number for one in found]
    assert [4] == [number for number, _ in faults]
    assert why in faults[0][1]


def test_a_line_that_is_no_text_or_endless(tmp_path: Path) -> None:
    """Bytes that are no UTF-8, and lines longer than any trial, are told and passed over."""
    file = lines_of(1) + b'{"store": "\xff"}\n' + b"x" * (2 * LONGEST + 5) + b"\n" + lines_of(3).split(b"\n")[3] + b"\n"
    found, faults = read(file)
    assert [1, 3] == [one.number for one in found]
    assert [(3, "it is no UTF-8 text"), (4, f"it is longer than {LONGEST} bytes")] == faults


def test_a_file_that_was_cut_short() -> None:
    """A file that lost its end is told as a whole, and what it holds is taken."""
    whole = lines_of(5)
    found, faults = read(whole[: len(whole) // 2])
    assert 2 == len(found)
    assert [4, 0] == [number for number, _ in faults]
    assert "promises 5 answers and holds 3" in faults[-1][1]


@pytest.mark.parametrize("ends", [b"\n", b"\r\n", b"\n\n"])
def test_other_line_ends_and_marks_are_no_fault(ends: bytes) -> None:
    """A file that went through another editor reads the same: line ends, empty lines, a byte order mark."""
    found, faults = read(b"\xef\xbb\xbf" + lines_of(3).replace(b"\n", ends))
    assert ([1, 2, 3], []) == ([one.number for one in found], faults)


def test_fields_that_are_not_known_are_passed_over() -> None:
    """A later keyfarer may tell more of a trial; what this one knows is read."""
    found, faults = read(lines_of(0, without("", sung="2 5 1")))
    assert ([Logged("a", 9, trial())], []) == (found, faults)


@pytest.mark.parametrize(
    ("why", "first"),
    [
        ("found no memory of keyfarer", b""),
        ("found no memory of keyfarer", b"title: Two Lamps"),
        ("found no memory of keyfarer", b"[1]"),
        ("found 'keyfarer/question/1'", b'{"schema": "keyfarer/question/1"}'),
        ("update keyfarer, then import again", b'{"schema": "keyfarer/memory/2"}'),
        ("no UTF-8", b"\xff\xfe"),
    ],
)
def test_a_file_of_another_kind_is_refused(why: str, first: bytes) -> None:
    """Only a memory of a version that is known is read."""
    with pytest.raises(LineError, match=why):
        read(first + b"\n" + write_line(Logged("a", 1, trial())).encode())


def test_the_file_is_what_it_is_said_to_be(tmp_path: Path) -> None:
    """The first line tells schema, store and counts; each further line has the fields of a trial and its identity."""
    file = io.BytesIO()
    with open_store(tmp_path / "memory.db") as store:
        store.append_all([trial(timedelta(days=1)), trial(helps=("again",))])
        store.slip(2, MONDAY + timedelta(minutes=1))
        assert 2 == write_log(store, file)
        head, *trials = map(json.loads, file.getvalue().decode().splitlines())
        assert {"schema": "keyfarer/memory/1", "store": store.id, "trials": 2, "slips": 1} == head
        assert [(store.id, 2), (store.id, 1)] == [(one["store"], one["number"]) for one in trials]
        fields = set(Trial.__dataclass_fields__) - {"id"}
        assert fields | {"store", "number", "slips"} == set(trials[0])
        assert (["again"], ["2027-03-01T18:01:00+00:00"]) == (trials[0]["helps"], trials[0]["slips"])


def day_of_line(line: dict[str, Any]) -> date:
    """The practice day by hand: local time minus four hours."""
    local = datetime.fromisoformat(line["at_utc"]) + timedelta(minutes=line["utc_offset_minutes"])
    return (local - timedelta(hours=4)).date()


def rating_by_hand(day: list[dict[str, Any]]) -> int:
    """The table of ratings written out once more, row after row, for the lines of one unit's day in order."""
    above = [max(0.0, (one["credit"] - one["guess_chance"]) / (1 - one["guess_chance"])) for one in day]
    first, later, helps = above[0], above[1:], day[0]["helps"]
    luck = prod(one["guess_chance"] for one, credit in zip(day, above, strict=True) if credit >= 0.85)
    if first < 0.5:
        held = len(later) >= 2 and min(later) >= 0.999 and not any(one["helps"] for one in day[1:])
        return 2 if held else 1
    shaky = (
        len(helps) > 1 or helps not in ([], ["again"]),
        first < 0.85,
        luck >= 0.3,
        bool(later) and sum(later) / len(later) < 0.6,
        day[0]["answer_s"] > 2 * day[0]["sound_s"] + 15,
    )
    if any(shaky):
        return 2
    at_once = not helps and day[0]["answer_s"] <= day[0]["sound_s"] + 6 and luck < 0.1 and all(c >= 0.85 for c in later)
    return 4 if day[0]["rung"] >= 4 and at_once else 3


@pytest.mark.parametrize("retention", [0.8, 0.9, 0.95])
def test_due_days_are_those_of_fsrs_driven_from_the_file(tmp_path: Path, retention: float) -> None:
    """The library `fsrs` alone, driven day by day from the exported lines, gives all due days, to the bit."""
    rng = Random(5)
    with open_store(tmp_path / "memory.db", Settings(retention=retention)) as store:
        fill(store, 3000, seed=11)
        for id in rng.sample(range(1, 3001), 60):
            store.slip(id, MONDAY)
        file = io.BytesIO()
        write_log(store, file)
        days: dict[str, dict[date, list[dict[str, Any]]]] = {}
        for line in map(json.loads, file.getvalue().decode().splitlines()[1:]):
            if not line["slips"]:
                days.setdefault(line["unit"], {}).setdefault(day_of_line(line), []).append(line)
        scheduler = fsrs.Scheduler(
            desired_retention=retention, learning_steps=(), relearning_steps=(), enable_fuzzing=False
        )
        assert len(days) > 10
        for unit, of_unit in days.items():
            card, expected = fsrs.Card(card_id=1), []
            for day in sorted(of_unit):
                lines = sorted(of_unit[day], key=lambda line: line["at_utc"])
                at = datetime.combine(day, time(12), UTC)
                card, _ = scheduler.review_card(card, fsrs.Rating(rating_by_hand(lines)), at)
                expected.append((day, card.stability, card.difficulty, card.due.date()))
            found = store.review_history(unit)
            assert expected == [(one.day, one.stability, one.difficulty, one.due_day) for one in found]
