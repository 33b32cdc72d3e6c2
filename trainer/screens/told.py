"""After the answer: the same row with what was said over what it was, why, and both to be heard."""

from dataclasses import replace
from fractions import Fraction
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.drills.kinds import asked_again, heard_answer
from trainer.drills.mark import WHOLE, MarkedPart
from trainer.drills.question import Question
from trainer.harmony.note_names import Naming, chord_told, key_told
from trainer.harmony.numeral import numeral_of
from trainer.harmony.symbol import ChordSymbol
from trainer.practice.naming import said, told_mark
from trainer.practice.session import Session, Told
from trainer.practice.told_term import first_met
from trainer.screens.actions import TOLD, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.drill import chords_of, helps_told
from trainer.screens.listening import TICK_S, Times, sounding_now, times_of
from trainer.screens.steps import stopped
from trainer.screens.widgets.chord_row import Brace, Chord, ChordRow, Line
from trainer.screens.widgets.journey import journey
from trainer.screens.widgets.ledger import Column, Ledger

STYLES = {"right": "$success", "partly": "$warning", "other": "$error", "left out": "$error"}
"""The words of a part's mark; the color only repeats them."""
PART_COLUMNS = (Column("$quiet"), Column(), Column("bold"), Column(styles=STYLES))
"""What is asked, what was said, what it was, and a word."""


def verdict(told: Told) -> str:
    """The mark in a few words."""
    if told.slip:
        return "A slip: it does not count."
    if told.answer is None:
        return "Passed over."
    if told.mark.exact:
        return "Right." if not told.mark.helps else f"Right, with help ({helps_told(told.mark.helps)})."
    share = round(100 * told.mark.credit)
    return f"Partly: {share} of 100 heard." if share else "Not heard yet."


def word_of(part: MarkedPart) -> str:
    """One part's mark in a word."""
    if part.credit >= WHOLE:
        return "right"
    if part.rule == "left-out":
        return "left out"
    return "partly" if part.credit > 0 else "other"


def sounded_chords(question: Question) -> tuple[tuple[ChordSymbol, ...], tuple[str, ...]]:
    """The chords of a question and their numerals, with its ending where it stops short of one."""
    if question.ending is None:
        return question.chords, question.by_center
    ending = numeral_of(question.ending, question.key).text
    return (*question.chords, question.ending), (*question.numerals, ending)


def told_row(question: Question) -> list[Chord]:
    """The row of a question that was answered, its ending included."""
    row = chords_of(question)
    return row if question.ending is None else [*row, Chord(Fraction(question.meter.beats))]


def row_lines(told: Told, naming: Naming = "english") -> tuple[Line, ...]:
    """What stands beneath each chord: what was said, what it was, the chord that sounded, and a word."""
    question = told.question
    chords, numerals = sounded_chords(question)
    every = range(len(chords))
    was = Line("it was", numerals, "bold")
    sounded = Line("", tuple(chord_told(chord.text, naming) for chord in chords), "$secondary")
    if not question.blanks:
        return (was, sounded)
    parts = dict(zip(question.blanks, told.mark.parts, strict=False))
    asked = [n in parts for n in every]
    named = tuple(parts[n].right if n in parts else "" if question.tones else numerals[n] for n in every)
    styles = tuple("bold" if one else "$quiet" for one in asked)
    was = Line("it was", named, styles=styles)
    known = (Line("", numerals, "$quiet"), sounded) if question.tones else (sounded,)
    if told.answer is None:
        return (was, *known)
    heard = tuple((parts[n].heard or "?") if n in parts else "" for n in every)
    words = tuple(word_of(parts[n]) if n in parts else "" for n in every)
    colors = tuple(STYLES.get(word, "") for word in words)
    return (Line("you said", heard), was, *known, Line("", words, styles=colors))


def brace_of(told: Told, naming: Naming = "english") -> Brace | None:
    """The chords of another key, where they break in or stand apart."""
    broken = told.question.broken
    if broken is None or broken.foreign is None or not broken.chords:
        return None
    foreign = key_told(broken.foreign, naming)
    words = f"{foreign} breaks in" if broken.breaks_in else foreign
    return Brace(broken.chords[0], broken.chords[-1], words)


def part_rows(told: Told, naming: Naming = "english") -> list[tuple[str, ...]]:
    """What of an answer stands beneath no chord, part by part."""
    question, beneath = told.question, len(told.question.blanks)
    if told.answer is None:
        if beneath:
            return []
        rights = zip(question.fields, question.accepted[0], strict=False)
        return [("", "", "it was"), *((label, "", said(question, right, naming)) for label, right in rights)]
    rows = [(part.label, part.heard or "?", part.right, word_of(part)) for part in told.mark.parts[beneath:]]
    return [("", "you said", "it was", ""), *rows] if rows else []


def reasons(told: Told) -> str:
    """Why what wasn't right wasn't, each reason once."""
    if told.answer is None or told.mark.exact:
        return ""
    by_why: dict[str, list[str]] = {}
    for part in told.mark.parts:
        if part.credit < WHOLE and part.rule != "left-out":
            by_why.setdefault(part.why, []).append(part.label)
    return "\n".join(f"{', '.join(labels).capitalize()}: {why}" for why, labels in by_why.items())


