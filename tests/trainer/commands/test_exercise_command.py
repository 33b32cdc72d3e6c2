"""A teacher's set, from the folder to the table of results, by the real command; each student has a home."""

import csv
import json
import os
import signal
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer
from tests.trainer.practice.exercising import read
from trainer.memory.store import open_store
from trainer.practice.exercise import Exercise
from trainer.practice.results import COLUMNS

TITLE = 'Week 3: "Soft Landings"'
NAME = "week-3-soft-landings.exercise"
CHOICE = ("--type", "backdoor", "--type", "minor-plagal", "--kind", "name-functions", "--key", "F,Bb,Eb", "--rung", "3",
          "--tempo", "96", "--count", "6", "--seed", "8")  # fmt: skip


def taught(folder: Path, *more: str) -> Exercise:
    """Write a set into `week`, as a teacher does; returns the exercise in it."""
    done = keyfarer(
        "drill", "--to", "week", *CHOICE, "--title", TITLE, "--note", "Sing the tonic first.", "--flac", *more,
        folder=folder,
    )  # fmt: skip
    assert (0, "") == (done.returncode, done.stderr)
    assert f"{NAME} is for students: `keyfarer exercise open {NAME}` asks just these." in done.stdout
    return read((folder / "week" / NAME).read_bytes())


def student(
    folder: Path, name: str, lines: Sequence[str], *options: str, file: str = f"week/{NAME}"
) -> subprocess.CompletedProcess[str]:
    """Open the exercise as a student with a home of their own, and type some lines."""
    return keyfarer(
        "exercise", "open", file, *options, folder=folder, given="".join(f"{line}\n" for line in lines).encode(),
        surroundings={"KEYFARER_HOME": str(folder / f"home of {name}")},
    )  # fmt: skip


def wrong(exercise: Exercise, number: int) -> str:
    """An answer to a question that can be read and is wrong in every part."""
    return " ".join(["#4"] * len(exercise.questions[number - 1].blanks))


def cells(path: Path) -> list[dict[str, str]]:
    """The rows of a results file."""
    with path.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened, strict=True))


def test_what_a_teacher_gets(tmp_path: Path) -> None:
    """The set is what was chosen: types, keys, rung, tempo; what is handed out tells neither answers nor choice."""
    exercise = taught(tmp_path)
    assert (TITLE, "Sing the tonic first.", 6) == (exercise.title, exercise.note, exercise.count)
    assert {"backdoor", "minor-plagal"} == {question.unit for question in exercise.questions}
    assert ["Bb", "Bb", "Eb", "Eb", "F", "F"] == sorted(str(question.key.tonic) for question in exercise.questions)
    assert {(3, 96)} == {(question.rung, int(question.tempo)) for question in exercise.questions}
    handed_out = (tmp_path / "week" / "questions.txt").read_text(encoding="utf-8")
    answers = (tmp_path / "week" / "answers.txt").read_text(encoding="utf-8")
    for sheet in (handed_out, answers):
        assert sheet.startswith(f"{TITLE}. keyfarer: 6 questions")
        assert "\n\nSing the tonic first.\n\n" in sheet
    assert "types backdoor and minor-plagal" in " ".join(answers.split())
    assert "keys F,Bb,Eb, tempo 96" in " ".join(answers.split())
    shown = [handed_out, *(path.name for path in (tmp_path / "week").iterdir()), exercise.title]
    shown.append((tmp_path / "week" / "questions.m3u8").read_text(encoding="utf-8"))
    shown.append((tmp_path / "week" / NAME).read_text(encoding="utf-8"))
    for question in exercise.questions:
        for told in (question.correct, question.unit, question.explanation, " ".join(map(str, question.chords))):
            assert not [text for text in shown if told in text]
    for number, question in enumerate(exercise.questions, 1):
        written = json.loads((tmp_path / "week" / f"{number:03d}.json").read_text(encoding="utf-8"))
        assert (question.unit, question.seed, 96) == (written["unit"], written["seed"], written["tempo"])
        assert [note.midi for note in question.performance().score.notes] == [n["midi"] for n in written["notes"]]


