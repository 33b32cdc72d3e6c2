"""Runs device_cases.py, player_cases.py and choice_cases.py on a real sound server, whatever the machine has."""

import ast
import os
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

CASES = [Path(__file__).with_name(name) for name in ("device_cases.py", "player_cases.py", "choice_cases.py")]
ROOT = CASES[0].parents[2]
SCRIPT = ROOT / "tests" / "sound" / "with-virtual-sound.sh"

NO_SERVER = 125
"""The script's exit status where it can't set up a server."""

NEEDED = os.environ.get("CI") == "true" or os.environ.get("KEYFARER_NEED_DEVICE") == "1"
"""Whether a missing device is a failure."""

NAMES = [
    node.name
    for cases in CASES
    for node in ast.parse(cases.read_text(encoding="utf-8")).body
    if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
]


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """Run all cases once; give the failures of each, none where it passed."""
    if sys.platform != "linux" and not NEEDED:
        pytest.skip("the virtual sound server is Linux's")
    report = tmp_path_factory.mktemp("device") / "report.xml"
    command = [str(SCRIPT), sys.executable, "-m", "pytest", *map(str, CASES), "-q", f"--junitxml={report}"]
    command += ["-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", ""]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=400)
    if done.returncode == NO_SERVER and not NEEDED:
        pytest.skip(done.stderr.strip().splitlines()[-1])
    assert report.exists(), f"{done.stdout[-2000:]}\n{done.stderr[-2000:]}"
    found: dict[str, list[str]] = {}
    for case in ElementTree.parse(report).iter("testcase"):
        outcome = found.setdefault(case.attrib["name"].partition("[")[0], [])
        outcome += [f"{case.attrib['name']}: {child.text}" for child in case if child.tag != "system-out"]
    return found


@pytest.mark.device
@pytest.mark.parametrize("name", NAMES)
def test_on_a_real_device(name: str, results: dict[str, list[str]]) -> None:
    """The case of this name passed on the device."""
    assert [] == results[name]
