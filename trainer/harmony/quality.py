"""The table of chord qualities: house spelling, other spellings, tones, and the MusicXML kind.

Tones are degrees against the root's major scale, as theory stacks them: a 13th chord holds its 9th
and 11th (MusicXML 4.0 counts them so too). What players leave out is `played_tones`. An altered
dominant is the seventh mode of melodic minor without its fifth: 1 3 b7 b9 #9 #11 b13 (common
practice). A combination that has no row here is composed by trainer.harmony.suffix from the same parts.
Other spellings hold one form of each way of writing; brackets and commas around tensions are
understood everywhere by the reader of suffixes.
"""

from collections.abc import Mapping
from dataclasses import field
from functools import cache
from types import MappingProxyType
from typing import Literal

from trainer.harmony.xml_kinds import DegreeChange, Tone, XmlDegree, read_tones
from trainer.records import dataclass

__all__ = ["QUALITIES", "QUALITY", "SPELLINGS", "TONES", "Quality", "XmlDegree"]

Third = Literal["major", "minor"]
Fifth = Literal["perfect", "diminished", "augmented"]
Seventh = Literal["major", "minor", "diminished"]

_SEMITONES = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}
_FIFTHS: dict[int, Fifth] = {0: "perfect", -1: "diminished", 1: "augmented"}
_SEVENTHS: dict[int, Seventh] = {0: "major", -1: "minor", -2: "diminished"}


@dataclass(frozen=True, slots=True)
class Quality:
    """What a chord is above its root; two with the same id are the same."""

    id: str
    """The house spelling; the major triad, spelled with nothing, is `maj`."""
    spelling: str = field(compare=False)
    """What stands after the root in our own writing."""
    other_spellings: tuple[str, ...] = field(compare=False)
    tones: tuple[Tone, ...] = field(compare=False)
    """Degree and alteration, in order, the root (1, 0) first."""
    xml_kind: str = field(compare=False)
    xml_degrees: tuple[XmlDegree, ...] = field(compare=False)

    def __hash__(self) -> int:
        return hash(self.id)

    def _alterations(self, degree: int) -> tuple[int, ...]:
        return tuple(alteration for number, alteration in self.tones if number == degree)

    @property
    def third(self) -> Third | None:
        """None where the third is suspended or left out."""
        held = self._alterations(3)
        return None if not held else "minor" if held[0] == -1 else "major"

    @property
    def fifth(self) -> Fifth | None:
        """None where there is no fifth; the lower one where there are two."""
        held = self._alterations(5)
        return _FIFTHS[held[0]] if held else None

    @property
    def seventh(self) -> Seventh | None:
        """None where there is no seventh."""
        held = self._alterations(7)
        return _SEVENTHS[held[0]] if held else None

    @property
    def sixth(self) -> bool:
        """A major sixth stands in the chord in place of a seventh."""
        return (6, 0) in self.tones

    @property
    def suspended(self) -> bool:
        """A second or a fourth stands in place of the third."""
        return not self._alterations(3) and bool(self._alterations(4) or self._alterations(2))

    @property
    def tensions(self) -> tuple[Tone, ...]:
        """The ninths, elevenths and thirteenths."""
        return tuple(tone for tone in self.tones if tone[0] > 7)

    @property
    def altered(self) -> bool:
        """A dominant with a changed fifth, ninth or thirteenth, or with a raised eleventh."""
        changed = any(number in (5, 9, 11, 13) and alteration for number, alteration in self.tones)
        return changed and self.seventh == "minor" and self.third != "minor"

    @property
    def dominant(self) -> bool:
        """A minor seventh above a major third, or above a suspended fourth."""
        return self.seventh == "minor" and (self.third == "major" or bool(self._alterations(4)))

    @property
    def half_diminished(self) -> bool:
        """Minor third, diminished fifth and minor seventh."""
        return self.third == "minor" and self.fifth == "diminished" and self.seventh == "minor"

    @property
    def intervals(self) -> tuple[int, ...]:
        """Half steps above the root, 0 to 11, each once, in order."""
        return tuple(sorted({semitones_of(tone) % 12 for tone in self.tones}))

    @property
    def played_tones(self) -> tuple[Tone, ...]:
        """The tones without what players leave out (common practice, no source).

        A natural 11th gives way to a major third in a 13th chord; in an 11th chord it's the third that goes.
        """
        full = self.third == "major" and self.seventh is not None and len(self.tensions) > 1
        if not full or (11, 0) not in self.tones:
            return self.tones
        left_out = (11, 0) if any(number == 13 for number, _ in self.tones) else (3, 0)
        return tuple(tone for tone in self.tones if tone != left_out)

    def __str__(self) -> str:
        return self.id


