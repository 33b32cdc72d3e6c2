"""Tables of keys: made once, kept within bounds, the same whoever asks and whatever was played before."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from synth import partials
from synth.level import score_lufs
from synth.render import render
from synth.score import Note
from tests.synth.scores import comping, score


def test_a_key_is_laid_out_once() -> None:
    """Asked for again, alone or among others, a key is the very same; another tuning or rate has its own."""
    one = partials.keys_of([("keys", 60)], 48_000)["keys", 60]
    among = partials.keys_of([("bass", 40), ("keys", 60)], 48_000)
    assert one is among["keys", 60]
    assert one is not partials.keys_of([("keys", 60)], 48_000, 415.0)["keys", 60]
    assert one is not partials.keys_of([("keys", 60)], 16_000)["keys", 60]


def test_a_key_among_others_is_as_alone() -> None:
    """Worked out with other keys its tables are those that it has alone."""
    names = [("keys", 28), ("click", 76), ("brush", 40), ("keys", 96)]
    partials.forget_keys()
    together = partials.keys_of(names, 48_000)  # type: ignore[arg-type]
    for name in names:
        partials.forget_keys()
        alone = partials.keys_of([name], 48_000)[name]  # type: ignore[list-item,index]
        assert np.array_equal(alone.columns, together[name].columns)  # type: ignore[index]
        assert np.array_equal(partials.rows_of(alone, 32), partials.rows_of(together[name], 32))  # type: ignore[index]


def test_what_was_played_before_changes_nothing() -> None:
    """The same score sounds the same from nothing, after other scores, and after its loudness was worked out."""
    music = comping(2)
    partials.forget_keys()
    first = render(music)
    score_lufs(music)
    render(comping(2, 7), 44_100, 415.0)
    assert np.array_equal(first, render(music))


def test_few_keys_are_kept() -> None:
    """However many keys sound, no more than KEYS_KEPT are kept, and the sound is that of each by itself."""
    partials.forget_keys()
    for rate in (44_100, 48_000):
        for midi in range(21, 109):
            render(score(Note(0.0, 0.01, midi, 80, "keys")), rate)
            assert len(partials._kept) <= partials.KEYS_KEPT
    assert partials._kept


@pytest.mark.parametrize("channels", [1, 2])
def test_threads_dont_disturb_each_other(channels: int) -> None:
    """Four threads at once render what each renders alone."""
    scores = [comping(3, seed) for seed in range(4)]
    alone = [render(music, channels=channels) for music in scores]
    partials.forget_keys()
    with ThreadPoolExecutor(4) as threads:
        together = list(threads.map(lambda music: render(music, channels=channels), scores * 3))
    for at, sound in enumerate(together):
        assert np.array_equal(alone[at % 4], sound)


def test_a_soft_note_is_a_loud_ones_key() -> None:
    """Strokes of one key share its tables; only the amplitudes differ, and the harder one has more of each partial."""
    keys = partials.keys_of([("keys", 50)], 48_000)
    soft, loud = (partials.strokes_of("keys", ((50, velocity),), keys).voices[0][0] for velocity in (30, 110))
    assert soft.key is loud.key
    assert (loud.amplitudes > soft.amplitudes).all()


def test_partials_end_when_they_cant_be_heard() -> None:
    """Partials are fewer and fewer with time, none is left after a minute, and a drone keeps all of its own."""
    keys = partials.keys_of([("keys", 50), ("drone", 50)], 48_000)
    note = partials.strokes_of("keys", ((50, 80),), keys).voices[0][0]
    counts = [partials.living(note, 48_000 * second) for second in range(61)]
    assert counts == sorted(counts, reverse=True)
    assert len(note.amplitudes) == counts[0] > counts[3] > 0 == counts[60]
    drone = partials.strokes_of("drone", ((50, 80),), keys).voices[0][0]
    assert len(drone.amplitudes) == partials.living(drone, 48_000 * 60)
