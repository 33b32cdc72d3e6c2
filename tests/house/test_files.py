"""The house's order: what may be committed, what stands at the top, how long a file is."""

import ast
import re
from pathlib import Path

import pytest

from tests.house.sources import ROOT, committed_files, python_files, tree

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "trainer", "synth", "tests", "exercises"}
"""All that is visible at the top level."""

HIDDEN = {".build", ".ci", ".github", ".gitattributes", ".gitignore"}
"""What may stand beside it with a dot."""

MOST_LINES = 400

TABLES = {
    "trainer/harmony/cadence.py": "the table of cadence types, a row each",
    "trainer/harmony/terms.py": "the table of words, a row each",
}
"""Files that may be longer, each with the reason."""

LEAKS = {
    "a path of somebody's machine": re.compile(
        r"(?<![\w.}<])/(?:work|root|home/[a-z]\w*|Users/\w+|tmp/kf|opt/(?:pypi|wheels))(?:/|\b(?![\w.-]))|[A-Z]:\\Users\\"
    ),
    "a package registry's host": re.compile(
        r"\b(?:pypi|pythonhosted|npmjs|anaconda|conda|crates|golang|rubygems|debian|ubuntu)\.(?:org|com|io|net)\b"
    ),
    "an address on a private network": re.compile(
        r"\b(?:10\.\d{1,3}|192\.168|172\.(?:1[6-9]|2\d|3[01]))\.\d{1,3}\.\d{1,3}\b"
    ),
    "an unfinished note": re.compile(r"\b(?:TOD[O]|FIXM[E]|XX[X]|HAC[K])\b"),
    "a conflict of a merge": re.compile(r"^(?:<{7}|>{7}) ", re.MULTILINE),
}
"""What no committed text holds. The patterns are written so that they don't find themselves."""

needs_repo = pytest.mark.skipif(not committed_files(), reason="not in a clone")


def texts() -> list[tuple[str, str]]:
    """Path and text of every committed file that is text."""
    raw = [(path, (ROOT / path).read_bytes()) for path in committed_files()]
    return [(path, data.decode("utf-8", "replace")) for path, data in raw if b"\0" not in data]


@needs_repo
@pytest.mark.parametrize("what", LEAKS)
def test_no_file_holds_what_is_not_the_project(what: str) -> None:
    """No committed text names a machine's paths, a registry's host or a private address."""
    faults = [
        f"{path}:{text.count(chr(10), 0, found.start()) + 1}: {found.group()}"
        for path, text in texts()
        for found in LEAKS[what].finditer(text)
    ]
    assert [] == faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("what", "example"),
    [
        ("a path of somebody's machine", "see /" + "home/ada/tunes"),
        ("a path of somebody's machine", "cd /" + "work"),
        ("a package registry's host", "https://files.python" + "hosted.org/x"),
        ("an address on a private network", "http://192" + ".168.0.7/"),
        ("an unfinished note", "# TO" + "DO: later"),
        ("a conflict of a merge", "<" * 7 + " HEAD"),
    ],
)
def test_the_search_finds_what_it_is_for(what: str, example: str) -> None:
    """Each pattern of what may not be committed finds an example of it."""
    assert LEAKS[what].search(example)


@needs_repo
def test_the_top_level_is_as_agreed() -> None:
    """The top level shows the seven agreed names, and only known dot-files beside them."""
    names = {Path(path).parts[0] for path in committed_files()}
    assert TOP == {name for name in names if not name.startswith(".")}
    assert set() == {name for name in names if name.startswith(".")} - HIDDEN


@needs_repo
def test_no_two_paths_differ_in_case_only() -> None:
    """A clone works on file systems that don't tell upper from lower case."""
    lower = [path.lower() for path in committed_files()]
    assert len(set(lower)) == len(lower)


def test_no_module_is_too_long() -> None:
    """No module has more lines than can be read in one go, but for the tables named with their reason."""
    lengths = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in python_files("trainer", "synth", "exercises", "tests")
    }
    assert {} == {path: lines for path, lines in lengths.items() if lines > MOST_LINES and path not in TABLES}


def test_every_exception_in_length_is_still_needed() -> None:
    """A file that is excepted from the limit exists and is longer than it."""
    lengths = {path: len((ROOT / path).read_text(encoding="utf-8").splitlines()) for path in TABLES}
    assert {} == {path: lines for path, lines in lengths.items() if lines <= MOST_LINES}


def test_every_test_says_what_it_shows() -> None:
    """Each test function has a docstring."""
    faults = [
        f"{path.relative_to(ROOT).as_posix()}:{node.lineno}: {node.name}"
        for path in python_files("tests")
        if path.name.startswith("test_")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.name.startswith("test_")
        if not (ast.get_docstring(node) or "").strip()
    ]
    assert [] == faults, "\n".join(faults)


def test_tests_mirror_the_source_tree() -> None:
    """Each folder of tests of a package stands for a folder of its source."""
    folders = {
        path.parent.relative_to(ROOT / "tests").as_posix()
        for path in python_files("tests/trainer", "tests/synth", "tests/exercises")
        if path.name.startswith("test_")
    }
    assert set() == {folder for folder in folders if not (ROOT / folder).is_dir()}