def semitones_of(tone: Tone) -> int:
    """Half steps of a tone above the root; a ninth is beyond the octave."""
    return _SEMITONES[tone[0]] + tone[1]


_CHANGES: dict[str, DegreeChange] = {"add": "add", "alter": "alter", "subtract": "subtract"}


@cache
def _degree(text: str) -> XmlDegree:
    change, tone = text.split()
    return XmlDegree(*read_tones(tone)[0], _CHANGES[change])


def _degrees(text: str) -> tuple[XmlDegree, ...]:
    """Read degrees such as `subtract 3,add 4,alter b5`."""
    return tuple(map(_degree, text.split(","))) if text else ()


_ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    # house spelling, other spellings, tones, MusicXML kind, MusicXML degrees
    # triads
    ("", "maj M ma Maj", "1 3 5", "major", ""),
    ("m", "min - mi Min", "1 b3 5", "minor", ""),
    ("dim", "° o mb5 m(b5) -(b5)", "1 b3 b5", "diminished", ""),
    ("aug", "+ (#5) maj#5", "1 3 #5", "augmented", ""),
    ("(b5)", "majb5 Mb5 maj-5", "1 3 b5", "major", "alter b5"),
    ("m#5", "m(#5) -(#5) m+5", "1 b3 #5", "minor", "alter #5"),
    ("mb6", "m(b6) -(b6) m(addb6)", "1 b3 5 b6", "minor", "add b6"),
    ("5", "no3 (no3) omit3", "1 5", "power", ""),
    ("sus4", "sus 4 (sus4) sus(4)", "1 4 5", "suspended-fourth", ""),
    ("sus2", "2 (sus2) sus(2)", "1 2 5", "suspended-second", ""),
    ("sus2sus4", "sus24 sus4sus2 sus42", "1 2 4 5", "suspended-fourth", "add 2"),
    # added tones
    ("add9", "(add9) add2 majadd9", "1 3 5 9", "major", "add 9"),
    ("add11", "(add11) add4", "1 3 5 11", "major", "add 11"),
    ("add#11", "(add#11) add#4", "1 3 5 #11", "major", "add #11"),
    ("add9add11", "(add9,add11)", "1 3 5 9 11", "major", "add 9,add 11"),
    ("madd9", "m(add9) -add9 minadd9 madd2", "1 b3 5 9", "minor", "add 9"),
    ("madd11", "m(add11) -add11 madd4", "1 b3 5 11", "minor", "add 11"),
    ("sus4add9", "sus(add9)", "1 4 5 9", "suspended-fourth", "add 9"),
    # sixths
    ("6", "maj6 M6 ma6 add6", "1 3 5 6", "major-sixth", ""),
    ("6/9", "69 6(9) 6add9 maj6/9 M69", "1 3 5 6 9", "major-sixth", "add 9"),
    ("6#11", "6(#11) 6+11", "1 3 5 6 #11", "major-sixth", "add #11"),
    ("6/9#11", "6/9(#11) 69#11", "1 3 5 6 9 #11", "major-sixth", "add 9,add #11"),
    ("m6", "min6 -6 mi6 madd6", "1 b3 5 6", "minor-sixth", ""),
    ("m6/9", "m69 -6/9 min6/9 -69 m6(9)", "1 b3 5 6 9", "minor-sixth", "add 9"),
    ("m6add11", "m6(11) -6(11)", "1 b3 5 6 11", "minor-sixth", "add 11"),
    ("6sus4", "6sus", "1 4 5 6", "suspended-fourth", "add 6"),
    ("6/9sus4", "69sus4 6/9sus", "1 4 5 6 9", "suspended-fourth", "add 6,add 9"),
    # major sevenths
    ("maj7", "M7 Δ Δ7 ma7 Maj7 j7 7M", "1 3 5 7", "major-seventh", ""),
    ("maj9", "M9 Δ9 ma9 Maj9 j9 maj7(9)", "1 3 5 7 9", "major-ninth", ""),
    ("maj11", "M11 Δ11 ma11", "1 3 5 7 9 11", "major-11th", ""),
    ("maj13", "M13 Δ13 ma13 Maj13", "1 3 5 7 9 11 13", "major-13th", ""),
    ("maj7b5", "maj7(b5) M7b5 Δb5 maj7-5", "1 3 b5 7", "major-seventh", "alter b5"),
    ("maj7#5", "maj7(#5) M7#5 Δ#5 maj7+5 +maj7 +M7 augmaj7 augM7 maj7+",
     "1 3 #5 7", "major-seventh", "alter #5"),
    ("maj7#9", "maj7(#9) M7#9 Δ#9", "1 3 5 7 #9", "major-seventh", "add #9"),
    ("maj7#11", "maj7(#11) M7#11 Δ#11 Δ7#11 ma7#11 maj7+11 maj7#4",
     "1 3 5 7 #11", "major-seventh", "add #11"),
    ("maj7#5#11", "maj7(#5,#11) Δ#5#11", "1 3 #5 7 #11", "major-seventh", "alter #5,add #11"),
    ("maj7#9#11", "maj7(#9,#11)", "1 3 5 7 #9 #11", "major-seventh", "add #9,add #11"),
    ("maj7add11", "maj7(11) M7add11", "1 3 5 7 11", "major-seventh", "add 11"),
    ("maj7add13", "maj7(13) M7add13 maj7add6", "1 3 5 7 13", "major-seventh", "add 13"),
    ("maj7#11add13", "maj7(#11,13)", "1 3 5 7 #11 13", "major-seventh", "add #11,add 13"),
    ("maj9b5", "maj9(b5) Δ9b5", "1 3 b5 7 9", "major-ninth", "alter b5"),
    ("maj9#5", "maj9(#5) M9#5 +maj9 augmaj9", "1 3 #5 7 9", "major-ninth", "alter #5"),
    ("maj9#11", "maj9(#11) M9#11 Δ9#11", "1 3 5 7 9 #11", "major-ninth", "add #11"),
    ("maj9add13", "maj9(13) maj7(9,13)", "1 3 5 7 9 13", "major-ninth", "add 13"),
    ("maj13#11", "maj13(#11) M13#11 Δ13#11", "1 3 5 7 9 #11 13", "major-13th", "alter #11"),
    ("maj7sus4", "maj7sus M7sus4 Δsus4", "1 4 5 7", "major-seventh", "subtract 3,add 4"),
    ("maj7sus2", "M7sus2 Δsus2", "1 2 5 7", "major-seventh", "subtract 3,add 2"),
    ("maj7sus2sus4", "maj7sus24 maj7sus4sus2", "1 2 4 5 7", "major-seventh", "subtract 3,add 2,add 4"),
    ("maj9sus4", "maj9sus M9sus4", "1 4 5 7 9", "major-ninth", "subtract 3,add 4"),
    ("maj7no3", "maj7(no3) maj7omit3", "1 5 7", "major-seventh", "subtract 3"),
    ("maj7no5", "maj7(no5) maj7omit5", "1 3 7", "major-seventh", "subtract 5"),
    # minor sevenths
    ("m7", "min7 -7 mi7 Min7", "1 b3 5 b7", "minor-seventh", ""),
    ("m9", "min9 -9 mi9 m7(9)", "1 b3 5 b7 9", "minor-ninth", ""),
    ("m11", "min11 -11 mi11 m7(9,11)", "1 b3 5 b7 9 11", "minor-11th", ""),
    ("m13", "min13 -13 mi13", "1 b3 5 b7 9 11 13", "minor-13th", ""),
    ("m7b9", "m7(b9) -7b9", "1 b3 5 b7 b9", "minor-seventh", "add b9"),
    ("m7#5", "m7(#5) -7#5 m7+5", "1 b3 #5 b7", "minor-seventh", "alter #5"),
    ("m7b13", "m7(b13) m7b6 -7b13", "1 b3 5 b7 b13", "minor-seventh", "add b13"),
    ("m7add11", "m7(11) -7(11) m7add4 min7add11", "1 b3 5 b7 11", "minor-seventh", "add 11"),
    ("m7add13", "m7(13) m7add6 -7(13)", "1 b3 5 b7 13", "minor-seventh", "add 13"),
    ("m7#11", "m7(#11) -7#11", "1 b3 5 b7 #11", "minor-seventh", "add #11"),
    ("m9add13", "m9(13) m7(9,13)", "1 b3 5 b7 9 13", "minor-ninth", "add 13"),
    ("m9b13", "m9(b13)", "1 b3 5 b7 9 b13", "minor-ninth", "add b13"),
    ("m7no5", "m7(no5) m7omit5 -7no5", "1 b3 b7", "minor-seventh", "subtract 5"),
    ("m7b5", "ø ø7 -7b5 min7b5 mi7b5 m7-5 m7(b5) -7(b5)", "1 b3 b5 b7", "half-diminished", ""),
    ("m7b5b9", "m7(b5,b9) øb9 ø7b9 m7b9b5", "1 b3 b5 b7 b9", "half-diminished", "add b9"),
    ("m7b5add11", "m7b5(11) ø(11) ø7add11", "1 b3 b5 b7 11", "half-diminished", "add 11"),
    ("m7b5b13", "m7b5(b13) ø(b13)", "1 b3 b5 b7 b13", "half-diminished", "add b13"),
    ("m9b5", "ø9 m9(b5) -9b5 m7b5(9)", "1 b3 b5 b7 9", "half-diminished", "add 9"),
    ("m11b5", "ø11 m11(b5) -11b5", "1 b3 b5 b7 9 11", "half-diminished", "add 9,add 11"),
    # minor with a major seventh, diminished
    ("mMaj7", "mM7 m(maj7) -Δ -Δ7 minMaj7 -maj7 -M7 mmaj7 mΔ7 m(M7) m#7", "1 b3 5 7", "major-minor", ""),
    ("mMaj9", "mM9 m(maj9) -Δ9 minMaj9 -M9 mmaj9", "1 b3 5 7 9", "major-minor", "add 9"),
    ("mMaj11", "mM11 -Δ11 m(maj11)", "1 b3 5 7 9 11", "major-minor", "add 9,add 11"),
    ("mMaj13", "mM13 -Δ13 m(maj13)", "1 b3 5 7 9 11 13", "major-minor", "add 9,add 11,add 13"),
    ("mMaj7#5", "mM7#5 m(maj7)#5", "1 b3 #5 7", "major-minor", "alter #5"),
    ("mMaj7#11", "mM7#11 m(maj7)#11", "1 b3 5 7 #11", "major-minor", "add #11"),
    ("dimMaj7", "°M7 °maj7 °Δ dimM7 mMaj7b5 mM7b5 °(maj7)", "1 b3 b5 7", "major-minor", "alter b5"),
    ("dim7", "°7 o7 Dim7", "1 b3 b5 bb7", "diminished-seventh", ""),
    ("dim7add9", "dim9 °9 °7(9) °7add9", "1 b3 b5 bb7 9", "diminished-seventh", "add 9"),
    ("dim7add11", "°7(11) °7add11", "1 b3 b5 bb7 11", "diminished-seventh", "add 11"),
    ("dim7b13", "°7(b13)", "1 b3 b5 bb7 b13", "diminished-seventh", "add b13"),
    # dominants
    ("7", "dom7 Dom7", "1 3 5 b7", "dominant", ""),
    ("9", "dom9 7(9) 7add9", "1 3 5 b7 9", "dominant-ninth", ""),
    ("11", "dom11 9(11)", "1 3 5 b7 9 11", "dominant-11th", ""),
    ("13", "dom13", "1 3 5 b7 9 11 13", "dominant-13th", ""),
    ("7add11", "7(11) 7add4", "1 3 5 b7 11", "dominant", "add 11"),
    ("7add13", "7(13) 7add6", "1 3 5 b7 13", "dominant", "add 13"),
    ("9add13", "9(13) 7(9,13)", "1 3 5 b7 9 13", "dominant-ninth", "add 13"),
    ("7no3", "7(no3) 7omit3", "1 5 b7", "dominant", "subtract 3"),
    ("7no5", "7(no5) 7omit5", "1 3 b7", "dominant", "subtract 5"),
    ("9no3", "9(no3) 9omit3", "1 5 b7 9", "dominant-ninth", "subtract 3"),
    ("9no5", "9(no5) 9omit5", "1 3 b7 9", "dominant-ninth", "subtract 5"),
    # dominants with a changed fifth
    ("7b5", "7(b5) 7-5", "1 3 b5 b7", "dominant", "alter b5"),
    ("7#5", "+7 aug7 7(#5) 7+5 7+", "1 3 #5 b7", "augmented-seventh", ""),
    ("7b5#5", "7(b5,#5)", "1 3 b5 #5 b7", "augmented-seventh", "add b5"),
    ("7b5b9", "7(b5,b9) 7b9b5 7-5-9 7-9-5", "1 3 b5 b7 b9", "dominant", "alter b5,add b9"),
    ("7b5#9", "7(b5,#9) 7#9b5 7-5+9", "1 3 b5 b7 #9", "dominant", "alter b5,add #9"),
    ("7#5b9", "7(#5,b9) 7b9#5 +7b9 aug7b9 7+5-9", "1 3 #5 b7 b9", "augmented-seventh", "add b9"),
    ("7#5#9", "7(#5,#9) 7#9#5 +7#9 aug7#9 7+5+9", "1 3 #5 b7 #9", "augmented-seventh", "add #9"),
    ("7#5#11", "7(#5,#11) +7#11", "1 3 #5 b7 #11", "augmented-seventh", "add #11"),
    ("9b5", "9(b5) 9-5", "1 3 b5 b7 9", "dominant-ninth", "alter b5"),
    ("9#5", "9(#5) 9+5 +9 aug9 9+", "1 3 #5 b7 9", "augmented-seventh", "add 9"),
    ("13b5", "13(b5)", "1 3 b5 b7 9 11 13", "dominant-13th", "alter b5"),
    ("13#5", "13(#5) +13", "1 3 #5 b7 9 11 13", "dominant-13th", "alter #5"),
    # dominants with changed tensions
    ("7b9", "7(b9) 7-9 dom7b9", "1 3 5 b7 b9", "dominant", "add b9"),
    ("7#9", "7(#9) 7+9", "1 3 5 b7 #9", "dominant", "add #9"),
    ("7b9#9", "7(b9,#9)", "1 3 5 b7 b9 #9", "dominant", "add b9,add #9"),
    ("7#11", "7(#11) 7+11 7#4", "1 3 5 b7 #11", "dominant", "add #11"),
    ("7b9#11", "7(b9,#11) 7-9+11 7#11b9", "1 3 5 b7 b9 #11", "dominant", "add b9,add #11"),
    ("7#9#11", "7(#9,#11) 7+9+11", "1 3 5 b7 #9 #11", "dominant", "add #9,add #11"),
    ("7b13", "7(b13) 7-13 7b6", "1 3 5 b7 b13", "dominant", "add b13"),
    ("7b9b13", "7(b9,b13) 7-9-13", "1 3 5 b7 b9 b13", "dominant", "add b9,add b13"),
    ("7#9b13", "7(#9,b13) 7+9-13", "1 3 5 b7 #9 b13", "dominant", "add #9,add b13"),
    ("7#11b13", "7(#11,b13)", "1 3 5 b7 #11 b13", "dominant", "add #11,add b13"),
    ("7b9#11b13", "7(b9,#11,b13)", "1 3 5 b7 b9 #11 b13", "dominant", "add b9,add #11,add b13"),
    ("7b9#9#11b13", "7(b9,#9,#11,b13)",
     "1 3 5 b7 b9 #9 #11 b13", "dominant", "add b9,add #9,add #11,add b13"),
    ("7#5b9#9", "7(#5,b9,#9)", "1 3 #5 b7 b9 #9", "augmented-seventh", "add b9,add #9"),
    ("7b5b13", "7(b5,b13)", "1 3 b5 b7 b13", "dominant", "alter b5,add b13"),
    ("9#11", "9(#11) 9+11", "1 3 5 b7 9 #11", "dominant-ninth", "add #11"),
    ("9b13", "9(b13) 9-13", "1 3 5 b7 9 b13", "dominant-ninth", "add b13"),
    ("9#11b13", "9(#11,b13)", "1 3 5 b7 9 #11 b13", "dominant-ninth", "add #11,add b13"),
    ("13b9", "13(b9) 13-9", "1 3 5 b7 b9 11 13", "dominant-13th", "alter b9"),
    ("13#9", "13(#9) 13+9", "1 3 5 b7 #9 11 13", "dominant-13th", "alter #9"),
    ("13#11", "13(#11) 13+11", "1 3 5 b7 9 #11 13", "dominant-13th", "alter #11"),
    ("13b9#11", "13(b9,#11)", "1 3 5 b7 b9 #11 13", "dominant-13th", "alter b9,alter #11"),
    ("13#9#11", "13(#9,#11)", "1 3 5 b7 #9 #11 13", "dominant-13th", "alter #9,alter #11"),
    ("7b9add13", "7(b9,13)", "1 3 5 b7 b9 13", "dominant", "add b9,add 13"),
    ("7#9add13", "7(#9,13)", "1 3 5 b7 #9 13", "dominant", "add #9,add 13"),
    ("7#11add13", "7(#11,13)", "1 3 5 b7 #11 13", "dominant", "add #11,add 13"),
    ("7alt", "alt 7(alt) (alt)",
     "1 3 b7 b9 #9 #11 b13", "dominant", "subtract 5,add b9,add #9,add #11,add b13"),
    # suspended dominants
    ("7sus4", "7sus sus7 7(sus4) m7sus4 dom7sus4", "1 4 5 b7", "dominant", "subtract 3,add 4"),
    ("9sus4", "9sus sus9 9(sus4) 11sus", "1 4 5 b7 9", "dominant-ninth", "subtract 3,add 4"),
    ("13sus4", "13sus sus13 13(sus4)", "1 4 5 b7 9 13", "dominant-ninth", "subtract 3,add 4,add 13"),
    ("7sus2", "7(sus2)", "1 2 5 b7", "dominant", "subtract 3,add 2"),
    ("7sus2sus4", "7sus24 7sus4sus2", "1 2 4 5 b7", "dominant", "subtract 3,add 2,add 4"),
    ("7sus4add13", "7sus4(13) 7sus(13)", "1 4 5 b7 13", "dominant", "subtract 3,add 4,add 13"),
    ("7sus4b9", "7susb9 7b9sus4 7b9sus 7sus4(b9) 7sus(b9) 7(b9)sus4",
     "1 4 5 b7 b9", "dominant", "subtract 3,add 4,add b9"),
    ("7sus4#9", "7sus(#9)", "1 4 5 b7 #9", "dominant", "subtract 3,add 4,add #9"),
    ("7sus4b13", "7sus(b13)", "1 4 5 b7 b13", "dominant", "subtract 3,add 4,add b13"),
    ("7sus4b9b13", "7sus(b9,b13)", "1 4 5 b7 b9 b13", "dominant", "subtract 3,add 4,add b9,add b13"),
    ("9sus4b13", "9sus(b13)", "1 4 5 b7 9 b13", "dominant-ninth", "subtract 3,add 4,add b13"),
    ("13sus4b9", "13susb9 13sus(b9) 13b9sus4",
     "1 4 5 b7 b9 13", "dominant", "subtract 3,add 4,add b9,add 13"),
)  # fmt: skip

QUALITIES: tuple[Quality, ...] = tuple(
    Quality(spelling or "maj", spelling, tuple(others.split()), read_tones(tones), kind, _degrees(degrees))
    for spelling, others, tones, kind, degrees in _ROWS
)
"""The table, in the order above."""

QUALITY: Mapping[str, Quality] = MappingProxyType({quality.id: quality for quality in QUALITIES})
"""By id."""

TONES: Mapping[tuple[Tone, ...], Quality] = MappingProxyType({row.tones: row for row in QUALITIES})
"""By tones."""

SPELLINGS: Mapping[str, Quality] = MappingProxyType(
    {text: quality for quality in QUALITIES for text in (quality.spelling, *quality.other_spellings)}
)
"""By every spelling of the table."""
