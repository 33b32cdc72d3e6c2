"""The command line: words and options here, the work in trainer.commands, imported when it is used.

Data go to standard output, remarks to standard error. Exit codes: 0 all is well, 1 something here
needs mending (`check`), 2 input that can't be read, 130 stopped by Ctrl-C.
"""

import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

from trainer.errors import KeyfarerError

if TYPE_CHECKING:
    _Parameter = click.ParamType[str]
else:
    _Parameter = click.ParamType

BAD_INPUT = 2
STOPPED = 130


def version() -> str:
    """The program's version."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("keyfarer")
    except PackageNotFoundError:
        return "unknown (not installed)"


def _print_version(context: click.Context, parameter: click.Parameter, wanted: bool) -> None:
    if wanted:
        click.echo(f"keyfarer {version()}")
        context.exit()


def _examples(*lines: str) -> str:
    """Examples for the end of a help text, kept as lines."""
    return "\n\n\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


class _Words(_Parameter):
    """A word of a list that is only made when it is needed; completes in the shell."""

    name = "word"

    def __init__(self, metavar: str, words: Callable[[], Sequence[tuple[str, str]]]) -> None:
        self.name = metavar.lower()
        self.words = words

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The word; an unknown one is told with those there are."""
        known = [word for word, _ in self.words()]
        if value not in known:
            near = [word for word in known if str(value) in word or word in str(value)]
            self.fail(f"there is no {self.name} {value!r}; there are {', '.join(near or known)}", param, ctx)
        return value

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The words that begin so."""
        return [CompletionItem(word, help=about) for word, about in self.words() if word.startswith(incomplete)]


def _types() -> list[tuple[str, str]]:
    from trainer.harmony.cadence import CADENCES

    return [(row.id, row.name) for row in CADENCES]


def _kinds() -> list[tuple[str, str]]:
    from trainer.drills.kinds import KINDS

    return [(kind.id, kind.name) for kind in KINDS.values()]


class _Charts(_Parameter):
    """A chart's file, a folder, `-`, or the name of an exercise tune."""

    name = "file"

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Exercise tunes, then files."""
        from trainer.charts.library import exercise_tunes

        tunes = [CompletionItem(tune) for tune, _ in exercise_tunes() if tune.startswith(incomplete)]
        return [*tunes, CompletionItem(incomplete, type="file")]


CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 80}


@click.group(
    context_settings=CONTEXT,
    invoke_without_command=True,
    help="Hear where a tune goes.\n\nWithout a command the terminal app opens with today's practice."
    + _examples(
        "keyfarer                                    practise what is due today",
        "keyfarer analyze nine-doors-on-needle-street",
        "keyfarer play foundry-shift --to foundry.wav",
        "keyfarer drill --plain",
        "keyfarer check                              does sound work here?",
    ),
)
@click.option("--version", is_flag=True, expose_value=False, is_eager=True, callback=_print_version,
              help="Say the version and leave.")  # fmt: skip
@click.pass_context
def cli(context: click.Context) -> int:
    """Open the app where there is a terminal; else say what is due."""
    if context.invoked_subcommand is not None:
        return 0
    if sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM") != "dumb":
        from trainer.commands.start import start

        return start()
    from trainer.commands.today import print_today

    return print_today()


@cli.command(
    help="Read charts: key centers, functions, cadences, with the reasons.\n\n"
    "FILE is a chart, a folder of charts, - for standard input, or the name of an exercise tune."
    + _examples(
        "keyfarer analyze the-courier-turns-back",
        "keyfarer analyze my-tune.chart --why",
        "keyfarer analyze my-tune.chart --pin 9=Bb --pin 12.3=Bb:ii7",
        "keyfarer analyze charts/ --json > readings.jsonl",
    )
)
@click.argument("file", nargs=-1, required=True, type=_Charts())
@click.option("--json", "as_json", is_flag=True, help="One JSON object a chart (schema keyfarer/analysis/1).")
@click.option("--why", is_flag=True, help="Give the reasons and the rivals of every chord.")
@click.option("--pin", "pins", multiple=True, metavar="BAR=KEY",
              help="Your word on a key center (9=Bb) or a function (9.3=Bb:ii7), bar and beat as played.")  # fmt: skip
def analyze(file: tuple[str, ...], as_json: bool, why: bool, pins: tuple[str, ...]) -> int:
    """Read charts."""
    from trainer.commands.analyze import run_analyze

    return run_analyze(file, as_json, why, pins)


@cli.command(
    help="Play a chart, or write it as sound or MIDI.\n\n"
    "Listening level: begin low; long listening on headphones can harm hearing."
    + _examples(
        "keyfarer play ropewalk-morning",
        "keyfarer play ropewalk-morning --what route",
        "keyfarer play my-tune.chart --key Eb --tempo 96 --bars 9-16 --choruses 4",
        "keyfarer play foundry-shift --to foundry.wav",
        "keyfarer play foundry-shift --what guide-tones --to lines.mid",
    )
)
@click.argument("file", type=_Charts())
@click.option("--to", metavar="FILE", help="Write FILE.wav, FILE.flac or FILE.mid in place of playing.")
@click.option("--what", type=click.Choice(["chart", "route", "guide-tones", "bass"]), default="chart",
              show_default=True, help="The comping track, the key centers, or one part.")  # fmt: skip
@click.option("--tempo", type=click.FloatRange(20, 400), help="Beats a minute; the chart's own if not given.")
@click.option("--key", metavar="KEY", help="Move the tune so that its home is this tonic.")
@click.option("--bars", metavar="5-12", help="Only these bars, as played.")
@click.option("--choruses", type=click.IntRange(1, 99), default=1, show_default=True, help="How often.")
@click.option("--count-in/--no-count-in", default=True, show_default=True, help="A bar of clicks before.")
def play(
    file: str, to: str | None, what: str, tempo: float | None, key: str | None, bars: str | None,
    choruses: int, count_in: bool,
) -> int:  # fmt: skip
    """Play a chart."""
    from trainer.commands.options import PlayOptions
    from trainer.commands.play import run_play

    return run_play(PlayOptions(file, to, what, tempo, key, bars, choruses, count_in))


@cli.command(
    help="Practise by ear: what is due today, or what you choose.\n\n"
    "In plain lines answers are typed as 2 5 1 or ii V I; the words again, slower, bass, guide, "
    "arpeggio, key, skip, slip, compare and stop help."
    + _examples(
        "keyfarer drill",
        "keyfarer drill --plain --minutes 5",
        "keyfarer drill --type backdoor --type minor-plagal --count 8",
        "keyfarer drill --kind catch-interruption --rung 1",
        "keyfarer drill --to questions/ --count 20 --seed 7",
    )
)
@click.option("--plain", is_flag=True, help="Lines of text, for screen readers, braille and pipes.")
@click.option("--to", metavar="DIR", help="Write questions (sound, MIDI, JSON) in place of asking; nothing is scored.")
@click.option("--seed", type=int, help="The same seed asks the same questions.")
@click.option("--count", type=click.IntRange(1, 10_000), help="So many questions.")
@click.option("--type", "types", multiple=True, type=_Words("ID", _types), help="A cadence type; again for more.")
@click.option("--kind", "kinds", multiple=True, type=_Words("KIND", _kinds), help="A kind of drill; again for more.")
@click.option("--rung", type=click.IntRange(1, 6), help="How hard, 1 to 6; by your answers so far if not given.")
@click.option("--minutes", type=click.IntRange(1, 180), help="How long; your setting (10) if not given.")
def drill(
    plain: bool, to: str | None, seed: int | None, count: int | None, types: tuple[str, ...],
    kinds: tuple[str, ...], rung: int | None, minutes: int | None,
) -> int:  # fmt: skip
    """Practise."""
    from trainer.commands.drill import run_drill
    from trainer.practice.options import DrillOptions

    return run_drill(DrillOptions(plain, to, seed, count, types, kinds, rung, minutes))


@cli.command(
    help="Show how far each cadence type is, what is due and what is confused."
    + _examples("keyfarer progress", "keyfarer progress --json", "keyfarer progress --csv > progress.csv")
)
@click.option("--json", "as_json", is_flag=True, help="One JSON object (schema keyfarer/progress/1).")
@click.option("--csv", "as_csv", is_flag=True, help="Comma-separated values with a header.")
def progress(as_json: bool, as_csv: bool) -> int:
    """Show progress."""
    from trainer.commands.progress import run_progress

    if as_json and as_csv:
        raise click.UsageError("give --json or --csv, not both")
    return run_progress("json" if as_json else "csv" if as_csv else "text")


@cli.command(
    help="Say what works here, sound out and in, MIDI, memory, settings, terminal, and how to mend the rest."
    + _examples("keyfarer check")
)
def check() -> int:
    """Say what works."""
    from trainer.commands.check import run_check

    return run_check()


@cli.command(
    help="List the cadence types: the names that --type takes, how players say them and what they are."
    + _examples("keyfarer types", "keyfarer types backdoor")
)
@click.argument("id", required=False, type=_Words("ID", _types))
def types(id: str | None) -> int:
    """List cadence types."""
    from trainer.commands.lists import list_types

    return list_types(id)


@cli.command(help="List the exercise tunes and what each trains." + _examples("keyfarer tunes"))
def tunes() -> int:
    """List exercise tunes."""
    from trainer.commands.lists import list_tunes

    return list_tunes()


@cli.command(
    help="Print what makes the shell complete keyfarer's words."
    + _examples(
        'eval "$(keyfarer completion bash)"             in ~/.bashrc',
        'eval "$(keyfarer completion zsh)"              in ~/.zshrc',
        "keyfarer completion fish > ~/.config/fish/completions/keyfarer.fish",
    )
)
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> int:
    """Print the shell's completion script."""
    from click.shell_completion import get_completion_class

    found = get_completion_class(shell)
    assert found is not None
    click.echo(found(cli, {}, "keyfarer", "_KEYFARER_COMPLETE").source())
    return 0


def run(arguments: Sequence[str]) -> int:
    """Run the command line; returns the exit code. Errors meant for the player are one line, no traceback."""
    try:
        result = cli.main(list(arguments), prog_name="keyfarer", standalone_mode=False,
                          complete_var="_KEYFARER_COMPLETE")  # fmt: skip
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped.", err=True)
        return STOPPED
    except KeyfarerError as error:
        click.echo(_told(error), err=True)
        return BAD_INPUT
    except BrokenPipeError:
        # Whoever read our output has gone; nothing is left to say, not even at the interpreter's end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        if type(error).__name__ != "SoundError":
            raise
        click.echo(_told(error), err=True)
        return BAD_INPUT


def _told(error: Exception) -> str:
    return "\n".join(f"keyfarer: {line}" for line in str(error).splitlines())
