"""What is computed from the log: grown step by step or computed anew, the rows are the same."""

import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.memory.made import KEYS, MONDAY, outcome, rows_of, trial
from trainer.memory import derive, derive_models, derive_reviews
from trainer.memory.chance import start
from trainer.memory.derive import DERIVED
from trainer.memory.growing import grown
from trainer.memory.schedule import RULES, Rating, Settings, rated, reviewed
from trainer.memory.store import open_store
from trainer.memory.tallies import tempo_band
from trainer.memory.trial import Trial, practice_day

TABLES = (*DERIVED, "derived_from")
TRIALS = st.builds(
    trial,
    after=st.integers(0, 12 * 24).map(lambda hours: timedelta(hours=hours)),
    utc_offset_minutes=st.sampled_from([-300, 0, 60]),
    unit=st.sampled_from(["turnaround", "backdoor"]),
    kind=st.sampled_from(["name-functions", "name-cadence"]),
    rung=st.integers(1, 6),
    key=st.sampled_from(KEYS),
    credit=st.sampled_from([0.0, 0.1, 1 / 3, 0.7, 1.0]),
    guess_chance=st.sampled_from([0.02, 0.25, 1 / 3]),
    helps=st.sampled_from([(), ("again",), ("slower", "key")]),
    answer_s=st.floats(3, 60),
    taken_for=st.sampled_from([None, None, "plagal", "minor-plagal"]),
    tempo_bpm=st.sampled_from([None, 92.0, 180.5]),
)
STEPS = st.lists(
    st.one_of(
        st.lists(TRIALS, min_size=1, max_size=6),
        st.just("refresh"),
        st.integers(0, 40),  # a slip of the trial with this number, counted from the newest
    ),
    max_size=14,
)


