"""`keyfarer settings`: all settings in lines, one in full, or one set; what the settings screen does, without it.

Lines are sentences, so that a screen reader reads them well, and none is wider than the terminal.
"""

import json
from collections.abc import Iterator
from typing import Any, Literal

import click

from synth.errors import SoundError
from trainer import places
from trainer.commands.reports import told_remark
from trainer.commands.words import joined, width, wrapped
from trainer.practice.listening_level import CAUTION
from trainer.settings import Settings, SettingsError, Value, load, save
from trainer.settings_told import TOLD, Told, default_of, read_typed, told_allowed, told_value

SCHEMA = "keyfarer/settings/1"
DEVICE = "device"
LEVEL = ("volume_db", "level_set")
"""Settings that say how loud it is."""


def run_settings(name: str | None, value: str | None, unset: bool, form: Literal["text", "json"]) -> int:
    """List all, tell one or set one; returns the exit code. Raises SettingsError."""
    file = places.settings_file()
    settings = load(file)
    if name == DEVICE:
        from synth.noise import divert_noise

        divert_noise()
    if name is None:
        if unset:
            raise SettingsError("--default sets one setting back; name it. Nothing was changed.")
        told = json.dumps(data_of(settings, *TOLD.values()), ensure_ascii=False) if form == "json" else None
        for line in [told] if told is not None else all_lines(settings):
            click.echo(line)
        return 0
    if value is None and not unset:
        if form == "json":
            click.echo(json.dumps(data_of(settings, TOLD[name]), ensure_ascii=False))
        else:
            for line in one_lines(settings, name):
                click.echo(line)
        return 0
    if value is not None and unset:
        raise SettingsError(f"{name}: either {value!r} or --default. Nothing was changed.")
    new = default_of(name) if value is None else read_typed(name, value)
    if name == DEVICE and new:
        _must_open(str(new))
    before: Value = getattr(settings, name)
    settings = save(file, **{name: new})
    if form == "json":
        click.echo(json.dumps(data_of(settings, TOLD[name]), ensure_ascii=False))
    else:
        for line in _sentences(changed(name, before, new)):
            click.echo(line)
    if name in LEVEL and new != before:
        told_remark(CAUTION)
    return 0


def changed(name: str, before: Value, new: Value) -> str:
    """What was changed, in a sentence or two."""
    row, value = TOLD[name], told_value(name, new)
    if new == before:
        return f"{name}: {value}, as it was."
    meaning = f" {_sentence(row.words[new])}" if new in row.words else ""
    later = f" It takes effect {row.later}." if row.later else ""
    return f"{name}: {value}; before, {told_value(name, before)}.{meaning}{later}"


def all_lines(settings: Settings) -> Iterator[str]:
    """Every setting with its value and its meaning, group by group."""
    group = ""
    for row in TOLD.values():
        if row.group != group:
            if group:
                yield ""
            group = row.group
            yield group
        value: Value = getattr(settings, row.name)
        yield from _sentences(f"{row.name}: {told_value(row.name, value)}")
        about = row.about if row.called.casefold() == row.name else f"{_sentence(row.called)} {row.about}"
        yield from wrapped(about.strip(), width(), "  ")
    yield ""
    yield from _sentences("`keyfarer settings NAME` tells all about one, `keyfarer settings NAME VALUE` sets it.")
    yield from _sentences(f"They are kept in {places.settings_file()}")


def one_lines(settings: Settings, name: str) -> Iterator[str]:
    """All about one setting."""
    row = TOLD[name]
    value: Value = getattr(settings, name)
    yield from _sentences(f"{name}: {told_value(name, value)}")
    yield from _sentences(f"{_sentence(row.called)} {row.about}".strip())
    allowed = f"It may be {told_allowed(name)}; usually it is {told_value(name, default_of(name))}."
    yield from _sentences(allowed if name != DEVICE else f"Usually it is {told_value(name, default_of(name))}.")
    for stop, meaning in row.words.items():
        yield from wrapped(f"{told_value(name, stop)}: {meaning}", width(), "  ", "    ")
    if name == DEVICE:
        yield from _sentences(_devices_told())
    if row.later:
        yield from _sentences(f"A change takes effect {row.later}.")
    if name in LEVEL:
        yield from _sentences(CAUTION)


def data_of(settings: Settings, *rows: Told) -> dict[str, Any]:
    """Settings as data; where the device alone is asked for, also which there are."""
    return {
        "schema": SCHEMA,
        "file": str(places.settings_file()),
        "devices": _devices_there() if [row.name for row in rows] == [DEVICE] else None,
        "settings": [
            {
                "name": row.name, "group": row.group, "called": row.called, "about": row.about,
                "value": getattr(settings, row.name), "default": default_of(row.name),
                "expected": told_allowed(row.name),
                "words": {str(stop): row.words.get(stop, "") for stop in row.stops if isinstance(stop, str)},
                "unit": row.unit, "takes_effect": row.later or "at once",
            }
            for row in rows
        ],
    }  # fmt: skip


def _devices_there() -> list[str]:
    """The devices there are; none where they can't be looked for."""
    from synth.devices import devices_out

    try:
        return list(devices_out())
    except SoundError as error:
        told_remark(f"devices can't be looked for: {error}")
        return []


def _devices_told() -> str:
    """Which devices there are, in a sentence."""
    from synth.devices import devices_out

    try:
        names = [f'"{name}"' for name in devices_out()]
    except SoundError as error:
        return f"Devices can't be looked for: {error}"
    if not names:
        return "There is no sound device now."
    return f"There {'is' if len(names) == 1 else 'are'} {joined(names)}."


def _must_open(device: str) -> None:
    """Make sure that sound can go to a device. Raises SettingsError that tells which there are."""
    from synth.devices import try_device

    try:
        try_device(device)
    except SoundError as error:
        told = f"{DEVICE}: the sound can't go to {device!r}: {error}. {_devices_told()} Nothing was changed."
        raise SettingsError(told) from None


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}." if words else ""


def _sentences(text: str) -> list[str]:
    return wrapped(text, width(), later="  ")
