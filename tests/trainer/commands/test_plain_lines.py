"""A session in plain lines: what is said, in which order, and what is understood."""

from datetime import date
from pathlib import Path

from tests.trainer.practice.practising import session_in
from trainer.commands.plain import run_plain
from trainer.harmony.glossary import TERM
from trainer.practice.words import due_word

DAY = date(2026, 3, 14)


def printout(folder: Path, *lines: str, **chosen: object) -> list[str]:
    """What a session says to these lines."""
    session, _, _, _ = session_in(folder, **chosen)  # type: ignore[arg-type]
    said: list[str] = []
    run_plain(session, iter(lines), said.append, DAY, "A test.")
    return said


def test_a_question_is_one_paragraph_and_its_mark_one_line(tmp_path: Path) -> None:
    """The question's paragraph, then the mark with the right row, then why, then the end."""
    said = printout(tmp_path, "2 5 1", count=1)
    assert "A test. Type help for the words that help." == said[0]
    assert said[2].startswith("Question 1 of 1. The key of ")
    assert said[3].startswith("Right. It was ")
    assert "1 of 1 right, 100 of 100 heard." in said
    assert "Your answers are kept." == said[-1]


def test_every_word_is_understood(tmp_path: Path) -> None:
    """Helps, words, slip, compare, skip and stop do what they say, in any case."""
    said = printout(
        tmp_path, "AGAIN", "slower", "bass", "guide", "arpeggio", "key", "words", "", "slip", "compare", "skip",
        "slip", "compare", "pause", "pause", "stop",
    )  # fmt: skip
    told = "\n".join(said)
    assert "Helps so far: again, slower, bass, guide, arpeggio, key." in told
    assert "Paused: no time counts. pause goes on, from the beginning.\nIt sounds again." in told
    assert "nothing has been answered yet" in told
    assert "there is nothing to compare yet" in told
    assert "Passed over. It was" in told
    assert "Question 1 counts as a slip" in told
    assert "Question 1 as it was:" in told
    assert "Nothing was answered, nothing is counted." in told


def test_words_are_explained(tmp_path: Path) -> None:
    """What and a word tells what it means, what alone what was asked last, and what is new says so once."""
    said = printout(tmp_path, "what", "what Guide tones", "what bakdor", "skip", "what", "skip", count=2)
    told = "\n".join(said)
    assert "type what and a word, as what backdoor" in told
    assert TERM["guide-tones"].says in said
    assert "near it: backdoor" in told
    assert 1 == told.count("New to you: two–five–one in major.")
    assert TERM["major-two-five-one"].says in said


def test_nonsense_is_told_and_asked_again(tmp_path: Path) -> None:
    """What can't be read is answered with what is accepted, and the next line is taken as the answer."""
    said = printout(tmp_path, "what?!", "2 5 1", count=1)
    assert any("can't read" in line for line in said)
    assert any(line.startswith("Right.") for line in said)


def test_choices_are_numbered_lines(tmp_path: Path) -> None:
    """On the first rung three rows are offered, a line each, and a number picks one."""
    said = printout(tmp_path, "1", rung=1, count=1)
    assert ["1", "2", "3"] == [line[0] for line in said[3:6]]
    assert all(line[1:3] == ": " for line in said[3:6])


def test_no_line_is_drawn_or_colored(tmp_path: Path) -> None:
    """No escape codes, no box drawing, nothing but text that a braille line can show."""
    said = printout(tmp_path, "2 5 6", "bass", "2 5 1", "1", count=3)
    for line in said:
        assert not any(ord(letter) < 32 or 0x2500 <= ord(letter) < 0x2600 for letter in line)


def test_the_end_of_the_lines_ends_the_session(tmp_path: Path) -> None:
    """A pipe that ends is a stop: what was answered is summed up."""
    said = printout(tmp_path, "2 5 1")
    assert "1 of 1 right, 100 of 100 heard." in said


def test_a_due_day_is_said_as_one_says_it() -> None:
    """Today, tomorrow, in so many days, in months."""
    said = [due_word(date(2026, 3, day), DAY) for day in (13, 14, 15, 20)] + [due_word(date(2026, 9, 14), DAY)]
    assert ["today", "today", "tomorrow", "in 6 days", "in 6 months"] == said


def test_a_paced_session_waits_before_the_next_question(tmp_path: Path) -> None:
    """Interactively the next question comes after an empty line; words still help in between."""
    session, _, _, sound = session_in(tmp_path, count=2)
    said: list[str] = []
    lines = iter(["2 5 1", "compare", "whatever", "", "2 5 1", ""])
    run_plain(session, lines, said.append, DAY, "A test.", paced=True)
    first = said.index("Enter goes on.")
    second = next(n for n, line in enumerate(said) if line.startswith("Question 2 of"))
    assert first < second
    assert any(line.startswith("Question 1 as it was") for line in said[first:second])
    assert any("are understood here" in line for line in said[first:second])
    assert len(sound.played) >= 3


def test_the_sound_can_be_turned_by_words(tmp_path: Path) -> None:
    """Louder and softer turn the sound by their step and tell where it stands."""
    session, _, _, _ = session_in(tmp_path, count=1)
    said: list[str] = []
    level = [-20.0]

    def turn(by_db: float) -> float:
        level[0] += by_db
        return level[0]

    run_plain(session, iter(["louder", "softer", "softer", "stop"]), said.append, DAY, "A test.", level=turn)
    told = [line for line in said if line.startswith("Level ")]
    assert "Level -18 decibels, of 0 at the most." == told[0]
    assert ["Level -20 decibels, of 0 at the most.", "Level -22 decibels, of 0 at the most."] == told[1:]
