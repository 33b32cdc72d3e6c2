"""What the build compiles is there, is no older than its source, and has its types beside it."""

import ast
import os
from importlib import import_module
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import Any

import pytest

from tests.house.sources import ROOT

MEND = "compile them: python -m pip install -e ."
BUILD = ROOT / ".build" / "compile.py"


def compiled() -> dict[str, tuple[str, ...]]:
    """The build's own table: modules by the folder that they lie in; empty where the source is out of the way."""
    if not BUILD.exists():
        return {}
    for node in ast.parse(BUILD.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and "COMPILED" in [ast.unparse(target) for target in node.targets]:
            found: Any = ast.literal_eval(node.value)
            return dict(found)
    raise AssertionError("there is no table COMPILED in .build/compile.py")


def is_compiled(file: str) -> bool:
    """Whether a module's file is an extension module."""
    return file.endswith(tuple(EXTENSION_SUFFIXES))


def files() -> dict[str, Path]:
    """What is imported for each module that the build compiles."""
    names = [f"{folder}/{name}".replace("/", ".") for folder, modules in compiled().items() for name in modules]
    return {name: Path(str(import_module(name).__file__)) for name in names}


@pytest.mark.skipif(not BUILD.exists(), reason="the source folders are out of the way")
def test_the_compiled_files_are_there_and_up_to_date() -> None:
    """Where CI runs all are compiled, else all or none; none is older than its source. The message has the mend."""
    found = files()
    plain = [name for name, file in found.items() if not is_compiled(str(file))]
    if os.environ.get("CI"):
        assert [] == plain, MEND
    assert len(plain) in (0, len(found)), f"some are compiled and some are not; {MEND}"
    for name, file in found.items() if not plain else ():
        for suffix in (".py", ".pxd"):
            source = file.with_name(name.rpartition(".")[2] + suffix)
            assert source.stat().st_mtime <= file.stat().st_mtime, f"{source} was changed after; {MEND}"


@pytest.mark.skipif(not BUILD.exists(), reason="the source folders are out of the way")
def test_each_has_its_types_beside_it() -> None:
    """Files with types are those of compiled modules, no more and no fewer."""
    typed = {path.relative_to(ROOT).with_suffix("").as_posix() for path in ROOT.glob("[st]*/**/*.pxd")}
    assert typed == {f"{folder}/{name}" for folder, names in compiled().items() for name in names}
