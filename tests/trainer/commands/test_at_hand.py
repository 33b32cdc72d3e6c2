"""A tune at hand: each key and word does what its row says, on a twin of the player."""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from tests.doubles.player import PlayerTwin
from trainer.charts.reader import read_chart
from trainer.commands.at_hand import AtHand
from trainer.commands.handles import BY_KEY, HANDLES, Handle, find_word, help_rows
from trainer.commands.options import PlayOptions
from trainer.commands.play import tune_of
from trainer.commands.play_score import perform
from trainer.settings import Settings, SettingsError
from trainer.voicing.metronome import FASTEST, MARKS, SLOWEST, faster, slower

TUNE = """title: Two Lamps
key: Bb
tempo: 120

[A]
| Cm7 | F7 | Bbmaj7 | % |
[B]
| Am7b5 | D7b9 | Gm6 | Gm6 |
"""
PICKED_UP = "title: Half a Step In\npickup: 1\ntempo: 120\n\n| G7 | Cmaj7 | Dm7 G7 | Cmaj7 |\n"
BAR_S = 2.0


class Level:
    """A level that remembers."""

    db = -20.0

    def __call__(self, by_db: float) -> float:
        """Turn it."""
        self.db += by_db
        return self.db


def at_hand(keyed: bool = False, text: str = TUNE, **asked: object) -> tuple[AtHand, PlayerTwin]:
    """A tune that has just begun, after a bar of count-in of two seconds."""
    options = PlayOptions("two-lamps.chart", **asked)  # type: ignore[arg-type]
    chart, settings = read_chart(text), Settings(room=0.0)
    player = PlayerTwin()
    tune = tune_of(perform(options, chart, settings), options, chart, settings)
    hand = AtHand(player, tune, Level(), keyed, round=options.loop)  # type: ignore[arg-type]
    player.play(tune.performance.score, loop=hand.stretch())
    return hand, player


def bar_of(hand: AtHand, player: PlayerTwin) -> float:
    """Which bar is played, counted from 1, with the tenths of it that are over; a seek's lead-in left out."""
    assert player.place_s is not None
    return round((player.place_s + 0.01 - hand.now.bars[0].from_s) * hand.tempo / 240, 1) + 1


def test_each_row_of_the_table_is_one_thing_to_do() -> None:
    """Ids, keys and words are each there once, keys are single signs without Shift or names, and all of them do."""
    for values in ([row.id for row in HANDLES], [row.key for row in HANDLES if row.key], [row.word for row in HANDLES]):
        assert len(values) == len(set(values))
    assert all((len(key) == 1 and key.islower()) or " arrow" in key or key == "space" for key in BY_KEY)
    assert {row.id for row in HANDLES} == {*AtHand._DOES, "help"}


@pytest.mark.parametrize("row", HANDLES, ids=lambda row: row.id)
def test_every_word_is_found(row: Handle) -> None:
    """Each word of the table is read as its row, however it is spaced and capitalized, with its numbers."""
    typed = row.word.replace("N-N", "5 - 8").replace("N", "12")
    found = find_word(f"  {typed.upper()} ")
    assert found is not None
    assert row == found[0]
    assert {"N" in row.word: found[1]} in ({False: ()}, {True: (12,)}, {True: (5, 8)})


@pytest.mark.parametrize("line", ["", "louder please", "bar", "bar x", "loop 5-", "bar 5-8", "tempo 1e3", "bar -1"])
def test_other_lines_are_no_words(line: str) -> None:
    """What isn't in the table is nothing, and is told so."""
    assert find_word(line) is None
    hand, _ = at_hand()
    assert [f"no word `{line}` here; help tells the words"] == hand.asked(line)


@pytest.mark.parametrize("keyed", [True, False])
def test_help_is_made_from_the_table(keyed: bool) -> None:
    """Help tells every key, or every word, in lines that fit 80 columns."""
    hand, _ = at_hand(keyed)
    lines = hand.asked("h" if keyed else "help")
    assert [name for name, _ in help_rows(keyed)] == [line.split("  ")[0].strip() for line in lines]
    assert (len(BY_KEY) if keyed else len(HANDLES)) == len(lines)
    assert all(len(line) <= 80 for line in lines)


