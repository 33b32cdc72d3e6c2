"""`keyfarer play`: styles, patterns, keys and readings as they are asked for, heard in the notes of a MIDI file."""

from itertools import pairwise
from pathlib import Path

import mido
import pytest

from tests.trainer.commands.commanding import CHART, keyfarer

Track = list[tuple[int, int, int]]
"""Tick, key and velocity of each note struck."""

TWO_WAYS = """title: Two Ways Down
key: none
[A]
| Cmaj7 | Am7 | Dm7 | G7 |
| Cmaj7 | F#m7b5 B7 | Em7 | A7 |
| Dm7 | G7 | Cmaj7 | % |
"""
WALTZ = "title: Three Steps\nmeter: 3/4\n[A]\n| Cmaj7 | Am7 | Dm7 | G7 |\n"


def tracks(folder: Path, *options: str, given: str = CHART, count_in: bool = False) -> dict[str, Track]:
    """What each part plays."""
    begin = () if count_in else ("--no-count-in",)
    done = keyfarer("play", "-", "--to", "out.mid", *begin, *options, given=given.encode(), folder=folder)
    assert (0, "") == (done.returncode, done.stderr)
    found: dict[str, Track] = {}
    for track in mido.MidiFile(folder / "out.mid", charset="utf-8").tracks[1:]:
        at, struck = 0, []
        for event in track:
            at += event.time
            if event.type == "note_on" and event.velocity:
                struck.append((at, event.note, event.velocity))
        found[track.name] = struck
    return found


def marked(folder: Path, kind: str) -> list[str]:
    """The words of one kind of event in the file written last."""
    return [event.text for event in mido.MidiFile(folder / "out.mid", charset="utf-8").tracks[0] if event.type == kind]


@pytest.mark.parametrize("style", ["close", "shells", "drop-2", "spread", "quartal"])
def test_each_style_is_another_layout(tmp_path: Path, style: str) -> None:
    """A style asked for lays the chords out otherwise than the rootless one; the bass doesn't care."""
    plain, other = tracks(tmp_path), tracks(tmp_path, "--style", style)
    assert plain["Keys"] != other["Keys"]
    assert {note % 12 for _, note, _ in plain["Bass"]} == {note % 12 for _, note, _ in other["Bass"]}


@pytest.mark.parametrize("comping", ["quarters", "pushes", "held", "bossa", "waltz"])
def test_each_pattern_strikes_at_other_times(tmp_path: Path, comping: str) -> None:
    """A pattern asked for strikes the keys at other times than the Charleston."""
    plain, other = tracks(tmp_path), tracks(tmp_path, "--comping", comping)
    assert {at for at, _, _ in plain["Keys"]} != {at for at, _, _ in other["Keys"]}


def test_three_beats_are_a_waltz_unless_asked_otherwise(tmp_path: Path) -> None:
    """A chart in three is comped as a waltz, and as something else where that is asked for."""
    assert tracks(tmp_path, given=WALTZ) == tracks(tmp_path, "--comping", "waltz", given=WALTZ)
    assert tracks(tmp_path, given=WALTZ) != tracks(tmp_path, "--comping", "held", given=WALTZ)


def test_a_walking_bass_walks(tmp_path: Path) -> None:
    """A note a beat for four bars of four, no two of them the same in a row."""
    line = [note for _, note, _ in tracks(tmp_path, "--bass", "walking")["Bass"]]
    assert 16 == len(line)
    assert all(one != other for one, other in pairwise(line))


