"""The command line: words in, one of trainer.commands called, an exit code out.

Exit codes: 0 fine, 1 `check` found settings, memory or tunes broken, 2 bad input, 130 stopped by Ctrl-C.
Whatever a command needs is imported when it is called, so that a start pays only for what it uses.
"""

import os
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from trainer.commands.asked import (
    BARS,
    INSTRUMENT,
    KEYS,
    KIND,
    NUMERALS,
    PIN,
    PLACE,
    TUNE,
    TUNE_ID,
    TYPE,
    UNIT,
    Commands,
    Number,
)  # fmt: skip
from trainer.commands.chart_group import chart
from trainer.commands.examples import examples
from trainer.commands.exercise_group import exercise
from trainer.commands.glossary_words import words
from trainer.commands.keys_words import keys
from trainer.commands.memory_group import memory
from trainer.commands.settings_words import settings
from trainer.commands.tunes_group import tunes
from trainer.terminal import can_draw, suit_streams

STOPPED = 130
BAD_INPUT = 2

HELP_WIDTH = 80


def run(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit code."""
    suit_streams()
    try:
        code = keyfarer.main(list(arguments), prog_name="keyfarer", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except (click.Abort, KeyboardInterrupt):
        return STOPPED
    except click.ClickException as error:
        _show(error)
        return error.exit_code
    except BrokenPipeError:
        return _nobody_reads()
    except Exception as error:
        if not _told_in_words(error):
            raise
        from trainer.commands.reports import told_error

        told_error(error)
        return BAD_INPUT


def _show(error: click.ClickException) -> None:
    """Say what is wrong with the words of the command, and where its help is."""
    click.echo(f"keyfarer: {error.format_message()}", err=True)
    context = error.ctx if isinstance(error, click.UsageError) else None
    click.echo(f"Try `{context.command_path if context else 'keyfarer'} --help`.", err=True)


def _told_in_words(error: Exception) -> bool:
    """Whether an error is made for the player; anything else is a fault of the program."""
    from synth.errors import SoundError
    from trainer.errors import KeyfarerError

    return isinstance(error, KeyfarerError | SoundError)


def _nobody_reads() -> int:
    """End quietly when the reader of a pipe has left; what is still to be written goes nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    return 1


def _now() -> datetime:
    """This moment, with the player's offset from UTC."""
    return datetime.now(UTC).astimezone()


def _show_version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        click.echo(f"keyfarer {version('keyfarer')}")
        context.exit()


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": HELP_WIDTH},
    epilog=examples(
        "keyfarer", "keyfarer analyze ropewalk-morning", "keyfarer play ropewalk-morning --to ropewalk.wav",
        "keyfarer drill --plain --minutes 5", "keyfarer check",
    ),
)  # fmt: skip
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_show_version, help="Show the version."
)
@click.pass_context
def keyfarer(context: click.Context) -> int | None:
    """Hear where a tune goes: read a chord chart, play it, drill your ear on it.

    Alone in a terminal it opens the trainer; without a terminal it prints today's plan.
    FILE is a chart, a folder of charts, - for standard input, or the name of a tune
    (`keyfarer tunes`), yours or an exercise tune.
    """
    if context.invoked_subcommand is not None:
        return None
    if can_draw():
        from trainer.commands.start import start

        return start()
    from trainer.commands.today import print_today

    return print_today()


@keyfarer.command(
    epilog=examples(
        "keyfarer analyze the-courier-turns-back", "keyfarer analyze foundry-shift --why",
        "keyfarer analyze my-tune.chart --pin 9=Bb --pin 12.3=Eb:ii7",
        "keyfarer analyze my-tune.chart --explain 5-8",
        "keyfarer analyze my-tune.chart --pin 9=Bb --compare",
        "keyfarer analyze coal-barge --for Bb --numerals upper",
        "keyfarer analyze charts/ --json > readings.jsonl",
    )
)  # fmt: skip
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=TUNE)
@click.option("--json", "form", flag_value="json", help="One JSON object a file, each on one line.")
@click.option("--csv", "form", flag_value="csv", help="Comma-separated values with a header, one row a chord.")
@click.option("--table", "form", flag_value="table", help="One line a tune; so is a folder told unless --why is asked.")
@click.option("--pin", "pins", multiple=True, type=PIN, metavar="BAR=KEY",
              help="Your word on a key center: 9=Bb (9.3=Bb from the third beat) holds to the next pin or the "
              "section's end, 9= ends a pin, 9.3=Bb:ii7 is one chord's function; bars as played.")  # fmt: skip
