"""A question: what is asked, the row that sounds, where it is answered, and the helps."""

from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from trainer.drills.answer import AnswerError
from trainer.drills.kinds import find_kind, read_answer, what_is_accepted
from trainer.drills.question import HELPS, Question
from trainer.harmony.note_names import Naming
from trainer.practice.listening_level import STEP_DB
from trainer.practice.naming import read_typed, said, said_back
from trainer.practice.session import Asking, Session
from trainer.screens.actions import DRILL, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.listening import TICK_S, Times, sounding_now, times_of
from trainer.screens.steps import answered, heard, paused, skipped, slipped, stopped
from trainer.screens.widgets.answer_line import AnswerLine
from trainer.screens.widgets.chord_row import Chord, ChordRow, Line
from trainer.screens.widgets.journey import journey
from trainer.screens.widgets.ledger import Column, Ledger

BLANK = "___"
COMPARING = "After the answer: {hear_right} plays it as it was, {hear_mine} as you answered it."


def parted(prompt: str) -> tuple[str, str]:
    """The prompt as what is said of the key and what is asked; its row of blanks is drawn instead."""
    words = prompt.split()
    while words and set(words[-1]) <= {"_", "·"}:
        words.pop()
    kept = " ".join(words)
    key, stop, asked = kept.partition(". ")
    if stop and key.startswith("The key "):
        return f"{key}.", asked
    return "", kept


def filled(question: Question, typed: str, naming: Naming = "english") -> tuple[str, ...]:
    """What each blank holds by what is typed so far; blanks where nothing is, or where it can't be read."""
    blanks = (BLANK,) * len(question.blanks)
    if question.choices is not None or not typed.strip():
        return blanks
    for missing in range(len(blanks)):
        try:
            answer = read_answer(question, read_typed(typed, naming) + " ?" * missing)
        except AnswerError:
            continue
        if answer.row is not None:
            given = len(blanks) - missing
            texts = (said_back(chord.text, naming) for chord in answer.row)
            return tuple(text if n < given else BLANK for n, text in enumerate(texts))
    return blanks


def chords_of(question: Question) -> list[Chord]:
    """The row of a question: its blanks or its stretch are asked; where there are none, every chord is."""
    asked = question.blanks or question.stretch
    return [Chord(beats, not asked or n in asked) for n, beats in enumerate(question.beats)]


def helps_told(helps: tuple[str, ...]) -> str:
    """The helps taken, each once with how often."""
    counts = {word: helps.count(word) for word in helps}
    return ", ".join(word if times == 1 else f"{word} ×{times}" for word, times in counts.items())