@pytest.mark.parametrize(("who", "name"), [("brush", "Brushes"), ("click", "Click")])
def test_someone_keeps_time(tmp_path: Path, who: str, name: str) -> None:
    """With `--time` there is a part that keeps it in every bar; without, there is none."""
    assert {"Keys", "Bass"} == set(tracks(tmp_path))
    struck = tracks(tmp_path, "--time", who)[name]
    assert {0, 1, 2, 3} == {at // (4 * 480) for at, _, _ in struck}


def test_time_is_kept_in_sound_files_too(tmp_path: Path) -> None:
    """Brushes are rendered and leveled with the rest."""
    command = ("play", "-", "--to", "out.wav", "--time", "brush", "--bass", "walking", "--hands")
    done = keyfarer(*command, given=CHART.encode(), folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    assert "-20.0 LUFS" in done.stdout or "-20.1 LUFS" in done.stdout or "-19.9 LUFS" in done.stdout


def test_keys_alone_have_no_bass(tmp_path: Path) -> None:
    """`--what keys` leaves the bass out, `--what bass` the keys."""
    assert {"Keys"} == set(tracks(tmp_path, "--what", "keys"))
    assert {"Bass"} == set(tracks(tmp_path, "--what", "bass"))


def test_tonics_tell_the_route_by_chords_of_rest(tmp_path: Path) -> None:
    """Each center's chord of rest alone, where the route has its cadence."""
    tracks(tmp_path, "--what", "tonics")
    assert ["Bbmaj7"] == marked(tmp_path, "text")
    tracks(tmp_path, "--what", "route")
    assert 3 == len(marked(tmp_path, "text"))


def test_choruses_rise(tmp_path: Path) -> None:
    """A fourth from chorus to chorus moves the center; all keys are twelve different ones."""
    tracks(tmp_path, "--choruses", "3", "--rise", "5")
    assert ["Bb major", "Eb major", "Ab major"] == [text for text in marked(tmp_path, "marker") if " " in text]
    tracks(tmp_path, "--all-keys")
    centers = [text for text in marked(tmp_path, "marker") if " " in text]
    assert 12 == len(centers) == len(set(centers))
    tracks(tmp_path, "--all-keys", "--rise", "1", "--choruses", "2")
    assert 2 == len([text for text in marked(tmp_path, "marker") if " " in text])


def test_hands_are_uneven_and_the_same_each_time(tmp_path: Path) -> None:
    """`--hands` moves notes and levels a little, alike each time."""
    even, uneven = tracks(tmp_path), tracks(tmp_path, "--hands")
    assert even != uneven
    assert uneven == tracks(tmp_path, "--hands")
    assert len(even["Keys"]) == len(uneven["Keys"])


def test_the_ratio_says_where_the_second_eighth_falls(tmp_path: Path) -> None:
    """Three to one puts it three quarters into the beat."""
    struck = tracks(tmp_path, "--ratio", "3", "--comping", "charleston")["Keys"]
    assert {0, 360} == {at % 480 for at, _, _ in struck}


def test_a_reading_and_its_rival_are_heard_one_after_the_other(tmp_path: Path) -> None:
    """Without a pin the strongest rival is heard, with one what the pin makes of it; each after its key centers."""
    done = keyfarer("play", "coal-barge", "--what", "readings", "--to", "out.mid", folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    assert ["reading's keys", "reading", "rival's keys", "rival"] == marked(tmp_path, "cue_marker")
    centers = marked(tmp_path, "marker")
    assert centers.index("G minor") < centers.index("C minor")
    tracks(tmp_path, "--what", "readings", "--bars", "6-7", "--pin", "6=E minor", given=TWO_WAYS)
    centers = marked(tmp_path, "marker")
    assert "rival" in marked(tmp_path, "cue_marker")
    assert centers.index("C major") < centers.index("E minor")


def test_a_tune_that_is_heard_in_one_way_says_so(tmp_path: Path) -> None:
    """Where no chord has a rival in another key there is nothing to compare, and a pin is asked for."""
    done = keyfarer("play", "-", "--what", "readings", "--to", "out.mid", given=CHART.encode(), folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    assert "this tune can be heard in one way only; name another with --pin" in done.stderr


def test_what_has_no_place_is_told(tmp_path: Path) -> None:
    """An option that the part asked for has no use for is named on standard error, and the file is written."""
    asked = ("--what", "bass", "--style", "close", "--comping", "held", "--time", "brush")
    done = keyfarer("play", "-", *asked, "--to", "out.mid", given=CHART.encode(), folder=tmp_path)
    assert 0 == done.returncode
    assert "--what bass leaves --style, --comping out" in done.stderr
    assert (tmp_path / "out.mid").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--what", "readings", "--pin", "1=Bb"), "the reading is the same with these pins"),
        (("--pin", "1=H"), "--pin 1=H"),
        (("--loop", "--to", "out.wav"), "a file can't go round for ever"),
        (("--rise", "7"), "from -6 to 6"),
        (("--ratio", "4"), "from 1 to 3"),
        (("--style", "grand"), "'grand'"),
    ],
)
def test_what_cannot_be_played_is_told(tmp_path: Path, arguments: tuple[str, ...], words: str) -> None:
    """What can't be done gives exit 2 and one clear line, and writes nothing."""
    done = keyfarer("play", "-", *arguments, given=CHART.encode(), folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    assert words in done.stderr
    assert not list(tmp_path.iterdir())


def struck_with(settings: str, folder: Path, *options: str, given: str = CHART) -> dict[str, Track]:
    """What each part plays where the settings' file says so."""
    home = folder / "home"
    home.mkdir(exist_ok=True)
    (home / "settings.toml").write_text(settings, encoding="utf-8")
    with pytest.MonkeyPatch.context() as surroundings:
        surroundings.setenv("KEYFARER_HOME", str(home))
        return tracks(folder, *options, given=given)


@pytest.mark.parametrize(
    ("setting", "options", "other"),
    [
        ('style = "quartal"', ("--style", "quartal"), ("--style", "rootless")),
        ('comping = "pushes"', ("--comping", "pushes"), ("--comping", "charleston")),
        ('bass = "walking"', ("--bass", "walking"), ("--bass", "halves")),
        ('time = "brush"', ("--time", "brush"), ("--time", "none")),
        ("hands = true", ("--hands",), ("--no-hands",)),
    ],
)
def test_the_settings_say_how_and_options_say_otherwise(
    tmp_path: Path, setting: str, options: tuple[str, ...], other: tuple[str, ...]
) -> None:
    """A manner that is set is played where no option is given, and the option has the last word."""
    usual, asked = tracks(tmp_path), tracks(tmp_path, *options)
    assert usual != asked
    assert asked == struck_with(setting, tmp_path)
    assert usual == struck_with(setting, tmp_path, *other)


def test_a_ratio_that_is_set_makes_no_straight_tune_swing(tmp_path: Path) -> None:
    """It is how tunes swing that do, and those that --swing is asked for; a ratio on the command has the last word."""
    swinging = CHART.replace("tempo: 120", "tempo: 120\nfeel: swing")
    found = [
        {at % 480 for at, _, _ in struck_with("ratio = 3.0", tmp_path, *options, given=chart)["Keys"]}
        for options, chart in (
            ((), CHART), ((), swinging), (("--swing",), CHART), (("--straight",), swinging),
            (("--ratio", "2"), swinging),
        )
    ]  # fmt: skip
    assert [{0, 240}, {0, 360}, {0, 360}, {0, 240}, {0, 320}] == found


def test_what_is_set_is_not_said_to_be_left_out(tmp_path: Path) -> None:
    """A part without a place for what the settings say has nothing to remark on."""
    assert {"Bass"} == set(struck_with('style = "close"\ncomping = "held"', tmp_path, "--what", "bass"))
