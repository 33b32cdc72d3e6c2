"""A trial as the log has it, with the identity that it keeps in every store, as a row and as a line of JSON.

The file of a whole memory (schema `keyfarer/memory/1`) is UTF-8 text of JSON lines. The first line says what it is:

    {"schema": "keyfarer/memory/1", "store": "9f2c41d07be35a68", "trials": 2, "slips": 1}

Each further line is one trial, raw, in the log's order. `store` and `number` say where it was logged first and the
how manieth it was there; the other fields are those of `Trial`, named and meant alike. `at_utc` and `slips` are
moments after ISO 8601, `question` and `parts` are JSON as text, `tempo_bpm` and `taken_for` may be null. `slips`
holds the moments at which the answer was called a slip of the finger. Fields that are not known are passed over.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from types import NoneType
from typing import Any

from trainer.errors import KeyfarerError
from trainer.memory.trial import Trial
from trainer.records import dataclass

SCHEMA = "keyfarer/memory/1"

TRIAL_COLUMNS = (
    "id, at_utc, utc_offset_minutes, session, unit, kind, rung, key, seed, material, voicing, tempo_bpm, "
    "question, answer, correct, credit, parts, guess_chance, helps, answer_s, sound_s, taken_for, "
    "rules_version"
)
_NAMES = TRIAL_COLUMNS.split(", ")
_NUMBERS = frozenset({"tempo_bpm", "credit", "guess_chance", "answer_s", "sound_s"})
_COUNTS = frozenset({"utc_offset_minutes", "rung", "seed", "rules_version"})
_MAY_BE_NULL = frozenset({"tempo_bpm", "taken_for"})


class LineError(KeyfarerError):
    """A line that holds no trial; the message says what is wrong with it."""


@dataclass(frozen=True, slots=True)
class Logged:
    """One trial of the log with its identity: no two trials have all of it alike."""

    store: str
    """The store that logged it first."""
    number: int
    """Its number there. A store that was copied goes on with the same numbers, so the trial itself counts as well."""
    trial: Trial
    slips: tuple[datetime, ...] = ()
    """When it was called a slip of the finger."""


def trial_row(trial: Trial) -> tuple[object, ...]:
    """The values of TRIAL_COLUMNS, without an id."""
    row = (
        None, trial.at_utc.isoformat(), trial.utc_offset_minutes, trial.session, trial.unit, trial.kind,
        trial.rung, trial.key, trial.seed, trial.material, trial.voicing, trial.tempo_bpm, trial.question,
        trial.answer, trial.correct, trial.credit, trial.parts, trial.guess_chance,
        json.dumps(trial.helps, ensure_ascii=False) if trial.helps else "[]", trial.answer_s, trial.sound_s,
        trial.taken_for, trial.rules_version,
    )  # fmt: skip
    return tuple(_plain(value) if isinstance(value, str) else value for value in row)


def trial_of(row: Iterable[object]) -> Trial:
    """The trial in a row of TRIAL_COLUMNS."""
    named = dict(zip(_NAMES, row, strict=True))
    named["at_utc"] = datetime.fromisoformat(str(named["at_utc"]))
    named["helps"] = tuple(json.loads(str(named["helps"])))
    return Trial(**named)  # type: ignore[arg-type]


def head_line(store: str, trials: int, slips: int) -> str:
    """The first line of a file."""
    return json.dumps({"schema": SCHEMA, "store": store, "trials": trials, "slips": slips})


def read_head(line: str) -> int:
    """How many trials the first line promises. Raises LineError for another kind of file."""
    try:
        head = json.loads(line)
        schema = head["schema"]
    except (ValueError, TypeError, KeyError, RecursionError):
        raise LineError(f"found no memory of keyfarer; its first line says {SCHEMA!r}") from None
    if schema != SCHEMA:
        if isinstance(schema, str) and schema.startswith("keyfarer/memory/"):
            raise LineError(f"found {schema!r}, this keyfarer knows {SCHEMA!r}; update keyfarer, then import again")
        raise LineError(f"found {str(schema)[:40]!r}; a memory's first line says {SCHEMA!r}")
    trials = head.get("trials")
    return trials if isinstance(trials, int) else 0


def write_line(logged: Logged) -> str:
    """A trial as one line of JSON; numbers keep every bit."""
    row = dict(zip(_NAMES, trial_row(logged.trial), strict=True))
    del row["id"]
    row["helps"] = logged.trial.helps
    slips = [at.isoformat() for at in logged.slips]
    return json.dumps({"store": logged.store, "number": logged.number, **row, "slips": slips}, ensure_ascii=False)


def read_line(line: str) -> Logged:
    """The trial that `write_line` wrote. Raises LineError, TrialError."""
    try:
        raw = json.loads(line)
    except (ValueError, RecursionError) as error:
        why = error.msg if isinstance(error, json.JSONDecodeError) else "it can't be taken apart"
        raise LineError(f"this is no JSON ({why}); the line may be cut short") from None
    if not isinstance(raw, dict):
        raise LineError("found no trial; a line is one object {...}")
    fields = {name: _field(raw, name) for name in _NAMES if name != "id"}
    store, number = _asked(raw, "store", str), _asked(raw, "number", int)
    if not store or not 0 < number < 2**63:
        raise LineError("`store` is empty or `number` is not from 1 on; these two tell trials apart")
    slips = _asked(raw, "slips", list)
    return Logged(store, number, Trial(**fields), tuple(_moment(at, "slips") for at in slips))


def _field(raw: Mapping[str, Any], name: str) -> Any:
    if name == "at_utc":
        return _moment(_asked(raw, name, str), name)
    if name == "helps":
        helps = _asked(raw, name, list)
        if not all(isinstance(one, str) for one in helps):
            raise LineError("`helps` holds something else than words")
        return tuple(helps)
    none = (NoneType,) if name in _MAY_BE_NULL else ()
    if name in _COUNTS:
        return _asked(raw, name, int)
    if name in _NUMBERS:
        value = _asked(raw, name, int, float, *none)
        return value if value is None else float(value)
    return _asked(raw, name, str, *none)


def _asked(raw: Mapping[str, Any], name: str, *kinds: type) -> Any:
    if name not in raw:
        raise LineError(f"`{name}` is missing")
    value = raw[name]
    if isinstance(value, bool) or not isinstance(value, kinds):
        raise LineError(f"`{name}` is {str(value)[:40]!r}, not {_WORDS[kinds[0]]}")
    return value


_WORDS = {str: "text", int: "a number", list: "a list"}


def _moment(text: object, name: str) -> datetime:
    try:
        moment = datetime.fromisoformat(str(text))
        if moment.tzinfo is not None:
            return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise LineError(f"`{name}` is {str(text)[:40]!r}, not a moment such as '2027-03-01T18:00:00+00:00'")


def _plain(text: str) -> str:
    """The text with what no UTF-8 can hold (half surrogates from a terminal) written out."""
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode("utf-8")
