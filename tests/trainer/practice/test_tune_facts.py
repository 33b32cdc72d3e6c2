"""A tune in short: what the whole reading says of it, kept as text that reads back."""

from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.drills.units import find_unit
from trainer.practice.tune_facts import TuneFacts, facts_of, facts_text, parse_facts, program_now, read_facts_of
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json


def facts_and_json(name: str) -> tuple[TuneFacts, dict[str, object]]:
    """A tune in short, and its whole reading as the public JSON has it."""
    timeline = unfold(load(name))
    analysis = analyze(timeline)
    return facts_of(timeline, analysis), analysis_json(analysis)


def test_facts_are_those_of_the_reading() -> None:
    """Of every exercise tune each cadence and each move of the reading's JSON is there once, with its bars."""
    for name, _ in exercise_tunes():
        facts, whole = facts_and_json(name)
        cadences = sorted(
            (
                one["type"],
                one["from"]["bar"],
                max(one["from"]["bar"], one["until"]["bar"] - (one["until"]["beat"] == 1)),
            )
            for one in whole["cadences"]  # type: ignore[attr-defined]
        )
        assert cadences == sorted((met.unit, *bars) for met in facts.cadences for bars in met.bars)
        moves = sorted(
            (one["move"]["semitones"], one["move"]["mode_from"], one["move"]["mode_to"], one["from"]["bar"])
            for one in whole["route"]  # type: ignore[attr-defined]
            if one["move"]
        )
        units = [(find_unit(met.unit), bars[0]) for met in facts.moves for bars in met.bars]
        assert moves == sorted((one.semitones, one.mode_from, one.mode_to, bar) for one, bar in units)  # type: ignore[union-attr]


def test_facts_read_back() -> None:
    """Facts of all exercise tunes, written and read again, are the same, and so is what made them."""
    facts = {name: read_facts_of(place.read_bytes(), name) for name, place in exercise_tunes()}
    assert (facts, "a program") == parse_facts(facts_text(facts, "a program"))


def test_what_is_broken_counts_as_nothing_known() -> None:
    """A file that is cut off, of another schema, or no JSON gives no facts and no error."""
    text = facts_text({"ab": facts_and_json("coal-barge")[0]}, "a program")
    for broken in (text[:-9], text.replace("tune-facts/1", "tune-facts/2"), "", "[]", "[" * 100_000, '{"schema": 1}'):
        assert ({}, "") == parse_facts(broken)
    assert ({}, "") == parse_facts(text.replace('"bars": ', '"bores": '))


def test_what_stands_for_the_program_stays() -> None:
    """Asked twice in a row, the program that reads charts is the same one."""
    assert program_now() == program_now() != ""
