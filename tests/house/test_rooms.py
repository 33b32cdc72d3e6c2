"""Rooms keep to themselves: import contracts, what an import loads, what pure code may not reach for."""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.sources import (
    PACKAGES,
    ROOT,
    dotted,
    fresh_interpreter,
    in_room,
    modules,
    python_files,
    tree,
)

MACHINE = frozenset({"textual", "sounddevice", "miniaudio", "rtmidi"})
"""Terminal and devices: loaded by the file that opens them, on first use."""

SLOW = frozenset({"scipy", "librosa", "music21", "pyloudnorm"})
"""What nobody's start should wait for: imported where it is called, or by tests only."""

FORBIDDEN = {
    "trainer": frozenset(),
    "synth": frozenset(),
    "exercises": frozenset({"numpy"}),
    "trainer.harmony": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "mido", "click", "platformdirs"}),
    "trainer.charts": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "click", "platformdirs"}),
    "trainer.reading": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "mido", "click", "platformdirs"}),
    "trainer.voicing": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "mido", "click", "platformdirs"}),
    "trainer.drills": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "mido", "click", "platformdirs"}),
    "trainer.memory": frozenset({"numpy", "soundfile", "sqlite3", "fsrs", "mido", "click", "platformdirs"}),
    "synth.score": frozenset({"numpy", "soundfile", "mido"}),
}
"""What importing a room must not load, beside MACHINE and SLOW; the innermost room of a module counts."""

ALLOWED = {
    "trainer.memory.store": frozenset({"sqlite3"}),
    "trainer.memory.opening": frozenset({"sqlite3"}),
    "trainer.memory.copies": frozenset({"sqlite3"}),
    "trainer.screens": frozenset({"textual"}),
}
"""What a room loads all the same, because it is there for nothing else."""

TIMEKEEPERS = (
    "trainer.__main__", "trainer.cli", "trainer.commands", "trainer.screens", "trainer.listening",
    "trainer.practice.clock", "synth.output", "synth.outputs", "synth.inputs",
)  # fmt: skip
"""Who may read a clock and make a source of random numbers; everyone else is handed them."""