def test_from_the_teacher_to_the_student_and_back(tmp_path: Path) -> None:
    """Two students answer in two sittings and by other ways; their results are gathered as they answered."""
    exercise = taught(tmp_path)
    right = [question.correct for question in exercise.questions]

    first = student(
        tmp_path, "ada", [right[0], "bass", right[1], "stop"], "--results", "ada.csv", "--name", "Ada Quill"
    )
    assert (0, "") == (first.returncode, first.stderr)
    assert f"{TITLE}: 6 questions that your teacher chose. Sing the tonic first." in first.stdout
    before_answer = first.stdout.partition("Question 1 of 6.")[2].partition("\n")[0]
    assert not [word for word in (right[0], "backdoor", "plagal") if word in before_answer]
    assert "Exercise: 2 of 6 answered, 2 right, 100 of 100 heard." in first.stdout
    assert f"`keyfarer exercise open week/{NAME}` goes on with question 3." in first.stdout
    assert 2 == len(cells(tmp_path / "ada.csv"))

    rest = student(tmp_path, "ada", [right[2], wrong(exercise, 4), *right[4:]], "--results", "ada.csv")
    assert (0, "") == (rest.returncode, rest.stderr)
    assert "that your teacher chose, going on with number 3." in rest.stdout
    assert "Question 3 of 6." in rest.stdout
    assert "Question 2 of 6." not in rest.stdout
    assert "Exercise: 6 of 6 answered, 5 right" in rest.stdout
    assert "Results for your teacher: ada.csv" in rest.stdout

    ben = student(tmp_path, "ben", [wrong(exercise, 1), "skip", right[2], "slip", *right[3:]], "--results", "ben.csv",
                  "--name", "=Ben()")  # fmt: skip
    assert (0, "") == (ben.returncode, ben.stderr)
    rows = cells(tmp_path / "ada.csv")
    assert ["1", "2", "3", "4", "5", "6"] == [row["number"] for row in rows]
    same = {(row["student"], row["exercise"], row["title"], row["of"]) for row in rows}
    assert {("Ada Quill", exercise.id, TITLE, "6")} == same
    assert 1 == len({row["run"] for row in rows})
    assert ["", "bass", "", "", "", ""] == [row["helps"] for row in rows]
    assert right == [row["right_answer"] for row in rows]
    assert [*right[:3], wrong(exercise, 4), *right[4:]] == [row["answer"] for row in rows]
    assert {"'=Ben()"} == {row["student"] for row in cells(tmp_path / "ben.csv")}

    table = keyfarer("exercise", "gather", "ada.csv", "ben.csv", "--json", folder=tmp_path)
    assert (0, "") == (table.returncode, table.stderr)
    (one,) = json.loads(table.stdout)["exercises"]
    assert [("=Ben()", 5, 3, 1), ("Ada Quill", 6, 5, 0)] == [
        (s["student"], s["answered"], s["right"], s["slips"]) for s in one["students"]
    ]
    assert [2, 2, 1, 2, 2, 2] == [question["answered"] for question in one["questions"]]
    assert [1, 1, 1, 1, 2, 2] == [question["right"] for question in one["questions"]]
    assert {"backdoor", "minor-plagal"} == {type["type"] for type in one["types"]}
    assert 11 == sum(type["answered"] for type in one["types"])
    told = keyfarer("exercise", "gather", "ada.csv", "ben.csv", folder=tmp_path).stdout
    assert told.startswith(f"{TITLE}: 6 questions, 2 students\n")
    assert max(map(len, told.splitlines())) <= 80
    assert "Told as slips: 1, by =Ben()." in told


def test_every_answer_counts_in_the_students_own_memory(tmp_path: Path) -> None:
    """The log has each answer as usual, with the exercise as its session, and the units fall due by it."""
    exercise = taught(tmp_path)
    student(tmp_path, "ada", ["again", exercise.questions[0].correct, "skip"])
    with open_store(tmp_path / "home of ada" / "memory.db") as store:
        trials = tuple(store.trials())
        assert [exercise.questions[0].unit, exercise.questions[1].unit] == [trial.unit for trial in trials]
        assert [("again",), ()] == [trial.helps for trial in trials]
        assert {f"exercise {exercise.id}"} == {trial.session.rpartition(" ")[0] for trial in trials}
        assert {trial.unit for trial in trials} == set(store.reviews())


