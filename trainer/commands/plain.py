"""A session in plain lines: for screen readers, braille lines, pipes and slow connections.

Sound first and text after; one question a paragraph; no colors, no cursor movement, nothing drawn.
A mark's line is written only once its trial is safely stored.
"""

from collections.abc import Callable, Iterator
from datetime import date

from trainer.drills.answer import AnswerError
from trainer.drills.mark import told as told_lines
from trainer.drills.question import HELPS
from trainer.harmony.note_names import Naming
from trainer.practice.listening_level import STEP_DB, begins_quiet
from trainer.practice.naming import read_typed, said, told_mark
from trainer.practice.session import Asking, Done, Session, SessionError, Told
from trainer.practice.summary import summary
from trainer.practice.told_term import first_met
from trainer.practice.words import summary_lines

WORDS = (*HELPS, "skip", "pause", "slip", "compare", "what", "louder", "softer", "words", "help", "stop")
"""What is understood beside an answer."""

WORDS_TOLD = (
    "again: hear it once more. slower, bass, guide, arpeggio: hear it so. key: hear the key first. "
    "skip: pass it over, it counts as not heard. pause: stop the sound and the clock; pause again goes on, "
    "from the beginning. slip: the last answer was a slip of the finger. "
    "compare: hear the last question again, then your answer. what: what the last type is; what and a word, as "
    "what backdoor: what it means. louder, softer: turn the sound, it is kept. "
    "stop: end here, all answers are kept. "
    "Answers: degrees in order, as 2 5 1, a flat before its number, a question mark leaves one out; "
    "where rows are offered, their number. Does a key break in: no, or yes, the chord's number and how far, "
    "as yes 3 up a half step. "
    "A cadence: by its name, as minor 2 5 1. Where it wants to go: degree and mode, as 4 major. A voice: the degrees "
    "it sings, as 1 7 7. "
    "A move of the key: how far, which way, and the mode where it changes, as up a minor third to minor, or +3 m. "
    "A route: its key centers as degrees of the first, m for minor, as 1 b3 6m 1. A dictation: degrees, and "
    "where the key moves to, its degree and a colon, as 1 6 2 5 to 4: 2 5 1."
)

QUIET = begins_quiet("Type louder until you hear it well, no louder than quiet talk; it is kept.")
"""Said where the listening level was never set."""

Say = Callable[[str], None]
Level = Callable[[float], float]
"""Turns the sound by decibels, keeps it, and tells where it stands then."""
Lines = Iterator[str]


def run_plain(
    session: Session,
    lines: Lines,
    say: Say,
    today: date,
    opening: str,
    *,
    paced: bool = False,
    level: Level | None = None,
    naming: Naming = "english",
) -> None:
    """Run a session from lines of text; the end of the lines ends it like `stop`.

    paced: wait for an empty line before the next question, so that a screen reader can finish. level: turns
    the sound by so many decibels and keeps it; None where it can't be turned. naming: the names of notes that are
    told and typed.
    """
    say(f"{opening} Type help for the words that help.")
    skin = _Skin(session, say, today, paced, level, naming)
    try:
        state = session.begin()
        skin.remark()
        while isinstance(state, Asking):
            skin.ask(state)
            state = skin.answered(lines)
    finally:
        if not isinstance(session.state, Done):
            session.stop()
        skin.end()


