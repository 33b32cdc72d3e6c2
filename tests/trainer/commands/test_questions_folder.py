"""A folder of questions as a player's phone or a teacher's printer gets it, by the real command.

Sources: Vorbis comments and ID3 2.4.0 as mutagen reads them; ITU-R BS.1770-4, annex 2, by scipy's filter.
"""

import hashlib
import json
import os
import resource
import signal
import subprocess
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile
from mutagen.flac import FLAC
from mutagen.wave import WAVE

from tests.trainer.commands.commanding import COMMAND, keyfarer
from tests.trainer.practice.sounded import CEILING_DBTP, dbtp


def write(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Write questions into `q`."""
    return keyfarer("drill", "--to", "q", *options, folder=folder)


def prints(folder: Path) -> dict[str, str]:
    """What lies in `q`, by a hash of each file."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted((folder / "q").iterdir())}


def longest_silence(path: Path) -> tuple[float, float]:
    """Where the longest stretch under -70 dBFS begins and how long it is, in seconds; what comes last doesn't count."""
    samples, rate = soundfile.read(path, always_2d=True)
    loud = np.flatnonzero(np.abs(samples).max(axis=1) > 10 ** (-70 / 20))
    gaps = np.diff(loud)
    return float(loud[gaps.argmax()] / rate), float(gaps.max() / rate)


def test_what_a_folder_holds(tmp_path: Path) -> None:
    """Three files a question, sheets, exercise and playlist whose files are there; what was written is told."""
    done = write(tmp_path, "--count", "3", "--seed", "5")
    assert (0, "") == (done.returncode, done.stderr)
    stems = ("001", "002", "003")
    wanted = {f"{stem}{suffix}" for stem in stems for suffix in (".wav", ".mid", ".json")}
    assert wanted | {"questions.txt", "answers.txt", "questions.m3u8", "questions.exercise"} == set(prints(tmp_path))
    listed = (tmp_path / "q" / "questions.m3u8").read_text(encoding="utf-8").splitlines()
    assert [f"{stem}.wav" for stem in stems] == [line for line in listed if not line.startswith("#")]
    for stem, line in zip(stems, listed[1::2], strict=True):
        length_s = soundfile.info(tmp_path / "q" / f"{stem}.wav").duration
        assert line.startswith(f"#EXTINF:{length_s:.0f},{stem} ")
    assert "Wrote 3 questions to q: sound, MIDI and answers (JSON). Nothing is scored." in done.stdout
    assert "--seed 5 writes the same again." in done.stdout


@pytest.mark.parametrize(("options", "suffix"), [((), ".wav"), (("--flac",), ".flac")])
def test_tags_as_another_reader_finds_them(tmp_path: Path, options: tuple[str, ...], suffix: str) -> None:
    """Title, album, track of how many, and the answer in the comment, in both formats."""
    write(tmp_path, "--count", "2", "--seed", "5", "--answers", *options)
    for number in (1, 2):
        path = tmp_path / "q" / f"{number:03d}{suffix}"
        if suffix == ".flac":
            found = {name.lower(): text for name, text in FLAC(path).tags}
        else:
            frames = WAVE(path).tags
            names = {"title": "TIT2", "album": "TALB", "tracknumber": "TRCK", "comment": "COMM::und"}
            found = {name: str(frames[frame]) for name, frame in names.items()}
        values = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
        assert found["title"].startswith(f"{number:03d} ")
        assert ("Questions, seed 5", f"{number}/2") == (found["album"], found["tracknumber"])
        assert found["comment"].startswith(f"Answer: {' '.join(values['accepted'][0])}. ")
        assert values["explanation"] in found["comment"]


@pytest.mark.parametrize("rung", ["2", "4", "6"])
def test_a_question_that_answers_itself(rung: str, tmp_path: Path) -> None:
    """Question, silence as long as asked for, answer: leveled as one, and the JSON tells what sounds when."""
    done = write(tmp_path, "--count", "2", "--seed", "3", "--rung", rung, "--pause", "7", "--flac")
    assert "question, pause and answer as sound" in done.stdout
    for stem in ("001", "002"):
        path = tmp_path / "q" / f"{stem}.flac"
        begins_s, lasts_s = longest_silence(path)
        values = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
        asked = [note for note in values["notes"] if note["role"] == "question"]
        after = [note for note in values["notes"] if note["onset_s"] > asked[-1]["onset_s"] + 7]
        assert 6.5 < lasts_s < 7 + 4  # notes ring on a little into it; a bar may be filled up
        assert asked[-1]["onset_s"] < begins_s < after[0]["onset_s"]
        assert {"confirm", "answer"} == {note["role"] for note in after}
        samples, rate = soundfile.read(path, always_2d=True)
        assert 48_000 == rate
        assert dbtp(samples) < CEILING_DBTP


def test_the_same_seed_writes_the_same_bytes(tmp_path: Path) -> None:
    """Asked for again in the same folder everything is the same to the byte, and nothing is asked or remarked."""
    options = ("--count", "3", "--seed", "11", "--answers", "--flac")
    write(tmp_path, *options)
    before = prints(tmp_path)
    (tmp_path / "q" / "002.flac").unlink()
    (tmp_path / "q" / "questions.m3u8").unlink()
    done = write(tmp_path, *options)
    assert (0, "") == (done.returncode, done.stderr)
    assert before == prints(tmp_path)


def test_other_questions_are_not_written_over_unasked(tmp_path: Path) -> None:
    """Another seed in the same folder is refused with the way out; --yes goes on; strangers' files stay."""
    write(tmp_path, "--count", "2", "--seed", "1")
    (tmp_path / "q" / "shopping.txt").write_text("strings, rosin")
    before = prints(tmp_path)
    refused = write(tmp_path, "--count", "2", "--seed", "2")
    assert 2 == refused.returncode
    assert "q: holds 001.json and 9 more files of other questions" in refused.stderr
    assert "--yes" in refused.stderr
    assert before == prints(tmp_path)
    done = write(tmp_path, "--count", "2", "--seed", "2", "--yes")
    assert 0 == done.returncode
    assert "q holds 1 other file, left alone" in done.stderr
    after = prints(tmp_path)
    assert before["shopping.txt"] == after["shopping.txt"]
    assert before["001.wav"] != after["001.wav"]


def test_somebody_elses_file_of_that_name_is_safe(tmp_path: Path) -> None:
    """A folder with an answers.txt of one's own is not taken for ours."""
    (tmp_path / "q").mkdir()
    (tmp_path / "q" / "answers.txt").write_text("42")
    refused = write(tmp_path, "--count", "1", "--seed", "1")
    assert (2, "42") == (refused.returncode, (tmp_path / "q" / "answers.txt").read_text())
    assert "q: holds answers.txt of other questions or of somebody else's" in refused.stderr


def test_ctrl_c_leaves_whole_files_and_says_how_far_it_came(tmp_path: Path) -> None:
    """Broken off it gives 130; each file that is there is one that the whole run writes, and the next run goes on."""
    options = ("drill", "--to", "q", "--count", "60", "--seed", "4", "--rung", "2", "--flac")
    with subprocess.Popen((*COMMAND, *options), cwd=tmp_path, stderr=subprocess.PIPE, text=True) as running:
        deadline = time.monotonic() + 60
        while not (tmp_path / "q" / "003.json").exists():
            assert time.monotonic() < deadline
            time.sleep(0.005)
        running.send_signal(signal.SIGINT)
        _, told = running.communicate(timeout=60)
    assert 130 == running.returncode
    there = prints(tmp_path)
    whole = sum(name.endswith(".json") for name in there)
    assert 3 <= whole < 60
    assert f"Stopped: {whole} of 60 questions are whole in q. The same words with --seed 4 go on." in told
    assert not [name for name in there if name.startswith(".")]
    assert 0 == keyfarer(*options, folder=tmp_path).returncode
    after = prints(tmp_path)
    assert there.items() <= after.items()
    assert 60 * 3 + 4 == len(after)


def test_a_full_disk_is_told(tmp_path: Path) -> None:
    """Where a file can't grow any further the message names it and says what is whole, and no half is left."""

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    for extra, suffix in (((), ".wav"), (("--flac",), ".flac")):
        folder = f"full{suffix}"
        done = subprocess.run(
            (*COMMAND, "drill", "--to", folder, "--count", "2", "--seed", "4", *extra),
            cwd=tmp_path, capture_output=True, text=True, preexec_fn=small, check=False,
        )  # fmt: skip
        assert 2 == done.returncode
        assert "Traceback" not in done.stderr
        assert f"keyfarer: {folder}/001{suffix}: can't be written" in done.stderr
        assert f"0 of 2 questions are whole in {folder}." in done.stderr
        whole = {"001.mid", "questions.txt", "answers.txt", "questions.exercise"}
        assert whole == {path.name for path in (tmp_path / folder).iterdir()}


@pytest.mark.skipif(os.geteuid() == 0 and not Path("/proc/self").is_dir(), reason="nowhere that refuses the superuser")
def test_a_folder_that_takes_no_files_is_told(tmp_path: Path) -> None:
    """A place where nobody can write, and a file in a folder's place, are named before anything is made."""
    where = "/proc/self" if os.geteuid() == 0 else str(tmp_path / "locked")
    if os.geteuid() != 0:
        (tmp_path / "locked").mkdir(mode=0o555)
    done = keyfarer("drill", "--to", where, "--count", "1", "--seed", "1")
    assert 2 == done.returncode
    assert where in done.stderr
    (tmp_path / "taken").write_text("")
    done = keyfarer("drill", "--to", "taken/q", "--count", "1", "--seed", "1", folder=tmp_path)
    assert (2, True) == (done.returncode, "taken/q: this folder can't be made" in done.stderr)


@pytest.mark.parametrize("option", [("--answers",), ("--pause", "5"), ("--flac",), ("--yes",)])
def test_what_needs_a_folder_says_so(option: tuple[str, ...]) -> None:
    """Options of the written questions are refused where none are written."""
    done = keyfarer("drill", "--plain", *option)
    assert 2 == done.returncode
    assert f"{option[0]} is for questions that are written to a folder; add --to DIR" in done.stderr


def test_one_question_is_one_question() -> None:
    """The plain session counts in the singular where there is one."""
    done = keyfarer("drill", "--plain", "--count", "1", "--rung", "1", "--seed", "1", given=b"stop\n")
    assert done.stdout.startswith("1 question that you chose.")
