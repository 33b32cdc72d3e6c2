"""The table of cadence types: what the analysis recognises, the drills ask for and the memory keeps.

Formulas are numerals of the cadence's center, counted against its major scale in both modes. The
cadences are common practice, no source, unless a row says otherwise. Ids never change: the command,
the JSON and the store depend on them. Rows toward a degree are written for their first degree and
retargeted by formula_for. Interrupted rows hold the foreign chords as numerals of the foreign key.
"""

from collections.abc import Mapping
from types import MappingProxyType

from trainer.errors import KeyfarerError
from trainer.harmony.function import Function
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.numeral import (
    chord_of_any,
    parse_any,
    read_degree,
)
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

Formula = tuple[str, ...]
"""Numerals as text, in order."""


class CadenceNameError(KeyfarerError):
    """A cadence type, or one of its degrees or variants, that isn't in the table."""


@dataclass(frozen=True, slots=True)
class InterruptedShape:
    """A prepared cadence, a foreign cadence that breaks in, and the rest of the first."""

    before: Formula
    foreign: Formula
    """Numerals of the foreign key."""
    resumed: Formula
    distances: tuple[int, ...]
    """Half steps from the awaited tonic up to the foreign one, 1 to 11, the likeliest first."""

    @property
    def formula(self) -> Formula:
        """All chords in order."""
        return self.before + self.foreign + self.resumed

    @property
    def foreign_indices(self) -> range:
        """Which chords of the formula are the interruption."""
        return range(len(self.before), len(self.before) + len(self.foreign))


@dataclass(frozen=True, slots=True)
class CadenceType:
    """One row of the table."""

    id: str
    name: str
    """As players say it."""
    formula: Formula
    variants: tuple[Formula, ...]
    """Other ways to play the same; some are shorter or longer than the formula."""
    variant_functions: tuple[tuple[Function, ...], ...]
    """One for each chord of each variant."""
    mode: Mode
    """Of its center."""
    rests: bool
    """Its last chord is its center's rest."""
    functions: tuple[Function, ...]
    """One for each chord of the formula."""
    taken_for: tuple[str, ...]
    """Ids of what it is often mistaken for."""
    after: tuple[str, ...]
    """Ids of what should be learned before it."""
    about: str
    """One sentence for the player."""
    degrees: tuple[str, ...] = ()
    """The degrees it may point to, small for minor; the formula is written for the first. Empty for most."""
    shapes: tuple[InterruptedShape, ...] = ()
    """Interrupted rows only: the formula's shape, then one for each variant."""

    @property
    def interruption(self) -> InterruptedShape | None:
        """The shape of the formula; None for a row without an interruption."""
        return self.shapes[0] if self.shapes else None


def _row(
    id: str,
    name: str,
    formula: str,
    functions: str,
    about: str,
    *,
    variants: str = "",
    mode: Mode = "major",
    rests: bool = True,
    taken_for: str = "",
    after: str = "",
    degrees: str = "",
    shapes: tuple[InterruptedShape, ...] = (),
) -> CadenceType:
    """One row from words: chords, functions and ids stand apart by spaces, variants by semicolons.

    A variant whose chords do something else than the formula's says what after an equals sign.
    """
    own = tuple(_FUNCTION_WORDS[word] for word in functions.split())
    told = [variant.partition("=") for variant in variants.split(";") if variant.strip()]
    return CadenceType(
        id=id,
        name=name,
        formula=tuple(formula.split()),
        variants=tuple(tuple(chords.split()) for chords, _, _ in told),
        variant_functions=tuple(tuple(_FUNCTION_WORDS[word] for word in words.split()) or own for _, _, words in told),
        mode=mode,
        rests=rests,
        functions=own,
        taken_for=tuple(taken_for.split()),
        after=tuple(after.split()),
        about=about,
        degrees=tuple(degrees.split()),
        shapes=shapes,
    )


def _interrupted(id: str, name: str, about: str, *shapes: InterruptedShape, taken_for: str, after: str) -> CadenceType:
    """An interrupted row; the first shape is its formula, the others its variants."""
    functions = [" ".join(_PLAIN_FUNCTIONS[text] for text in shape.formula) for shape in shapes]
    variants = [" ".join(shape.formula) + " = " + words for shape, words in zip(shapes[1:], functions[1:], strict=True)]
    return _row(
        id,
        name,
        " ".join(shapes[0].formula),
        functions[0],
        about,
        variants="; ".join(variants),
        taken_for=taken_for,
        after=after,
        shapes=shapes,
    )


