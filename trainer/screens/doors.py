"""What the app is given: settings, store, sound, clock, chance; in tests their twins."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.practice.listening_level import within
from trainer.records import dataclass
from trainer.settings import Settings, Value, save

if TYPE_CHECKING:  # memory, drills and sound come when they are first wanted: the first paint waits for none of them
    from datetime import date
    from random import Random

    from synth.microphone import Microphone
    from trainer.drills.material import TuneMaterial
    from trainer.memory.plan import Plan
    from trainer.memory.store import Store
    from trainer.memory.unit import Status
    from trainer.practice.adding import Added
    from trainer.practice.clock import Clock
    from trainer.practice.items import Items
    from trainer.practice.own_tunes import OwnTunes
    from trainer.practice.session import Session
    from trainer.practice.sounding import Sounding


def _devices(anew: bool) -> Sequence[str]:
    from synth.devices import devices_out

    return devices_out(anew)


def _microphone() -> Microphone:
    from synth.microphone import open_microphone

    return open_microphone()


@dataclass(slots=True)
class Doors:
    """Everything outside of the screens."""

    settings: Settings
    settings_file: Path
    memory: Store | Callable[[], Store]
    """The store, or what opens it."""
    sounding: Sounding
    clock: Clock
    rng: Random
    tunes: Callable[[], Sequence[TuneMaterial]]
    chosen: Callable[[], Items] | None = None
    """What the player fixed on the command line; None is today's plan."""
    minutes: int | None = None
    seeded: bool = False
    """The player gave a seed."""
    tunes_kept: OwnTunes | Callable[[], OwnTunes] | None = None
    """The player's tunes, or what reads them; None are none."""
    tune_share: float | None = None
    """How many of the questions come from tunes; None is the usual share."""
    logged: Callable[[], None] | None = None
    """Called when an answer has been logged."""
    keys: Mapping[str, str] = field(default_factory=dict)
    """The player's own keys, by what they do."""
    keys_file: Path = Path("keys.toml")
    tunes_folder: Path = Path("tunes")
    """Where the player's charts are kept."""
    tune_facts_file: Path = Path("tune-facts.json")
    devices: Callable[[bool], Sequence[str]] = _devices
    """Names the devices that sound can go to; True looks for new ones, while nothing is open. Raises SoundError."""
    microphone: Callable[[], Microphone] = _microphone
    """Opens the microphone. Raises SoundError."""

    @property
    def store(self) -> Store:
        """The memory; the first who asks for it opens it. Raises StoreError."""
        return self.memory() if callable(self.memory) else self.memory

    @property
    def own(self) -> OwnTunes:
        """The player's tunes, by which the plan goes. Raises KeptError."""
        if self.tunes_kept is None:
            from trainer.practice.own_tunes import NONE_KEPT

            return NONE_KEPT
        return self.tunes_kept() if callable(self.tunes_kept) else self.tunes_kept

    def open(self) -> None:
        """Open memory and tunes, if nobody asked for them yet. Raises StoreError, KeptError."""
        _ = self.store, self.own

    def day(self) -> date:
        """The practice day."""
        from trainer.practice.clock import today

        return today(self.clock, self.settings.day_ends_hour)

    def plan(self) -> Plan:
        """Today's plan. Raises KeyfarerError."""
        from trainer.practice.today import todays

        return todays(self.store, self.settings, self.clock, self.minutes, self.own)

    def session(self) -> Session:
        """A new session over today's plan, or over what was fixed. Raises KeyfarerError."""
        from trainer.drills.kinds import TUNE_SHARE
        from trainer.practice.session import Session
        from trainer.practice.today import todays_items

        if self.chosen is not None:
            seconds = None if self.minutes is None else 60.0 * self.minutes
            items = self.chosen()
        else:
            seconds = 60.0 * (self.minutes or self.settings.minutes)
            items, _ = todays_items(self.store, self.settings, self.clock, self.rng, self.minutes, self.own)
        return Session(
            self.store, items, self.sounding, self.clock, self.rng, self.tunes, seconds,
            seeded=self.seeded, tune_share=TUNE_SHARE if self.tune_share is None else self.tune_share,
            logged=self.logged,
        )  # fmt: skip

    def all_tunes(self) -> Sequence[TuneMaterial]:
        """The player's tunes and the exercise tunes, whatever the session asks from. Raises KeyfarerError."""
        from trainer.practice.materials import tune_material

        return tune_material(self.own)

    def add_tunes(self, file: str) -> Added:
        """Keep the charts of a file or a folder; they are among the tunes at once. Raises KeyfarerError."""
        from trainer.practice.adding import add_charts

        added = add_charts([str(Path(file.strip()).expanduser())], self.tunes_folder, self.tune_facts_file)
        self._read_tunes()
        return added

    def learn(self, id: str) -> str:
        """Mark a tune as one to learn, or no longer; says which. Raises KeptError."""
        from trainer.practice.kept_tunes import marked

        learning = id not in self.own.index.learning
        marked(self.tunes_folder, [id], learning)
        self._read_tunes()
        return self.own.learning_told(id)

    def _read_tunes(self) -> None:
        from trainer.practice.own_tunes import own_tunes

        self.tunes_kept = own_tunes(self.tunes_folder, self.tune_facts_file)

    def standing(self) -> Mapping[str, Status]:
        """How each type that was practised stands today. Raises StoreError."""
        from trainer.memory.progress import progress

        self.store.refresh()
        return {row.unit: row.status for row in progress(self.store, self.day())}

    def turn(self, by_db: float) -> float:
        """Turn the sound and keep the level; returns it in decibels. Raises SettingsError."""
        level_db = within(self.settings.volume_db + by_db)
        from trainer.practice.sounding import Loudspeaker

        if isinstance(self.sounding, Loudspeaker):
            self.sounding.volume_db = level_db
        self.keep(volume_db=level_db)
        return level_db

    def keep(self, **changes: Value) -> None:
        """Save settings. Raises SettingsError."""
        self.settings = save(self.settings_file, **changes)

    def change(self, name: str, value: Value) -> None:
        """Change one setting, and at once what goes by it: device, level and tuning of the sound, due days.

        Another device takes its time. Raises SoundError where that can't be opened, or SettingsError; then the
        setting stays as it was.
        """
        from trainer.practice.sounding import Loudspeaker
        from trainer.practice.today import memory_settings

        if name == "device" and isinstance(self.sounding, Loudspeaker):
            self.sounding.move(str(value))
        self.keep(**{name: value})
        self.store.settings = memory_settings(self.settings)
        if isinstance(self.sounding, Loudspeaker) and name in ("volume_db", "a4_hz"):
            setattr(self.sounding, name, getattr(self.settings, name))