class DrillPage(Page):
    """One question."""

    NAME = DRILL
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(DRILL)

    DEFAULT_CSS = """
    DrillPage #key-given { color: $secondary; }
    DrillPage ChordRow { margin: 1 0 0 0; }
    DrillPage #offered { padding: 0 0 0 2; margin: 1 0 0 0; }
    DrillPage #answer { margin: 1 0 0 2; }
    DrillPage #hint { color: $quiet; padding: 0 0 0 4; }
    DrillPage #refused { color: $warning; padding: 0 0 0 4; }
    DrillPage #helps { color: $secondary; padding: 0 0 0 4; margin: 1 0 0 0; }
    DrillPage #sound { color: $quiet; padding: 0 0 0 4; margin: 1 0 0 0; }
    DrillPage.-tall ChordRow { margin: 2 0 1 0; }
    DrillPage.-tall #offered { margin: 1 0; }
    """

    def __init__(self, asking: Asking) -> None:
        super().__init__()
        self.asking = asking
        self.times: Times = ()
        self.remark: str | None = None

    def body(self) -> list[Widget]:
        """Key, prompt, row, choices, answer, remarks, helps, sound."""
        return [
            text("key-given"),
            text("prompt", classes="strong"),
            ChordRow(id="row"),
            Ledger((Column("bold $primary"), *[Column()] * 4), id="offered"),
            AnswerLine(id="answer"),
            text("hint"),
            text("refused"),
            text("helps"),
            text("sound"),
        ]

    def begin(self) -> None:
        """Show the question, wait for the answer, follow the sound."""
        self.show(self.asking)
        self.query_one(AnswerLine).focus()
        self.set_interval(TICK_S, self.follow)

    def asks(self, asking: Asking) -> bool:
        """Whether this is the same question still."""
        return asking.number == self.asking.number and asking.question is self.asking.question

    def show(self, asking: Asking) -> None:
        """Show where the question stands."""
        self.asking = asking
        question, session = asking.question, self.session
        helps = asking.helps[-1:]
        self.times = times_of(question.performance(helps))
        signs = "" if session is None else journey(session.told, asking.number, asking.of)
        self.headline(f"Question {asking.number} of {asking.of}: {find_kind(question.kind).name.lower()}", signs)
        key, prompt = parted(question.prompt)
        self.say("key-given", said(question, key, self.naming))
        self.say("prompt", said(question, prompt, self.naming))
        self.offer()
        self.fill()
        self.refused("")
        self.say("helps", f"Helps so far: {helps_told(asking.helps)}" if asking.helps else "")
        if asking.paused:
            self.times = ()
        self.tell_sound()

    def tell_sound(self) -> None:
        """Say what is to be known of the sound now: a device may go and come back while it is listened to."""
        self.remark = remark = self.keyfarer.doors.sounding.remark
        if self.asking.paused:
            remark = self.keyed("paused, and no time counts; {pause} goes on, from the beginning")
        self.say("sound", f"Sound: {remark}" if remark else "")

    @property
    def session(self) -> Session | None:
        """The session that asks."""
        return self.keyfarer.session

    def offer(self) -> None:
        """Show the answers that are offered: rows of chords stand in the row itself."""
        question, ledger = self.asking.question, self.query_one("#offered", Ledger)
        rows = question.choices if question.choices is not None and not question.blanks else ()
        heads = ("", *question.fields)
        width = len(heads)
        ledger.columns = (Column("bold $primary"), *[Column()] * (width - 1))
        ledger.display = bool(rows)
        table = [(f"press {n}", *row, *[""] * (width - 1 - len(row))) for n, row in enumerate(rows or (), 1)]
        ledger.put([heads, *table] if table else [])

    def fill(self) -> None:
        """Draw the row: blanks with what is typed so far, or the rows on offer."""
        question = self.asking.question
        chords = chords_of(question)

        def line(name: str, texts: tuple[str, ...], style: str = "") -> Line:
            at = dict(zip(question.blanks, texts, strict=False))
            cells = tuple(at.get(n, "") for n in range(len(chords)))
            return Line(name, cells, style, name_style="bold $primary")

        if question.choices is not None and question.blanks:
            rows = [line(f"press {n}", row) for n, row in enumerate(question.choices, 1)]
        elif question.blanks:
            rows = [line("", filled(question, self.query_one(AnswerLine).value, self.naming), "bold")]
        else:
            rows = []
        self.query_one(ChordRow).put(chords, rows)

    def follow(self) -> None:
        """Point at the chord that sounds."""
        if not self.keyfarer.leaving:
            sounding = self.keyfarer.doors.sounding
            self.query_one(ChordRow).point(sounding_now(sounding, self.times))
            if sounding.remark != self.remark:
                self.tell_sound()

    def refused(self, words: str) -> None:
        """Tell what could not be done; the question still waits."""
        self.say("refused", said(self.asking.question, words, self.naming))
        self.say("hint", "" if words else self.hint)
        if words:
            self.query_one(AnswerLine).action_select_all()

    @property
    def hint(self) -> str:
        """What may be typed."""
        return said(self.asking.question, what_is_accepted(self.asking.question), self.naming)

    def picks(self, character: str) -> bool:
        """Answer with a digit where rows are offered; whether it was one."""
        rows = self.asking.question.choices or ()
        if character.isdecimal() and 1 <= int(character) <= len(rows):
            self.answer(character)
            return True
        return False

    def answer(self, typed: str) -> None:
        """Give an answer, or do what a word says."""
        session, seen = self.session, self.asking
        word = " ".join(typed.split()).lower()
        if session is None or not word:
            return
        if word in HELPS:
            self.help(word)
        elif word == "skip":
            self.action_skip()
        elif word == "pause":
            self.action_pause()
        elif word == "stop":
            self.action_stop()
        elif word in ("help", "words"):
            self.action_help()
        elif word.partition(" ")[0] == "what":
            self.explain(word.removeprefix("what"))
        elif word == "compare":
            self.refused(self.keyed(COMPARING))
        elif word in ("louder", "softer"):
            self.turn(STEP_DB if word == "louder" else -STEP_DB)
        elif word == "slip":
            self.keyfarer.move("slip", lambda: slipped(session), seen)
        else:
            self.keyfarer.move(f"answer {word}", lambda: answered(session, typed, self.naming), seen)
            return
        self.query_one(AnswerLine).value = ""

    def explain(self, name: str) -> None:
        """Open the words at one of them."""
        from trainer.harmony.glossary import TermError, find_term
        from trainer.screens.words import WordsPage

        try:
            self.app.push_screen(WordsPage(find_term(name).id if name.strip() else ""))
        except TermError as error:
            self.refused(str(error))

    def tell_level(self, words: str) -> None:
        """Say where the level stands."""
        self.say("sound", words)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter on the answer's line."""
        self.answer(event.value)

    def on_input_changed(self, event: Input.Changed) -> None:
        """The row shows what is typed; a fault that was told is being mended."""
        if event.value and self.query_one("#refused").display:
            self.refused("")
        self.fill()

    def on_click(self, event: events.Click) -> None:
        """Wherever one clicks, what is typed is the answer."""
        self.query_one(AnswerLine).focus()

    def help(self, word: str) -> None:
        """Hear it in another way."""
        session = self.session
        if session is not None:
            self.keyfarer.move(f"hear {word}", lambda: heard(session, word), self.asking)

    def action_again(self) -> None:
        """Hear it once more."""
        self.help("again")

    def action_slower(self) -> None:
        """Hear it slower."""
        self.help("slower")

    def action_bass(self) -> None:
        """Hear the bass alone."""
        self.help("bass")

    def action_guide(self) -> None:
        """Hear the guide tones alone."""
        self.help("guide")

    def action_arpeggio(self) -> None:
        """Hear the chords note by note."""
        self.help("arpeggio")

    def action_key(self) -> None:
        """Hear the key first."""
        self.help("key")

    def action_skip(self) -> None:
        """Pass the question over."""
        session = self.session
        if session is not None:
            self.keyfarer.move("skip", lambda: skipped(session), self.asking)

    def action_pause(self) -> None:
        """Stop sound and clock, or go on."""
        session = self.session
        if session is not None:
            self.keyfarer.move("pause", lambda: paused(session), self.asking)

    def action_stop(self) -> None:
        """End here."""
        session = self.session
        if session is not None:
            self.keyfarer.move("stop", lambda: stopped(session))