def test_an_unknown_key_is_told() -> None:
    """A key without a meaning does nothing and says where help is; a word is no key."""
    hand, player = at_hand(keyed=True)
    assert ["no key z here; h tells the keys"] == hand.asked("z")
    assert ["no key pause here; h tells the keys"] == hand.asked("pause")
    assert not player.paused


def test_pausing_and_going_on() -> None:
    """The key does both in turn, the words one each; the pause says where it stands."""
    hand, player = at_hand(keyed=True)
    player.pass_s(5.2)
    assert ["paused: bar 2, beat 3, section A, in Bb major"] == hand.asked("space")
    player.pass_s(9.0)
    assert (True, 5.2) == (player.paused, player.place_s)
    assert ["going on"] == hand.asked("space")
    assert not player.paused
    hand, player = at_hand()
    assert ["it is not paused"] == hand.asked("resume")
    hand.asked("pause")
    assert ["it is paused"] == hand.asked("pause")
    assert ["going on"] == hand.asked("resume")


def test_a_bar_on_and_back() -> None:
    """On is the next bar, as often as it is asked; back is this bar's start, or the one before where it just began."""
    hand, player = at_hand()
    assert ["bar 1"] == hand.asked("on")
    assert [["bar 2"], ["bar 3"]] == [hand.asked("on"), hand.asked("on")]
    assert 3.0 == bar_of(hand, player)
    player.pass_s(1.5)
    assert ["bar 3"] == hand.asked("back")
    assert [["bar 2"], ["bar 1"], ["bar 1"]] == [hand.asked("back") for _ in range(3)]
    assert 1.0 == bar_of(hand, player)
    assert ["bar 8"] == hand.asked("bar 8")
    assert ["this is the last bar"] == hand.asked("on")
    assert ["there are bars 1 to 8 in what is played"] == hand.asked("bar 9")


def test_back_in_the_count_in_is_its_start() -> None:
    """Before the first bar, back begins again."""
    hand, player = at_hand()
    player.pass_s(1.0)
    assert ["the start"] == hand.asked("back")
    assert 0.0 == player.place_s


def test_sections() -> None:
    """Next and previous go to sections' starts; previous in mid-section is its own start."""
    hand, player = at_hand()
    assert ["section A, bar 1"] == hand.asked("next")
    assert ["section B, bar 5"] == hand.asked("next")
    assert 5.0 == bar_of(hand, player)
    assert ["this is the last section"] == hand.asked("next")
    player.pass_s(3.0)
    assert [["section B, bar 5"], ["section A, bar 1"], ["section A, bar 1"]] == [
        hand.asked("previous") for _ in range(3)
    ]


def test_choruses_are_told() -> None:
    """Where there are several, a bar's chorus is told, and a bar's number means the chorus that is played."""
    hand, player = at_hand(choruses=3)
    player.pass_s(2.0 + 9 * BAR_S)
    assert ["bar 3, chorus 2"] == hand.asked("on")
    assert ["bar 8, chorus 2"] == hand.asked("bar 8")
    assert ["bar 1, chorus 3"] == hand.asked("on")


def test_loops_of_a_bar_and_a_section() -> None:
    """Round the bar, round the section, each from barline to barline; without a loop it goes on to the end."""
    hand, player = at_hand()
    player.pass_s(2.0 + 1.5 * BAR_S)
    assert ["round bar 2"] == hand.asked("loop bar")
    player.pass_s(BAR_S)
    assert 2.5 == bar_of(hand, player)
    assert ["round bars 1 to 4"] == hand.asked("loop section")
    assert player.round is not None
    assert (2.0, 10.0) == (player.round.from_s, player.round.until_s)
    player.pass_s(3 * BAR_S)
    assert 1.5 == bar_of(hand, player)
    assert ["no loop"] == hand.asked("no loop")
    assert ["there is no loop"] == hand.asked("no loop")
    assert player.round is None


