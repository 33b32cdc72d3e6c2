"""What the shares of readings say: they are exact, they are shares, and what is said to be likely is mostly right."""

import math
import random
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import ModuleType

import pytest

from tests.trainer.commands.many import NAMES
from tests.trainer.reading.charting import timeline_of
from tests.trainer.reading.every_path import Every, every_path
from tests.trainer.reading.plain_copy import plain_reading
from tests.trainer.reading.sets import PARTS, SETS, Piece, key_class, pieces, read
from tests.trainer.reading.telling import tell
from trainer.reading.costs import COSTS
from trainer.reading.events import Event, events_of
from trainer.reading.search import trellis_of
from trainer.reading.slots import FUNCTIONS, KEYS
from trainer.reading.trellis.cheapest import cheapest
from trainer.reading.trellis.shares import shares
from trainer.reading.values import ChordReading

BINS = 10
CALIBRATED_WITHIN = 0.05
"""Expected calibration error on the unseen part (Naeini, Cooper & Hauskrecht 2015)."""
EXACT = 1e-9


# --- shares are exact ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Tiny:
    """A chart small enough that all of its paths can be walked; keys count from the first chord's root."""

    chart: str
    pins: Mapping[int, int]
    """The key of an event that has to stand in one: that keeps the paths countable."""
    blues: int | None = None
    again: bool = False
    """The first chord comes once more, as it does for a tune that ends open."""
    holds: str | None = None
    """What some of the paths must go through; see `Every`."""


TINY = {
    "a two-five and its rest": Tiny("Dm7 | G7 | Cmaj7", {}),
    "triads": Tiny("C | F | G | C", {0: 0, 3: 0}),
    "a new center": Tiny("Cmaj7 | Fm7 | Bb7 | Ebmaj7", {0: 0, 3: 6}),
    "a chain of two-fives": Tiny("Em7 | A7 | Dm7 | G7", {0: 20, 3: 16}, holds="chained"),
    "a dominant of the dominant": Tiny("D7 | G7 | Cmaj7", {1: 20}),
    "an interruption after two": Tiny("Dm7 | Ab7 | Dbmaj7 | G7 | Cmaj7", {0: 20, 3: 20, 4: 20}, holds="interrupted"),
    "an interruption with its own two": Tiny(
        "G7 | Bbm7 Eb7 | Abmaj7 | G7 | C6", {0: 10, 1: 2, 2: 2, 4: 10, 5: 10}, holds="interrupted"
    ),
    "a blues": Tiny("C7 | F7 | C7", {2: 0}, blues=0),
    "an open end": Tiny("Dm7b5 | G7b9", {0: 21}, again=True),
    "a diminished passing chord": Tiny("C6 | C#dim7 | Dm7 | G7", {0: 0, 3: 0}),
    "one chord": Tiny("Am7", {}),
}


CHORDS = ("maj7", "7", "m7", "m7b5", "m6", "dim7", "7b9", "", "m", "7sus4", "6", "aug")
"""What the random tiny charts are made of, over any root."""
RANDOM_CHARTS = 40


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, ModuleType]]:
    """The plain copy of the search, whose trellis answers what each step costs."""
    with plain_reading(tmp_path_factory.mktemp("plain")) as modules:
        yield modules


def walked(tiny: Tiny, home: int, plain: Mapping[str, ModuleType]) -> Every:
    """Walk every path of a tiny chart from a home, and hold the search's outcome against it."""
    events = events_of(timeline_of(tiny.chart))
    if tiny.again:
        events = (*events, _again(events[0]))
    trellis = trellis_of(events, tiny.pins, tiny.blues)
    every = every_path(plain["search"].trellis_of(events, tiny.pins, tiny.blues), home, COSTS.temperature)
    cost, path, *_ = cheapest(trellis, home)
    assert every.least == pytest.approx(cost, abs=EXACT), tiny
    if every.runner_up > every.least + EXACT:
        assert list(every.best) == path, tiny
    log_weight, spread = shares(trellis, home, COSTS.temperature)
    assert math.log(every.total) == pytest.approx(log_weight, abs=EXACT), tiny
    assert every.spread == pytest.approx(list(spread), abs=EXACT), tiny
    size = KEYS * FUNCTIONS
    sums = [math.fsum(spread[n * size : (n + 1) * size]) for n in range(len(events))]
    assert sums == pytest.approx([1.0] * len(events), abs=EXACT), tiny
    return every


@pytest.mark.parametrize("name", TINY)
def test_cheapest_path_and_shares_are_exact(
    name: str, plain: dict[str, ModuleType], capsys: pytest.CaptureFixture[str]
) -> None:
    """On tiny charts, walking every path gives the same least cost, the same path, weight and shares."""
    tiny = TINY[name]
    paths = 0
    for home in (next(iter(tiny.pins.values()), 20), 9):
        every = walked(tiny, home, plain)
        assert tiny.holds is None or getattr(every, tiny.holds) > 0
        paths += every.paths
    tell(capsys, f"{name}: {paths:,} paths walked")
    assert paths > 1


