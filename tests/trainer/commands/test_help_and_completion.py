"""Help, version, refusals and shell completion: what they say, and that their examples really run."""

import os
import shlex
import shutil
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import click
import pytest

from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer
from tests.trainer.memory.made import trial
from trainer.charts.library import exercise_tunes
from trainer.cli import keyfarer as group
from trainer.commands.completion import INSTALL
from trainer.drills.kinds import KINDS
from trainer.harmony.cadence import CADENCE
from trainer.memory.copies import backup
from trainer.memory.log_file import write_log
from trainer.memory.store import open_store


def commands_of(group: click.Group, *before: str) -> list[tuple[str, ...]]:
    """Every command with the words before it, those of a group of commands behind it."""
    found: list[tuple[str, ...]] = []
    for name, command in group.commands.items():
        found.append((*before, name))
        if isinstance(command, click.Group):
            found += commands_of(command, *before, name)
    return found


COMMANDS = [(), *commands_of(group)]


def examples(*command: str) -> list[str]:
    """The examples at the end of a command's help."""
    done = keyfarer(*command, "--help")
    assert (0, "") == (done.returncode, done.stderr)
    return [line.strip() for line in done.stdout.partition("Examples:\n")[2].splitlines() if line.strip()]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_help_fits_and_is_the_same_by_its_short_name(command: tuple[str, ...]) -> None:
    """`-h` and `--help` print the same, at most 80 columns, and no summary of a command is cut off."""
    short, long = keyfarer(*command, "-h"), keyfarer(*command, "--help")
    assert (0, "", short.stdout) == (long.returncode, long.stderr, long.stdout)
    assert max(map(len, long.stdout.splitlines())) <= 80
    assert not any(line.endswith("...") for line in long.stdout.splitlines() if not line.startswith("Usage:"))


def a_memory(folder: Path) -> None:
    """A memory in the player's home, and another's in each of the forms that can be imported or restored."""
    with open_store(folder / "home" / "memory.db") as store:
        store.append(trial())
    with open_store(folder / "laptop.db") as store, (folder / "laptop.jsonl").open("wb") as file:
        store.append(trial())
        write_log(store, file)
    backup(folder / "laptop.db", folder / "backup-of-monday.db")


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.skipif(os.name == "nt" or shutil.which("bash") is None, reason="the examples are lines for a Unix shell")
def test_every_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...]) -> None:
    """Each command has examples, and each of them, typed into a shell, ends with exit 0."""
    # What would sound is turned down by 40 dB or written to a file; a session gets no answers and so ends.
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "settings.toml").write_text("volume_db = -40\n", encoding="utf-8")
    (tmp_path / "charts").mkdir()
    for name in ("my-tune.chart", "charts/other.chart"):
        (tmp_path / name).write_text(CHART + "| Cm7 | F7 | Dm7 G7 | Cm7 F7 |\n" * 2, encoding="utf-8")
    tool = tmp_path / "bin" / "keyfarer"
    tool.parent.mkdir()
    tool.write_text(f'#!/bin/sh\nexec {shlex.join(COMMAND)} "$@"\n', encoding="utf-8")
    tool.chmod(0o755)
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("PATH", f"{tool.parent}{os.pathsep}{os.environ['PATH']}")
    if command[:1] == ("memory",):
        a_memory(tmp_path)
    lines = examples(*command)
    assert lines
    for line in lines:
        if line.startswith("keyfarer play") and "--to" not in line:
            line += " --to heard.mid"
        if "fish" in line and shutil.which("fish") is None:
            continue
        shell = "fish" if "fish" in line else "bash"
        done = subprocess.run(
            (shell, "-c", line), cwd=tmp_path, stdin=subprocess.DEVNULL, capture_output=True, timeout=300, check=False
        )
        assert 0 == done.returncode, (line, done.stderr.decode())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("warble",), "There is no command 'warble'; there are analyze, repertoire, play,"),
        (("analyse",), "did you mean `analyze`?"),
        (("drill", "--type", "back-door"), "there is no cadence type 'back-door'; did you mean backdoor"),
        (("drill", "--type", "qqq"), "`keyfarer types` lists them"),
        (("drill", "--kind", "guess"), "there are name-functions, name-cadence"),
        (("drill", "--rung", "7"), "found '7'; expected a whole number from 1 to 6"),
        (("analyze",), "Missing argument 'FILE...'"),
        (("play", "a", "b"), "unexpected extra argument"),
        (("--sing",), "--sing"),
        (("chart", "tdy"), "did you mean `tidy`?"),
        (("chart", "tidy"), "Missing argument 'FILE'"),
        (("completion", "csh"), "'csh'"),
    ],
)
def test_words_that_are_not_understood_are_told(arguments: tuple[str, ...], words: str) -> None:
    """A wrong command, option or value gives exit 2, what was meant, and where the help is."""
    done = keyfarer(*arguments)
    assert (2, "") == (done.returncode, done.stdout)
    first, last = done.stderr.splitlines()
    assert first.startswith("keyfarer: ")
    assert words in first
    assert last.startswith("Try `keyfarer")


