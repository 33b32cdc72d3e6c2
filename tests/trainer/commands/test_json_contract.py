"""The JSON of `analyze` is a public contract: every field, of every exercise tune, as the design names it."""

import json
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest

from tests.trainer.commands.commanding import keyfarer
from trainer.charts.library import exercise_tunes
from trainer.harmony.cadence import CADENCE
from trainer.harmony.function import FUNCTIONS

Json = dict[str, Any]
Shape = Mapping[str, Any]

KEY: Shape = {"tonic": str, "mode": str}
PLACE: Shape = {"bar": int, "beat": float}
RIVAL: Shape = {"center": (KEY, None), "numeral": (str, None), "function": str, "share": float}
CHORD: Shape = {
    "bar": int, "beat": float, "beats": float, "beats_exact": str, "meter": str, "written_bar": int,
    "section": (str, None), "symbol": str, "written": str, "root": (str, None), "bass": (str, None),
    "quality": (str, None), "continues": bool, "pinned": bool, "center": (KEY, None), "numeral": (str, None),
    "function": str, "applied_to": (str, None), "leads_to": (str, None), "confidence": float, "why": [str],
    "rivals": [RIVAL],
}  # fmt: skip
CADENCE_FOUND: Shape = {
    "type": str, "center": KEY, "degree": (str, None), "from": PLACE, "until": PLACE, "chords": [int],
    "complete": bool, "within": (int, None), "wraps": bool,
}  # fmt: skip
INTERRUPTION: Shape = {
    "shape": str, "awaited": KEY, "heard": KEY, "from": PLACE, "until": PLACE, "chords": [int], "prepared": [int],
    "resumed": [int], "why": [str],
}  # fmt: skip
MOVE: Shape = {"semitones": int, "mode_from": str, "mode_to": str, "entered_by": str, "name": str}
STEP: Shape = {"center": KEY, "from": PLACE, "until": PLACE, "move": (MOVE, None)}
SECTION: Shape = {
    "name": (str, None), "from": PLACE, "until": PLACE, "same_as": (int, None), "differs_from_bar": (int, None),
    "found_name": (str, None), "like": (int, None), "differing_bars": [int],
}  # fmt: skip
HARDEST: Shape = {"from": PLACE, "until": PLACE, "why": [str]}
ANALYSIS: Shape = {
    "schema": str, "title": str, "file": str, "key": (KEY, None), "tempo": (int, float), "form": [str],
    "home": ({**KEY, "confidence": float, "why": [str]}, None), "chords": [CHORD], "cadences": [CADENCE_FOUND],
    "interruptions": [INTERRUPTION], "route": [STEP], "sections": [SECTION], "in_one_line": str,
    "hardest": (HARDEST, None),
}  # fmt: skip
"""Names and kinds as DESIGN.md's "What `analyze` prints" gives them.

Added since: `degree` of a cadence; `found_name`, `like`, `differing_bars` of a section; `in_one_line`; `hardest`.
"""

SHAPES = {"after-two", "after-two-and-again", "after-two-five", "after-two-five-and-again", "after-five"}
ENTERED_BY = {
    "own-two", "own-five", "tonic-turns-minor", "shared-chord", "half-step-slide", "dominant-chain", "direct"
}  # fmt: skip
TUNES = tuple(name for name, _ in exercise_tunes())


def faults(value: object, shape: object, where: str = "$") -> list[str]:
    """Where a value departs from its shape."""
    if isinstance(shape, tuple):
        return [] if any(not faults(value, one) for one in shape) else [f"{where}: {value!r}"]
    if isinstance(shape, list):
        if not isinstance(value, list):
            return [f"{where}: {value!r} is no list"]
        return [fault for n, one in enumerate(value) for fault in faults(one, shape[0], f"{where}[{n}]")]
    if isinstance(shape, Mapping):
        if not isinstance(value, dict) or set(value) != set(shape):
            return [f"{where}: fields {sorted(value) if isinstance(value, dict) else value!r}"]
        return [fault for name in shape for fault in faults(value[name], shape[name], f"{where}.{name}")]
    if shape is None:
        return [] if value is None else [f"{where}: {value!r}"]
    assert isinstance(shape, type)
    right = isinstance(value, shape) and (shape is bool or not isinstance(value, bool))
    return [] if right else [f"{where}: {value!r} is no {shape.__name__}"]


@pytest.fixture(scope="module")
def readings() -> dict[str, Json]:
    """What the command prints for all exercise tunes at once."""
    done = keyfarer("analyze", *TUNES, "--json")
    assert (0, "") == (done.returncode, done.stderr)
    lines = done.stdout.splitlines()
    assert len(TUNES) == len(lines)
    return dict(zip(TUNES, map(json.loads, lines), strict=True))


@pytest.mark.parametrize("tune", TUNES)
def test_every_field_is_there_and_of_its_kind(readings: dict[str, Json], tune: str) -> None:
    """Each object has exactly the contract's fields, each of its kind."""
    assert [] == faults(readings[tune], ANALYSIS)
    assert "keyfarer/analysis/1" == readings[tune]["schema"]


