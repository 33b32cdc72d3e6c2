"""What there is to learn, and in which order: cadence types and moves of the key center along the shipped course."""

import tomllib
from collections.abc import Collection, Mapping
from importlib.resources import files
from types import MappingProxyType

from trainer.drills.kinds import kinds_for
from trainer.drills.move_table import MOVES
from trainer.drills.units import ROUTE
from trainer.errors import KeyfarerError
from trainer.harmony.cadence import CADENCE, CADENCES
from trainer.memory.unit import Unit
from trainer.records import dataclass

SCHEMA = "keyfarer/course/1"
NO_ROUTES: Mapping[str, Collection[str]] = MappingProxyType({})


class CourseError(KeyfarerError):
    """A course that can't be read."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the course."""

    title: str
    why: str
    types: tuple[str, ...]
    tunes: tuple[str, ...]
    moves: tuple[str, ...] = ()
    """Moves of the key center, by their units' ids; they come after the stage's types."""


@dataclass(frozen=True, slots=True)
class Course:
    """The stages in order."""

    stages: tuple[Stage, ...]

    @property
    def order(self) -> tuple[str, ...]:
        """All types and moves in the order they are met."""
        return tuple(unit for stage in self.stages for unit in (*stage.types, *stage.moves))


def read_course(text: str, file: str) -> Course:
    """Read a course. Raises CourseError for anything that isn't one."""
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CourseError(f"{file}: this course can't be read: {error}") from None
    if values.get("schema") != SCHEMA:
        raise CourseError(f"{file}: found schema {values.get('schema')!r}; expected {SCHEMA!r}")
    stages = []
    for place, stage in enumerate(values.get("stage", []), 1):
        try:
            stages.append(
                Stage(
                    str(stage["title"]),
                    str(stage["why"]),
                    tuple(stage["types"]),
                    tuple(stage["tunes"]),
                    tuple(stage.get("moves", ())),
                )
            )
        except (KeyError, TypeError) as error:
            raise CourseError(f"{file}: stage {place} lacks {error}") from None
    course = Course(tuple(stages))
    order = course.order
    unknown = [unit for unit in order if unit not in CADENCE and unit not in MOVES]
    twice = sorted({unit for unit in order if order.count(unit) > 1})
    if unknown or twice or not order:
        raise CourseError(f"{file}: unknown types {unknown}, types named twice {twice}, of {len(order)} in all")
    return course


def shipped_course() -> Course:
    """The course that comes with the program."""
    file = files("exercises") / "courses.toml"
    return read_course(file.read_text(encoding="utf-8"), "exercises/courses.toml")


def units(routes: Mapping[str, Collection[str]] = NO_ROUTES) -> Mapping[str, Unit]:
    """Cadence types, moves and some tunes' routes as units, with the drills open for each and what comes before it.

    routes: for each tune's id the units that it is made of; those that have drills come before its route.
    """
    table = {row.id: Unit(row.id, kinds_for(row.id), row.after) for row in CADENCES if kinds_for(row.id)}
    table |= {unit: Unit(unit, kinds_for(unit), before) for unit, before in MOVES.items() if kinds_for(unit)}
    for tune, made_of in routes.items():
        if kinds := kinds_for(ROUTE + tune):
            table[ROUTE + tune] = Unit(ROUTE + tune, kinds, tuple(unit for unit in made_of if unit in table))
    return table
