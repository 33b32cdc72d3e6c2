"""What is written about questions: titles that give nothing away, tags, sheets, a playlist."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.drills.drilling import questions
from trainer.drills.question import Question
from trainer.drills.units import unit_name
from trainer.practice.written import COLUMNS, Lesson, answers_sheet, playlist, questions_sheet

FEW = st.lists(questions(), min_size=1, max_size=5)


def lesson(asked: list[Question], answered: bool = True) -> Lesson:
    """A lesson of some questions."""
    return Lesson(tuple(asked), 7, "all types, all kinds, all rungs", ".flac", answered, None, 440.0)


def answer_words(question: Question) -> set[str]:
    """What would give an answer away: its rows, its type, its chords; of two types the names are in the question."""
    rows = {" ".join(row) for row in question.accepted if row != ("no",)}
    symbols = {" ".join(chord.text for chord in question.chords)}
    names = {question.unit, unit_name(question.unit)} if question.two is None else set()
    return rows | symbols | names | {question.explanation}


@settings(max_examples=60)
@given(FEW)
def test_what_shows_while_a_question_sounds_gives_nothing_away(asked: list[Question]) -> None:
    """Neither title nor album nor playlist nor the sheet of questions has an answer in it; a key only where given."""
    one = lesson(asked)
    shown = playlist(one, [10.0] * len(asked))
    for number, question in enumerate(asked, 1):
        tags = one.tags(number)
        for text in (tags["title"], tags["album"], tags["artist"], one.stem(number), shown):
            assert not {word for word in answer_words(question) if word in text}
        assert question.confirm == (question.key.name in tags["title"]) == bool(tags["key"])
        paragraph = " ".join(questions_sheet(one).split("\n\n")[number].split())
        assert question.explanation not in paragraph
        assert question.choices is not None or not {word for word in answer_words(question) if word in paragraph}


@settings(max_examples=40)
@given(FEW)
def test_the_answer_is_in_the_comment_only_where_it_sounds(asked: list[Question]) -> None:
    """A file that holds its answer says it in words as well; one that only asks does not."""
    for number, question in enumerate(asked, 1):
        assert " ".join(question.accepted[0]) in lesson(asked).tags(number)["comment"]
        assert "" == lesson(asked, answered=False).tags(number)["comment"]


@settings(max_examples=40)
@given(FEW)
def test_the_sheets_have_every_question_and_every_answer(asked: list[Question]) -> None:
    """Each by its number, in lines that fit on paper; a paragraph each, so that a screen reader can step."""
    one = lesson(asked)
    told, right = questions_sheet(one), answers_sheet(one)
    for sheet, before in ((told, 1), (right, 2)):
        assert len(asked) + before == len(sheet.strip().split("\n\n"))
        assert all(len(line) <= COLUMNS for line in sheet.splitlines() if line[:1].isalpha() or " " in line[:60])
    for number, (question, paragraph, answer) in enumerate(
        zip(asked, told.strip().split("\n\n")[1:], right.strip().split("\n\n")[2:], strict=True), 1
    ):
        assert paragraph.startswith(f"{number:03d}. ")
        assert question.prompt in " ".join(paragraph.split())
        assert all(" ".join(row) in paragraph for row in question.choices or ())
        assert answer.startswith(f"{number:03d}. ")
        assert question.explanation in " ".join(answer.split())


@given(questions(), st.sampled_from([1, 9, 999, 1000, 10_000]))
def test_names_sort_as_numbers_do(question: Question, count: int) -> None:
    """However many there are, files and titles sorted by name are in order; three digits up to 999."""
    one = lesson([question] * count)
    stems = [one.stem(number) for number in range(1, count + 1)]
    assert sorted(stems) == stems
    assert {max(3, len(str(count)))} == {len(stem) for stem in stems}


@given(questions())
def test_a_playlist_is_read_line_by_line(question: Question) -> None:
    """The first line says what it is; each file has its length in whole seconds and its title before it."""
    one = lesson([question] * 2)
    assert [
        "#EXTM3U", f"#EXTINF:12,{one.track(1)}", "001.flac", f"#EXTINF:8,{one.track(2)}", "002.flac",
    ] == playlist(one, [12.4, 7.6]).splitlines()  # fmt: skip


@given(questions())
def test_the_first_paragraph_tells_lessons_apart(question: Question) -> None:
    """Another seed, choice, number, form, pause or pitch makes another one."""
    one = lesson([question])
    others = [
        replace(one, seed=8), replace(one, asked="types backdoor, all kinds, all rungs"), replace(one, suffix=".wav"),
        replace(one, questions=(question, question)), replace(one, answered=False), replace(one, pause_s=5.0),
        replace(one, a4_hz=442.0),
    ]  # fmt: skip
    heads = {other.head() for other in (one, *others)}
    assert len(others) + 1 == len(heads)
