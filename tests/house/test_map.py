"""DEVELOPERS.md is true to the tree: what it names exists, and what must stand in it does."""

import ast
import re
import tomllib
from functools import cache
from pathlib import Path

import pytest

from tests.house.sources import PACKAGES, ROOT, python_files, tree

MAP = ROOT / "DEVELOPERS.md"

FOLDERS = (*PACKAGES, "tests", ".build", ".ci")
"""Where the files stand that the map tells of, beside those at the top."""

SUFFIXES = "py|pxd|md|toml|sql|tsv|sh|chart|svg"
PATH = re.compile(rf"(?<![\w./<>-])(?:(?:[.\w-]+/)*[\w-]+\.(?:{SUFFIXES})|(?:\.?[a-z_]+/)+|\.ci/run)(?=::|[\s:,)]|$)")
"""A file by its suffix, or a folder by its slash, from any folder on down."""
TEST = re.compile(r"\b(\w+\.py)::(\w+)")
CODE = re.compile(r"```.*?```|`[^`\n]+`", re.DOTALL)
SCHEMA = re.compile(r"\bkeyfarer/[a-z-]+/\d+\b")


def code_of(text: str) -> str:
    """What stands between backticks, and the titles of rooms: only there paths are named."""
    titles = re.findall(r"^### .*$", text, re.MULTILINE)
    spans = [found.strip("`").strip() for found in CODE.findall(text)]
    return "\n".join([*spans, *(title.replace("### ", "").partition(":")[0] for title in titles)])


@cache
def places() -> tuple[str, ...]:
    """Every file and folder, from the top, folders with a slash at the end."""
    top = [path.name for path in ROOT.iterdir() if path.is_file()]
    found = [path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if "__pycache__" not in path.parts]
    below = [path.relative_to(ROOT).as_posix() + "/" * path.is_dir() for path in found]
    return (*top, *(f"{folder}/" for folder in FOLDERS), *below)


def meant_by(name: str) -> list[str]:
    """The files or folders that a name given from any folder on down may mean; the whole path goes before all."""
    if name in places():
        return [name]
    return [place for place in places() if place.endswith(f"/{name}")]


def faults_of(text: str) -> list[str]:
    """What a text names that isn't there, or that two files are called."""
    code = code_of(text)
    faults = []
    for name in sorted({found.group() for found in PATH.finditer(code)}):
        meant = meant_by(name)
        if len(meant) != 1:
            faults.append(f"{name}: {'there is none' if not meant else 'may be ' + ' or '.join(meant)}")
    for file, test in sorted(set(TEST.findall(code))):
        for place in meant_by(file):
            nodes = ast.walk(tree(ROOT / place))
            names = {node.name for node in nodes if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)}
            if test not in names:
                faults.append(f"{file}::{test}: there is none")
    return faults


def test_what_the_map_names_exists() -> None:
    """Each path of the map means one file or folder, and each test that it names is there."""
    faults = faults_of(MAP.read_text(encoding="utf-8"))
    assert [] == faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("see `house/test_map.py` and `tests/house/`", 0),
        ("see `test_map.py::test_what_the_map_names_exists`", 0),
        ("run `python tests/check.py lint`, then `.ci/run`", 0),
        ("see `house/test_nap.py`", 1),
        ("see `tests/mouse/`", 1),
        ("see `test_map.py::test_what_the_nap_names`", 1),
        ("see `__init__.py`", 1),
        ("```\npython tests/checks.py\n```", 1),
        ("### trainer/hamrony/: a room", 1),
        ("schema `keyfarer/analysis/1`", 0),
    ],
)
def test_a_wrong_name_is_found(text: str, faults: int) -> None:
    """Files, folders and tests that aren't there are told, and names that two files bear."""
    assert faults == len(faults_of(text))


def test_the_map_has_every_room_contract_and_schema() -> None:
    """Each room, each import contract and each public schema of the source stands in the map."""
    text = MAP.read_text(encoding="utf-8")
    titles = "\n".join(re.findall(r"^### .*$", text, re.MULTILINE))
    rooms = [f"trainer/{path.parent.name}" for path in sorted((ROOT / "trainer").glob("*/__init__.py"))]
    missing = [room for room in (*rooms, "synth", "exercises", "tests") if not re.search(rf"\b{room}\b", titles)]
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = [contract["id"] for contract in project["tool"]["importlinter"]["contracts"]]
    schemas = {name for path in python_files(*PACKAGES) for name in SCHEMA.findall(Path(path).read_text("utf-8"))}
    missing += [f"`{name}`" for name in (*contracts, *sorted(schemas)) if f"`{name}`" not in text]
    assert [] == missing, "\n".join(missing)
