"""Everything that may be asked for at once: silence, repeats, pickups, meters, patterns, choruses that rise."""

from collections import defaultdict
from itertools import pairwise
from typing import get_args

from hypothesis import given, settings
from hypothesis import strategies as st

from synth.score import Note
from tests.trainer.voicing.passages import any_symbols, plain_symbols
from tests.trainer.voicing.tunes import bars, reading
from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
from trainer.voicing.performance import perform_chart
from trainer.voicing.shapes import STYLES
from trainer.voicing.tune import What

cells = st.lists(
    st.one_of(st.sampled_from(["N.C.", "%"]), st.one_of(plain_symbols, any_symbols).map(lambda symbol: symbol.text)),
    min_size=1,
    max_size=5,
)


@given(
    cells,
    st.sampled_from(["4/4", "3/4", "6/8", "5/4", "2/4", "7/8"]),
    st.booleans(),
    st.sampled_from(get_args(What)),
    st.sampled_from(STYLES),
    st.sampled_from(get_args(Comping)),
    st.sampled_from(get_args(BassFeel)),
    st.sampled_from([None, *get_args(TimeKeeping)]),
    st.tuples(st.integers(1, 3), st.integers(-6, 6), st.booleans(), st.booleans(), st.sampled_from([None, 3])),
)
@settings(max_examples=150)
def test_notes_are_whole_and_apart(
    line: list[str], meter: str, pickup: bool, what: What, style: str, comping: str, feel: str, time: str | None,
    more: tuple[int, int, bool, bool, int | None],
) -> None:  # fmt: skip
    """Every note has a length within the tune, no key is struck while it sounds, no bass is above the keys."""
    choruses, rise, with_bass, count_in, seed = more
    header = {"pickup": "1"} if pickup else {}
    whole = ["C6" if cell == "%" and place <= pickup else cell for place, cell in enumerate(line)]
    timeline = bars("| " + " | ".join(whole) + " |", meter=meter, feel="swing", **header)
    played = perform_chart(
        timeline, reading(timeline, {0: "Eb"}), what, count_in=count_in, style=style, with_bass=with_bass,
        comping=comping, bass_feel=feel, time=time, choruses=choruses, rise=rise, seed=seed,
    )  # fmt: skip
    alike: dict[tuple[str, int], list[Note]] = defaultdict(list)
    for note in played.score.notes:
        assert 0 <= note.onset_s < note.onset_s + note.duration_s <= played.score.duration_s + 1e-9
        alike[note.part, note.midi].append(note)
    for notes in alike.values():
        for one, after in pairwise(notes):
            assert one.onset_s + one.duration_s <= after.onset_s + 1e-9
    keys = [note for note in played.score.notes if note.part == "keys"]
    for low in (note for note in played.score.notes if note.part == "bass"):
        until = low.onset_s + low.duration_s
        over = [key for key in keys if low.onset_s < key.onset_s + key.duration_s and key.onset_s < until]
        assert all(low.midi < key.midi for key in over)
