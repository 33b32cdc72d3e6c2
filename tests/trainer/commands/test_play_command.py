"""`keyfarer play`: files read back by other readers, what can't be done told beforehand, lines as they come."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import cast

import mido
import numpy as np
import pyloudnorm
import pytest
import soundfile
from mutagen.wave import WAVE

from synth.player import Player
from tests.doubles.player import PlayerTwin
from tests.doubles.sound import SoundTwin
from tests.trainer.commands.commanding import CHART, keyfarer
from trainer.charts.reader import read_chart
from trainer.commands import play
from trainer.commands.options import PlayOptions
from trainer.commands.play_score import perform
from trainer.commands.playing import play_on
from trainer.settings import Settings


@pytest.mark.parametrize("name", ["two.wav", "two.flac", "TWO.WAV"])
def test_a_sound_file_is_as_loud_and_long_as_told(tmp_path: Path, name: str) -> None:
    """A written sound is 24-bit stereo at 48 kHz, -20 LUFS by pyloudnorm, and as long as the bars played."""
    done = keyfarer("play", "-", "--to", name, given=CHART.encode(), folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    assert done.stdout.startswith(f"wrote {name}: ")
    assert done.stdout.rstrip().endswith("dBTP")
    info = soundfile.info(tmp_path / name)
    samples, rate = soundfile.read(tmp_path / name)
    assert ("PCM_24", 48_000, 2) == (info.subtype, rate, info.channels)
    # A bar of count-in and four of the tune, at 120 a minute two seconds each; the last chord may ring on.
    assert 10.0 <= info.duration < 11.0
    assert pytest.approx(-20.0, abs=0.5) == pyloudnorm.Meter(rate).integrated_loudness(samples)
    assert np.abs(samples).max() < 10 ** (-1.5 / 20)
    with soundfile.SoundFile(tmp_path / name) as file:
        assert "Two Lamps" == file.title


@pytest.mark.parametrize(
    ("options", "key", "tempo"),
    [
        ((), "Bb", "120"),
        (("--key", "Eb", "--tempo", "90"), "Eb", "90"),
        (("--rise", "1", "--choruses", "2"), "", "120"),
    ],
)
def test_a_sound_file_says_whose_tune_it_is(tmp_path: Path, options: tuple[str, ...], key: str, tempo: str) -> None:
    """Title, composer, key and tempo as mutagen finds them (ID3 2.4.0); no key where choruses are in several."""
    chart = CHART.replace("key: Bb", "composer: Ottilie Brandt\nkey: Bb")
    assert 0 == keyfarer("play", "-", *options, "--to", "two.wav", given=chart.encode(), folder=tmp_path).returncode
    frames = {name: str(frame) for name, frame in WAVE(tmp_path / "two.wav").tags.items()}
    told = f"key: {key}; tempo: {tempo}" if key else f"tempo: {tempo}"
    assert {"TIT2": "Two Lamps", "TPE1": "Ottilie Brandt", "TBPM": tempo, "TSSE": "keyfarer", "COMM::und": told} | (
        {"TKEY": key} if key else {}
    ) == frames


def test_a_midi_file_has_the_tempo_the_sections_and_the_centers(tmp_path: Path) -> None:
    """The tempo and the key asked for, a marker for section and key center, the chords: all as mido reads them."""
    arguments = ("--to", "two.mid", "--tempo", "90", "--key", "Eb", "--no-count-in")
    done = keyfarer("play", "-", *arguments, given=CHART.encode(), folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    file = mido.MidiFile(tmp_path / "two.mid", charset="utf-8")
    events = list(file.tracks[0])
    assert 90.0 == pytest.approx(mido.tempo2bpm(next(e.tempo for e in events if e.type == "set_tempo")), abs=1e-3)
    assert ["A", "Eb major"] == sorted(e.text for e in events if e.type == "marker")
    assert ["Fm7", "Bb7", "Ebmaj7"] == [e.text for e in events if e.type == "text"]
    assert "Eb" == next(e.key for e in events if e.type == "key_signature")
    assert pytest.approx(4 * 4 * 60 / 90, abs=0.7) == file.length


@pytest.mark.parametrize(
    ("options", "seconds"),
    [
        (("--bars", "2-3"), 4.0),
        (("--bars", "2"), 2.0),
        (("--choruses", "3"), 24.0),
        (("--what", "bass"), 8.0),
        (("--what", "guide-tones"), 8.0),
        (("--what", "route"), 4.0),
        (("--swing",), 8.0),
    ],
)
def test_what_is_asked_for_is_played(tmp_path: Path, options: tuple[str, ...], seconds: float) -> None:
    """Bars, choruses and the parts have the length that follows at 120 a minute; the route takes half the time."""
    command = ("play", "-", "--to", "out.mid", "--no-count-in", *options)
    assert 0 == keyfarer(*command, given=CHART.encode(), folder=tmp_path).returncode
    assert pytest.approx(seconds, abs=0.7) == mido.MidiFile(tmp_path / "out.mid").length


def test_swing_moves_the_eighths(tmp_path: Path) -> None:
    """`--swing` puts the second eighth of a beat two thirds into it, `--straight` halfway."""
    onsets = {}
    for feel, inside in (("--swing", Fraction(2, 3)), ("--straight", Fraction(1, 2))):
        command = ("play", "-", "--to", "feel.mid", "--no-count-in", feel)
        assert 0 == keyfarer(*command, given=CHART.encode(), folder=tmp_path).returncode
        file = mido.MidiFile(tmp_path / "feel.mid")
        ticks = set()
        for track in file.tracks[1:]:
            at = 0
            for event in track:
                at += event.time
                if event.type == "note_on" and event.velocity:
                    ticks.add(at % file.ticks_per_beat)
        onsets[feel] = ticks
        assert {0, round(inside * file.ticks_per_beat)} == ticks


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--to", "out.ogg"), "expected a name that ends in .wav, .flac or .mid"),
        (("--to", "out"), "found 'no suffix'"),
        (("--to", "nowhere/out.wav"), "there is no folder nowhere"),
        (("--to", "taken.wav"), "found a folder of that name"),
        (("--bars", "3-9"), "expected bars from 1 to 4"),
        (("--bars", "4-3"), "the earlier bar first"),
        (("--bars", "all"), "such as 5-12"),
        (("--key", "H"), "expected a letter from A to G"),
        (("--key", "C minor"), "this tune is in major"),
        (("--tempo", "0"), "a number from 20 to 400"),
        (("--tempo", "fast"), "a number from 20 to 400"),
        (("--choruses", "1.5"), "a whole number from 1 to 99"),
        (("--choruses", "99", "--tempo", "20", "--to", "out.wav"), "the most is 20 min 0 s"),
        (("--room", "2"), "a number from 0 to 1"),
        (("--what", "drums"), "'drums'"),
    ],
)
def test_what_cannot_be_done_is_told(tmp_path: Path, arguments: tuple[str, ...], words: str) -> None:
    """A suffix, place, key, tempo or stretch that won't do gives exit 2, what was found and what is expected."""
    (tmp_path / "taken.wav").mkdir()
    done = keyfarer("play", "-", *arguments, given=CHART.encode(), folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    assert done.stderr.startswith("keyfarer: ")
    assert words in done.stderr
    assert ["taken.wav"] == [path.name for path in tmp_path.iterdir()]


@pytest.mark.parametrize(
    ("file", "given", "words"),
    [
        ("gone.chart", b"", "no such file"),
        ("ropewalk-mourning", b"", "did you mean the exercise `ropewalk-morning`?"),
        (".", b"", "expected one chart"),
        ("-", b"[A]\n| N.C. |\n", "there is no chord to play"),
        ("-", b"[A]\n| H |\n", "line 2, column 3"),
    ],
)
def test_what_is_no_tune_is_told(file: str, given: bytes, words: str) -> None:
    """A file that isn't there, a folder, silence and a wrong chord give exit 2 and a clear line."""
    done = keyfarer("play", file, given=given)
    assert (2, "") == (done.returncode, done.stdout)
    assert words in done.stderr


def test_a_place_that_cannot_be_written_keeps_its_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where writing isn't allowed nothing is rendered and the old file stays."""
    target = tmp_path / "kept.wav"
    target.write_bytes(b"old")
    monkeypatch.setattr(play.os, "access", lambda path, mode: False)
    with pytest.raises(play.PlayError, match="you may not write in the folder"):
        play.run_play(PlayOptions("foundry-shift", to=target))
    assert b"old" == target.read_bytes()


def test_without_a_device_the_sound_is_kept_in_a_file_that_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where nothing can be heard the command says so, names the file, and doesn't sit through the silence."""
    from synth import output

    real = output.open_output
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path))
    monkeypatch.setattr(output, "open_output", lambda prefer, folder: real("silent", folder))
    monkeypatch.setattr("synth.noise.divert_noise", lambda: None)
    assert 0 == play.run_play(PlayOptions("foundry-shift"))
    kept = tmp_path / "sound" / "unheard.wav"
    assert str(kept) in capsys.readouterr().err
    assert soundfile.info(kept).duration > 40


