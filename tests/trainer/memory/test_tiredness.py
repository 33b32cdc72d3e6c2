"""Whether accuracy falls within a session."""

import random

from trainer.memory.tiredness import Expected, fall, tired


def session(rights: str, chance: float = 0.7) -> list[Expected]:
    """Answers of one modelled chance: 1 right, 0 wrong."""
    return [Expected(chance, float(one)) for one in rights]


def test_a_fall_against_what_was_expected_is_told() -> None:
    """All right at first and nothing later is tiredness; the same the other way round, or evenly spread, is none."""
    assert tired(session("11111111" + "00000100"))
    assert not tired(session("00000100" + "11111111"))
    assert not tired(session("10" * 8))


def test_harder_questions_are_no_tiredness() -> None:
    """Where the later half was modelled as hard, answers that go wrong there tell nothing."""
    answers = session("1111111111", 0.95) + session("0010000100", 0.2)
    assert fall(answers) < 0.15
    assert not tired(answers)


def test_a_few_answers_tell_nothing() -> None:
    """Under twelve answers nothing is told, and none at all is no fall."""
    assert not tired(session("11111" + "00000"))
    assert 0.0 == fall([])


def test_it_is_told_by_mistake_once_in_twenty_sessions_at_most() -> None:
    """Of two thousand sessions of players who don't tire at most one in twenty is told to be tired."""
    rng = random.Random(5)
    told = 0
    for _ in range(2000):
        chances = [rng.uniform(0.3, 0.9) for _ in range(24)]
        told += tired([Expected(chance, float(rng.random() < chance)) for chance in chances])
    assert told <= 2000 * 0.05 * 1.25


def test_who_tires_is_mostly_told() -> None:
    """Sessions whose later half loses four tenths of its chances are told more often than not."""
    rng = random.Random(6)
    told = 0
    for _ in range(500):
        told += tired([Expected(0.8, float(rng.random() < (0.8 if n < 14 else 0.4))) for n in range(28)])
    assert told > 300