def test_a_file_in_a_commands_place_is_answered_with_the_command(tmp_path: Path) -> None:
    """Who gives a file and no command is told which command reads it."""
    (tmp_path / "my.chart").write_text(CHART, encoding="utf-8")
    assert "keyfarer analyze my.chart" in keyfarer("my.chart", folder=tmp_path).stderr
    (tmp_path / "week.exercise").write_text("{}", encoding="utf-8")
    for before in ((), ("exercise",)):
        assert "keyfarer exercise open week.exercise" in keyfarer(*before, "week.exercise", folder=tmp_path).stderr
    assert "keyfarer chart check my.chart" in keyfarer("chart", "my.chart", folder=tmp_path).stderr


def test_version() -> None:
    """`--version` prints the version and nothing else."""
    assert f"keyfarer {version('keyfarer')}\n" == keyfarer("--version").stdout


def test_types_and_tunes_list_all_there_are() -> None:
    """Every cadence type and every exercise tune begins a line, in its table's order; one type can be told in full."""
    starts = [line for line in keyfarer("types").stdout.splitlines() if not line.startswith(" ")]
    assert list(CADENCE) == starts
    starts = [line for line in keyfarer("tunes").stdout.splitlines() if not line.startswith(" ")]
    assert [name for name, _ in exercise_tunes()] == starts
    for id, row in CADENCE.items():
        if row.degrees or row.shapes:
            assert " ".join(keyfarer("types", id).stdout.split()).startswith(f"{row.name} ({id})")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_says_how_to_install_it(shell: str) -> None:
    """The script of each shell ends with its installation in comments; the shell itself, where it is, accepts it."""
    done = keyfarer("completion", shell)
    assert (0, "") == (done.returncode, done.stderr)
    assert "_KEYFARER_COMPLETE" in done.stdout
    assert all(f"# {line}\n" in done.stdout for line in INSTALL[shell])
    assert done.stdout.splitlines()[0] == "#compdef keyfarer" or shell != "zsh"
    if shutil.which(shell):
        subprocess.run((shell, "-n"), input=done.stdout.encode(), check=True, timeout=60)


def completed(words: str) -> list[str]:
    """What bash is offered behind some words of the command line."""
    count = len(words.split(" ")) - 1
    done = keyfarer(surroundings={"_KEYFARER_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(count)})
    return [line.partition(",")[2] for line in done.stdout.splitlines()]


def test_commands_types_kinds_and_tunes_complete() -> None:
    """Behind the command come commands, behind options their words, behind a chart's place tunes beside files."""
    assert ["play", "progress"] == completed("keyfarer p")
    assert [id for id in CADENCE if id.startswith("minor-")] == completed("keyfarer drill --type minor-")
    assert list(KINDS) == completed("keyfarer drill --kind ")
    assert ["the-l", "the-lamplighters-round", "the-lending-stair"] == completed("keyfarer analyze the-l")
    assert ["the-courier-turns-back"] == completed("keyfarer play the-c")[-1:]
    assert ["--json"] == completed("keyfarer progress --j")
    assert ["--explain"] == completed("keyfarer analyze coal-barge --e")
    assert ["C", "Bb", "Eb", "F"] == completed("keyfarer analyze coal-barge --for ")
    assert ["Bb"] == completed("keyfarer analyze coal-barge --for b")
    assert ["upper"] == completed("keyfarer analyze coal-barge --numerals u")
    assert ["tidy", "transpose"] == completed("keyfarer chart t")
    assert ["Eb", "E"] == completed("keyfarer chart transpose coal-barge --key E")
    assert ["f", "f#"] == completed("keyfarer chart transpose coal-barge --key f")
    assert ["m2", "m3", "m6", "m7"] == completed("keyfarer chart transpose coal-barge --by m")
    assert ["--own-spelling"] == completed("keyfarer chart tidy coal-barge --o")


def test_every_option_has_its_help() -> None:
    """No option of any command stands without a word."""
    for words in COMMANDS:
        command: click.Command = group
        for word in words:
            assert isinstance(command, click.Group)
            command = command.commands[word]
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                assert parameter.help, (words, parameter.name)


def test_the_help_needs_nothing_heavy() -> None:
    """Asking for help loads no harmony, no charts and no store."""
    code = (
        "import sys; from trainer.cli import run; run(['analyze', '--help']); "
        "print(sorted(m for m in sys.modules if m.startswith(('trainer.harmony', 'trainer.charts', 'sqlite3'))))"
    )
    done = subprocess.run((sys.executable, "-c", code), capture_output=True, check=True, timeout=60)
    assert b"[]" == done.stdout.splitlines()[-1]