def test_the_check_finds_what_departs() -> None:
    """A missing field, a wrong kind and a bool in a number's place are seen."""
    place = {"bar": 1, "beat": 1.0}
    assert [] == faults(place, PLACE)
    assert ["$: fields ['bar']"] == faults({"bar": 1}, PLACE)
    assert ["$.bar: '1' is no int"] == faults({**place, "bar": "1"}, PLACE)
    assert ["$.bar: True is no int"] == faults({**place, "bar": True}, PLACE)


@pytest.mark.parametrize("tune", TUNES)
def test_words_of_closed_lists_are_from_them(readings: dict[str, Json], tune: str) -> None:
    """Functions, cadence types, shapes and ways to enter are those that the contract and the tables name."""
    reading = readings[tune]
    rivals = [rival for chord in reading["chords"] for rival in chord["rivals"]]
    assert {chord["function"] for chord in reading["chords"]} <= set(FUNCTIONS)
    assert {rival["function"] for rival in rivals} <= {*FUNCTIONS, "other"}
    assert {cadence["type"] for cadence in reading["cadences"]} <= set(CADENCE)
    assert {one["shape"] for one in reading["interruptions"]} <= SHAPES
    assert {step["move"]["entered_by"] for step in reading["route"] if step["move"]} <= ENTERED_BY
    assert {step["move"]["semitones"] for step in reading["route"] if step["move"]} <= set(range(-5, 7))


@pytest.mark.parametrize("tune", TUNES)
def test_shares_sum_to_one(readings: dict[str, Json], tune: str) -> None:
    """A chord's confidence and its rivals' shares sum to 1, but for their rounding to six places each."""
    for chord in readings[tune]["chords"]:
        shares = [chord["confidence"], *(rival["share"] for rival in chord["rivals"])]
        assert pytest.approx(1.0, abs=0.5e-6 * len(shares) + 1e-9) == sum(shares)
        assert all(0.0 <= share <= 1.0 for share in shares)


@pytest.mark.parametrize("tune", TUNES)
def test_chords_tile_the_tune(readings: dict[str, Json], tune: str) -> None:
    """Each chord ends where the next begins, in its bar or at the next bar's first beat, to the tune's end."""
    chords = readings[tune]["chords"]
    bar, at = chords[0]["bar"], Fraction(0)
    for chord in chords:
        assert (bar, float(at + 1)) == (chord["bar"], chord["beat"])
        assert float(Fraction(chord["beats_exact"])) == chord["beats"] > 0
        at += Fraction(chord["beats_exact"])
        beats = int(chord["meter"].partition("/")[0])
        assert at <= beats
        if at == beats:
            bar, at = bar + 1, Fraction(0)
    assert 0 == at
    assert {"bar": bar, "beat": 1.0} == readings[tune]["sections"][-1]["until"]


@pytest.mark.parametrize("tune", TUNES)
def test_sections_and_route_tile_the_tune(readings: dict[str, Json], tune: str) -> None:
    """Sections and key centers follow each other without gap or overlap, half-open, from the first chord to the end."""
    reading = readings[tune]
    first = {name: reading["chords"][0][name] for name in ("bar", "beat")}
    for stretches in (reading["sections"], reading["route"]):
        assert first == stretches[0]["from"]
        assert reading["sections"][-1]["until"] == stretches[-1]["until"]
        assert all(one["until"] == after["from"] for one, after in pairwise(stretches))


@pytest.mark.parametrize("tune", TUNES)
def test_spans_are_those_of_their_chords(readings: dict[str, Json], tune: str) -> None:
    """A cadence or an interruption begins with its first chord and ends before whatever follows its last."""
    reading = readings[tune]
    starts = [{name: chord[name] for name in ("bar", "beat")} for chord in reading["chords"]]
    starts.append(reading["sections"][-1]["until"])
    for one in (*reading["cadences"], *reading["interruptions"]):
        if not one.get("wraps"):
            assert starts[one["chords"][0]] == one["from"]
            assert starts[one["chords"][-1] + 1] == one["until"]
    for number, cadence in enumerate(reading["cadences"]):
        assert cadence["within"] != number


@pytest.mark.parametrize("tune", TUNES)
def test_a_foreign_center_is_heard_and_never_in_the_route(readings: dict[str, Json], tune: str) -> None:
    """The chords of an interruption bear the key that is heard; its stretch of the route the one that is awaited."""
    reading = readings[tune]
    for one in reading["interruptions"]:
        assert all(reading["chords"][n]["center"] == one["heard"] for n in one["chords"])
        place = (one["from"]["bar"], one["from"]["beat"])
        around = [
            step["center"]
            for step in reading["route"]
            if (step["from"]["bar"], step["from"]["beat"]) <= place < (step["until"]["bar"], step["until"]["beat"])
        ]
        assert [one["awaited"]] == around


def test_silence_has_no_reading() -> None:
    """N.C. has no root, center, numeral or goal, and the function none."""
    done = keyfarer("analyze", "-", "--json", given=b"[A]\n| C | N.C. | G7 | C |\n")
    silent = json.loads(done.stdout)["chords"][1]
    assert "N.C." == silent["symbol"]
    assert "none" == silent["function"]
    assert [None] * 6 == [silent[name] for name in ("root", "bass", "quality", "center", "numeral", "leads_to")]
    assert [] == faults(silent, CHORD)