def test_results_can_be_written_at_any_time(tmp_path: Path) -> None:
    """Who named no results file, or lost it, gets the same rows from the memory later."""
    exercise = taught(tmp_path)
    home = {"KEYFARER_HOME": str(tmp_path / "home of ada")}
    none = keyfarer("exercise", "results", f"week/{NAME}", "--name", "Ada", folder=tmp_path, surroundings=home)
    assert (2, "") == (none.returncode, none.stdout)
    assert "nothing of this exercise has been answered here yet" in none.stderr
    done = student(tmp_path, "ada", [question.correct for question in exercise.questions])
    assert f"`keyfarer exercise results week/{NAME} --to results.csv` writes them for your teacher." in done.stdout
    later = keyfarer(
        "exercise", "results", f"week/{NAME}", "--name", "Ada", "--to", "later.csv", folder=tmp_path, surroundings=home
    )
    assert (0, "") == (later.returncode, later.stderr)
    assert 6 == len(cells(tmp_path / "later.csv"))
    printed = keyfarer("exercise", "results", f"week/{NAME}", "--name", "Ada", folder=tmp_path, surroundings=home)
    assert (tmp_path / "later.csv").read_bytes().decode() == printed.stdout.replace("\n", "\r\n")
    rows = cells(tmp_path / "later.csv")
    assert list(COLUMNS) == list(rows[0])
    assert [question.correct for question in exercise.questions] == [row["right_answer"] for row in rows]
    assert 6.0 == sum(float(row["credit"]) for row in rows)


def test_all_answered_and_once_more(tmp_path: Path) -> None:
    """Opened when all is answered it says so and asks nothing; --again is a new run, with results of its own."""
    exercise = taught(tmp_path)
    right = [question.correct for question in exercise.questions]
    student(tmp_path, "ada", right, "--results", "one.csv", "--name", "Ada")
    shut = student(tmp_path, "ada", right)
    assert (0, "") == (shut.returncode, shut.stderr)
    assert shut.stdout.startswith("All 6 questions of this exercise are answered; --again begins anew.")
    assert "Question" not in shut.stdout
    refused = student(tmp_path, "ada", right, "--again", "--results", "one.csv", "--name", "Ada")
    assert 2 == refused.returncode
    assert "one.csv: holds something else; name another file, or say --yes" in refused.stderr
    again = student(tmp_path, "ada", ["skip"], "--again", "--results", "two.csv", "--name", "Ada")
    assert 0 == again.returncode
    assert "Question 1 of 6." in again.stdout
    (one,), (two,) = ({row["run"] for row in cells(tmp_path / name)} for name in ("one.csv", "two.csv"))
    assert one != two
    told = keyfarer("exercise", "gather", "one.csv", "two.csv", "--json", folder=tmp_path)
    students = json.loads(told.stdout)["exercises"][0]["students"]
    assert {(6, 6), (1, 0)} == {(one["answered"], one["right"]) for one in students}