@click.option("--why", is_flag=True, help="The reasons below each chord.")
@click.option("--explain", type=PLACE, metavar="BAR",
              help="Everything about a bar (5), a beat (5.3) or a stretch (5-8), as played.")  # fmt: skip
@click.option("--compare", is_flag=True,
              help="Where two readings differ: without and with your pins, or of two charts.")  # fmt: skip
@click.option("--for", "instrument", type=INSTRUMENT, metavar="PITCH",
              help="For an instrument in Bb, Eb, F or C; charts, pins and data stay in concert pitch.")  # fmt: skip
@click.option("--numerals", type=NUMERALS, metavar="WAY", help="roman (ii7), upper (IIm7) or arabic (2-7).")
@click.option("--processes", type=Number(1, 32, whole=True), metavar="N",
              help="Read so many charts side by side; as many as help if not given.")  # fmt: skip
def analyze(form: Any, **asked: Any) -> int:
    """Read charts: home, route, and what each chord does there."""
    from trainer.commands.analyze import run_analyze
    from trainer.commands.options import AnalyzeOptions

    return run_analyze(AnalyzeOptions(form=form or "text", **asked))


@keyfarer.command(
    epilog=examples("keyfarer repertoire charts/", "keyfarer repertoire charts/ --json > repertoire.json")
)
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=TUNE)
@click.option("--json", "form", flag_value="json", help="One JSON object.")
@click.option("--csv", "form", flag_value="csv", help="Comma-separated values with a header, one row a thing counted.")
@click.option("--processes", type=Number(1, 32, whole=True), metavar="N",
              help="Read so many charts side by side; as many as help if not given.")  # fmt: skip
def repertoire(form: Any, **asked: Any) -> int:
    """Count what tunes are made of, and say what to learn next."""
    from trainer.commands.options import RepertoireOptions
    from trainer.commands.repertoire import run_repertoire

    return run_repertoire(RepertoireOptions(form=form or "text", **asked), _now())


@keyfarer.command(
    epilog=examples(
        "keyfarer play foundry-shift --choruses 2 --bass walking --time brush --hands",
        "keyfarer play coal-barge --key D --tempo 92 --bars 1-12",
        "keyfarer play the-lending-stair --what route", "keyfarer play the-lending-stair --what readings",
        "keyfarer play ropewalk-morning --all-keys --to ropewalk.flac",
    )
)  # fmt: skip
@click.argument("file", type=TUNE)
@click.option("--to", type=click.Path(path_type=Path), metavar="PATH", help="Write a .wav, .flac or .mid file instead.")
@click.option("--what", type=click.Choice(["chart", "route", "tonics", "guide-tones", "bass", "keys", "readings"]),
              default="chart", metavar="WHAT",
              help="chart (the default); route or tonics (the key centers alone, by cadence or by the chord of rest); "
              "guide-tones, bass or keys alone; readings (the reading, then its strongest rival or what --pin makes "
              "of it).")  # fmt: skip
@click.option("--tempo", type=Number(20, 400), metavar="N", help="Beats a minute, as charts count them: 20 to 400.")
@click.option("--key", metavar="KEY", help="Move the tune to this key, such as Eb.")
@click.option("--bars", type=BARS, metavar="5-12", help="Only these bars, as played.")
@click.option("--choruses", type=Number(1, 99, whole=True), metavar="N", help="Play it so many times.")
@click.option("--rise", type=Number(-6, 6, whole=True), metavar="N",
              help="Each chorus so many half steps above the one before: 5 is a fourth, 1 a half step.")  # fmt: skip
@click.option(
    "--all-keys", is_flag=True, help="Twelve choruses through all keys, a fourth up each if --rise says no other."
)
@click.option("--loop", is_flag=True, help="Counted in once, then round and round until you stop it.")
@click.option("--no-count-in", is_flag=True, help="Begin at once.")
@click.option("--style", type=click.Choice(["close", "shells", "rootless", "drop-2", "spread", "quartal"]),
              metavar="STYLE",
              help="How chords are laid out: rootless, close, shells, drop-2, spread, quartal.")  # fmt: skip
@click.option("--comping", type=click.Choice(["charleston", "quarters", "pushes", "held", "bossa", "waltz"]),
              metavar="PATTERN",
              help="When chords are struck: charleston, waltz, quarters, pushes, held, bossa.")  # fmt: skip
