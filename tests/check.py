"""Checks everything: `python tests/check.py` on a bare Python in a clean clone.

Makes .venv when the Python it runs under lacks something the project needs, then runs each step
and closes with a table of times. Exit code 0 when every step passed, 1 when one failed, 2 when
nothing could be checked. Standard library only.
"""

import argparse
import hashlib
import io
import json
import os
import re
import subprocess
import sys
import threading
import time
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
VENV_PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "installed.sha256"
"""Written last: what the environment was installed for; anything else there means install again."""

LIMIT_S = 30 * 60
LONG_LIMIT_S = 120 * 60
"""A run of tests that takes longer hangs, and is ended; with `--long` it takes more than half an hour."""

NO_TESTS = 5
"""pytest's exit code when nothing was collected."""

COUNT = re.compile(r"(\d+) (passed|failed|errors?|skipped|xfailed|xpassed)\b")
"""One count of pytest's closing line."""

VERDICTS = {"passed": "passed", "skipped": "skipped", "xfailed": "skipped"}
"""What a word of pytest's closing line comes to; whatever isn't named failed."""

COLOR = re.compile(r"\x1b\[[\d;]*m")
"""A change of color on a terminal (ECMA-48, SGR)."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to check: what the environment's Python is started with."""

    name: str
    about: str
    command: tuple[str, ...]
    tests: bool = False
    """It is a run of pytest."""
    may_be_empty: bool = False
    """No test to run is no fault."""
    limit_s: float = LIMIT_S


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a step went."""

    step: Step
    code: int
    took_s: float
    closing: str = ""
    """pytest's closing line; empty for other steps."""

    @property
    def passed(self) -> bool:
        """Nothing failed."""
        return self.code == 0 or (self.code == NO_TESTS and self.step.may_be_empty)


def steps(long: bool, workers: str) -> tuple[Step, ...]:
    """Every step in its order: what is quick to fail comes first, what needs the machine to itself last."""
    length = "" if long else " and not long"
    report = ("--durations=5", "--durations-min=1", *(("--color=yes",) if sys.stdout.isatty() else ()))
    untimed, alone = "--benchmark-disable", ("-p", "no:xdist")
    lint_imports = "from importlinter.cli import lint_imports_command as command; command()"

    def tests(name: str, about: str, marks: str, *options: str, may_be_empty: bool = True) -> Step:
        command = ("-m", "pytest", *report, "-m", marks + length, *options)
        return Step(name, f"pytest, {about}", command, True, may_be_empty, LONG_LIMIT_S if long else LIMIT_S)

    return (
        Step("lint", "ruff", ("-m", "ruff", "check", "--quiet")),
        Step("imports", "import-linter", ("-c", lint_imports, "--no-logo")),
        Step("types", "mypy, strict", ("-m", "mypy")),
        tests("tests", "in parallel", "not device and not bench", untimed, "-n", workers, may_be_empty=False),
        tests("devices", "one by one", "device and not bench", untimed, *alone),
        tests("benchmarks", "one by one", "bench", "-p", "no:randomly", *alone),
    )


def arguments(names: list[str]) -> argparse.Namespace:
    """What the command line asks for."""
    parser = argparse.ArgumentParser(description="Check everything, or the steps named.")
    parser.add_argument("names", nargs="*", metavar="step", help=f"one of: {', '.join(names)}")
    parser.add_argument("--long", action="store_true", help="also the tests that take minutes")
    parser.add_argument("--fast", action="store_true", help="no devices, no benchmarks")
    parser.add_argument("--workers", default="3", metavar="N", help="test processes at once (3: some wait)")
    chosen = parser.parse_args()
    unknown = [name for name in chosen.names if name not in names]
    if unknown:
        parser.error(f"no step {', '.join(unknown)}; there are: {', '.join(names)}")
    return chosen