class _Skin:
    def __init__(
        self, session: Session, say: Say, today: date, paced: bool, level: Level | None, naming: Naming
    ) -> None:
        self.naming = naming
        self.paced = paced
        self.level = level
        self.session = session
        self.say = say
        self.today = today
        self.remarked: str | None = None

    def remark(self) -> None:
        """Say once what is to be known about the sound."""
        remark = self.session.sounding.remark
        if remark is not None and remark != self.remarked:
            self.remarked = remark
            self.say(f"Sound: {remark}")

    def ask(self, state: Asking) -> None:
        """One question, one paragraph."""
        self.say("")
        question = state.question
        self.say(f"Question {state.number} of {state.of}. {said(question, question.prompt, self.naming)}")
        for number, row in enumerate(question.choices or (), 1):
            self.say(f"{number}: {' '.join(row)}")

    def answered(self, lines: Lines) -> Asking | Told | Done:
        """Take lines until the question is answered, and ask the next one."""
        for line in lines:
            word = line.strip().lower()
            try:
                if word == "stop":
                    return self.session.stop()
                if self.word(word):
                    continue
                told = self.session.skip() if word == "skip" else self.session.answer(self.english(line))
            except (AnswerError, SessionError) as error:
                self.say(self.named(str(error)))
                continue
            self.told(told)
            self.session.prepare()
            if self.paced and not self.waited(lines):
                return self.session.stop()
            state = self.session.go_on()
            self.remark()
            return state
        return self.session.stop()

    def waited(self, lines: Lines) -> bool:
        """Wait for an empty line before the next question; words still help. False where it ends here."""
        self.say("Enter goes on.")
        for line in lines:
            word = line.strip().lower()
            if word in ("", "next"):
                return True
            if word == "stop":
                return False
            try:
                if word in (*HELPS, "pause") or not self.word(word):
                    self.say("Enter goes on; slip, compare, what, louder, softer and stop are understood here.")
            except SessionError as error:
                self.say(str(error))
        return False

    def word(self, word: str) -> bool:
        """Whether the line was a word that helps, and do what it says."""
        if word in HELPS:
            asking = self.session.hear(word)
            self.say(f"Helps so far: {', '.join(asking.helps)}.")
        elif word == "pause":
            paused = self.session.pause().paused
            self.say("Paused: no time counts. pause goes on, from the beginning." if paused else "It sounds again.")
        elif word == "slip":
            slipped = self.session.slip()
            self.say(f"Question {slipped.number} counts as a slip and not against you.")
        elif word == "compare":
            self.compare()
        elif word.partition(" ")[0] == "what":
            self.explain(word.removeprefix("what").strip())
        elif word in ("louder", "softer"):
            if self.level is None:
                raise SessionError("the sound can't be turned here")
            stands = self.level(STEP_DB if word == "louder" else -STEP_DB)
            self.say(f"Level {stands:g} decibels, of 0 at the most.")
        elif word in ("words", "help"):
            self.say(WORDS_TOLD)
        elif word == "":
            self.say("Type an answer, or again to hear it once more.")
        else:
            return False
        return True

    def explain(self, name: str) -> None:
        """What a word means; without one, what was asked last."""
        from trainer.harmony.glossary import TermError, find_term
        from trainer.practice.told_term import term_lines, term_of

        try:
            last = self.session.told[-1] if self.session.told else None
            term = find_term(name) if name or last is None else term_of(last.item.unit)
        except TermError as error:
            raise SessionError(str(error) if name else "type what and a word, as what backdoor") from None
        if term is not None:
            for line in term_lines(term, None if last is None or name else last.question.key, self.naming):
                self.say(line)

    def compare(self) -> None:
        """The last question as asked, then as answered."""
        if not self.session.told:
            raise SessionError("there is nothing to compare yet")
        last = self.session.told[-1]
        from trainer.drills.kinds import asked_again, heard_answer, right_answer

        self.say(f"Question {last.number} as it was: {said(last.question, right_answer(last.question), self.naming)}.")
        right = asked_again(last.question)
        self.session.sounding.play(right)
        if last.answer is not None and not last.mark.exact:
            self.session.sounding.wait(right.score.duration_s + 2.0)
            self.say("And as you answered.")
            self.session.sounding.play(heard_answer(last.question, last.answer))

    def told(self, told: Told) -> None:
        """The mark in one line, then what it was and why."""
        from trainer.drills.kinds import right_answer

        self.say(f"{marked(told)} It was {self.named(right_answer(told.question))}.")
        if told.answer is not None:
            for line in told_lines(told_mark(told.question, told.mark, self.naming)):
                self.say(line)
        if told.new and (new := first_met(told.item.unit, told.question.explanation)):
            self.say(f"{new} Type what to be told more.")
        self.say(self.named(told.question.explanation))

    def named(self, text: str) -> str:
        """A sentence about the question that is asked or told, in the player's names."""
        state = self.session.state
        return text if isinstance(state, Done) else said(state.question, text, self.naming)

    def english(self, line: str) -> str:
        """An answer in English names. Raises AnswerError."""
        return read_typed(line, self.naming)

    def end(self) -> None:
        """The summary."""
        self.session.sounding.close()
        session = self.session
        for line in summary_lines(summary(session.told, session.store, self.today, session.known_before), self.today):
            self.say(line)


def marked(told: Told) -> str:
    """A mark in a few words."""
    if told.answer is None:
        return "Passed over."
    if told.mark.exact:
        return "Right." if not told.mark.helps else "Right, with help."
    share = round(100 * told.mark.credit)
    return f"{share} of 100 heard." if share else "Not heard yet."