CLOCKS = {
    "time": {"time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "sleep"},
    "datetime": {"now", "utcnow", "today"},
    "date": {"today"},
}
"""Calls that read a clock, by the name before the dot."""

UNSEEDED = frozenset({"Random", "default_rng", "SystemRandom"})
"""Makers of random sources; without a seed each reads the machine's."""

LOADED = """
import importlib, json, os, sys
preloaded, modules = json.loads(sys.argv[1]), json.loads(sys.argv[2])
for name in preloaded:
    importlib.import_module(name)
for module in modules:
    sys.stdout.flush()
    if hasattr(os, "fork"):
        child = os.fork()
        if child:
            os.waitpid(child, 0)
            continue
    try:
        importlib.import_module(module)
        print(json.dumps([module, sorted({name.partition(".")[0] for name in sys.modules})]), flush=True)
    finally:
        if hasattr(os, "fork"):
            os._exit(0)
"""
"""What importing each of some modules loads; each by itself, where a process can be forked."""

USUAL = ("dataclasses", "typing", "fractions", "random", "json", "re", "pathlib", "functools", "itertools", "datetime")
"""What nobody refuses, loaded once for all."""
STARTED = """
import json, sys
from trainer.__main__ import main
try:
    code = main()
except SystemExit as stop:
    code = stop.code
print()
print(json.dumps([code, sorted(sys.modules)]))
"""
"""What is loaded when a command has ended."""

SOUNDED_IN_APP = """
import json, sys
from trainer import places, settings
from trainer.practice.options import DrillOptions
from trainer.practice.sounding import Loudspeaker
from trainer.screens.app import KeyfarerApp
from trainer.screens.running import run_app

played, run = Loudspeaker.play, KeyfarerApp.run
heard = []

def play(self, performance):
    played(self, performance)
    heard.append(performance)

async def until_a_question_sounds(pilot):
    for _ in range(600):
        if heard and pilot.app.session is not None and pilot.app.screen.query("#title"):
            break
        if not pilot.app.busy:
            await pilot.press("enter")
        await pilot.pause(0.05)
    await pilot.pause()
    await pilot.app.action_quit()

settings.save(places.settings_file(), level_set=True)  # else a sample is played to set it by
Loudspeaker.play = play
KeyfarerApp.run = lambda self: run(self, headless=True, auto_pilot=until_a_question_sounds)
code = run_app(DrillOptions(count=1, rung=1))
print()
print(json.dumps([code if heard else "no question sounded", sorted(sys.modules)]))
"""
"""What is loaded when the app has played its first question."""


def nearest(table: dict[str, frozenset[str]], module: str) -> frozenset[str]:
    """The entry of the innermost room in a table that a module stands in."""
    rooms = [room for room in table if in_room(module, room)]
    return table[max(rooms, key=len)] if rooms else frozenset()


def refused_by(module: str) -> frozenset[str]:
    """The libraries that importing a module must not load."""
    return (MACHINE | SLOW | nearest(FORBIDDEN, module)) - nearest(ALLOWED, module)


ROOMS = sorted({tuple(sorted(refused_by(name))) for name in modules()})
"""What is refused, once for all modules that refuse the same."""


@pytest.mark.parametrize("refused", ROOMS, ids=len)
def test_an_import_loads_nothing_of_other_rooms(refused: tuple[str, ...]) -> None:
    """Importing one module in a fresh interpreter loads no library that its room has no use for."""
    mine = [name for name in modules() if tuple(sorted(refused_by(name))) == refused and not name.endswith("__main__")]
    preloaded = [*USUAL, *(name for name in ("numpy", "textual.app") if name.partition(".")[0] not in refused)]
    asked = [mine] if hasattr(os, "fork") else [[name] for name in mine]
    done = [fresh_interpreter(LOADED, json.dumps(preloaded), json.dumps(some)) for some in asked]
    loaded = dict(json.loads(line) for one in done for line in one.stdout.splitlines())
    assert mine == list(loaded), "\n".join(line for one in done for line in one.stderr.splitlines()[-3:])
    astray = {name: sorted(set(refused) & set(found)) for name, found in loaded.items() if set(refused) & set(found)}
    assert {} == astray


@pytest.mark.parametrize("arguments", [("--version",), ("--help",), ("progress",)], ids=" ".join)
def test_a_start_pays_only_for_what_it_uses(arguments: tuple[str, ...]) -> None:
    """Commands that make no sound load no array, sound or terminal library."""
    done = fresh_interpreter(STARTED, *arguments)
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    assert (0, "") == (code or 0, done.stderr)
    assert set() == (MACHINE | SLOW | {"numpy", "soundfile", "mido"}) & {name.partition(".")[0] for name in loaded}


RENDERED = frozenset({"numpy", "synth.render", "synth.level"})
"""What any sound takes."""

IN_ONE_PROCESS = "import os\nos.cpu_count = lambda: 1\n"
"""A file is written by a second process only where there is a second processor."""

FIRST_SOUNDS = {
    "play": (STARTED, ("play", "tune.chart", "--no-count-in"), RENDERED | {"synth.output"}),
    "play --to": (IN_ONE_PROCESS + STARTED, ("play", "tune.chart", "--to", "tune.flac"), RENDERED | {"synth.wav_file"}),
    "drill --plain": (STARTED, ("drill", "--plain", "--count", "1", "--rung", "1"), RENDERED | {"synth.output"}),
    "drill --to": (STARTED, ("drill", "--to", "questions", "--count", "1"), RENDERED | {"synth.wav_file"}),
    "the app": (SOUNDED_IN_APP, (), RENDERED | {"synth.output", "textual"}),
}
"""The ways to a first sound: what runs, with which words, and what shows that it got there."""


@pytest.mark.parametrize("way", FIRST_SOUNDS)
def test_nothing_slow_stands_on_the_way_to_the_first_sound(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Playing, writing and the first question load no library that takes longer than the sound itself."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tune.chart").write_text(
        "title: Two Lamps\nkey: Bb\ntempo: 280\n\n| Cm7 F7 | Bb6 |\n", encoding="utf-8"
    )
    code, words, shows = FIRST_SOUNDS[way]
    done = fresh_interpreter(code, *words)
    ended, loaded = json.loads(done.stdout.splitlines()[-1])
    assert 0 == (ended or 0), done.stderr
    assert shows <= set(loaded)
    assert set() == SLOW & {name.partition(".")[0] for name in loaded}


def test_the_import_contracts_hold() -> None:
    """Import-linter keeps every contract of pyproject.toml."""
    if not (ROOT / "trainer").is_dir():
        pytest.skip("the source folders are out of the way")
    command = "from importlinter.cli import lint_imports_command as command; command()"
    done = subprocess.run(
        (sys.executable, "-c", command, "--no-logo", "--no-cache"),
        cwd=ROOT, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout


def reaches_out(call: ast.Call) -> bool:
    """Whether a call reads a clock, the global source of random numbers, or makes one without a seed."""
    *before, name = ast.unparse(call.func).split(".")
    if name in UNSEEDED:
        return not (call.args or call.keywords)
    owner = before[-1] if before else ""
    return name in CLOCKS.get(owner, ()) or (owner == "random" and name != "Generator")


def test_only_the_edge_reads_the_clock_or_rolls_the_dice() -> None:
    """Theory, drills, practice, scheduling and rendering get now and rng as arguments."""
    faults = [
        f"{path.relative_to(ROOT).as_posix()}:{node.lineno}: {ast.unparse(node.func)}()"
        for path in python_files(*PACKAGES)
        if not any(in_room(dotted(path), room) for room in TIMEKEEPERS)
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and reaches_out(node)
    ]
    assert [] == faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("time.monotonic()", True),
        ("datetime.datetime.now(UTC)", True),
        ("random.choice(tunes)", True),
        ("np.random.normal(size=3)", True),
        ("Random()", True),
        ("np.random.default_rng()", True),
        ("random.Random(seed)", False),
        ("np.random.default_rng(7)", False),
        ("rng.choice(tunes)", False),
        ("clock.now()", False),
    ],
)
def test_reaching_out_is_told_from_being_handed(text: str, expected: bool) -> None:
    """A clock or a global source of random numbers is seen in a call, one passed in is let be."""
    call = ast.parse(text, mode="eval").body
    assert isinstance(call, ast.Call)
    assert expected == reaches_out(call)