@click.option("--bass", type=click.Choice(["halves", "quarters", "held", "walking", "bossa"]), metavar="FEEL",
              help="What the bass does: halves, quarters, held, walking, bossa.")  # fmt: skip
@click.option("--time", type=click.Choice(["brush", "click", "none"]), metavar="WHO",
              help="Who keeps time: brush, click or none.")  # fmt: skip
@click.option("--swing/--straight", "swing", default=None, help="Eighths long and short, or even.")
@click.option("--ratio", type=Number(1, 3), metavar="N", help="How long to short: 1 is even, 2 a triplet, 3 the most.")
@click.option("--hands/--no-hands", default=None, help="A little uneven in time and touch, as people play, or even.")
@click.option("--room", type=Number(0, 1), metavar="N",
              help="How much of a small room is around it, in wav and flac too: 0 none, 1 the most.")  # fmt: skip
@click.option("--pin", "pins", multiple=True, metavar="9=Bb", help="Hold a key center from a bar on, as for analyze.")
@click.option("-q", "--quiet", is_flag=True, help="No line as each section and key center comes.")
def play(file: str, no_count_in: bool, ratio: float | None, choruses: int | None,
         rise: int | None, all_keys: bool, **asked: Any) -> int:  # fmt: skip
    """Play a tune, or write it to a sound or MIDI file.

    Begin at a low level: long listening on headphones can harm hearing. While it sounds
    in a terminal, keys handle it: h tells them, q stops; in a pipe they are words, a line
    each. What --style, --comping, --bass, --time, --hands, --ratio and --room don't say is
    as your settings have it.
    """
    from fractions import Fraction

    from synth.aside import Aside

    to: Path | None = asked["to"]
    with Aside(to is not None and to.suffix.lower() in (".wav", ".flac")) as aside:
        from trainer.commands.options import PlayOptions
        from trainer.commands.play import run_play

        options = PlayOptions(
            file=file,
            count_in=not no_count_in,
            ratio=None if ratio is None else Fraction(ratio).limit_denominator(100),
            choruses=choruses or (12 if all_keys else 1),
            rise=rise if rise is not None else 5 if all_keys else 0,
            **asked,
        )
        return run_play(options, aside.write)


@keyfarer.command(
    epilog=examples(
        "keyfarer drill --plain --minutes 5", "keyfarer drill --type backdoor --type minor-plagal --count 8",
        "keyfarer drill --kind catch-interruption --rung 1", "keyfarer drill --tune coal-barge --count 4",
        "keyfarer drill --to questions --count 20 --seed 7",
        "keyfarer drill --to walk --count 20 --answers --flac",
        'keyfarer drill --to week --type backdoor --key Bb,Eb --title "Week three"',
    )
)  # fmt: skip
@click.option("--plain", is_flag=True, help="Lines of text, for screen readers, braille and pipes.")
@click.option("--to", type=click.Path(file_okay=False), metavar="DIR",
              help="Write the questions as NNN.wav, NNN.mid, NNN.json, with sheets, a playlist and a file that "
              "students open (`keyfarer exercise open`); nothing is scored.")  # fmt: skip
@click.option("--answers", is_flag=True,
              help="With --to: after a pause each sound gives its answer for the ear, so that hands and eyes "
              "are free.")  # fmt: skip
@click.option("--pause", type=Number(1, 120), metavar="SECONDS",
              help="With --to: how long that pause is at least; it ends with a bar. As long as each question needs "
              "if not given.")  # fmt: skip
@click.option("--key", "keys", multiple=True, type=KEYS, metavar="KEY",
              help="With --to: in this key. Eb is Eb major or minor, as each type is; g and G minor are minor alone; "
              "all is all twelve. Again, or C,F,Bb, for more: each comes as often as the others.")  # fmt: skip
@click.option("--tempo", type=Number(30, 320), metavar="N",
              help="With --to: quarter notes a minute, 30 to 320; else as each rung and tune has it.")  # fmt: skip