def test_a_loop_from_here_to_here() -> None:
    """Its ends are the barlines nearest to where they are said; said the wrong way round it is refused."""
    hand, player = at_hand()
    player.pass_s(2.0 + 2 * BAR_S - 0.3)
    assert ["a loop from bar 3; loop to says where it ends"] == hand.asked("loop from")
    assert ["a loop from bar 3 ends at a later barline than this"] == hand.asked("loop to")
    player.pass_s(2 * BAR_S + 0.5)
    assert ["round bars 3 to 4"] == hand.asked("loop to")
    assert player.round is not None
    assert (6.0, 10.0) == (player.round.from_s, player.round.until_s)
    assert 6.0 <= (player.place_s or 0.0) < 10.0
    player.place_s = 8.1
    assert ["round bar 4"] == hand.asked("loop from")


def test_a_loop_by_its_bars() -> None:
    """A stretch that lies ahead is gone to, one behind as well; bars that aren't there are told."""
    hand, player = at_hand()
    player.pass_s(3.0)
    assert ["round bars 5 to 6"] == hand.asked("loop 5-6")
    assert 5.0 == bar_of(hand, player)
    assert ["round bars 1 to 2"] == hand.asked("loop 1 - 2")
    assert 1.0 == bar_of(hand, player)
    assert ["say the earlier bar first"] == hand.asked("loop 6-5")
    assert ["there are bars 1 to 8 in what is played"] == hand.asked("loop 6-12")


def test_leaving_a_loop_by_going_elsewhere() -> None:
    """A step inside of the loop stays in it, its last bar goes on to its first; a place outside leaves it."""
    hand, player = at_hand()
    hand.asked("loop 2-3")
    hand.asked("bar 2")
    assert [["bar 3"], ["bar 2"]] == [hand.asked("on"), hand.asked("on")]
    assert player.round is not None
    assert ["bar 7; the loop is left"] == hand.asked("bar 7")
    assert player.round is None


def test_the_whole_tune_goes_round() -> None:
    """With --loop the count-in and a pickup come once, then all bars go round."""
    _, player = at_hand(loop=True)
    assert player.round is not None
    assert (2.0, 18.0) == (player.round.from_s, player.round.until_s)
    hand, player = at_hand(text=PICKED_UP, loop=True)
    assert player.round is not None
    assert [0, 1] == [bar.number for bar in hand.now.bars[:2]]
    assert hand.now.bars[1].from_s == player.round.from_s


def test_slower_and_faster_stay_at_the_beat() -> None:
    """A mark of the metronome at a time; bar and beat stay, the loop too, and the way back is the tempo it was."""
    hand, player = at_hand()
    player.pass_s(2.0 + 2.25 * BAR_S)
    hand.asked("loop bar")
    before = player.score
    assert ["tempo 116"] == hand.asked("slower")
    assert 3.2 <= bar_of(hand, player) <= 3.3
    assert player.round is not None
    assert 240 / 116 == pytest.approx(player.round.until_s - player.round.from_s)
    told = [hand.asked(word)[0] for word in ("slower", "faster", "faster")]
    assert ["tempo 112", "tempo 116", "tempo 120"] == told
    assert before == player.score
    assert ["tempo 400"] == hand.asked("tempo 400")
    assert ["tempo 400 is the fastest"] == hand.asked("faster")
    assert ["tempi go from 20 to 400"] == hand.asked("tempo 12")
    hand.asked("tempo 20")
    assert ["tempo 20 is the slowest"] == hand.asked("slower")


def test_tempi_are_a_metronomes_marks() -> None:
    """The steps are those between marks, up and down alike, from the slowest to the fastest."""
    assert all(upper == faster(lower) and lower == slower(upper) for lower, upper in pairwise(MARKS))
    assert [(60, 63), (96, 100), (192, 200)] == [(slower(tempo), faster(tempo)) for tempo in (61.5, 98.0, 196.0)]
    assert (SLOWEST, FASTEST) == (slower(SLOWEST), faster(FASTEST))


def test_two_readings_at_another_tempo() -> None:
    """What is joined of several parts is performed again, and goes on at the same bar."""
    text = "title: Two Ways Down\n\n[A]\n| Cmaj7 | F#m7b5 B7 | Em7 | A7 |\n| Dm7 | G7 | Cmaj7 | % |\n"
    hand, player = at_hand(text=text, what="readings", bars=(2, 3), pins=("2=E minor",))
    player.pass_s(11.0)
    was = bar_index(hand, player)
    assert ["tempo 126"] == hand.asked("faster")
    assert was == bar_index(hand, player)
    assert 126.0 == hand.now.score.tempos[-1].quarters_per_minute


