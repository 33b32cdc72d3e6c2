"""What can stand after a command: read, refused with a hint, and completed for the shell."""

import os
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from trainer.commands.stretch import Stretch

    _Text = click.ParamType[str]
    _Number = click.ParamType[int | float]
    _Bars_ = click.ParamType[tuple[int, int]]
    _Stretch = click.ParamType[Stretch]
else:
    _Text = _Number = _Bars_ = _Stretch = click.ParamType


class Commands(click.Group):
    """The commands in the order they are met; an unknown one is answered with what was likely meant."""

    def __init__(self, *args: Any, for_a_file: str = "analyze", **more: Any) -> None:
        super().__init__(*args, **more)
        self.for_a_file = for_a_file
        """The command that is told to who names a file in a command's place."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands as they were declared."""
        return list(self.commands)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command. Raises UsageError with a hint."""
        name = args[0]
        if self.get_command(ctx, name) is not None or name.startswith("-"):
            return super().resolve_command(ctx, args)
        import difflib

        near = difflib.get_close_matches(name, self.commands, 1, 0.6)
        hint = f"there are {', '.join(self.commands)}"
        if os.path.exists(name) or name == "-":
            hint = f"to read a chart: keyfarer {self.for_a_file} {name}"
            if name.endswith(".exercise"):
                hint = f"to be asked what a teacher chose: keyfarer exercise open {name}"
        elif near:
            hint = f"did you mean `{near[0]}`?"
        raise click.UsageError(f"There is no command {name!r}; {hint}", ctx)


class _Tune(_Text):
    """A chart's path or the name of an exercise tune; what it holds is read later."""

    name = "chart"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """A tune of the player's own by its id is its chart in the player's folder; all else stays as it is."""
        if not value or set(value) & set("/\\.\0") or os.path.lexists(value) or value not in _own_tunes():
            return value
        from trainer import places

        return str(places.tunes_folder() / f"{value}.chart")

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """The player's tunes and exercise tunes that begin so, beside the shell's own files."""
        from click.shell_completion import CompletionItem

        files = CompletionItem(incomplete, type="file")
        names = (*_own_tunes(), *(name for name, _ in _shipped_tunes()))
        return [files, *(CompletionItem(name) for name in names if name.startswith(incomplete))]