def heard(
    player: PlayerTwin, monkeypatch: pytest.MonkeyPatch, settings: Settings | None = None, **asked: object
) -> None:
    """Play a tune of two sections on a twin, with nothing at standard input."""
    monkeypatch.setattr("sys.stdin", None)
    options = PlayOptions("two-lamps.chart", **asked)  # type: ignore[arg-type]
    chart, chosen = read_chart(TWO_SECTIONS), settings or Settings(level_set=True)
    tune = play.tune_of(perform(options, chart, chosen), options, chart, chosen)
    play_on(cast(Player, player), tune, options, chosen)


TWO_SECTIONS = "title: Two Lamps\ntempo: 120\n[A]\n| Cm7 | F7 | Bbmaj7 | % |\n[B]\n| Em7 | A7 | Dmaj7 | % |\n"


def test_sections_and_centers_are_told_as_they_come(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each section and key center is a line when the listener is there; the volume is the player's."""
    player = PlayerTwin()
    heard(player, monkeypatch, Settings(volume_db=-20.0, level_set=True))
    assert ["Two Lamps", "  A, in Bb major", "  B, in D major"] == capsys.readouterr().out.splitlines()
    assert pytest.approx(0.1) == player.output.volume


def test_keys_are_told_as_the_instrument_reads_them(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """For an instrument in Bb the centers lie a whole step higher, and a line says so."""
    heard(PlayerTwin(), monkeypatch, Settings(instrument="Bb", level_set=True))
    told = capsys.readouterr().out.splitlines()
    assert "Written for an instrument in Bb" in told[1]
    assert ["  A, in C major", "  B, in E major"] == told[-2:]
    assert all(len(line) <= 80 for line in told)


def test_quiet_tells_nothing(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """With `--quiet` the tune plays to its end without a line."""
    player = PlayerTwin()
    heard(player, monkeypatch, quiet=True)
    assert ("", "") == capsys.readouterr()
    assert player.place_s is None


def test_a_level_that_was_never_set_begins_quiet(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before the level was set the sound begins a tenth as strong, or softer where that was set, with the caution."""
    for volume_db, factor in ((0.0, 0.1), (-30.0, 10**-1.5)):
        player = PlayerTwin()
        heard(player, monkeypatch, Settings(volume_db=volume_db), quiet=True)
        assert pytest.approx(factor) == player.output.volume
        assert "The sound begins quiet." in capsys.readouterr().err


def test_what_becomes_of_the_device_is_told_and_the_tune_goes_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the sound is lost in mid-tune its remark is told once, and so is that it is back; the tune goes on."""

    class Fading(PlayerTwin):
        def pass_s(self, seconds: float) -> None:
            PlayerTwin.pass_s(self, seconds)
            gone = self.place_s is not None and 4.0 < self.place_s < 8.0
            self.output.silent = gone
            if gone:
                self.output.remark = "the sound device went away"
            elif self.output.remark:
                self.output.remark = "the sound is back"

    heard(Fading(), monkeypatch)
    told = capsys.readouterr()
    assert "  B, in D major" == told.out.splitlines()[-1]
    assert ["keyfarer: the sound device went away", "keyfarer: the sound is back"] == told.err.splitlines()


def test_ctrl_c_lets_go_of_the_device(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while it plays closes the device, which ramps out, and goes on its way to exit 130."""

    class Stopped(SoundTwin):
        def wait(self, timeout_s: float | None = None) -> bool:
            raise KeyboardInterrupt

    device = Stopped()
    opened: Callable[..., Stopped] = lambda *_: device  # noqa: E731
    monkeypatch.setattr("synth.output.open_output", opened)
    monkeypatch.setattr("synth.noise.divert_noise", lambda: None)
    monkeypatch.setattr("sys.stdin", None)
    with pytest.raises(KeyboardInterrupt):
        play.run_play(PlayOptions("foundry-shift", bars=(1, 2)))
    assert device.closed


def test_the_room_is_around_files(tmp_path: Path) -> None:
    """A room asked for, or set, makes a file longer by its tail and as loud as ever; none is the bare sound."""
    found = {}
    for options in (("--room", "0"), ("--room", "1"), ()):
        done = keyfarer("play", "-", "--to", "two.wav", *options, given=CHART.encode(), folder=tmp_path)
        assert (0, "") == (done.returncode, done.stderr)
        found[options] = soundfile.read(tmp_path / "two.wav")[0]
    bare, full, usual = found.values()
    assert round(0.45 * 48_000) == pytest.approx(len(full) - len(bare), abs=1)
    assert len(full) == len(usual)
    assert pytest.approx(-20.0, abs=0.5) == pyloudnorm.Meter(48_000).integrated_loudness(full)
    sides = [np.sqrt(np.mean((sound[:, 0] - sound[:, 1]) ** 2)) for sound in (bare, usual, full)]
    assert sides[0] < sides[1] < sides[2]
