"""A word in lines, and what is said where a unit is met first."""

from trainer.harmony.glossary import TERM, TERMS
from trainer.harmony.key import parse_key
from trainer.practice.told_term import first_met, term_lines, term_of


def test_a_word_is_told_in_lines() -> None:
    """Name and id, the meaning, other names, its chords in the key that was asked for, and what is near it."""
    lines = term_lines(TERM["backdoor"], parse_key("Bb"))
    assert "backdoor two–five (backdoor)" == lines[0]
    assert TERM["backdoor"].says == lines[1]
    assert "Heard: iv7 bVII7 Imaj7 in Bb major, Ebm7 Ab7 Bbmaj7." in lines
    assert lines[-1].startswith("Near it: ")
    assert all(term_lines(term)[1] == term.says for term in TERMS)


def test_an_example_through_two_keys_names_both() -> None:
    """Where an example goes to another key, each stretch says its key."""
    (heard,) = (line for line in term_lines(TERM["interrupted-after-five"]) if line.startswith("Heard"))
    assert 2 == heard.count("; then ")
    assert heard.endswith("V7 Imaj7 in C major, G7 Cmaj7.")


def test_every_unit_has_its_word() -> None:
    """A cadence type is explained by its own word, a move and a route by theirs; an unknown id by none."""
    assert TERM["plagal"] == term_of("plagal")
    assert TERM["move"] == term_of("move:+3:major-minor")
    assert TERM["route"] == term_of("route:coal-barge")
    assert term_of("of-tomorrow") is None


def test_what_is_new_is_explained_once() -> None:
    """A unit that is met first is named with its sentence, unless that was said already; an unknown one isn't."""
    says = TERM["plagal"].says
    assert f"New to you: four–one, the amen. {says}" == first_met("plagal", "")
    assert "New to you: four–one, the amen." == first_met("plagal", f"It is plagal. {says}")
    assert "" == first_met("of-tomorrow", "")
