"""The table of the trade's words: each in plain sentences, with what is near it and an example.

Examples are numerals counted against the major scale, as everywhere; `@9` moves what follows to the major key nine
half steps up, `@9m` to the minor one, `@0` comes back. What the words mean is common practice, no source. The words
for the types of the cadence table are derived from it in `glossary.py`.
"""

from typing import Literal

from trainer.harmony.function import FUNCTIONS, Function
from trainer.harmony.key import Mode
from trainer.records import dataclass

Group = Literal["functions", "cadences", "keys", "chords", "playing", "practice"]
"""What a word belongs to."""
GROUPS: tuple[Group, ...] = ("functions", "cadences", "keys", "chords", "playing", "practice")


@dataclass(frozen=True, slots=True)
class Example:
    """Chords by which a word can be heard."""

    numerals: tuple[str, ...]
    """Of the key, with moves to other keys between them."""
    mode: Mode = "major"
    style: str = "close"
    """How the keys lay the chords out: a style of `trainer.voicing`."""
    hearing: str = "all"
    """all, bass or guide-tones."""
    comping: str = ""
    """The pattern that strikes the chords; empty is one stroke a chord, as in drills."""
    bass: str = ""
    """What the bass does under a pattern."""
    time: str = ""
    """Who keeps time under a pattern."""


@dataclass(frozen=True, slots=True)
class Term:
    """One word."""

    id: str
    name: str
    """As players say it."""
    group: Group
    says: str
    """One sentence or two."""
    near: tuple[str, ...] = ()
    """Ids of what it is related to."""
    also: tuple[str, ...] = ()
    """Other names that it goes by."""
    example: Example | None = None
    """None for a word that nothing sounds of."""
    found: str = ""
    """What a reading of the example has: a function, or the id of a cadence type; empty is nothing of its own."""


def _term(
    id: str,
    name: str,
    group: Group,
    says: str,
    near: str = "",
    *,
    also: str = "",
    hear: str = "",
    mode: Mode = "major",
    found: str = "",
    style: str = "close",
    hearing: str = "all",
    comping: str = "",
    bass: str = "",
    time: str = "",
) -> Term:
    """One term from words: ids and numerals stand apart by spaces, other names by semicolons."""
    example = Example(tuple(hear.split()), mode, style, hearing, comping, bass, time) if hear else None
    others = tuple(name.strip() for name in also.split(";") if name.strip())
    return Term(id, name, group, says, tuple(near.split()), others, example, found)


_FUNCTION_EXAMPLES: dict[Function, tuple[str, str, str]] = {
    "tonic": ("Imaj7 ii7 V7 Imaj7", "rest dominant", "home chord"),
    "predominant": ("Imaj7 ii7 V7 Imaj7", "dominant major-two-five-one", "subdominant; preparation chord"),
    "dominant": ("Imaj7 ii7 V7 Imaj7", "tonic leading-tone applied-dominant", "five"),
    "plagal": ("Imaj7 IVmaj7 Imaj7", "plagal minor-plagal backdoor", "plagal function"),
    "passing": ("Imaj7 #i°7 ii7 V7 Imaj7", "diminished passing-diminished", "passing chord"),
    "color": ("Imaj7 i°7 Imaj7 V7 Imaj7", "common-tone-diminished line-cliche", "neighbour; neighbour chord"),
}
"""For each function an example, what is near it, and other names."""


def _id_of(function: Function) -> str:
    """A function's id; one name is a cadence type's already."""
    return "plagal-chord" if function == "plagal" else function


_STEPS = "Imaj7 vi7 ii7 V7 Imaj7"