_FUNCTION_WORDS: dict[str, Function] = {
    "tonic": "tonic", "predominant": "predominant", "dominant": "dominant",
    "plagal": "plagal", "passing": "passing", "color": "color",
}  # fmt: skip

_PLAIN_FUNCTIONS: dict[str, Function] = {"ii7": "predominant", "V7": "dominant", "Imaj7": "tonic"}

_GOAL_FUNCTIONS: dict[str, Function] = {
    "ii": "predominant", "iii": "tonic", "IV": "predominant", "V": "dominant", "vi": "tonic",
    "bIII": "color", "bVI": "color",
}  # fmt: skip
"""What a degree does in the key when it is the goal of an applied chord."""

_NEAR_TWO = (6, 8, 1, 11, 3, 10, 4, 9)
"""After a ii: where the foreign dominant is a half step off comes first. IV, V and II are too near."""
_NEAR_FIVE = (1, 11, 6, 8, 3, 10, 4, 9)
"""After a V: where the foreign dominant is a half step off comes first."""
_TWO, _FIVE, _FIVE_ONE, _TWO_FIVE, _TWO_FIVE_ONE = (
    ("ii7",), ("V7",), ("V7", "Imaj7"), ("ii7", "V7"), ("ii7", "V7", "Imaj7"),
)  # fmt: skip