@pytest.mark.skipif(os.name == "nt", reason="needs the signal SIGKILL")
def test_results_are_whole_after_a_kill(tmp_path: Path) -> None:
    """Killed in the middle, the file holds every answer whose mark was told, and opening it again goes on there."""
    exercise = taught(tmp_path)
    environment = {**os.environ, "KEYFARER_HOME": str(tmp_path / "home of ada"), "PYTHONUNBUFFERED": "1"}
    words = (*COMMAND, "exercise", "open", f"week/{NAME}", "--results", "ada.csv", "--name", "Ada")
    with subprocess.Popen(
        words, cwd=tmp_path, env=environment, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as running:  # fmt: skip
        assert running.stdin is not None
        assert running.stdout is not None
        marks = 0
        for line in running.stdout:
            if line.startswith("Question "):
                running.stdin.write(exercise.questions[marks].correct + "\n")
                running.stdin.flush()
            marks += line.startswith("Right. It was ")
            if marks == 3:
                running.send_signal(signal.SIGKILL)
                break
        running.communicate(timeout=60)
    assert -signal.SIGKILL == running.returncode
    whole = cells(tmp_path / "ada.csv")
    assert 3 <= len(whole) <= 4
    assert [path.name for path in tmp_path.glob(".*")] == []
    done = student(tmp_path, "ada", [q.correct for q in exercise.questions[len(whole) :]], "--results", "ada.csv")
    assert "Exercise: 6 of 6 answered, 6 right" in done.stdout
    assert whole == cells(tmp_path / "ada.csv")[: len(whole)]


def test_ctrl_c_keeps_all_and_says_how_to_go_on(tmp_path: Path) -> None:
    """Ctrl-C gives 130, and the last lines tell how far it is and where the results are."""
    exercise = taught(tmp_path)
    environment = {**os.environ, "KEYFARER_HOME": str(tmp_path / "home of ada"), "PYTHONUNBUFFERED": "1"}
    words = (*COMMAND, "exercise", "open", f"week/{NAME}", "--results", "ada.csv", "--name", "Ada")
    with subprocess.Popen(
        words, cwd=tmp_path, env=environment, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as running:
        assert running.stdin is not None
        assert running.stdout is not None
        running.stdin.write(exercise.questions[0].correct + "\n")
        running.stdin.flush()
        for line in running.stdout:
            if line.startswith("Question 2"):
                break
        time.sleep(0.2)
        running.send_signal(signal.SIGINT)
        told, _ = running.communicate(timeout=60)
    assert 130 == running.returncode
    assert "Exercise: 1 of 6 answered, 1 right" in told
    assert told.endswith("Results for your teacher: ada.csv\n")


def test_what_cant_be_opened_is_told(tmp_path: Path) -> None:
    """No file, a folder, a question's JSON, a half file, a changed one: exit 2, one line, nothing asked or stored."""
    taught(tmp_path)
    whole = (tmp_path / "week" / NAME).read_text(encoding="utf-8")
    (tmp_path / "half.exercise").write_text(whole[: len(whole) // 2], encoding="utf-8")
    (tmp_path / "changed.exercise").write_text(whole.replace("Sing", "Hum"), encoding="utf-8")
    for file, words in (
        ("none.exercise", "none.exercise: can't be read: No such file or directory"),
        ("week/001.json", "week/001.json: this is no exercise but keyfarer/question/1"),
        ("week/001.flac", "week/001.flac: this is no exercise"),
        ("half.exercise", "half.exercise: this is no exercise, or half of one. Ask your teacher for the file again."),
        ("changed.exercise", "changed.exercise: was changed or damaged since it was written."),
    ):
        done = student(tmp_path, "ada", ["1 1 1"], file=file)
        assert (2, "") == (done.returncode, done.stdout), file
        assert words in done.stderr
        assert 1 == len(done.stderr.splitlines())
    assert 2 == student(tmp_path, "ada", [], file="week").returncode
    assert not (tmp_path / "home of ada").exists()


def test_results_that_cant_be_written_are_told_before_the_first_question(tmp_path: Path) -> None:
    """No such folder, a folder in the file's place, another file, no name: nothing is asked, nothing lost."""
    taught(tmp_path)
    (tmp_path / "diary.csv").write_text("rosin, strings\n", encoding="utf-8")
    for options, words in (
        (("--results", "no/where.csv", "--name", "Ada"), "no/where.csv: can't be written"),
        (("--results", "week", "--name", "Ada"), "week: is a folder; name a file in it"),
        (("--results", "diary.csv", "--name", "Ada"), "diary.csv: holds something else; name another file"),
        (("--results", "ada.csv"), 'results need your name: add --name, such as --name "Ada Quill"'),
        (("--results", "ada.csv", "--name", "\x1b[2J"), "a name has 1 to 120 letters"),
    ):
        done = student(tmp_path, "ada", ["skip"], *options)
        assert (2, "") == (done.returncode, done.stdout), options
        assert words in done.stderr
    assert "rosin, strings\n" == (tmp_path / "diary.csv").read_text(encoding="utf-8")
    assert not (tmp_path / "ada.csv").exists()
    over = student(tmp_path, "ada", ["skip"], "--results", "diary.csv", "--name", "Ada", "--yes")
    assert (0, 1) == (over.returncode, len(cells(tmp_path / "diary.csv")))


def test_gathering_tells_faults_and_counts_the_rest(tmp_path: Path) -> None:
    """A file at fault is told with its line and gives 2; the others are counted, and what came twice counts once."""
    exercise = taught(tmp_path)
    right = [question.correct for question in exercise.questions]
    student(tmp_path, "ada", right, "--results", "ada.csv", "--name", "Ada")
    (tmp_path / "bad.csv").write_bytes((tmp_path / "ada.csv").read_bytes().replace(b",F major,3,", b",F major,9,"))
    (tmp_path / "notes.csv").write_text("rosin\n", encoding="utf-8")
    files = ("bad.csv", "notes.csv", "ada.csv", "ada.csv", "none.csv")
    done = keyfarer("exercise", "gather", *files, "--json", folder=tmp_path)
    assert 2 == done.returncode
    assert "keyfarer: bad.csv:" in done.stderr
    assert "rung is '9'; expected a whole number from 1 to 6" in done.stderr
    assert "keyfarer: notes.csv:1: these are no results of an exercise" in done.stderr
    assert "keyfarer: none.csv: can't be read" in done.stderr
    assert "keyfarer: 6 rows came more than once and count once" in done.stderr
    (one,) = json.loads(done.stdout)["exercises"]
    assert [6] == [entry["right"] for entry in one["students"]]
    table: Any = keyfarer("exercise", "gather", "ada.csv", "--csv", folder=tmp_path)
    lines = list(csv.DictReader(table.stdout.splitlines()))
    assert ["student", *["question"] * 6, *["type"] * 2] == [line["by"] for line in lines]
    (tmp_path / "empty.csv").write_text(",".join(COLUMNS) + "\n", encoding="utf-8")
    assert "These files hold no answers yet.\n" == keyfarer("exercise", "gather", "empty.csv", folder=tmp_path).stdout


def test_another_versions_voicing_is_told_and_asked_all_the_same(tmp_path: Path) -> None:
    """Where a print of sound differs, a remark names the question; it is asked, and marked as it was written."""
    from tests.trainer.practice.exercising import forged

    exercise = taught(tmp_path)
    other = forged(exercise, whole=lambda values: values["questions"][2].update(sounds="0" * 16))
    (tmp_path / "other.exercise").write_bytes(other)
    done = student(tmp_path, "ada", [question.correct for question in exercise.questions], file="other.exercise")
    assert 0 == done.returncode
    assert "keyfarer: question 3 will be voiced otherwise here" in done.stderr
    assert "Exercise: 6 of 6 answered, 6 right" in done.stdout


def test_words_of_a_set_that_make_no_sense_are_told(tmp_path: Path) -> None:
    """Keys and titles are for written questions; a title that no terminal can show is refused before anything."""
    for option in (("--key", "C"), ("--tempo", "90"), ("--title", "x"), ("--note", "x")):
        done = keyfarer("drill", "--plain", *option)
        assert 2 == done.returncode
        assert f"{option[0]} is for questions that are written to a folder; add --to DIR" in done.stderr
    for options, words in (
        (("--title", "\x1b[31m"), "can be shown"),
        (("--key", "H"), "a letter from A to G"),
        (("--tempo", "5"), "found '5'; expected a number from 30 to 320"),
        (("--type", "backdoor", "--key", "g"), "'backdoor' can't be asked in g: it is in major"),
    ):
        done = keyfarer("drill", "--to", "q", "--count", "1", *options, folder=tmp_path)
        assert (2, "") == (done.returncode, done.stdout)
        assert words in done.stderr
        assert not (tmp_path / "q").exists()


def test_a_longer_set_is_written_without_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond what an exercise holds the folder is written all the same, and it is said that there is no such file."""
    from trainer.commands import written_questions
    from trainer.practice.options import DrillOptions

    monkeypatch.setattr(written_questions, "MOST_QUESTIONS", 2)
    assert 0 == written_questions.run_written(DrillOptions(rung=2), tmp_path / "q", 3, 3, 440.0)
    assert not list((tmp_path / "q").glob("*.exercise"))
    assert (tmp_path / "q" / "003.wav").exists()


def test_a_tune_of_the_teachers_own_travels_in_the_questions(tmp_path: Path) -> None:
    """Questions from a tune that only the teacher keeps are asked and marked in a home that has never seen it."""
    (tmp_path / "lamps.chart").write_text(CHART, encoding="utf-8")
    assert 0 == keyfarer("tunes", "add", "lamps.chart", folder=tmp_path).returncode
    words = ("--tune", "two-lamps", "--count", "2", "--rung", "5", "--kind", "name-functions", "--seed", "1", "--flac")
    done = keyfarer("drill", "--to", "own", *words, folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    exercise = read((tmp_path / "own" / "questions.exercise").read_bytes())
    assert {"tune:two-lamps"} == {question.material for question in exercise.questions}
    right = [question.correct for question in exercise.questions]
    asked = student(tmp_path, "ada", right, file="own/questions.exercise")
    assert (0, "") == (asked.returncode, asked.stderr)
    assert "Exercise: 2 of 2 answered, 2 right" in asked.stdout