class _KeptTune(_Text):
    """The id of a tune: one that the player keeps, or an exercise tune."""

    name = "tune"

    def __init__(self, exercises: bool = True) -> None:
        self.exercises = exercises

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Take it if there is such a tune. Raises KeptError where the list of tunes can't be read."""
        known = self._known()
        if value in known:
            return value
        if value in dict(_shipped_tunes()):
            return self.fail(f"{value} is an exercise tune, and these stay", param, ctx)
        if value in _own_tunes():
            hint = "its chart lies in your folder of tunes and is not kept: `keyfarer tunes add` keeps it"
            return self.fail(f"there is no tune {value!r}; {hint}", param, ctx)
        import difflib

        near = difflib.get_close_matches(value, known, 3, 0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else "`keyfarer tunes` lists them"
        return self.fail(f"there is no tune {value!r}; {hint}", param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Tunes that begin so; none of the player's where their list can't be read."""
        from click.shell_completion import CompletionItem

        from trainer.errors import KeyfarerError

        try:
            known = self._known()
        except KeyfarerError:
            return []
        return [CompletionItem(id) for id in known if id.startswith(incomplete)]

    def _known(self) -> list[str]:
        from trainer import places
        from trainer.practice.kept_tunes import load_index

        shipped = [id for id, _ in _shipped_tunes()] if self.exercises else []
        return [*load_index(places.tunes_folder()).ids, *shipped]


def _shipped_tunes() -> "tuple[tuple[str, object], ...]":
    from trainer.charts.library import exercise_tunes

    return exercise_tunes()


def _own_tunes() -> list[str]:
    """Ids of the player's own charts that lie in their folder; nothing is read."""
    from trainer import places

    return sorted(path.stem for path in places.tunes_folder().glob("*.chart") if not path.name.startswith("."))


class _Type(_Text):
    """The id of a cadence type, of a move of the key center, or of a tune's route."""

    name = "type"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Take it if there is such a unit."""
        from trainer.harmony.cadence import CADENCE

        if value in CADENCE:
            return value
        if value.startswith(("move:", "route:")):
            from trainer.drills.rungs import DrillError
            from trainer.drills.units import find_unit

            try:
                return find_unit(value).id
            except DrillError as error:
                return self.fail(str(error), param, ctx)
        import difflib

        near = difflib.get_close_matches(value, CADENCE, 3, 0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else "`keyfarer types` lists them"
        return self.fail(f"there is no cadence type {value!r}; {hint}", param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Types that begin so, with their names."""
        from click.shell_completion import CompletionItem

        from trainer.harmony.cadence import CADENCES

        return [CompletionItem(row.id, help=row.name) for row in CADENCES if row.id.startswith(incomplete)]


class _Unit(_Type):
    """The id of a cadence type, of a move of the key center, or of a tune's route."""

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Take it if it can be a unit."""
        if not value.startswith(("move:", "route:")):
            return super().convert(value, param, ctx)
        from trainer.drills.rungs import DrillError
        from trainer.drills.units import find_unit

        try:
            find_unit(value)
        except DrillError as error:
            self.fail(str(error), param, ctx)
        return value


class _Word(_Text):
    """A word of the glossary, or a part of its name; the command finds it."""

    name = "word"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Words that begin so, with their names."""
        from click.shell_completion import CompletionItem

        from trainer.harmony.glossary import TERMS

        return [CompletionItem(term.id, help=term.name) for term in TERMS if term.id.startswith(incomplete)]


class _Kind(_Text):
    """The id of a kind of drill."""

    name = "kind"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Take it if there is such a kind."""
        from trainer.drills.kinds import KINDS

        if value in KINDS:
            return value
        return self.fail(f"there is no kind of drill {value!r}; there are {', '.join(KINDS)}", param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Kinds that begin so, with what they ask."""
        from click.shell_completion import CompletionItem

        from trainer.drills.kinds import KINDS

        return [CompletionItem(kind.id, help=kind.name) for kind in KINDS.values() if kind.id.startswith(incomplete)]


class Number(_Number):
    """A number between two others."""

    name = "number"

    def __init__(self, low: int, high: int, whole: bool = False) -> None:
        self.low, self.high, self.whole = low, high, whole

    def convert(self, value: str | float, param: click.Parameter | None, ctx: click.Context | None) -> int | float:
        """The number."""
        try:
            number = int(value) if self.whole else float(value)
            if self.low <= number <= self.high:
                return number
        except ValueError:
            pass
        kind = "a whole number" if self.whole else "a number"
        return self.fail(f"found {value!r}; expected {kind} from {self.low} to {self.high}", param, ctx)


class _Bars(_Bars_):
    """Bars as played: `5-12`, or `5` alone."""

    name = "bars"

    def convert(
        self, value: str | tuple[int, int], param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        """First and last bar."""
        if isinstance(value, tuple):
            return value
        first, dash, last = value.replace("–", "-").partition("-")
        words = (first.strip(), last.strip() if dash else first.strip())
        if not all(word.isascii() and word.isdigit() and len(word) < 7 for word in words):
            self.fail(f"found {value!r}; expected bars as played, such as 5-12", param, ctx)
        bars = int(words[0]), int(words[1])
        if bars[0] > bars[1]:
            self.fail(f"found {value!r}; expected the earlier bar first", param, ctx)
        return bars


class _Pin(_Text):
    """A key center held from a bar on; `run_analyze` reads it."""

    name = "pin"


class _Place(_Stretch):
    """A bar, a beat in it, or a stretch of bars, as played."""

    name = "place"

    def convert(self, value: "str | Stretch", param: click.Parameter | None, ctx: click.Context | None) -> "Stretch":
        """The stretch."""
        from trainer.commands.stretch import StretchError, parse_stretch

        if not isinstance(value, str):
            return value
        try:
            return parse_stretch(value)
        except StretchError as error:
            return self.fail(str(error), param, ctx)


class _Worded(_Text):
    """One of a few words, each completed with what it means."""

    name = "word"

    def __init__(self, **words: str) -> None:
        self.words = words

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The word as it is written here, however it was typed."""
        for word in self.words:
            if word.casefold() == value.casefold():
                return word
        return self.fail(f"found {value!r}; expected {', '.join(self.words)}", param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """The words that begin so."""
        from click.shell_completion import CompletionItem

        known = self.words.items()
        return [
            CompletionItem(word, help=told) for word, told in known if word.casefold().startswith(incomplete.casefold())
        ]


class _Target(_Text):
    """A key to go to; the command reads it."""

    name = "key"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """The keys players use that begin so; a small letter is minor."""
        from click.shell_completion import CompletionItem

        known = {**dict.fromkeys(MAJOR_KEYS, "major"), **dict.fromkeys(MINOR_KEYS, "minor")}
        return [CompletionItem(key, help=mode) for key, mode in known.items() if key.startswith(incomplete)]


class _Keys(_Target):
    """A key to ask in, several parted by commas, or all; the command reads them."""

    name = "keys"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The words as they are, if they name keys."""
        from trainer.harmony.key import KeyNameError
        from trainer.practice.chosen import read_keys

        try:
            read_keys((value,))
        except KeyNameError as error:
            return self.fail(f"{error}; or all, or several such as C,F,Bb", param, ctx)
        return value


class _Interval(_Text):
    """How far; the command reads it."""

    name = "interval"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """The short names that begin so, upward; words behind `-` are options to a shell."""
        from click.shell_completion import CompletionItem

        known = INTERVALS.items()
        return [CompletionItem(name, help=f"up {told}") for name, told in known if name.startswith(incomplete)]


MAJOR_KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
MINOR_KEYS = ("c", "c#", "d", "eb", "e", "f", "f#", "g", "g#", "ab", "a", "bb", "b")
"""The keys with up to six accidentals, and ab: how players name them (common practice, no source)."""
INTERVALS = {
    "m2": "a minor second", "M2": "a major second", "m3": "a minor third", "M3": "a major third",
    "P4": "a perfect fourth", "A4": "an augmented fourth", "d5": "a diminished fifth", "P5": "a perfect fifth",
    "m6": "a minor sixth", "M6": "a major sixth", "m7": "a minor seventh", "M7": "a major seventh",
}  # fmt: skip

KEY, KEYS, STEPS = _Target(), _Keys(), _Interval()
TUNE, TYPE, KIND, BARS, PIN, PLACE = _Tune(), _Type(), _Kind(), _Bars(), _Pin(), _Place()
TUNE_ID, OWN_TUNE = _KeptTune(), _KeptTune(exercises=False)
INSTRUMENT = _Worded(C="as it sounds", Bb="a whole step up", Eb="a major sixth up", F="a fifth up")
NUMERALS = _Worded(roman="ii7 V7 Imaj7", upper="IIm7 V7 Imaj7", arabic="2-7 5(7) 1maj7")
UNIT = _Unit()
WORD = _Word()
