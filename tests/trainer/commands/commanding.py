"""Running the real command, as a player's shell would."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

COMMAND = (sys.executable, "-m", "trainer")

NOT_HERE = "Traceback"
"""What no player ever sees."""


def keyfarer(
    *arguments: str,
    given: bytes = b"",
    folder: Path | None = None,
    surroundings: Mapping[str, str] | None = None,
) -> subprocess.CompletedProcess[str]:
    """Run the command to its end; what it prints comes back as text, and never with a traceback."""
    environment = {**os.environ, "PYTHONUTF8": "1", **(surroundings or {})}
    done = subprocess.run(
        (*COMMAND, *arguments), input=given, capture_output=True, cwd=folder, env=environment, timeout=300, check=False
    )
    out, told = done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
    assert NOT_HERE not in told, told
    return subprocess.CompletedProcess(done.args, done.returncode, out, told)


CHART = """title: Two Lamps
key: Bb
tempo: 120

[A]
| Cm7 | F7 | Bbmaj7 | % |
"""
"""A tune of four bars whose reading nobody doubts."""