CADENCES: tuple[CadenceType, ...] = (
    # to a major I
    _row(
        "major-five-one", "five–one in major", "V7 Imaj7", "dominant tonic",
        "The dominant's leading tone rises and its seventh falls, and the tune is home.",
        variants="V7 I6; V7 I; V I; V7b9 Imaj7; V7#5 Imaj7; V9 I6/9; V13 Imaj9",
        taken_for="plagal tritone-five-one major-two-five-one",
    ),
    _row(
        "major-two-five-one", "two–five–one in major", "ii7 V7 Imaj7", "predominant dominant tonic",
        "The seventh of each chord falls by step into the third of the next, until major is at rest.",
        variants="ii7 V7 I6; ii7 V7 I; ii V7 I; ii7 V7b9 Imaj7; ii7 V7alt Imaj7; ii9 V13 Imaj9;"
        " ii7 V7sus4 V7 Imaj7 = predominant dominant dominant tonic",
        taken_for="major-four-five-one tritone-two-five-one minor-two-five-one",
        after="major-five-one",
    ),
    _row(
        "major-four-five-one", "four–five–one", "IVmaj7 V7 Imaj7", "predominant dominant tonic",
        "The bass climbs by step from four to five before it drops home.",
        variants="IV V7 I; IV6 V7 I6; IV V I; IVmaj7 V7 I6",
        taken_for="major-two-five-one sus-five-one",
        after="major-five-one",
    ),
    _row(
        "sus-five-one", "sus five–one", "V9sus4 Imaj7", "dominant tonic",
        "The fourth stays where the leading tone would be, so the dominant floats home without its bite.",
        variants="V7sus4 Imaj7; V13sus4 Imaj7; IV/5 Imaj7; ii7/5 Imaj7; V7sus4 I6;"
        " V7sus4 V7 Imaj7 = dominant dominant tonic",
        taken_for="plagal major-five-one major-four-five-one",
        after="major-five-one",
    ),
    _row(
        "plagal", "four–one, the amen", "IVmaj7 Imaj7", "plagal tonic",
        "The sixth of the key falls to the fifth while the tonic holds, and nothing leads upward.",
        variants="IV I; IV6 I6; IVmaj7 I6; IV7 Imaj7",
        taken_for="major-five-one minor-plagal flat-seven-one",
        after="major-five-one",
    ),
    _row(
        "minor-plagal", "minor four to one", "iv6 Imaj7", "plagal tonic",
        "The flat sixth of the key leans down by half step into the fifth of a major home.",
        variants="iv I; iv7 Imaj7; iv6 I6; ivmaj7 Imaj7; iiø7 Imaj7; "
        " IVmaj7 iv6 Imaj7 = plagal plagal tonic; IV iv I = plagal plagal tonic",
        taken_for="plagal backdoor",
        after="plagal",
    ),
    _row(
        "backdoor", "backdoor two–five", "iv7 bVII7 Imaj7", "plagal plagal tonic",
        "A two–five that points a minor third too high slips home from a whole step below.",
        variants="iv7 bVII9 I6; iv7 bVII13 Imaj7; iv7 bVII9#11 Imaj7; iv6 bVII7 Imaj7; iv7 bVII7 I;"
        " bVII7 Imaj7 = plagal tonic; bVII7 I6 = plagal tonic",
        taken_for="minor-plagal flat-seven-one flat-six-seven-one unfinished-two-five",
        after="minor-plagal major-two-five-one",
    ),
    _row(
        "tritone-five-one", "tritone substitute to one", "bII7 Imaj7", "dominant tonic",
        "The dominant a tritone away keeps the same guide tones and slides into home by half step.",
        variants="bII7 I6; bII7 I; bII9 I6/9; bII7#11 Imaj7; bII9#11 Imaj7; bII13 Imaj7",
        taken_for="major-five-one minor-tritone-five-one flat-seven-one",
        after="major-five-one",
    ),
    _row(
        "tritone-two-five-one", "two, flat two, one", "ii7 bII7 Imaj7", "predominant dominant tonic",
        "The bass walks down by half step from two through flat two to one.",
        variants="ii7 bII7 I6; ii7 bII9 Imaj9; ii7 bII7#11 Imaj7; ii7 bII13 I6/9; ii7 bII7 I;"
        " bvi7 bII7 Imaj7",
        taken_for="major-two-five-one tritone-five-one backdoor",
        after="major-two-five-one tritone-five-one",
    ),
    _row(
        "minor-two-to-major-one", "minor two–five to a major one", "iiø7 V7b9 Imaj7",
        "predominant dominant tonic",
        "The half-diminished two and the flat nine promise minor, and the third of the rest comes out major.",
        variants="iiø7 V7 Imaj7; iiø7 V7b9 I6; iiø7 V7alt Imaj7; iiø7 V7 I",
        taken_for="minor-two-five-one major-two-five-one picardy",
        after="major-two-five-one minor-two-five-one",
    ),
    _row(
        "flat-seven-one", "flat seven to one", "bVII I", "plagal tonic",
        "A major chord a whole step below steps up into home, with no leading tone.",
        variants="bVIImaj7 Imaj7; bVII Imaj7; bVII6 I6; bVII I7",
        taken_for="plagal backdoor flat-six-seven-one",
        after="plagal",
    ),
    _row(
        "flat-six-seven-one", "flat six, flat seven, one", "bVImaj7 bVII7 Imaj7", "plagal plagal tonic",
        "Two major chords from the minor side climb by whole steps into a major home.",
        variants="bVI bVII I; bVImaj7 bVII Imaj7; bVI6 bVII6 I6; bVImaj7 bVIImaj7 Imaj7",
        taken_for="flat-seven-one backdoor deceptive-flat-six",
        after="flat-seven-one",
    ),
    # to a minor i
    _row(
        "minor-five-one", "five–one in minor", "V7b9 i6", "dominant tonic",
        "The flat nine and the leading tone close in on a minor home.",
        variants="V7 i; V7 i6; V7b9 i; V7b9 i7; V7 i7; V7alt imaj7; V7#5 i6; vii°7 i6; vii°7 i",
        mode="minor",
        taken_for="major-five-one minor-tritone-five-one minor-two-five-one",
        after="major-five-one",
    ),
    _row(
        "minor-two-five-one", "two–five–one in minor", "iiø7 V7b9 i6", "predominant dominant tonic",
        "The half-diminished two brings the flat sixth of the key, which stays as the flat nine of five.",
        variants="iiø7 V7 i; iiø7 V7 i6; iiø7 V7b9 i; iiø7 V7b9 i7; iiø7 V7alt imaj7;"
        " iiø7 V7b9b13 i6/9; ii7 V7b9 i6",
        mode="minor",
        taken_for="minor-two-to-major-one minor-four-five-one major-two-five-one",
        after="minor-five-one",
    ),
    _row(
        "minor-four-five-one", "four–five–one in minor", "iv7 V7b9 i6", "predominant dominant tonic",
        "Minor four steps up to the dominant before it falls to a minor home.",
        variants="iv V7 i; iv7 V7 i7; iv6 V7b9 i6; iv6 V7 i; iv V i",
        mode="minor",
        taken_for="minor-two-five-one minor-five-one",
        after="minor-five-one",
    ),
    _row(
        "minor-tritone-five-one", "tritone substitute to a minor one", "bII7 i6", "dominant tonic",
        "The dominant a half step above slides down into a minor home.",
        variants="bII7 i; bII7 i7; bII7#11 imaj7; "
        " iiø7 bII7 i6 = predominant dominant tonic; iiø7 bII7 i7 = predominant dominant tonic",
        mode="minor",
        taken_for="minor-five-one tritone-five-one",
        after="minor-five-one tritone-five-one",
    ),
    _row(
        "descending-tetrachord", "minor walk down to five and home", "i bVII bVI V7 i",
        "tonic passing predominant dominant tonic",
        "The bass walks down the minor scale from one to five, and five brings it back.",
        variants="i bVII bVI V i; i i/b7 bVImaj7 V7 i; i6 bVII7 bVImaj7 V7b9 i6;"
        " i bVII7 bVI7 V7 i = tonic passing dominant dominant tonic",
        mode="minor",
        taken_for="minor-four-five-one line-cliche minor-blues-last-four",
        after="minor-five-one",
    ),
    _row(
        "picardy", "minor that ends on a major one", "i iv7 V7 I", "tonic predominant dominant tonic",
        "All of it is minor until the last chord, whose third turns major.",
        variants="i6 iiø7 V7b9 Imaj7; i iv V I; i V7 I = tonic dominant tonic;"
        " i6 V7b9 I6 = tonic dominant tonic",
        mode="minor",
        taken_for="minor-two-to-major-one minor-four-five-one minor-plagal",
        after="minor-four-five-one",
    ),
    # that do not rest at home
    _row(
        "half", "half cadence", "Imaj7 ii7 V7", "tonic predominant dominant",
        "The phrase stops on the dominant and leaves the door open.",
        variants="I IV V; I IV V7; Imaj7 IVmaj7 V7; I6 ii7 V7sus4;"
        " Imaj7 II7 V7 = tonic dominant dominant; Imaj7 V7 = tonic dominant",
        rests=False,
        taken_for="unfinished-two-five applied-five",
        after="major-five-one",
    ),
    _row(
        "deceptive-six", "deceptive: five to six", "ii7 V7 vi7", "predominant dominant tonic",
        "The dominant steps up to the minor chord that shares two notes with home.",
        variants="IVmaj7 V7 vi7; ii7 V7 vi; V7 vi7 = dominant tonic; V7 vi = dominant tonic",
        rests=False,
        taken_for="major-two-five-one deceptive-three deceptive-flat-six",
        after="major-two-five-one",
    ),
    _row(
        "deceptive-flat-six", "deceptive: five to flat six", "ii7 V7 bVImaj7", "predominant dominant tonic",
        "The dominant slips up a half step to a major chord from the minor side, where home was awaited.",
        variants="ii7 V7 bVI6; ii7 V7 bVI; IVmaj7 V7 bVImaj7; V7 bVImaj7 = dominant tonic;"
        " V7 bVI = dominant tonic",
        rests=False,
        taken_for="deceptive-six flat-six-seven-one",
        after="deceptive-six",
    ),
    _row(
        "deceptive-three", "deceptive: five to three", "ii7 V7 iii7", "predominant dominant tonic",
        "The chord of the third stands in for home and the line can go on down the fifths.",
        variants="IVmaj7 V7 iii7; V7 iii7 = dominant tonic; V7 iii = dominant tonic",
        rests=False,
        taken_for="major-two-five-one deceptive-six",
        after="deceptive-six",
    ),
    _row(
        "unfinished-two-five", "two–five that doesn't land", "ii7 V7", "predominant dominant",
        "A key is announced by its two and its five, and its one never sounds.",
        variants="iiø7 V7b9; ii7 V7sus4; iiø7 V7; ii7 V7b9",
        rests=False,
        taken_for="half applied-two-five backdoor",
        after="major-two-five-one",
    ),
    _row(
        "dominant-retreats", "five steps back to four, then one", "V IV I", "dominant plagal tonic",
        "The dominant gives up its pull, steps down to four, and home comes by the soft way.",
        variants="V7 IVmaj7 Imaj7; V7 IV6 I6; V7 IV I",
        taken_for="plagal major-four-five-one blues-last-four",
        after="plagal",
    ),
    # toward a degree
    _row(
        "applied-five", "five of a degree", "V7/ii ii7", "dominant predominant",
        "A chord of the key is led into by a dominant of its own, and the key stays.",
        variants="V7b9/ii ii7; V7/ii ii; V7alt/ii ii7; vii°7/ii ii7",
        rests=False,
        taken_for="applied-tritone applied-two-five extended-dominants",
        after="major-five-one",
        degrees="ii iii IV V vi bIII bVI",
    ),
    _row(
        "applied-two-five", "two–five of a degree", "iiø7/ii V7b9/ii ii7", "predominant dominant predominant",
        "A chord of the key is led into by a whole two–five of its own, and the key stays.",
        variants="ii7/ii V7/ii ii7; iiø7/ii V7/ii ii7; iiø7/ii V7alt/ii ii7",
        rests=False,
        taken_for="applied-five two-five-chain tonic-turns-minor",
        after="applied-five major-two-five-one minor-two-five-one",
        degrees="ii iii IV V vi bIII bVI",
    ),
    _row(
        "applied-tritone", "tritone substitute of a degree", "bII7/ii ii7", "dominant predominant",
        "A dominant a half step above a chord of the key slides down into it.",
        variants="bII9/ii ii7; bII7#11/ii ii7; bII7/ii ii",
        rests=False,
        taken_for="applied-five passing-diminished",
        after="applied-five tritone-five-one",
        degrees="ii iii IV V vi bIII bVI",
    ),
    _row(
        "extended-dominants", "dominants down the fifths", "III7 VI7 II7 V7 Imaj7",
        "dominant dominant dominant dominant tonic",
        "Each dominant falls to the next one, a fifth down, until the last reaches home.",
        variants="III7 VI7 II7 V7 I6; III7 VI9 II13 V9 I6/9; III7 bIII7 II7 bII7 Imaj7;"
        " VI7 II7 V7 Imaj7 = dominant dominant dominant tonic; II7 V7 Imaj7 = dominant dominant tonic",
        taken_for="applied-five three-six-two-five two-five-chain",
        after="applied-five",
    ),
    # turnarounds
    _row(
        "one-six-two-five", "one–six–two–five", "Imaj7 vi7 ii7 V7", "tonic predominant predominant dominant",
        "Home, then down the fifths to the dominant that asks for home again.",
        variants="I6 vi7 ii7 V7; I vi IV V; Imaj7 VI7 ii7 V7 = tonic dominant predominant dominant;"
        " Imaj7 VI7b9 ii7 V7b9 = tonic dominant predominant dominant;"
        " Imaj7 vi7 ii7 V7 Imaj7 = tonic predominant predominant dominant tonic",
        rests=False,
        taken_for="three-six-two-five rising-diminished half",
        after="major-two-five-one",
    ),
    _row(
        "three-six-two-five", "three–six–two–five", "iii7 VI7 ii7 V7",
        "predominant dominant predominant dominant",
        "Three stands where home would be, and the fifths run down from there.",
        variants="iiiø7 VI7b9 ii7 V7; iii7 vi7 ii7 V7 = predominant predominant predominant dominant;"
        " III7 VI7 ii7 V7 = dominant dominant predominant dominant;"
        " iii7 VI7 ii7 V7 Imaj7 = predominant dominant predominant dominant tonic;"
        " iii7 vi7 ii7 V7 Imaj7 = predominant predominant predominant dominant tonic",
        rests=False,
        taken_for="one-six-two-five applied-two-five extended-dominants",
        after="one-six-two-five",
    ),
    _row(
        "minor-turnaround", "one–six–two–five in minor", "i bVImaj7 iiø7 V7b9",
        "tonic predominant predominant dominant",
        "Minor home, down to flat six, and the minor two–five asks for home again.",
        variants="i7 viø7 iiø7 V7b9; imaj7 viø7 iiø7 V7b9; i bVI7 iiø7 V7;"
        " i6 VI7b9 iiø7 V7b9 = tonic dominant predominant dominant;"
        " i bVImaj7 iiø7 V7b9 i6 = tonic predominant predominant dominant tonic",
        mode="minor",
        rests=False,
        taken_for="one-six-two-five descending-tetrachord",
        after="minor-two-five-one",
    ),
    _row(
        "chromatic-turnaround", "one, flat three, flat six, flat two", "Imaj7 bIII7 bVI7 bII7",
        "tonic dominant dominant dominant",
        "A turnaround's chords give way to their tritone substitutes, and the last slides home by half step.",
        variants="Imaj7 bIIImaj7 bVImaj7 bIImaj7; Imaj7 bIII7 bVImaj7 bII7; I6 bIII7 bVI7 bII7;"
        " Imaj7 bIII7 bVI7 bII7 Imaj7 = tonic dominant dominant dominant tonic",
        rests=False,
        taken_for="one-six-two-five major-third-cycle",
        after="one-six-two-five tritone-five-one",
    ),
    _row(
        "rising-diminished", "one, sharp one diminished, two, five", "Imaj7 #i°7 ii7 V7",
        "tonic passing predominant dominant",
        "A diminished chord fills the step from one to two and pushes the bass up by half steps.",
        variants="I6 #i°7 ii7 V7; I #i°7 ii7 V7; Imaj7 #i°7 ii7 #ii°7 = tonic passing predominant passing;"
        " Imaj7 #i°7 ii7 #ii°7 iii7 = tonic passing predominant passing tonic;"
        " Imaj7 #i°7 ii7 V7 Imaj7 = tonic passing predominant dominant tonic",
        rests=False,
        taken_for="one-six-two-five passing-diminished",
        after="one-six-two-five passing-diminished",
    ),
    _row(
        "falling-from-sharp-four", "down by half steps from sharp four", "#ivø7 iv6 iii7 biii°7 ii7 V7 Imaj7",
        "predominant passing tonic passing predominant dominant tonic",
        "The bass slides down by half steps from sharp four to two, and a two–five brings it home.",
        variants="#ivø7 iv7 iii7 biii°7 ii7 V7 Imaj7; #ivø7 iv6 iii7 biii°7 ii7 V7 I6;"
        " #ivø7 iv7 iii7 biii7 ii7 V7 Imaj7",
        taken_for="three-six-two-five passing-diminished two-five-chain",
        after="three-six-two-five passing-diminished",
    ),
    # on the way
    _row(
        "passing-diminished", "passing diminished", "Imaj7 #i°7 ii7", "tonic passing predominant",
        "A diminished chord fills the whole step between two chords, and the bass moves by half steps.",
        variants="I #i°7 ii7; I6 #i°7 ii7; ii7 #ii°7 iii7 = predominant passing tonic;"
        " IVmaj7 #iv°7 V7 = predominant passing dominant; V7 #v°7 vi7 = dominant passing tonic;"
        " iii7 biii°7 ii7 = tonic passing predominant",
        rests=False,
        taken_for="common-tone-diminished applied-five",
        after="major-two-five-one",
    ),
    _row(
        "common-tone-diminished", "diminished on the same root", "Imaj7 i°7 Imaj7", "tonic color tonic",
        "The root stays, the rest dips by half steps into a diminished chord and comes back.",
        variants="I6 i°7 I6; I i°7 I; I i°7 Imaj7; Imaj7 #ii°7 Imaj7; i°7 Imaj7 = color tonic",
        taken_for="passing-diminished plagal",
        after="passing-diminished",
    ),
    _row(
        "line-cliche", "line inside a minor chord", "i imaj7 i7 i6", "tonic color color color",
        "The chord stays and one voice walks down by half steps from its root.",
        variants="i imaj7 i7 iv7 = tonic color color predominant; i imaj7 i7 = tonic color color;"
        " i ib6 i6 ib6;"
        " i ib6 i6 i7; I I+ I6 I7; I Imaj7 I7 I6",
        mode="minor",
        taken_for="descending-tetrachord tonic-turns-minor",
        after="minor-five-one",
    ),
    _row(
        "two-five-chain", "chain of two–fives", "#iv7 VII7 iii7 VI7 ii7 V7 Imaj7",
        "predominant dominant predominant dominant predominant dominant tonic",
        "Two–fives follow each other by step, by half step or around the fifths, and only the last lands.",
        variants=(
            "iii7 VI7 biii7 bVI7 ii7 V7 Imaj7; iii7 VI7 vi7 II7 ii7 V7 Imaj7;"
            " biii7 bVI7 ii7 V7 Imaj7 = predominant dominant predominant dominant tonic;"
            " vi7 II7 ii7 V7 Imaj7 = predominant dominant predominant dominant tonic"
        ),
        taken_for="three-six-two-five extended-dominants falling-from-sharp-four",
        after="three-six-two-five unfinished-two-five",
    ),
    _row(
        "tonic-turns-minor", "one turns minor and becomes two", "Imaj7 i7 IV7 bVIImaj7",
        "tonic predominant dominant tonic",
        "Home's third falls, and the same root is the two of the key a whole step lower.",
        variants="I6 i7 IV7 bVIImaj7; Imaj7 i7 IV7 bVII6; I i7 IV7 bVII;"
        " Imaj7 i7 IV7 = tonic predominant dominant",
        rests=False,
        taken_for="line-cliche applied-two-five backdoor",
        after="unfinished-two-five",
    ),
    _row(
        "major-third-cycle", "cycle of major thirds", "Imaj7 bIII7 bVImaj7 VII7 IIImaj7 V7 Imaj7",
        "tonic dominant tonic dominant tonic dominant tonic",
        "Three keys a major third apart, each entered by its own dominant, close a circle.",
        variants="Imaj7 VII7 IIImaj7 bIII7 bVImaj7 V7 Imaj7;"
        " Imaj7 bVImaj7 IIImaj7 Imaj7 = tonic tonic tonic tonic",
        taken_for="chromatic-turnaround two-five-chain",
        after="applied-five chromatic-turnaround",
    ),
    # blues
    _row(
        "blues-four", "to the four of a blues and back", "I7 IV7 I7", "tonic plagal tonic",
        "Home is a dominant seventh that rests, and so is four.",
        variants="I7 IV9 I7; I7 IV7 #iv°7 I7/5 = tonic plagal passing tonic;"
        " I7 IV7 #iv°7 I7 = tonic plagal passing tonic;"
        " v7 I7 IV7 I7 = predominant dominant plagal tonic; I7 IV7 iv7 I7 = tonic plagal plagal tonic",
        taken_for="plagal applied-five",
        after="plagal",
    ),
    _row(
        "blues-last-four", "last four bars of a blues", "V7 IV7 I7", "dominant plagal tonic",
        "Five steps down to four and home to a seventh chord that rests; a two–five may do it instead.",
        variants="V9 IV9 I7; ii7 V7 I7 = predominant dominant tonic;"
        " V7 IV7 I7 V7 = dominant plagal tonic dominant;"
        " ii7 V7 I7 V7 = predominant dominant tonic dominant;"
        " ii7 V7 I7 VI7 ii7 V7 = predominant dominant tonic dominant predominant dominant",
        taken_for="dominant-retreats major-two-five-one",
        after="blues-four dominant-retreats",
    ),
    _row(
        "minor-blues-last-four", "last four bars of a minor blues", "bVI7 V7 i7", "dominant dominant tonic",
        "A dominant on flat six slides down to five, and five falls to a minor home.",
        variants="bVI7 V7 i6; bVI7 V7 i; bVI7 V7b9 i6; bVI7 V7alt i7; bVI9 V7#9 i7;"
        " bVImaj7 V7 i7 = predominant dominant tonic",
        mode="minor",
        taken_for="minor-two-five-one descending-tetrachord blues-last-four",
        after="minor-two-five-one blues-last-four",
    ),
    # interrupted
    _interrupted(
        "interrupted-after-two", "two, another key's cadence, then five–one",
        "The two sounds, another key's five–one breaks in, and only then do the five and the one arrive.",
        InterruptedShape(_TWO, _FIVE_ONE, _FIVE_ONE, _NEAR_TWO),
        InterruptedShape(_TWO, _TWO_FIVE_ONE, _FIVE_ONE, _NEAR_TWO),
        taken_for="major-two-five-one interrupted-after-two-and-again",
        after="major-two-five-one unfinished-two-five",
    ),
    _interrupted(
        "interrupted-after-two-and-again", "two, another key's cadence, then the whole two–five–one",
        "The two sounds, another key cadences, and the two comes back to begin the cadence anew.",
        InterruptedShape(_TWO, _FIVE_ONE, _TWO_FIVE_ONE, _NEAR_TWO),
        InterruptedShape(_TWO, _TWO_FIVE_ONE, _TWO_FIVE_ONE, _NEAR_TWO),
        taken_for="interrupted-after-two major-two-five-one",
        after="interrupted-after-two",
    ),
    _interrupted(
        "interrupted-after-two-five", "two–five, another key's cadence, then five–one",
        "The one is due, another key's five–one takes its place, and the five comes back to finish.",
        InterruptedShape(_TWO_FIVE, _FIVE_ONE, _FIVE_ONE, _NEAR_FIVE),
        InterruptedShape(_TWO_FIVE, _TWO_FIVE_ONE, _FIVE_ONE, _NEAR_FIVE),
        taken_for="interrupted-after-two interrupted-after-two-five-and-again",
        after="interrupted-after-two",
    ),
    _interrupted(
        "interrupted-after-two-five-and-again",
        "two–five, another key's cadence, then the whole two–five–one",
        "The one is due, another key cadences, and the whole two–five–one starts over and lands.",
        InterruptedShape(_TWO_FIVE, _FIVE_ONE, _TWO_FIVE_ONE, _NEAR_FIVE),
        InterruptedShape(_TWO_FIVE, _TWO_FIVE_ONE, _TWO_FIVE_ONE, _NEAR_FIVE),
        taken_for="interrupted-after-two-five unfinished-two-five",
        after="interrupted-after-two-five",
    ),
    _interrupted(
        "interrupted-after-five", "five, another key's cadence, then five–one",
        "A lone five is left hanging while another key cadences, and then it lands after all.",
        InterruptedShape(_FIVE, _FIVE_ONE, _FIVE_ONE, _NEAR_FIVE),
        InterruptedShape(_FIVE, _FIVE_ONE, _TWO_FIVE_ONE, _NEAR_FIVE),
        InterruptedShape(_FIVE, _TWO_FIVE_ONE, _FIVE_ONE, _NEAR_FIVE),
        InterruptedShape(_FIVE, _TWO_FIVE_ONE, _TWO_FIVE_ONE, _NEAR_FIVE),
        taken_for="interrupted-after-two-five major-five-one",
        after="interrupted-after-two",
    ),
)  # fmt: skip
"""The table, grouped as a player meets them."""

