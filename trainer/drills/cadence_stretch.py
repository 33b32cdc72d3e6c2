"""One cadence as it is asked on a rung: alone, after its home, in a phrase of the table or in a tune's."""

from random import Random

from trainer.drills import material
from trainer.drills.material import Stretch, TuneMaterial
from trainer.drills.rungs import DrillError, Rung
from trainer.harmony.cadence import CadenceType
from trainer.harmony.key import Key, simplest_key


def cadence_stretch(cadence: CadenceType, key: Key, step: Rung, tune: TuneMaterial | None, rng: Random) -> Stretch:
    """A cadence with what sounds around it; its chords are the blanks. Raises DrillError where the tune has none."""
    if tune is not None:
        return _from_tune(cadence, tune, key, rng)
    if step.phrase:
        return material.phrase(cadence, key, step, rng)
    stretch = material.alone(cadence, key, step, rng)
    if not step.confirmed and needs_home(cadence, stretch):
        return material.after_home(stretch, cadence)
    return stretch


def needs_home(cadence: CadenceType, stretch: Stretch) -> bool:
    """Whether nobody could place a row by itself: it neither begins nor ends at home, nor announces a key.

    In a blues home is one more seventh chord, so it has to be heard first.
    """
    if stretch.chords[0].root == stretch.key.tonic or cadence.id in material.STAY_OPEN:
        return False
    return not cadence.rests or cadence.id in material.HOMES


def _from_tune(cadence: CadenceType, tune: TuneMaterial, key: Key, rng: Random) -> Stretch:
    found = material.cadences_in(tune, cadence.id)
    if not found:
        raise DrillError(f"{tune.id} holds no {cadence.name} that fits into a phrase")
    one = rng.choice(found)
    start, end = material.around(tune, one.chords[0], one.chords[-1], rng)
    if one.center.mode != key.mode:
        key = simplest_key(key.tonic.pitch_class, one.center.mode)
    return material.tune_stretch(tune, start, end, one.chords, one.center, key)