@settings(max_examples=60)
@given(steps=STEPS)
def test_rows_grown_are_rows_computed_anew(
    steps: list[Any], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever is logged, called a slip and refreshed when, growing and rebuilding agree to the bit."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(derive_models, "MODEL_EVERY", 4)
        with open_store(tmp_path_factory.mktemp("rows") / "memory.db") as store:
            count = 0
            for step in steps:
                if isinstance(step, list):
                    count += len(store.append_all(step))
                elif step == "refresh":
                    store.refresh()
                elif step < count:
                    store.slip(count - step, MONDAY)
            store.refresh()
            assert not store.stale()
            assert not store.refresh()
            left = rows_of(store.path, TABLES)
            store.rebuild()
            assert rows_of(store.path, TABLES) == left


@settings(max_examples=40)
@given(trials=st.lists(TRIALS, max_size=25), slip=st.integers(1, 25))
def test_rows_are_those_of_the_pure_functions(
    trials: list[Trial], slip: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Reviews, model and tallies are what the rules give on the log itself, counted here by hand."""
    with open_store(tmp_path_factory.mktemp("rows") / "memory.db") as store:
        stored = store.append_all(trials)
        if slip <= len(stored):
            store.slip(slip, MONDAY)
        store.refresh()
        counted = sorted((one for one in stored if one.id != slip), key=lambda one: one.at_utc)
        for unit in ("turnaround", "backdoor"):
            review, expected = None, []
            of_unit = [one for one in counted if one.unit == unit]
            days = {one.id: practice_day(one.at_utc, one.utc_offset_minutes) for one in of_unit}
            for day in sorted(set(days.values())):
                of_day = [one for one in of_unit if days[one.id] == day]
                review = reviewed(review, unit, day, rated(of_day))
                expected.append((day, review.rating, review.stability, review.due_day, len(of_day)))
            found = store.review_history(unit)
            assert expected == [
                (one.day, one.rating, one.stability, one.due_day, one.trials) for one in found
            ]
            assert (found[-1] if found else None) == store.reviews().get(unit)
        assert grown(start(), counted) == store.model()
        for facet in ("all", "key", "voicing", "tempo"):
            assert len(counted) == sum(tally.trials for tally in store.tallies(facet=facet))
            assert sum(one.credit for one in counted) == pytest.approx(
                sum(tally.credit for tally in store.tallies(facet=facet))
            )


def test_a_slip_gives_the_day_back(tmp_path: Path) -> None:
    """When the day's only miss turns out a slip, the review is as if it had not been."""
    with open_store(tmp_path / "memory.db") as store:
        missed = store.append(trial(credit=0.0))
        store.refresh()
        assert Rating.LOST == store.reviews()["major-two-five-one"].rating
        store.append(trial(timedelta(minutes=1)))
        store.slip(missed.id, MONDAY + timedelta(minutes=2))
        store.refresh()
        assert Rating.HELD == store.reviews()["major-two-five-one"].rating
        assert 1 == store.reviews()["major-two-five-one"].trials


def test_a_unit_whose_trials_are_all_slips_has_no_review(tmp_path: Path) -> None:
    """A day without a counted trial is no review, and nothing falls due."""
    with open_store(tmp_path / "memory.db") as store:
        only = store.append(trial())
        store.refresh()
        store.slip(only.id, MONDAY)
        store.refresh()
        assert {} == store.reviews()
        assert () == store.tallies()
        assert start() == store.model()


@pytest.mark.parametrize(
    "other", [Settings(retention=0.8), Settings(day_ends_hour=0)], ids=["retention", "hour"]
)
def test_other_settings_are_computed_from_the_whole_log(tmp_path: Path, other: Settings) -> None:
    """A store opened with other settings is stale; refreshed it gives what they give from the start."""
    late = [trial(timedelta(days=day, hours=hours)) for day in range(5) for hours in (0, 7)]
    with open_store(tmp_path / "memory.db") as store:
        store.append_all(late)
        store.refresh()
        before = store.reviews()
    with open_store(tmp_path / "fresh.db", other) as fresh:
        fresh.append_all(late)
        fresh.refresh()
    with open_store(tmp_path / "memory.db", other) as store:
        assert store.refresh()
        assert before != store.reviews()
        assert rows_of(tmp_path / "fresh.db", ("reviews", "tallies")) == rows_of(store.path, ("reviews", "tallies"))
        with open_store(tmp_path / "fresh.db", other) as fresh:
            assert fresh.model() == store.model()


def test_new_rules_are_computed_from_the_whole_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the rules of a later keyfarer differ, the first refresh computes all rows from the raw log."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append_all([trial(), trial(timedelta(days=1), credit=0.0)])
        store.refresh()
        monkeypatch.setattr(derive, "RATING_RULES_VERSION", 99)
        monkeypatch.setattr(derive_reviews, "rated", lambda outcomes: RULES[-1])
        assert store.refresh()
        assert {Rating.HELD} == {review.rating for review in store.review_history("major-two-five-one")}


def test_a_clock_that_was_set_back_is_no_harm(tmp_path: Path) -> None:
    """Trials that come in with an earlier day are reviewed on that day, and later reviews follow from it."""
    trials = [trial(timedelta(days=day)) for day in (0, 9, 4, 9, 1)]
    with open_store(tmp_path / "memory.db") as store:
        for one in trials:
            store.append(one)
            store.refresh()
        history = store.review_history("major-two-five-one")
        assert [date(2027, 3, 1 + day) for day in (0, 1, 4, 9)] == [review.day for review in history]
        left = rows_of(store.path, TABLES)
        store.rebuild()
        assert left == rows_of(store.path, TABLES)


def test_looking_costs_no_library(tmp_path: Path) -> None:
    """A store that is up to date is opened, refreshed and looked at without loading fsrs or numpy."""
    path = tmp_path / "memory.db"
    with open_store(path) as store:
        store.append_all([trial(timedelta(days=day), key=KEYS[day % 12]) for day in range(30)])
        store.refresh()
    code = (
        "import sys\nfrom datetime import date\nfrom trainer.memory.progress import progress\n"
        "from trainer.memory.store import open_store\nstore = open_store(sys.argv[1])\n"
        "assert not store.refresh()\nassert progress(store, date(2027, 4, 1))\n"
        "print(sorted({'fsrs', 'numpy', 'textual', 'click'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert "[]" == done.stdout.strip()


@pytest.mark.parametrize(
    ("expected", "tempo"), [("", None), ("80-99", 80.0), ("80-99", 99.9), ("100-119", 100.0)]
)
def test_tempi_are_counted_in_bands(expected: str, tempo: float | None) -> None:
    """A band holds its lower bound and not its upper one."""
    assert expected == tempo_band(tempo)


def test_an_outcome_is_enough_to_rate() -> None:
    """The rules need nothing of a trial but its outcome."""
    assert rated([trial()]) == rated([outcome()])