CADENCE: Mapping[str, CadenceType] = MappingProxyType({row.id: row for row in CADENCES})
"""By id."""

_MAJOR_FORM = {"iiø7": "ii7", "V7b9": "V7", "V7alt": "V7b9"}
"""What stands before a minor degree, and what stands in its place before a major one."""


def find_cadence(id: str) -> CadenceType:
    """Find a row by its id. Raises CadenceNameError."""
    if (row := CADENCE.get(id)) is None:
        raise CadenceNameError(f"no cadence type {id!r}; there are {', '.join(CADENCE)}")
    return row


def formula_for(cadence: CadenceType, degree: str | None = None, variant: int | None = None) -> Formula:
    """The formula, or one of the variants (from 0), toward a degree where the row has degrees.

    Toward a major degree the minor forms become major ones. Raises CadenceNameError.
    """
    if variant is not None and not 0 <= variant < len(cadence.variants):
        raise CadenceNameError(f"{cadence.id} has variants 0 to {len(cadence.variants) - 1}, not {variant}")
    formula = cadence.formula if variant is None else cadence.variants[variant]
    if degree is None or cadence.degrees[:1] == (degree,):
        return formula
    if degree not in cadence.degrees:
        choice = f"the degrees {', '.join(cadence.degrees)}" if cadence.degrees else "no degrees"
        raise CadenceNameError(f"{cadence.id} has {choice}, not {degree!r}")
    return tuple(_retargeted(text, cadence.degrees[0], degree) for text in formula)