TERMS_OF_THE_TRADE: tuple[Term, ...] = (
    *(
        _term(_id_of(function), function, "functions", FUNCTIONS[function], near, also=also, hear=hear, found=function)
        for function, (hear, near, also) in _FUNCTION_EXAMPLES.items()
    ),
    _term(
        "function", "function", "functions",
        "What a chord does in its key center: it rests, gets ready, pulls, comes home softly, passes or colors. "
        "Where a chord leads decides, not what it is built of.",
        "tonic predominant dominant plagal-chord passing color", hear=_STEPS, found="major-two-five-one",
    ),
    _term(
        "rest", "chord of rest", "functions",
        "A chord that is home: nothing has to follow. It tends to last, to fall on a strong bar and to end a section.",
        "tonic cadence key-center", also="at rest; resolution", hear="V7 Imaj7 Imaj7", found="tonic",
    ),
    # cadences
    _term(
        "cadence", "cadence", "cadences",
        "A few chords that bring a key to rest, or announce that rest and then do something else.",
        "major-two-five-one plagal half deceptive", hear="ii7 V7 Imaj7", found="major-two-five-one",
    ),
    _term(
        "two-five-one", "two–five–one", "cadences",
        "The chords on the second, the fifth and the first degree: preparation, pull, rest. It is how most jazz "
        "tunes say where home is.",
        "major-two-five-one minor-two-five-one unfinished-two-five two-five", also="ii–V–I; 251",
        hear="ii7 V7 Imaj7", found="major-two-five-one",
    ),
    _term(
        "two-five", "two–five", "cadences",
        "The preparation and the pull of a two–five–one. It points at a key even when that key never sounds.",
        "two-five-one unfinished-two-five two-five-chain", also="ii–V; 25", hear="ii7 V7", found="unfinished-two-five",
    ),
    _term(
        "deceptive", "deceptive cadence", "cadences",
        "The dominant asks for home, and another chord comes in its place.",
        "deceptive-six deceptive-three deceptive-flat-six", also="deceptive",
        hear="Imaj7 ii7 V7 vi7", found="deceptive-six",
    ),
    _term(
        "turnaround", "turnaround", "cadences",
        "The last two bars of a section, which lead back to its first chord. Home is left and asked for again.",
        "one-six-two-five three-six-two-five minor-turnaround chromatic-turnaround",
        hear="Imaj7 vi7 ii7 V7 Imaj7", found="one-six-two-five",
    ),
    _term(
        "applied-dominant", "applied dominant", "cadences",
        "A dominant of another degree than the first: it leads into a chord of the key, and the key stays. "
        "V7/ii is read: five of two.",
        "applied-five applied-two-five extended-dominants dominant", also="secondary dominant; V of ii",
        hear="Imaj7 V7/ii ii7 V7 Imaj7", found="applied-five",
    ),
    _term(
        "tritone-substitute", "tritone substitute", "cadences",
        "A dominant whose root lies a tritone from the one that it stands for. Both have the same third and seventh, "
        "the other way round, so the pull stays and the bass slides down by half step.",
        "tritone-five-one tritone-two-five-one applied-tritone guide-tones tritone", also="substitute; tritone sub",
        hear="ii7 bII7 Imaj7", found="tritone-two-five-one",
    ),
    _term(
        "blues", "blues", "cadences",
        "A form of twelve bars, most often, in which a dominant seventh may rest: on one, and on four.",
        "blues-four blues-last-four minor-blues-last-four", hear="I7 IV7 I7 V7 IV7 I7", found="blues-four",
    ),
    _term(
        "preparation", "preparation", "cadences",
        "What stands before a goal and points at it: a dominant, or the two and the dominant.",
        "goal predominant dominant two-five", hear="ii7 V7", found="unfinished-two-five",
    ),
    _term(
        "goal", "goal", "cadences",
        "The chord that a preparation leads to, whether it comes or not.",
        "preparation deceptive", hear="Imaj7 V7/vi vi7 V7 Imaj7", found="applied-five",
    ),
    # keys
    _term(
        "key", "key", "keys",
        "A tonic and a mode, major or minor. A printed signature is a hint; what is at rest decides.",
        "key-center tonic home", hear=_STEPS, found="major-two-five-one",
    ),
    _term(
        "key-center", "key center", "keys",
        "The key in which a stretch is easiest to think and to play over. A tune may go through several; a brief "
        "applied dominant is none.",
        "route move home interruption", also="center; tonal center",
        hear="Imaj7 ii7 V7 Imaj7 @3 ii7 V7 Imaj7", found="major-two-five-one",
    ),
    _term(
        "home", "home", "keys",
        "The key where a tune belongs: where it ends or starts again, and which comes back most.",
        "key-center rest", also="home key", hear="Imaj7 ii7 V7 Imaj7", found="tonic",
    ),
    _term(
        "route", "route", "keys",
        "A tune's key centers in order, as you would tell a fellow player the way.",
        "key-center move home", hear="Imaj7 V7 Imaj7 @5 V7 Imaj7 @0 V7 Imaj7", found="major-five-one",
    ),
    _term(
        "move", "move of the key center", "keys",
        "How far the next key center lies, which way, and whether the mode changes: up a minor third to minor.",
        "route key-center parallel-key relative-key", also="key move; modulation",
        hear="Imaj7 ii7 V7 Imaj7 @5 ii7 V7 Imaj7", found="major-two-five-one",
    ),
    _term(
        "parallel-key", "parallel key", "keys",
        "The key on the same tonic in the other mode: C minor beside C major.",
        "relative-key tonic-turns-minor picardy", hear="ii7 V7 Imaj7 @0m iiø7 V7b9 i6", found="minor-two-five-one",
    ),
    _term(
        "relative-key", "relative key", "keys",
        "The key of the other mode with the same signature, a minor third away: A minor beside C major.",
        "parallel-key move", hear="ii7 V7 Imaj7 @9m iiø7 V7b9 i6", found="minor-two-five-one",
    ),
    _term(
        "interruption", "interruption", "keys",
        "A cadence is prepared, another key's cadence breaks in, and then the first is taken up again and completed. "
        "If the first never comes back, it is a change of key.",
        "interrupted-after-two interrupted-after-two-five interrupted-after-five key-center",
        also="interrupted cadence; breaks in",
        hear="Imaj7 ii7 V7 @1 ii7 V7 Imaj7 @0 V7 Imaj7", found="interrupted-after-two-five",
    ),
    _term(
        "mode", "mode", "keys",
        "Major or minor: which third stands over the tonic.",
        "key parallel-key", hear="ii7 V7 Imaj7 @0m iiø7 V7b9 i6", found="minor-two-five-one",
    ),
    _term(
        "modal-interchange", "modal interchange", "keys",
        "A chord is borrowed from the parallel key, and home stays as it was: minor four in a major key.",
        "parallel-key minor-plagal backdoor flat-six-seven-one", also="borrowed chord",
        hear="Imaj7 IVmaj7 iv6 Imaj7", found="minor-plagal",
    ),
    # chords
    _term(
        "degree", "degree", "chords",
        "A step of the major scale of the tonic, counted from one; a flat or a sharp stands before its number. "
        "It counts so in minor too: Eb is flat three in C minor.",
        "numeral tonic", hear="Imaj7 ii7 iii7 IVmaj7 V7", found="tonic",
    ),
    _term(
        "numeral", "numeral", "chords",
        "A chord as a degree of its key with what it is built of: ii7, V7, Imaj7; small where the third is minor. "
        "After a slash a figure is the bass, a numeral is what the chord is applied to.",
        "degree applied-dominant", also="roman numeral", hear=_STEPS, found="major-two-five-one",
    ),
    _term(
        "leading-tone", "leading tone", "chords",
        "The note a half step below the tonic, the third of the dominant; it wants to rise.",
        "dominant guide-tones", hear="V7 Imaj7", found="major-five-one",
    ),
    _term(
        "guide-tones", "guide tones", "chords",
        "The third and the seventh of a chord: they tell what it is. When roots fall a fifth the seventh falls to the "
        "next third, and the third stays as the next seventh.",
        "shells leading-tone", also="thirds and sevenths", hear="ii7 V7 Imaj7", hearing="guide-tones",
        found="major-two-five-one",
    ),
    _term(
        "tritone", "tritone", "chords",
        "Three whole steps, half an octave: it stands between the third and the seventh of a dominant.",
        "tritone-substitute guide-tones", hear="V7 Imaj7", hearing="guide-tones", found="major-five-one",
    ),
    _term(
        "half-diminished", "half-diminished", "chords",
        "A minor seventh chord with a flat fifth, written ø or m7b5: the two of a minor key, most often.",
        "minor-two-five-one diminished", also="minor seven flat five", hear="iiø7 V7b9 i6", mode="minor",
        found="minor-two-five-one",
    ),
    _term(
        "diminished", "diminished", "chords",
        "A chord of minor thirds alone, written °: it passes between two others, stands beside one, or stands for a "
        "dominant a half step below it.",
        "passing-diminished common-tone-diminished half-diminished", also="diminished seventh",
        hear="Imaj7 #i°7 ii7 V7 Imaj7", found="passing-diminished",
    ),
    _term(
        "suspended", "suspended chord", "chords",
        "The fourth stands where the third would be, written sus: a dominant without its bite.",
        "sus-five-one dominant", also="sus", hear="V9sus4 Imaj7", found="sus-five-one",
    ),
    _term(
        "tension", "tension", "chords",
        "A note beyond the seventh that colors a chord: ninth, eleventh or thirteenth. To major a dominant takes "
        "them natural, to minor flat.",
        "altered rootless", also="extension", hear="ii9 V13 Imaj9", style="rootless", found="major-two-five-one",
    ),
    _term(
        "altered", "altered dominant", "chords",
        "A dominant with its fifth and ninth raised or lowered, written alt.",
        "tension dominant", also="alt", hear="iiø7 V7alt i6", mode="minor", style="rootless",
        found="minor-two-five-one",
    ),
    _term(
        "triad", "triad", "chords",
        "Three notes in thirds: root, third and fifth.",
        "degree", hear="I IV V I", found="major-four-five-one",
    ),
    _term(
        "half-step-slide", "slide of a half step", "chords",
        "A key is entered from a half step away, with nothing between that both share.",
        "move passing", hear="Imaj7 @1 ii7 V7 Imaj7 @0 ii7 V7 Imaj7", found="major-two-five-one",
    ),
    # playing
    _term(
        "voicing", "voicing", "playing",
        "Which notes of a chord are played, in which order and how far apart.",
        "close shells rootless drop-2 spread quartal", hear=_STEPS, style="rootless", found="major-two-five-one",
    ),
    _term(
        "close", "close position", "playing",
        "All notes of a chord within an octave.",
        "voicing drop-2", also="close voicing", hear=_STEPS, found="major-two-five-one",
    ),
    _term(
        "shells", "shell", "playing",
        "Root, third and seventh, or root, seventh and third, and nothing else.",
        "guide-tones voicing", also="shell voicing", hear=_STEPS, style="shells", found="major-two-five-one",
    ),
    _term(
        "rootless", "rootless voicing", "playing",
        "The keys leave the root to the bass and begin on the third or on the seventh, with tensions.",
        "voicing tension", hear=_STEPS, style="rootless", found="major-two-five-one",
    ),
    _term(
        "drop-2", "drop 2", "playing",
        "Four notes in close position, of which the second from the top is put an octave lower.",
        "close voicing", also="drop two", hear=_STEPS, style="drop-2", found="major-two-five-one",
    ),
    _term(
        "spread", "spread voicing", "playing",
        "Seventh and third stand wide apart over a deep root, other notes closer above.",
        "voicing", also="open voicing", hear=_STEPS, style="spread", found="major-two-five-one",
    ),
    _term(
        "quartal", "quartal voicing", "playing",
        "A chord built of fourths, which leaves it open what it is: for minor sevenths and suspended chords above all.",
        "voicing suspended", also="fourths", hear="ii7 V9sus4 Imaj7", style="quartal", found="major-two-five-one",
    ),
    _term(
        "comping", "comping", "playing",
        "To accompany: the keys strike the chords in a rhythm of their own under a tune or a solo.",
        "charleston voicing", also="accompanying", hear=_STEPS, style="rootless", comping="pushes", bass="halves",
        time="brush", found="major-two-five-one",
    ),
    _term(
        "charleston", "Charleston", "playing",
        "A comping pattern: a stroke on one and a stroke on the and of two.",
        "comping", hear=_STEPS, style="rootless", comping="charleston", bass="halves", found="major-two-five-one",
    ),
    _term(
        "pushes", "pushes", "playing",
        "Strokes an eighth ahead of their beat, held over it.",
        "comping charleston", also="anticipation", hear=_STEPS, style="rootless", comping="pushes", bass="halves",
        found="major-two-five-one",
    ),
    _term(
        "held", "held chords", "playing", "Each chord is struck once and held until the next.",
        "comping", hear=_STEPS, style="rootless", comping="held", bass="held", found="major-two-five-one",
    ),
    _term(
        "quarters", "four to the bar", "playing",
        "Short strokes on every beat; of a bass, a note on every beat.",
        "comping walking", hear=_STEPS, style="shells", comping="quarters", bass="quarters",
        found="major-two-five-one",
    ),
    _term(
        "waltz", "waltz", "playing",
        "Three beats to a bar: the bass plays on one, the chords are struck short on two and three.",
        "comping", hear=_STEPS, style="rootless", comping="waltz", bass="halves", found="major-two-five-one",
    ),
    _term(
        "brush", "brushes", "playing",
        "Soft strokes on a snare drum that keep time under a tune.",
        "click comping", hear=_STEPS, style="rootless", comping="charleston", bass="halves", time="brush",
        found="major-two-five-one",
    ),
    _term(
        "click", "click", "playing", "A short knock on every beat.",
        "brush", hear=_STEPS, style="rootless", comping="charleston", bass="halves", time="click",
        found="major-two-five-one",
    ),
    _term(
        "walking", "walking bass", "playing",
        "A bass line of quarter notes that goes by chord and scale tones and leads into each new root.",
        "comping halves", hear=_STEPS, style="shells", comping="charleston", bass="walking", time="brush",
        found="major-two-five-one",
    ),
    _term(
        "halves", "bass in two", "playing",
        "A bass that plays on one and on three.",
        "walking", also="two-feel; halves", hear=_STEPS, style="shells", comping="held", bass="halves",
        found="major-two-five-one",
    ),
    _term(
        "bossa", "bossa", "playing",
        "Even eighths over a bass of root and fifth in dotted pairs; the chords' pattern takes two bars.",
        "comping", also="bossa nova", hear=_STEPS, style="rootless", comping="bossa", bass="bossa", time="brush",
        found="major-two-five-one",
    ),
    _term(
        "swing", "swing", "playing",
        "Of each two eighths the first is long and the second short; how much so is the ratio.",
        "comping", also="swung eighths",
    ),
    _term(
        "chorus", "chorus", "playing",
        "Once through the whole form of a tune.", "turnaround section",
    ),
    _term("section", "section", "playing", "A part of a tune's form, named by a letter.", "chorus turnaround"),
    _term(
        "voice-leading", "voice leading", "playing",
        "How each note of a chord goes to a note of the next one; the least motion sounds smoothest.",
        "guide-tones voicing", also="leading", hear=_STEPS, style="drop-2", found="major-two-five-one",
    ),
    # practice
    _term("type", "type", "practice", "One row of the table of cadences: what a reading finds and a drill asks for.",
          "cadence rung", also="cadence type"),
    _term("rung", "rung", "practice",
          "How hard a question is presented, from 1 (three rows to choose from, an easy key) to 6 (a phrase at a "
          "tune's tempo in a key that isn't given).", "chance drill", also="ladder"),
    _term("drill", "drill", "practice", "A kind of question, such as naming the functions or following a route.",
          "rung type", also="kind of drill; question"),
    _term("chance", "chance", "practice",
          "How likely you would hear a type today, on the rung where it stands; it is modelled from your answers.",
          "rung due"),
    _term("rests", "rests", "practice",
          "A type that you hear surely is left alone until you are about to lose it.", "due chance", also="resting"),
    _term("due", "due", "practice", "The day on which a type comes back, before it is forgotten.", "rests chance"),
    _term("heard", "heard", "practice",
          "The share of right answers above guessing: 0 % is what guessing gives, 100 % all of it.", "chance",
          also="heard above guessing"),
    _term("known", "known by ear", "practice",
          "Eight of the ten newest answers right on the top rung, in six keys or more.", "rung heard",
          also="heard reliably; reliable"),
    _term("taken-for", "taken for", "practice",
          "What a type is often mistaken for; the two are then asked close together.", "type", also="confused with"),
    _term("pin", "pin", "practice",
          "Your word on a key center or a function: it is kept, and the rest is read again around it.",
          "key-center share"),
    _term("share", "share", "practice",
          "How much of all readings of a tune has a chord so. Two shares close together are what good players argue "
          "over.", "pin rival"),
    _term("rival", "rival", "practice", "The next best reading of a chord.", "share pin", also="close call"),
    _term("slip", "slip", "practice", "An answer that was typed by mistake; it doesn't count.", "drill"),
)  # fmt: skip
"""The words that are no cadence types, group by group."""