class ToldPage(Page):
    """The answer to one question."""

    NAME = TOLD
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TOLD)

    DEFAULT_CSS = """
    ToldPage #verdict { text-style: bold; }
    ToldPage ChordRow { margin: 1 0 0 0; }
    ToldPage #parts { margin: 1 0 0 0; padding: 0 0 0 2; }
    ToldPage #why { margin: 1 0 0 0; }
    ToldPage #about { margin: 1 0 0 0; }
    ToldPage #new { margin: 1 0 0 0; color: $secondary; }
    ToldPage #heard { margin: 1 0 0 0; color: $secondary; }
    ToldPage #sound { margin: 1 0 0 0; color: $quiet; }
    ToldPage.-tall ChordRow { margin: 2 0 1 0; }
    """

    def __init__(self, told: Told) -> None:
        super().__init__()
        self.told = told
        self.times: Times = ()
        self.remark: str | None = None

    def body(self) -> list[Widget]:
        """Verdict, row, parts, reasons, what is played."""
        return [
            text("verdict"), ChordRow(id="row"), Ledger((), id="parts"), text("why"), text("new"), text("about"),
            text("heard"), text("sound"),
        ]  # fmt: skip

    def begin(self) -> None:
        """Show the answer and follow what is played."""
        self.show(self.told)
        self.set_interval(TICK_S, self.follow)

    def tells(self, told: Told) -> bool:
        """Whether this is the same answer still."""
        return told.number == self.told.number and told.question is self.told.question

    def show(self, told: Told) -> None:
        """Show an answer."""
        self.told = told
        question, session = told.question, self.session
        signs = "" if session is None else journey(session.told, told.number, told.of)
        self.headline(f"Question {told.number} of {told.of}: the answer", signs)
        color = "$warning" if told.slip or 0 < told.mark.credit < WHOLE else "$error"
        self.say("verdict", verdict(told), "$success" if told.mark.exact and not told.slip else color)
        told = replace(told, mark=told_mark(question, told.mark, self.naming))
        self.query_one(ChordRow).put(told_row(question), row_lines(told, self.naming), brace_of(told, self.naming))
        ledger, rows = self.query_one("#parts", Ledger), part_rows(told, self.naming)
        ledger.columns = PART_COLUMNS[: len(rows[0])] if rows else ()
        ledger.put(rows)
        ledger.display = bool(rows)
        self.say("why", reasons(told))
        self.say("new", first_met(told.item.unit, question.explanation) if told.new else "")
        self.say("about", said(question, question.explanation, self.naming))
        self.say("heard", "")
        self.tell_sound()

    def tell_sound(self) -> None:
        """Say what is to be known of the sound now."""
        self.remark = remark = self.keyfarer.doors.sounding.remark
        self.say("sound", f"Sound: {remark}" if remark else "")

    @property
    def session(self) -> Session | None:
        """The session that asked."""
        return self.keyfarer.session

    def refused(self, words: str) -> None:
        """Tell what is played, or why nothing is."""
        self.say("heard", words)
        self.call_after_refresh(self.query_one("#heard").scroll_visible, animate=False)

    def follow(self) -> None:
        """Point at the chord that sounds."""
        if not self.keyfarer.leaving:
            sounding = self.keyfarer.doors.sounding
            self.query_one(ChordRow).point(sounding_now(sounding, self.times))
            if sounding.remark != self.remark:
                self.tell_sound()

    def action_go_on(self) -> None:
        """The next question."""
        session = self.session

        def step() -> None:
            if session is not None:
                session.go_on()

        self.keyfarer.move("go on", step, self.told)

    def action_hear_right(self) -> None:
        """Hear the question."""
        session = self.session

        def step() -> str:
            assert session is not None
            session.hear_right()
            self.times = times_of(asked_again(self.told.question))
            return "You hear it as it was."

        self.keyfarer.move("as it was", step, self.told)

    def action_hear_mine(self) -> None:
        """Hear what was answered."""
        session, told = self.session, self.told
        if told.answer is not None and told.mark.exact:
            self.refused(self.keyed("Your answer and what it was are the same; {hear_right} plays it."))
            return

        def step() -> str:
            assert session is not None
            session.hear_mine()
            assert told.answer is not None
            times = times_of(heard_answer(told.question, told.answer))
            self.times = times if len(times) == len(told_row(told.question)) else ()
            without = told.question.broken is not None
            return "You hear it without the other key." if without else "You hear it as you answered."

        self.keyfarer.move("as I said", step, told)

    def action_slip(self) -> None:
        """Take the answer back as a slip."""
        session, told = self.session, self.told

        def step() -> None:
            if session is not None and not told.slip:
                session.slip()

        self.keyfarer.move("slip", step, told)

    def action_words(self) -> None:
        """See what was asked explained, in the question's key."""
        from trainer.screens.words import WordsPage

        self.app.push_screen(WordsPage(self.told.item.unit, self.told.question.key))

    def action_stop(self) -> None:
        """End here."""
        session = self.session
        if session is not None:
            self.keyfarer.move("stop", lambda: stopped(session))