def needed() -> str:
    """A digest of what the environment has to hold: the Python, the build and the dependencies."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = [sys.version_info[:2], str(ROOT), project["build-system"], project["project"]]
    return hashlib.sha256(json.dumps(wanted, sort_keys=True).encode()).hexdigest()


def stands_by_itself() -> bool:
    """Whether the Python that runs this already has the project from this folder and all it needs."""
    try:
        from importlib.metadata import PackageNotFoundError, version
        from importlib.util import find_spec

        from packaging.requirements import Requirement
    except ImportError:
        return False
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    try:
        version("keyfarer")
        for text in project["dependencies"] + project["optional-dependencies"]["test"]:
            wanted = Requirement(text)
            applies = wanted.marker is None or wanted.marker.evaluate()
            if applies and not wanted.specifier.contains(version(wanted.name), prereleases=True):
                return False
    except PackageNotFoundError:
        return False
    ours = find_spec("trainer")
    return ours is not None and ours.origin is not None and Path(ours.origin).is_relative_to(ROOT)


def environment() -> str:
    """The Python to check with; installs what it lacks into .venv."""
    if stands_by_itself():
        return sys.executable
    digest = needed()
    if VENV_PYTHON.exists() and STAMP.exists() and STAMP.read_text(encoding="utf-8") == digest:
        return str(VENV_PYTHON)
    began = time.monotonic()
    print("check: installing into .venv", flush=True)
    pip = (str(VENV_PYTHON), "-m", "pip", "install", "-qq", "--disable-pip-version-check")
    for command in (
        (sys.executable, "-m", "venv", "--clear", str(VENV)),
        (*pip, "--editable", f"{ROOT}[test]"),
    ):
        if subprocess.run(command, cwd=ROOT).returncode:
            print(f"check: this failed: {' '.join(command)}", file=sys.stderr)
            print("check: it needs Python 3.11 or later with venv, and a package index", file=sys.stderr)
            raise SystemExit(2)
    STAMP.write_text(digest, encoding="utf-8")
    print(f"check: installed in {time.monotonic() - began:.0f} s", flush=True)
    return str(VENV_PYTHON)


def run(step: Step, python: str, surroundings: dict[str, str]) -> Outcome:
    """Run one step; what it prints passes through."""
    print(f"── {step.name}: {step.about}", flush=True)
    began = time.monotonic()
    command = (python, *step.command)
    if not step.tests:
        code = subprocess.run(command, cwd=ROOT, env=surroundings, stdin=subprocess.DEVNULL).returncode
        return Outcome(step, code, time.monotonic() - began)
    said = bytearray()
    with subprocess.Popen(
        command, cwd=ROOT, env=surroundings, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        limit = threading.Timer(step.limit_s, process.kill)
        limit.start()
        while piece := os.read(process.stdout.fileno(), 65536):
            said += piece
            sys.stdout.buffer.write(piece)
            sys.stdout.buffer.flush()
        limit.cancel()
    closing = closing_line(said.decode(errors="replace"))
    return Outcome(step, process.returncode, time.monotonic() - began, closing)


def closing_line(said: str) -> str:
    """The last line in which pytest counts its tests, plain; empty when there is none."""
    lines = [COLOR.sub("", line).strip("= \r") for line in said.splitlines()]
    return next((line for line in reversed(lines) if COUNT.search(line)), "")


def told(outcomes: list[Outcome]) -> str:
    """A line for each step, and the tests of all of them counted at the end."""
    lines = ["── summary"]
    counts: Counter[str] = Counter()
    for outcome in outcomes:
        word = "ok" if outcome.passed else f"FAILED ({outcome.code})"
        if outcome.code == NO_TESTS and outcome.passed:
            word = "none"
        lines.append(f"{outcome.step.name:11} {word:11} {outcome.took_s:6.1f} s  {outcome.closing}".rstrip())
        for number, kind in COUNT.findall(outcome.closing):
            counts[VERDICTS.get(kind, "failed")] += int(number)
    if any(outcome.step.tests for outcome in outcomes):
        every = (f"{counts[verdict]} {verdict}" for verdict in ("passed", "failed", "skipped"))
        lines.append(f"tests: {', '.join(every)}")
    return "\n".join(lines)


def main() -> int:
    """Run what was asked for."""
    chosen = arguments([step.name for step in steps(False, "2")])
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(encoding="utf-8")
    surroundings = {
        **os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONIOENCODING": "utf-8"
    }  # fmt: skip
    if chosen.long:
        surroundings.setdefault("HYPOTHESIS_PROFILE", "long")
    python = environment()
    outcomes = []
    for step in steps(chosen.long, chosen.workers):
        if step.name not in (chosen.names or [step.name]):
            continue
        if chosen.fast and not chosen.names and step.name in ("devices", "benchmarks"):
            continue
        if step.name == "devices" and not chosen.names and not sys.platform.startswith("linux"):
            print("── devices: left out, the virtual sound device is Linux's", flush=True)
            continue
        outcomes.append(run(step, python, surroundings))
    print(told(outcomes), flush=True)
    return 0 if all(outcome.passed for outcome in outcomes) else 1


if __name__ == "__main__":
    raise SystemExit(main())
