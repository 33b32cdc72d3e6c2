"""The tones: where partials lie, how bright, how long."""

import numpy as np
import pytest

from synth.score import Part
from synth.tones import amplitudes, fundamental_hz, modes, panorama

PITCHED: tuple[Part, ...] = ("keys", "bass", "drone")


def test_equal_temperament() -> None:
    """Middle C is 261.626 Hz where A4 is 440 (ISO 16; a table of equal temperament, from memory)."""
    assert pytest.approx(261.6256, abs=1e-4) == fundamental_hz(60)
    assert pytest.approx(415.0) == fundamental_hz(69, 415.0)


@pytest.mark.parametrize("part", PITCHED)
@pytest.mark.parametrize("rate", [44_100, 48_000])
def test_sixteen_to_sixty_four_partials_below_half_the_rate(part: Part, rate: int) -> None:
    """Every key has 16 to 64 partials, fewer only where half the sample rate leaves no room."""
    for midi in range(21, 109):
        found = modes(part, midi, rate).frequencies_hz
        assert len(found) <= 64
        assert found.max() < rate / 2
        more = modes(part, midi, 4 * rate).frequencies_hz
        assert len(found) >= 16 or more[len(found)] > 0.48 * rate


@pytest.mark.parametrize("midi", [33, 60, 84])
def test_partials_are_stretched_as_in_a_stiff_string(midi: int) -> None:
    """f_n = n·f0·sqrt(1 + B·n²) with one B for the whole key (H. Fletcher 1964)."""
    found = modes("keys", midi, 48_000).frequencies_hz
    number = np.arange(1, len(found) + 1)
    stiffness = ((found / (number * fundamental_hz(midi))) ** 2 - 1) / number**2
    assert np.allclose(stiffness, stiffness[-1], rtol=1e-6)
    assert 0 < stiffness[0] < 1e-3


@pytest.mark.parametrize("part", PITCHED)
@pytest.mark.parametrize("midi", [33, 48, 60, 72, 84])
def test_a_harder_stroke_is_louder_and_brighter(part: Part, midi: int) -> None:
    """Loudness and the spectrum's centroid grow with every step of velocity."""
    found = modes(part, midi, 48_000)
    strengths = [amplitudes(found, velocity) for velocity in range(1, 128, 9)]
    centroids = [float((s * found.frequencies_hz).sum() / s.sum()) for s in strengths]
    assert centroids == sorted(centroids)
    assert len(set(centroids)) == len(centroids)
    energies = [float((s**2).sum()) for s in strengths]
    assert energies == sorted(energies)


def test_octaves_share_their_partials() -> None:
    """Where a key's partial and one of the key an octave above are the same in name, they are in hertz too.

    With B growing as the square of the frequency, n·f0·sqrt(1 + B·n²) depends on n·f0 alone.
    """
    for midi in range(28, 90):
        low, high = (modes("keys", key, 192_000).frequencies_hz for key in (midi, midi + 12))
        shared = min(len(low) // 2, len(high))
        assert np.allclose(low[1 : 2 * shared : 2], high[:shared], rtol=1e-9)


def test_upper_partials_die_sooner() -> None:
    """Decay rates rise from partial to partial in struck and plucked tones."""
    for part in ("keys", "bass"):
        for midi in range(28, 97):
            assert (np.diff(modes(part, midi, 48_000).decays_per_s) > 0).all()


def test_low_notes_ring_longer() -> None:
    """The fundamental's decay rate rises from key to key; A1 rings twice as long as C5 or longer."""
    rates = [float(modes("keys", midi, 48_000).decays_per_s[0]) for midi in range(21, 109)]
    assert rates == sorted(rates)
    assert rates[72 - 21] > 2 * rates[33 - 21]


def test_a_drone_is_steady() -> None:
    """The sustained tone doesn't decay and its partials are exact multiples, so it never beats."""
    found = modes("drone", 50, 48_000)
    assert not found.decays_per_s.any()
    number = np.arange(1, len(found.frequencies_hz) + 1)
    assert np.allclose(found.frequencies_hz, number * fundamental_hz(50))


def test_the_panorama_keeps_the_power() -> None:
    """Gains left and right have squares that sum to 1, and middle C is in the middle."""
    for midi in range(128):
        left, right = panorama("keys", midi)
        assert pytest.approx(1.0) == left**2 + right**2
        assert min(left, right) > 0.2
    assert panorama("keys", 60)[0] == pytest.approx(panorama("keys", 60)[1])
    assert panorama("keys", 40)[0] > panorama("keys", 40)[1]