def test_random_tiny_charts_are_exact(
    rng: random.Random, plain: dict[str, ModuleType], capsys: pytest.CaptureFixture[str]
) -> None:
    """The same for random chords in random rhythm, the keys at both ends random or none, any home."""
    paths = 0
    for _ in range(RANDOM_CHARTS):
        count = rng.choice((2, 3, 3, 4))
        words = [rng.choice(NAMES) + rng.choice(CHORDS) for _ in range(count)]
        chart = "".join(word + rng.choice((" | ", " | % | ")) for word in words)
        events = events_of(timeline_of(chart))
        pins = {} if len(events) == 2 else {0: rng.randrange(KEYS), len(events) - 1: rng.randrange(KEYS)}
        paths += walked(Tiny(chart, pins), rng.randrange(KEYS), plain).paths
    tell(capsys, f"{RANDOM_CHARTS} random charts: {paths:,} paths walked")
    assert paths > 1_000 * RANDOM_CHARTS


def _again(event: Event) -> Event:
    """A chord once more where nothing of the chart stands any longer."""
    return event._replace(spans=(), opens=False, closes=False, ends=False, pin=None)


# --- shares are calibrated ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Said:
    """One chord: how sure the reading is of its center, and whether the expert agrees."""

    share: float
    right: bool
    quarters: float


@dataclass(frozen=True, slots=True)
class Bin:
    """The chords that were said with about the same certainty."""

    part: float
    """Of all the chords' time."""
    said: float
    right: float


def center_share(chord: ChordReading) -> float:
    """How likely the center of a reading is: its own share, and those of its rivals in the same center."""
    assert chord.center is not None
    own = key_class(chord.center)
    others = (one.share for one in chord.rivals if one.center is not None and key_class(one.center) == own)
    return chord.confidence + math.fsum(others)


def said_in(chosen: Iterable[Piece]) -> list[Said]:
    """Every chord of some pieces."""
    out = []
    for piece in chosen:
        for chord, wanted in zip(read(piece).chords, piece.centers, strict=True):
            if wanted is not None and chord.center is not None:
                right = key_class(chord.center) == wanted
                out.append(Said(center_share(chord), right, float(chord.span.quarters)))
    return out


def reliability(said: Iterable[Said]) -> list[Bin]:
    """The chords in bins of equal width, from unsure to sure; bins without chords are left out."""
    bins: list[list[Said]] = [[] for _ in range(BINS)]
    for one in said:
        bins[min(BINS - 1, int(one.share * BINS))].append(one)
    whole = sum(one.quarters for held in bins for one in held)
    out = []
    for held in filter(None, bins):
        time = sum(one.quarters for one in held)
        sure = sum(one.share * one.quarters for one in held)
        out.append(Bin(time / whole, sure / time, sum(one.quarters for one in held if one.right) / time))
    return out


def calibration_error(bins: Iterable[Bin]) -> float:
    """Expected calibration error: how far what is said lies from what is right, a mean over the chords' time."""
    return sum(one.part * abs(one.said - one.right) for one in bins)


def test_what_is_said_to_be_likely_is_right_as_often(capsys: pytest.CaptureFixture[str]) -> None:
    """On the unseen part of the sets the certainty of a center is how often the expert agrees."""
    errors = {}
    for part in PARTS:
        of_part = [piece for piece in pieces() if piece.part == part]
        bins = reliability(said_in(of_part))
        errors[part] = calibration_error(bins)
        told = " ".join(f"{one.said:.2f}:{one.right:.2f}({one.part:.2f})" for one in bins)
        of_sets = ", ".join(
            f"{name} {calibration_error(reliability(said_in(p for p in of_part if p.set == name))):.3f}"
            for name in SETS
        )
        tell(capsys, f"calibration error, {part}: {errors[part]:.3f} ({of_sets})", f"  said:right(part) {told}")
    assert errors["unseen"] <= CALIBRATED_WITHIN


def test_calibration_error_is_what_it_is_by_hand() -> None:
    """Ten chords at 0.75 of which six are right, ten at 0.95 that all are: half of 0.15 and half of 0.05."""
    said = [Said(0.75, n < 6, 1.0) for n in range(10)] + [Said(0.95, True, 1.0) for _ in range(10)]
    assert calibration_error(reliability(said)) == pytest.approx(0.5 * 0.15 + 0.5 * 0.05)


def test_shares_are_shares(capsys: pytest.CaptureFixture[str]) -> None:
    """In every piece of the sets each chord's shares sum to 1, none is negative, no rival is the reading itself."""
    furthest = 0.0
    for piece in pieces():
        analysis = read(piece)
        for chord in analysis.chords:
            told = [chord.confidence, *(rival.share for rival in chord.rivals)]
            assert min(told) >= 0.0, (piece.name, chord.span.bar)
            furthest = max(furthest, abs(1.0 - math.fsum(told)))
            readings = [(rival.center, rival.function) for rival in chord.rivals]
            assert len(set(readings)) == len(readings), (piece.name, chord.span.bar)
            assert chord.center is None or (chord.center, chord.function) not in readings
        assert analysis.home is not None
        assert 0.0 <= analysis.home.confidence <= 1.0 + EXACT
    tell(capsys, f"shares of a chord sum to 1 within {furthest:.1e}")
    assert furthest <= EXACT