def _retargeted(text: str, first: str, degree: str) -> str:
    """One chord of a row toward a degree, led to another degree."""
    _, minor = read_degree(degree)
    head, slash, _ = text.rpartition("/")
    if slash:
        return f"{head if minor else _MAJOR_FORM.get(head, head)}/{degree}"
    seventh = "7" if minor or degree == "V" else "maj7"
    return degree + (seventh if text != first else "")


def functions_for(cadence: CadenceType, degree: str | None = None, variant: int | None = None) -> tuple[Function, ...]:
    """The function of each chord that formula_for gives."""
    formula_for(cadence, degree, variant)
    functions = cadence.functions if variant is None else cadence.variant_functions[variant]
    if degree is None:
        return functions
    return (*functions[:-1], _GOAL_FUNCTIONS[degree])


def interruption_of(cadence: CadenceType, variant: int | None = None) -> InterruptedShape:
    """The shape of an interrupted row's formula or of one of its variants. Raises CadenceNameError."""
    if not cadence.shapes:
        raise CadenceNameError(f"{cadence.id} is not interrupted")
    formula_for(cadence, None, variant)
    return cadence.shapes[0 if variant is None else variant + 1]


def foreign_key(key: Key, semitones: int) -> Key:
    """The major key so many half steps above a key's tonic, in its simplest spelling, flats beside flats."""
    return simplest_key(key.tonic.pitch_class + semitones, "major", prefer_flats=key.fifths < 0)


