"""Frozen dataclasses that are quickly made."""

import copy
import dataclasses
import pickle
from dataclasses import FrozenInstanceError, field, replace
from typing import Any

import pytest

from trainer import records

FROZEN = {"frozen": True, "slots": True}


def made(dataclass: Any) -> tuple[type, type, type]:
    """The same three classes by one decorator: with all sorts of fields, one built on it, and an empty one."""

    @dataclass(**FROZEN)
    class Tune:
        """A tune."""

        name: str
        bars: int = 32
        tags: tuple[str, ...] = ()
        heard: list[int] = field(default_factory=list, compare=False)
        hidden: str = field(default="x", repr=False, hash=False)
        whole: float = field(default=0.0, init=False)

        def __post_init__(self) -> None:
            object.__setattr__(self, "whole", self.bars * 4.0)

        @property
        def long(self) -> bool:
            """Whether it is."""
            return self.bars > 32

    @dataclass(**FROZEN)
    class Suite(Tune):
        """A longer one."""

        parts: int = 2

        def __repr__(self) -> str:
            return f"<{self.name}>"

    @dataclass(**FROZEN)
    class Rest:
        """Nothing."""

    return Tune, Suite, Rest


OURS, THEIRS = made(records.dataclass), made(dataclasses.dataclass)


def both(act: Any) -> None:
    """Something comes to the same with both, result or error."""
    results = []
    for classes in (OURS, THEIRS):
        try:
            results.append(act(*classes))
        except Exception as error:
            results.append((type(error), str(error).replace("Tune.", "")))
    assert results[0] == results[1]


@pytest.mark.parametrize(
    "act",
    [
        lambda Tune, Suite, Rest: repr(Tune("a", tags=("b",))).rpartition(".")[2],
        lambda Tune, Suite, Rest: repr(Rest()).rpartition(".")[2],
        lambda Tune, Suite, Rest: (Tune("a") == Tune("a"), Tune("a") == Tune("b"), Tune("a") != Tune("a", 12)),
        lambda Tune, Suite, Rest: (Tune("a") == Suite("a"), Tune("a") == 3, Rest() == Rest()),
        lambda Tune, Suite, Rest: Tune("a", heard=[1]) == Tune("a", heard=[2]),
        lambda Tune, Suite, Rest: Tune("a", hidden="y") == Tune("a"),
        lambda Tune, Suite, Rest: hash(Tune("a", hidden="y")) == hash(Tune("a")),
        lambda Tune, Suite, Rest: len({Tune("a"), Tune("a"), Tune("b"), Rest(), Rest()}),
        lambda Tune, Suite, Rest: (Tune("a").heard, Tune("a").heard is Tune("a").heard, Tune("a", 64).whole),
        lambda Tune, Suite, Rest: Tune(),
        lambda Tune, Suite, Rest: Tune("a", "b", "c", "d", "e", "f"),
        lambda Tune, Suite, Rest: Tune("a", whole=1.0),
        lambda Tune, Suite, Rest: replace(Tune("a"), bars=64).whole,
        lambda Tune, Suite, Rest: replace(Tune("a"), whole=1.0),
        lambda Tune, Suite, Rest: [one.name for one in dataclasses.fields(Suite)],
        lambda Tune, Suite, Rest: (Suite("s", parts=3).parts, repr(Suite("s")), Suite("s") == Suite("s", parts=3)),
        lambda Tune, Suite, Rest: setattr(Tune("a"), "name", "b"),
        lambda Tune, Suite, Rest: delattr(Tune("a"), "name"),
        lambda Tune, Suite, Rest: (Tune.__slots__, hasattr(Tune("a"), "__dict__"), Tune("a").long, Tune.__doc__),
        lambda Tune, Suite, Rest: (Tune.__match_args__, Suite.__match_args__),
        lambda Tune, Suite, Rest: dataclasses.asdict(Tune("a")),
        lambda Tune, Suite, Rest: copy.copy(Tune("a", 12)).bars,
        lambda Tune, Suite, Rest: copy.deepcopy(Tune("a", heard=[1])).heard,
    ],
)
def test_they_are_as_the_standard_librarys(act: Any) -> None:
    """Comparing, hashing, words, defaults, errors, changing and copying come to the same."""
    both(act)


@records.dataclass(frozen=True, slots=True)
class Kept:
    """One that can be found by its name."""

    name: str
    size: int = 3


def test_they_go_through_a_pipe() -> None:
    """What one process sends another receives."""
    for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
        assert pickle.loads(pickle.dumps(Kept("a", 4), protocol)) == Kept("a", 4)


def test_a_field_without_a_default_behind_one_with_it_is_told() -> None:
    """As by the standard library."""
    for dataclass in (records.dataclass, dataclasses.dataclass):
        with pytest.raises(TypeError, match="'b' follows default argument"):

            @dataclass(frozen=True, slots=True)
            class Wrong:
                """A wrong one."""

                a: int = 1
                b: int  # type: ignore[misc]


def test_anything_else_is_the_standard_librarys() -> None:
    """Ordered, changeable and keyword-only ones are made there."""

    @records.dataclass(frozen=True, slots=True, order=True)
    class Place:
        """Ordered."""

        bar: int

    @records.dataclass(slots=True)
    class Counter:
        """Changeable."""

        count: int = 0

    assert Place(1) < Place(2)
    with pytest.raises(FrozenInstanceError):
        Place(1).bar = 2  # type: ignore[misc]
    counter = Counter()
    counter.count += 1
    assert counter == Counter(1)