@click.option("--title", default="", metavar="TEXT", help="With --to: what the set is called.")
@click.option(
    "--note", default="", metavar="TEXT", help="With --to: your word to the student, on sheets and at opening."
)
@click.option("--flac", is_flag=True, help="With --to: sound as NNN.flac, a fifth of the size or so.")
@click.option("--yes", is_flag=True, help="With --to: write over other questions in the folder.")
@click.option("--seed", type=Number(0, 2**31 - 1, whole=True), metavar="N", help="The same questions every time.")
@click.option("--count", type=Number(1, 10_000, whole=True), metavar="N", help="So many questions.")
@click.option("--type", "types", multiple=True, type=TYPE, metavar="ID",
              help="A cadence type (`keyfarer types`), a move such as move:+3:major-minor, or route: with a tune's "
              "id; again for more.")  # fmt: skip
@click.option("--kind", "kinds", multiple=True, type=KIND, metavar="ID",
              help="A kind of drill: name-functions, name-cadence, finish-it, guide-tones, catch-interruption, "
              "tell-apart, key-moves, follow-route or dictation; again for more.")  # fmt: skip
@click.option("--tune", "tunes", multiple=True, type=TUNE_ID, metavar="ID",
              help="Only from this tune, yours or an exercise tune (`keyfarer tunes`); again for more.")  # fmt: skip
@click.option("--rung", type=Number(1, 6, whole=True), metavar="N",
              help="How hard it is presented, 1 to 6; by your answers so far if not given.")  # fmt: skip
@click.option("--minutes", type=Number(1, 180, whole=True), metavar="N",
              help="How long, this once; else as your settings say.")  # fmt: skip
def drill(**asked: Any) -> int:
    """Train your ear: what is due today, or what you ask for.

    In lines of text an answer is typed as 2 5 1 or ii V I, a cadence by its name, a goal as 4 major.
    The words again, slower, bass, guide, arpeggio and key let you hear it otherwise; skip, slip,
    compare and stop help too.
    """
    from trainer.commands.drill import run_drill
    from trainer.practice.options import DrillOptions

    return run_drill(DrillOptions(**asked))


@keyfarer.command(
    epilog=examples(
        "keyfarer progress", "keyfarer progress backdoor", "keyfarer progress --what keys",
        "keyfarer progress --csv > progress.csv", "keyfarer progress --what days --csv > days.csv",
    )
)  # fmt: skip
@click.argument("unit", required=False, type=UNIT, metavar="[TYPE]")
@click.option("--what", type=click.Choice(["types", "keys", "voicings", "tempi", "drills", "confusions", "days",
                                           "weeks", "firsts", "tunes"]), metavar="TABLE",
              help="One table alone: types, keys, voicings, tempi, drills, confusions, days, weeks, firsts, "
              "tunes.")  # fmt: skip
@click.option("--json", "form", flag_value="json", help="One JSON object.")
@click.option("--csv", "form", flag_value="csv", help="Comma-separated values with a header: types, or --what.")
def progress(form: Any, what: str | None, unit: str | None) -> int:
    """Show what is due today and how far each type is.

    With TYPE all about one: by key, voicing, tempo and drill, what it is confused with. It is
    a cadence type (`keyfarer types`), a move of the key center (move:+3:major-minor) or a
    tune's route (route: and its name).
    """
    from trainer.commands.progress import run_progress

    return run_progress(form or "text", _now(), what, unit)


keyfarer.add_command(memory)


keyfarer.add_command(chart)
keyfarer.add_command(exercise)


@keyfarer.command(epilog=examples("keyfarer check"))
@click.option("--microphone", is_flag=True,
              help="Open the microphone for five seconds and say how loud it hears you; nothing is recorded or "
              "kept.")  # fmt: skip
def check(microphone: bool) -> int:
    """Say what works here: sound, MIDI, memory, terminal."""
    if microphone:
        from trainer.commands.check_microphone import run_check_microphone

        return run_check_microphone()
    from trainer.commands.check import run_check

    return run_check()


keyfarer.add_command(settings)


@keyfarer.command(epilog=examples("keyfarer types", "keyfarer types backdoor"))
@click.argument("id", required=False, type=TYPE, metavar="[ID]")
def types(id: str | None) -> int:
    """List the cadence types, or tell all about one."""
    from trainer.commands.lists import run_type, run_types

    return run_types() if id is None else run_type(id)


keyfarer.add_command(words)


keyfarer.add_command(tunes)


keyfarer.add_command(keys)


@keyfarer.command(epilog=examples('eval "$(keyfarer completion bash)"', "keyfarer completion fish | source"))
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> int:
    """Print the script that lets a shell complete your words."""
    from trainer.commands.completion import run_completion

    return run_completion(shell, keyfarer)