def bar_index(hand: AtHand, player: PlayerTwin) -> int:
    """Which of all bars sounds."""
    assert player.place_s is not None
    return sum(bar.from_s <= player.place_s for bar in hand.now.bars)


def test_parts_alone() -> None:
    """The bass, the keys, the guide tones, all: each is told, and only what is asked for sounds."""
    hand, player = at_hand()
    player.pass_s(7.0)
    assert ["bass alone"] == hand.asked("bass")
    assert frozenset(("bass",)) == player.parts
    chart = player.score
    assert ["guide tones alone"] == hand.asked("guide")
    assert frozenset(("keys",)) == player.parts
    assert player.score is not None
    assert chart != player.score
    assert {"keys", "click"} == {note.part for note in player.score.notes}
    assert 7.0 == player.place_s
    hand.asked("slower")
    assert ["keys alone"] == hand.asked("keys")
    assert 116.0 == player.score.tempos[0].quarters_per_minute
    assert ["all parts"] == hand.asked("all")
    assert player.parts is None
    assert {"keys", "bass", "click"} == {note.part for note in player.score.notes}
    assert 120.0 == (hand.asked("faster") and player.score.tempos[0].quarters_per_minute)


def test_parts_that_are_not_there() -> None:
    """A part that doesn't play is told and all stays as it is; a route has no guide tones of its own."""
    hand, player = at_hand(what="bass")
    assert ["no keys are played here"] == hand.asked("keys")
    assert player.parts is None
    assert ["guide tones alone"] == hand.asked("guide")
    hand, player = at_hand(what="route")
    assert ["what is played has no guide tones of its own"] == hand.asked("guide")
    hand, _ = at_hand(what="keys")
    assert ["there is no bass part in what is played"] == hand.asked("bass")


def test_louder_and_softer_tell_the_level() -> None:
    """Each turns a step and says where it stands; a level that can't be kept is told."""
    hand, _ = at_hand(keyed=True)
    assert [["level 11 of 20"], ["level 10 of 20"]] == [hand.asked("up arrow"), hand.asked("down arrow")]

    def refused(by_db: float) -> float:
        raise SettingsError(f"{Path('settings.toml')}: the settings can't be saved (no room).")

    hand.level = refused
    assert ["settings.toml: the settings can't be saved (no room)."] == hand.asked("up arrow")


def test_where_we_are() -> None:
    """Count-in, bar and beat as heard, section, key center, tempo, loop, parts, pause."""
    hand, player = at_hand()
    assert ["in the count-in, tempo 120"] == hand.asked("where")
    player.pass_s(12.6)
    assert ["bar 6, beat 2, section B, in G minor, tempo 120"] == hand.asked("where")
    hand.asked("loop section")
    hand.asked("bass")
    hand.asked("pause")
    where = "bar 6, beat 2, section B, in G minor, tempo 120, round bars 5 to 8, bass alone, paused"
    assert [where] == hand.asked("where")
    player.heard_late_s = 0.3
    assert hand.asked("where")[0].startswith("bar 6, beat 1, ")


def test_where_we_are_is_where_we_go() -> None:
    """Just after a step the place that was gone to is told, whatever the listener still hears."""
    hand, player = at_hand()
    player.pass_s(12.6)
    hand.asked("bar 2")
    player.heard_late_s = -9.0
    assert hand.asked("where")[0].startswith("bar 2, beat 1, ")


def test_stopping_and_what_comes_after() -> None:
    """Stop ends it; after the end there is nothing to do but help."""
    hand, player = at_hand()
    assert ["stopped"] == hand.asked("stop")
    assert player.place_s is None
    assert ["it is over"] == hand.asked("slower")
    assert 1 < len(hand.asked("help"))


def test_how_loud_it_is_is_told() -> None:
    """The meter in a line: loudness and peak of what was heard, or that there was nothing to hear."""
    hand, player = at_hand(keyed=True)
    player.pass_s(5.0)
    (told,) = hand.asked("m")
    found = re.fullmatch(r"-(\d\d) LUFS over three seconds, peaks to -(\d\d) dBTP", told)
    assert found is not None, told
    assert int(found[1]) > int(found[2])
    player.pause()
    assert ["silence for three seconds"] == hand.asked("m")
