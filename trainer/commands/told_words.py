"""`keyfarer words`: the words of the trade, told in lines, played, written to a file, or as data."""

import json
from pathlib import Path
from typing import Any, cast

import click

from trainer.commands.player import player_settings
from trainer.commands.words import width, wrapped
from trainer.harmony.glossary import TERMS, Term, TermError, example_key, find_term, stated
from trainer.harmony.key import Key, parse_key
from trainer.harmony.note_names import Naming
from trainer.practice.told_term import GROUP_NAMES, term_lines

SCHEMA = "keyfarer/words/1"
NARROW = 40
"""Lines are told in so few columns too."""


def run_words(words: tuple[str, ...], hear: bool, to: Path | None, key: str | None, as_json: bool) -> int:
    """List the words, or tell one; play or write its example. Raises KeyfarerError, SoundError."""
    home = None if key is None else parse_key(key)
    if not words:
        if hear or to is not None:
            raise TermError("found no word to be heard; name one, such as `keyfarer words backdoor --hear`")
        click.echo(json.dumps(words_json(TERMS, home), ensure_ascii=False) if as_json else "\n".join(list_lines()))
        return 0
    term = find_term(" ".join(words))
    if term.example is None and (hear or to is not None):
        raise TermError(f"{term.name} is nothing that sounds; `keyfarer words {term.id}` tells it")
    if to is not None:
        return _write(term, home, to)
    if as_json:
        click.echo(json.dumps(words_json((term,), home), ensure_ascii=False))
    else:
        columns = width()
        for line in term_lines(term, home, cast(Naming, player_settings().note_names)):
            click.echo("\n".join(wrapped(line, columns, later="  ")))
        if term.example is not None and not hear:
            click.echo("\n".join(wrapped(f"To hear it: keyfarer words {term.id} --hear", columns, later="  ")))
    return _hear(term, home) if hear else 0


def list_lines() -> list[str]:
    """Every word in a line, group by group."""
    columns = width()
    lines: list[str] = []
    for group, heading in GROUP_NAMES.items():
        lines.append(heading)
        for term in TERMS:
            if term.group == group:
                told = term.id if term.name == term.id else f"{term.id}: {term.name}"
                lines += wrapped(told, columns, "  ", "    ")
    return lines


def words_json(terms: tuple[Term, ...], key: Key | None) -> dict[str, Any]:
    """Words as plain values, schema keyfarer/words/1: a public contract."""
    return {"schema": SCHEMA, "words": [_row(term, key) for term in terms]}


def _row(term: Term, key: Key | None) -> dict[str, Any]:
    example = term.example
    return {
        "id": term.id,
        "name": term.name,
        "group": term.group,
        "says": term.says,
        "also": list(term.also),
        "near": list(term.near),
        "example": None
        if example is None
        else {
            "key": example_key(example, key).name,
            "style": example.style,
            "chords": [
                {"symbol": chord.symbol.text, "numeral": chord.numeral, "key": chord.key.name}
                for chord in stated(example, key)
            ],
        },
    }


def _hear(term: Term, key: Key | None) -> int:
    """Play the example to its end."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer import places
    from trainer.commands.reports import told_remark
    from trainer.drills.term_sound import term_sound
    from trainer.practice.listening_level import begins_at, begins_quiet
    from trainer.practice.sounding import Loudspeaker

    divert_noise()
    settings = player_settings()
    if not settings.level_set:
        told_remark(begins_quiet("`keyfarer drill` sets the level."))
    performance = term_sound(term, key)
    speaker = Loudspeaker(
        lambda: open_output(settings.device or None, places.silent_sound_folder()), settings.a4_hz, begins_at(settings)
    )
    try:
        speaker.play(performance)
        speaker.wait(performance.score.duration_s + 5.0)
        if speaker.remark:
            told_remark(speaker.remark)
    finally:
        speaker.close()
    return 0


def _write(term: Term, key: Key | None, to: Path) -> int:
    """Write the example to a sound or MIDI file."""
    from synth.tune_file import TuneFile, write_tune
    from trainer.commands.play import MIDI_SUFFIX, check_target
    from trainer.commands.words import lasting
    from trainer.drills.term_sound import term_sound

    check_target(to)
    performance = term_sound(term, key)
    if to.suffix.lower() == MIDI_SUFFIX:
        from synth.midi_file import write_midi

        write_midi(to, performance.score)
        click.echo(f"wrote {to}: {lasting(performance.score.duration_s)}")
        return 0
    assert term.example is not None
    tags = {"title": term.name, "key": example_key(term.example, key).name, "software": "keyfarer"}
    written = write_tune(TuneFile(to, performance.score, player_settings().a4_hz, 0.0, tags))
    click.echo(f"wrote {to}: {lasting(written.duration_s)}, {written.lufs:.1f} LUFS, peak {written.peak_dbtp:.1f} dBTP")
    return 0
