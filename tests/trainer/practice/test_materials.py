"""Questions from the player's own tunes: read only when one comes from them, and as if they had been read before."""

from collections import Counter
from pathlib import Path
from random import Random

import pytest
from scipy.stats import chisquare

from tests.trainer.practice.repertoire import LAMPS, LANTERNS, kept, own
from trainer import places
from trainer.charts.library import exercise_tunes
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.drills.kinds import build, draw
from trainer.drills.material import TuneMaterial
from trainer.practice import materials
from trainer.practice.kept_tunes import KeptError
from trainer.practice.materials import UnreadTune, own_material, tune_material
from trainer.practice.own_tunes import NONE_KEPT
from trainer.reading.analysis import analyze

TYPE = "major-two-five-one"


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each tune's text is asked for its reading."""
    counted: Counter[str] = Counter()
    read = materials._read

    def reading(id: str, data: bytes) -> object:
        counted[id] += 1
        return read(id, data)

    monkeypatch.setattr(materials, "_read", reading)
    return counted


def test_an_unread_tune_asks_what_a_read_one_asks(tmp_path: Path) -> None:
    """The same seed makes the same question of a tune whether it is read beforehand or only then."""
    kept(tmp_path, LANTERNS)
    (unread,) = own_material(own())
    timeline = unfold(read_chart(LANTERNS, "a chart"))
    read = TuneMaterial(unread.id, timeline, analyze(timeline))
    for seed in range(20):
        assert build("name-functions", TYPE, 5, seed, read) == build("name-functions", TYPE, 5, seed, unread)


def test_only_tunes_that_have_the_unit_are_read(tmp_path: Path, reads: Counter[str]) -> None:
    """Looking for a phrase reads no tune that is known not to have it, and one that has it is enough."""
    minor = [LAMPS.replace("Two", f"{n}").replace("Cm7", "Cm7b5").replace("Bbmaj7", "Bbm6") for n in range(9)]
    kept(tmp_path, *minor, LAMPS)
    tunes = own_material(own())
    question, _ = draw("name-functions", TYPE, 5, Random(4), None, tunes, tune_share=1.0)
    assert "tune:two-lamps" == question.material
    assert {"two-lamps"} == set(reads)
    reads.clear()
    draw("name-functions", "minor-two-five-one", 5, Random(4), None, tunes, tune_share=1.0)
    assert 1 == len(reads)


def test_each_tune_that_has_the_unit_is_as_likely(tmp_path: Path) -> None:
    """Of ten tunes with a phrase and ten without, each of the ten comes as often, and the others never."""
    texts = [LAMPS.replace("Two", f"{n}") for n in range(10)]
    texts += [text.replace("Lamps", "Moths").replace("Cm7 | F7", "Eb6 | %") for text in texts]
    kept(tmp_path, *texts)
    tunes, rng = own_material(own()), Random(8)
    drawn = Counter(draw("name-functions", TYPE, 5, rng, None, tunes, tune_share=1.0)[0].material for _ in range(400))
    assert {f"tune:{n}-lamps" for n in range(10)} == set(drawn)
    assert chisquare(list(drawn.values())).pvalue > 1e-4


def test_own_tunes_and_exercise_tunes_are_material(tmp_path: Path) -> None:
    """All tunes are material, the player's first; some are when they are named, and one that isn't there is told."""
    kept(tmp_path, LAMPS)
    shipped = [id for id, _ in exercise_tunes()]
    assert ["two-lamps", *shipped] == [tune.id for tune in tune_material(own())]
    assert shipped == [tune.id for tune in tune_material(NONE_KEPT)]
    assert ["two-lamps", "coal-barge"] == [tune.id for tune in tune_material(own(), ("coal-barge", "two-lamps"))]
    with pytest.raises(KeptError, match="there is no tune 'no-lamps'"):
        tune_material(own(), ("no-lamps",))
    (places.tunes_folder() / "two-lamps.chart").unlink()
    with pytest.raises(KeptError, match="is gone"):
        tune_material(own(), ("two-lamps",))


def test_a_route_is_looked_for_in_its_own_tune_alone() -> None:
    """A tune may have its own route and no other's; of units that facts know nothing of it says it may."""
    tune = UnreadTune("two-lamps", LAMPS.encode(), (TYPE,))
    assert tune.may_have("route:two-lamps")
    assert not tune.may_have("route:coal-barge")
    assert not tune.may_have("backdoor")
    assert not tune.may_have("move:+3:major-major")
    assert tune.may_have("something-of-another-kind")
    assert tune == UnreadTune("two-lamps", LAMPS.encode(), ())
    assert 1 == len({tune, UnreadTune("two-lamps", LAMPS.encode(), ())})
