"""Rooms keep to themselves: import contracts, what an import loads, what pure code may not reach for."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.sources import ROOT, fresh_interpreter, in_room, modules, python_files, tree

MACHINE = frozenset({"textual", "sounddevice", "miniaudio", "rtmidi"})
"""Terminal and devices: loaded by the file that opens them, on first use."""

SLOW = frozenset({"scipy", "librosa", "music21"})
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

ALLOWED = {"trainer.memory.store": frozenset({"sqlite3"}), "trainer.screens": frozenset({"textual"})}
"""What a room loads all the same, because it is there for nothing else."""

PURE = (
    "trainer.harmony", "trainer.charts", "trainer.reading", "trainer.voicing", "trainer.drills",
    "trainer.memory.unit", "trainer.memory.trial", "trainer.memory.schedule", "trainer.memory.chance",
    "synth.score", "synth.tones", "synth.envelopes", "synth.render", "synth.level",
)  # fmt: skip
"""Where now, rng, store and output are arguments."""

CLOCKS = {
    "time": {"time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "sleep"},
    "datetime": {"now", "utcnow", "today"},
    "date": {"today"},
}
"""Calls that read a clock, by the name before the dot."""

SEEDED = frozenset({"Random", "Generator", "default_rng"})
"""What may be had from a module called random: a source of its own."""

LOADED = """
import importlib, json, sys
importlib.import_module(sys.argv[1])
print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""

STARTED = """
import json, sys
from trainer.__main__ import main
try:
    code = main()
except SystemExit as stop:
    code = stop.code
print()
print(json.dumps([code, sorted({name.partition(".")[0] for name in sys.modules})]))
"""


def nearest(table: dict[str, frozenset[str]], module: str) -> frozenset[str]:
    """The entry of the innermost room in a table that a module stands in."""
    rooms = [room for room in table if in_room(module, room)]
    return table[max(rooms, key=len)] if rooms else frozenset()


@pytest.mark.parametrize("module", [name for name in modules() if not name.endswith("__main__")])
def test_an_import_loads_nothing_of_other_rooms(module: str) -> None:
    """Importing one module in a fresh interpreter loads no library that its room has no use for."""
    done = fresh_interpreter(LOADED, module)
    assert done.returncode == 0, "\n".join(done.stderr.splitlines()[-3:])
    refused = (MACHINE | SLOW | nearest(FORBIDDEN, module)) - nearest(ALLOWED, module)
    assert set() == refused & set(json.loads(done.stdout))


@pytest.mark.skipif("trainer.__main__" not in modules(), reason="there is no command yet")
@pytest.mark.parametrize("arguments", [("--version",), ("--help",), ("progress",)], ids=" ".join)
def test_a_start_pays_only_for_what_it_uses(arguments: tuple[str, ...]) -> None:
    """Commands that make no sound load no array, sound or terminal library."""
    done = fresh_interpreter(STARTED, *arguments)
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    assert (0, "") == (code or 0, done.stderr)
    assert set() == (MACHINE | SLOW | {"numpy", "soundfile", "mido"}) & set(loaded)


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


def called(path: Path) -> list[tuple[int, str, str]]:
    """Every call `owner.name(...)` in a file, with its line; the owner is the last name before the dot."""
    return [
        (node.lineno, owner.attr if isinstance(owner, ast.Attribute) else owner.id, node.func.attr)
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(owner := node.func.value, ast.Attribute | ast.Name)
    ]


@pytest.mark.parametrize("room", PURE)
def test_pure_rooms_read_no_clock_and_no_global_rng(room: str) -> None:
    """Theory, drills, scheduling and rendering get now and rng as arguments."""
    place = Path(*room.split("."))
    alone = ROOT / place.with_suffix(".py")
    files = python_files(str(place)) or ((alone,) if alone.exists() else ())
    faults = [
        f"{path.relative_to(ROOT)}:{line}: {owner}.{name}()"
        for path in files
        for line, owner, name in called(path)
        if name in CLOCKS.get(owner, ()) or (owner == "random" and name not in SEEDED)
    ]
    assert [] == faults
