"""What plain lines say in each kind of drill, word for word."""

from pathlib import Path

import pytest

from tests.golden.plain.make_transcripts import HERE, transcript
from trainer.drills.kinds import KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_plain_lines_say_what_they_said(kind: str) -> None:
    """Questions with answers to pick and without: nonsense, a help, the right answer, compared, passed over."""
    assert transcript(kind) == (HERE / f"{kind}.txt").read_text(encoding="utf-8")


def test_each_kind_has_its_transcript() -> None:
    """One file for each kind of drill and no other; in each the right answers were right, and nonsense was refused."""
    files = {path.stem: path for path in Path(HERE).glob("*.txt")}
    assert set(KINDS) == set(files)
    for path in files.values():
        lines = path.read_text(encoding="utf-8").splitlines()
        assert 2 == sum(line.startswith("Right, with help. ") for line in lines), path.name
        nonsense = [at for at, line in enumerate(lines) if line == "> purple"]
        assert 2 == len(nonsense)
        assert all(" 'purple'" in lines[at + 1] or "none of the choices" in lines[at + 1] for at in nonsense)
