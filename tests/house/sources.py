"""What the house tests look at: the repo's files, and the modules of our three packages as installed."""

import ast
import subprocess
import sys
from functools import cache
from importlib.util import find_spec
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("trainer", "synth", "exercises")


@cache
def committed_files() -> tuple[str, ...]:
    """Paths of the files under version control that stand in the work tree; none outside a clone."""
    if not (ROOT / ".git").exists():
        return ()
    listed = subprocess.run(
        ("git", "ls-files", "-z"), cwd=ROOT, capture_output=True, check=True, encoding="utf-8"
    ).stdout
    return tuple(path for path in listed.split("\0") if path and (ROOT / path).is_file())


@cache
def python_files(*folders: str) -> tuple[Path, ...]:
    """Every Python file below these folders of the repo, in order."""
    found = (path for folder in folders for path in sorted((ROOT / folder).rglob("*.py")))
    return tuple(path for path in found if "__pycache__" not in path.parts)


def dotted(path: Path) -> str:
    """The module name of a file of the repo."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def tree(path: Path) -> ast.Module:
    """A file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


@cache
def modules() -> tuple[str, ...]:
    """Dotted names of all modules of our packages, in order, found without importing them."""
    found: list[str] = []
    for package in PACKAGES:
        spec = find_spec(package)
        if spec is None or spec.origin is None:
            continue
        top = Path(spec.origin).parent
        for path in sorted(top.rglob("*.py")):
            parts = (package, *path.relative_to(top).with_suffix("").parts)
            found.append(".".join(parts[:-1] if parts[-1] == "__init__" else parts))
    return tuple(found)


def in_room(module: str, room: str) -> bool:
    """Whether a module is this room or stands in it."""
    return module == room or module.startswith(f"{room}.")


def fresh_interpreter(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run code in an interpreter that has imported nothing yet, from outside the repo."""
    command = (sys.executable, "-c", code, *arguments)
    return subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, encoding="utf-8", timeout=120, check=False
    )
