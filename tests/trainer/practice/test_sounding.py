"""The way out of a session: which device, which tuning, what is sent out, and the sample of how tunes sound."""

import math
from dataclasses import replace

import numpy as np
import pytest

from synth.errors import SoundError
from tests.doubles.sound import Played, SoundTwin
from tests.trainer.practice.practising import Remembering
from trainer.practice.sent_out import SILENCE, sent_out
from trainer.practice.sounding import Loudspeaker
from trainer.practice.tone_sample import tone_sample
from trainer.settings import Settings
from trainer.settings_told import SOUND, TOLD, TUNES

RATE = 48_000


def test_it_moves_and_stays_where_it_cannot() -> None:
    """No name is the system's own; what can't be opened raises, and nothing changes."""
    twin = SoundTwin()
    speaker = Loudspeaker(lambda: twin, volume_db=-20.0)
    assert speaker.device is None
    speaker.move("other twin")
    assert "other twin" == speaker.device
    assert pytest.approx(0.1) == twin.volume
    with pytest.raises(SoundError, match="nowhere"):
        speaker.move("nowhere")
    assert "other twin" == speaker.device
    speaker.move("")
    assert "twin" == speaker.device


def test_another_tuning_note_drops_what_was_prepared() -> None:
    """What was made at 440 isn't played when 430 is set; the pitch that sounds is 430's."""
    twin = SoundTwin()
    speaker = Loudspeaker(lambda: twin)
    performance = tone_sample(Settings())
    speaker.prepare(performance)
    speaker.a4_hz = 430.0
    assert 430.0 == speaker.a4_hz
    speaker.play(performance)
    first = twin.played[-1].samples
    speaker.a4_hz = 440.0
    speaker.play(performance)
    assert first.shape == twin.played[-1].samples.shape
    assert np.abs(first - twin.played[-1].samples).max() > 0.01


def test_what_is_sent_out_is_measured_at_its_level() -> None:
    """A stereo 1 kHz sine at -23 dBFS is -23.0 LUFS and its peak -23.0 dBTP (EBU Tech 3341, case 1; from memory)."""
    wave = 10 ** (-23 / 20) * np.sin(2 * np.pi * 1000 * np.arange(3 * RATE) / RATE)
    twin = SoundTwin()
    speaker = Loudspeaker(lambda: twin)
    assert SILENCE == sent_out(speaker)
    speaker.move("twin")
    twin.played.append(Played(np.repeat(wave[:, None], 2, axis=1).astype(np.float32), RATE, 0.0, False, 1.0))
    shown = sent_out(speaker)
    assert pytest.approx(-23.0, abs=0.1) == shown.momentary_lufs
    assert pytest.approx(-23.0, abs=0.1) == shown.peak_dbtp
    twin.volume = 0.1
    twin.played.append(replace(twin.played[-1], volume=0.1))
    assert pytest.approx(-43.0, abs=0.1) == sent_out(speaker).momentary_lufs
    twin.played.append(Played(np.zeros((RATE, 2), dtype=np.float32), RATE, 0.0, False, 1.0))
    assert sent_out(speaker).silent


def test_where_nothing_is_sent_to_a_device_there_is_silence() -> None:
    """A sound that is only remembered has no level."""
    assert -math.inf == sent_out(Remembering()).momentary_lufs


NOT_IN_THE_NOTES = ("device", "volume_db", "level_set", "a4_hz", "room")
"""What of the sound is the device's, the tuning's and the room's."""
HEARD = [row.name for row in TOLD.values() if row.group in (SOUND, TUNES) and row.name not in NOT_IN_THE_NOTES]


@pytest.mark.parametrize("name", HEARD)
def test_each_setting_of_tunes_is_heard_in_the_sample(name: str) -> None:
    """Each value of how tunes are played gives the sample another score; the sample is as the settings say."""
    stops = [stop for stop in TOLD[name].stops if name != "ratio" or stop in (0.0, 1.0, 3.0)]
    scores = [tone_sample(replace(Settings(), **{name: stop})).score for stop in stops]
    same = [(a, b) for n, a in enumerate(stops) for m, b in enumerate(stops) if n < m and scores[n] == scores[m]]
    assert [("", "charleston")] * (name == "comping") == same
