"""The way into the terminal app from the command line: what it is given, and the memory that opens behind it.

The first paint comes before the memory and the player's tunes are opened; whoever asks for them first waits for them.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from random import Random, SystemRandom
from threading import Lock
from typing import TYPE_CHECKING

from trainer import places, settings
from trainer.screens.app import KeyfarerApp
from trainer.screens.doors import Doors
from trainer.screens.own_keys import load_keys
from trainer.terminal import colors

if TYPE_CHECKING:
    from synth.output import Output
    from trainer.drills.material import TuneMaterial
    from trainer.memory.store import Store
    from trainer.practice.items import Items
    from trainer.practice.options import DrillOptions
    from trainer.practice.own_tunes import OwnTunes


class Kept:
    """The memory and the player's tunes, each opened when it is first asked for."""

    def __init__(self, chosen: settings.Settings) -> None:
        self._chosen = chosen
        self._store: Store | None = None
        self._own: OwnTunes | None = None
        self._opening = Lock()

    def store(self) -> Store:
        """The open store. Raises StoreError."""
        with self._opening:
            if self._store is None:
                from trainer.memory.store import open_store
                from trainer.practice.today import memory_settings

                self._store = open_store(places.memory_file(), memory_settings(self._chosen))
            return self._store

    def own(self) -> OwnTunes:
        """The player's tunes. Raises KeptError."""
        with self._opening:
            if self._own is None:
                from trainer.practice.own_tunes import own_tunes

                self._own = own_tunes(places.tunes_folder(), places.tune_facts_file())
            return self._own

    def close(self) -> None:
        """Bring what is computed up to date and close the store, if it was opened."""
        if self._store is not None:
            try:
                self._store.refresh()
            finally:
                self._store.close()


def run_app(
    options: DrillOptions | None = None,
    given: Callable[[Store], Items] | None = None,
    logged: Callable[[Store], None] | None = None,
) -> int:
    """Run the app over settings, keys, memory and tunes; returns the exit code. Raises KeyfarerError.

    given: what is asked in place of what the options say. logged: called when an answer has been logged.
    """
    from synth.noise import divert_noise
    from trainer.practice.clock import SystemClock
    from trainer.practice.sounding import Loudspeaker

    chosen = settings.load(places.settings_file())
    keys = load_keys(places.keys_file())
    seed = None if options is None else options.seed
    rng = Random(SystemRandom().randrange(2**31) if seed is None else seed)
    kept = Kept(chosen)
    log = places.log_file()
    log.parent.mkdir(parents=True, exist_ok=True)
    divert_noise(log)

    def items() -> Items:
        from trainer.practice.from_tunes import from_tunes
        from trainer.practice.items import fixed

        assert options is not None
        chosen_so = (options.types, options.kinds, options.rung, options.count or 10, kept.store().model(), rng)
        return from_tunes(tunes(), *chosen_so) if options.tunes else fixed(*chosen_so)

    def tunes() -> Sequence[TuneMaterial]:
        from trainer.practice.materials import tune_material  # read with the first question
        from trainer.practice.own_tunes import NONE_KEPT

        if options is None:
            return tune_material(doors.own)
        return tune_material(doors.own if options.with_own_tunes else NONE_KEPT, options.tunes)

    def given_items() -> Items:
        assert given is not None
        return given(kept.store())

    def opened() -> Output:
        from synth.output import open_output  # numpy comes with it: not before the first sound

        return open_output(doors.settings.device or None, places.silent_sound_folder())

    speaker = Loudspeaker(opened, chosen.a4_hz, chosen.volume_db)
    chooses = options is not None and options.chooses
    doors = Doors(
        chosen, places.settings_file(), kept.store, speaker, SystemClock(), rng, tunes,
        given_items if given is not None else items if chooses else None,
        None if options is None else options.minutes, seed is not None,
        kept.own, 1.0 if options is not None and options.tunes else None,
        None if logged is None else lambda: logged(kept.store()),
        keys, places.keys_file(), places.tunes_folder(), places.tune_facts_file(),
    )  # fmt: skip
    try:
        if chooses:
            items()  # a fault of the options is told before the screen is taken
        elif given is not None or logged is not None:
            kept.store()
        if os.environ.get("NO_COLOR") == "":
            del os.environ["NO_COLOR"]  # empty it says nothing (no-color.org); Textual takes it for a word
        app = KeyfarerApp(doors, begin_at_once=options is not None, palette=colors(os.environ))
        code = app.run()
        if app.failure is not None:
            raise app.failure
        return (app.return_code or 0) if code is None else code
    finally:
        speaker.close()
        kept.close()