def chords_of(
    cadence: CadenceType,
    key: Key,
    degree: str | None = None,
    variant: int | None = None,
    foreign_semitones: int | None = None,
) -> tuple[ChordSymbol, ...]:
    """Spell a cadence in a key, double accidentals respelled as a player would write them.

    `foreign_semitones` places the foreign tonic of an interrupted row, by default its likeliest distance.
    Raises CadenceNameError for what the row doesn't have.
    """
    formula = formula_for(cadence, degree, variant)
    keys = [key] * len(formula)
    if cadence.shapes:
        shape = interruption_of(cadence, variant)
        distance = shape.distances[0] if foreign_semitones is None else foreign_semitones % 12
        if distance not in shape.distances:
            allowed = ", ".join(map(str, sorted(shape.distances)))
            raise CadenceNameError(f"{cadence.id} has foreign keys {allowed} half steps up, not {distance}")
        for index in shape.foreign_indices:
            keys[index] = foreign_key(key, distance)
    elif foreign_semitones is not None:
        raise CadenceNameError(f"{cadence.id} is not interrupted, so it has no foreign key")
    return tuple(chord_of_any(parse_any(text), center).practical() for text, center in zip(formula, keys, strict=True))


__all__ = [
    "CADENCE", "CADENCES", "CadenceNameError", "CadenceType", "Formula", "InterruptedShape", "chords_of",
    "find_cadence", "foreign_key", "formula_for", "functions_for", "interruption_of",
]  # fmt: skip
