"""Questions as plain values and back, so that a file can keep a question for good.

What a field is says how it is written: a fraction as `3/2`, a key as `Eb major`, a chord by its symbol, rows as
lists, a value of several fields as an object. A field that is as its default says is left out, so that a
question which has no use for a new field is read by an older keyfarer too. Writing then reading is the identity.
"""

import dataclasses
import types
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from trainer.drills.question import Question
from trainer.errors import KeyfarerError
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import Numeral, parse_numeral
from trainer.harmony.pitch import HarmonyError
from trainer.harmony.quality import QUALITY, Quality
from trainer.harmony.symbol import ChordSymbol, parse_chord


class ValuesError(KeyfarerError):
    """Plain values that make no question; the message names the field."""


class NewerError(ValuesError):
    """Plain values with a field that this keyfarer doesn't know."""


def _fraction(text: str) -> Fraction:
    if len(text) > 40:
        raise ValueError(text)
    return Fraction(text)


def _quality(id: str) -> Quality:
    return QUALITY[id]


_WORDS: Mapping[type, tuple[Callable[[Any], str], Callable[[str], Any]]] = {
    Fraction: (str, _fraction),
    Key: (lambda key: key.name, parse_key),
    ChordSymbol: (lambda chord: chord.text, parse_chord),
    Numeral: (lambda numeral: numeral.text, parse_numeral),
    Quality: (lambda quality: quality.id, _quality),
}
"""What is one word in a file: how it is written and how it is read."""


def question_values(question: Question) -> dict[str, Any]:
    """A question as values that JSON can hold."""
    written = _written(question, Question, "question")
    assert isinstance(written, dict)
    return written


def question_of(values: object) -> Question:
    """The question that some values make. Raises ValuesError, NewerError for a field that isn't known here."""
    read = _read(values, Question, "question")
    assert isinstance(read, Question)
    return read


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _written(value: Any, hint: Any, where: str) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return None if value is None else _written(value, _only(inner, where), where)
    if origin is tuple:
        return [_written(one, kind, f"{where}[{n}]") for n, (one, kind) in enumerate(_items(value, inner, where))]
    if hint in _WORDS:
        return _WORDS[hint][0](value)
    if origin is Literal or hint in (str, int, float, bool):
        return value
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return {
            field.name: _written(getattr(value, field.name), _hints(hint)[field.name], f"{where}.{field.name}")
            for field in dataclasses.fields(hint)
            if field.default is dataclasses.MISSING or getattr(value, field.name) != field.default
        }
    raise TypeError(f"{where}: no way is known to write {hint!r}")


def _read(value: Any, hint: Any, where: str) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return None if value is None else _read(value, _only(inner, where), where)
    if origin is tuple:
        if not isinstance(value, list):
            raise ValuesError(f"{where}: expected a list, found {_shown(value)}")
        return tuple(_read(one, kind, f"{where}[{n}]") for n, (one, kind) in enumerate(_items(value, inner, where)))
    if origin is Literal:
        if value not in inner:
            raise NewerError(f"{where}: {_shown(value)} is none of {', '.join(map(str, inner))}")
        return value
    if hint in _WORDS:
        return _word(value, hint, where)
    if hint in (str, int, float, bool):
        return _plain(value, hint, where)
    return _object(value, hint, where)


def _only(inner: tuple[Any, ...], where: str) -> Any:
    """The one kind of value that may stand in a field beside None."""
    kinds = [kind for kind in inner if kind is not type(None)]
    if len(kinds) != 1:
        raise TypeError(f"{where}: no way is known to tell {inner!r} apart")
    return kinds[0]


def _items(value: Any, inner: tuple[Any, ...], where: str) -> list[tuple[Any, Any]]:
    if len(inner) == 2 and inner[1] is Ellipsis:
        return [(one, inner[0]) for one in value]
    if len(value) != len(inner):
        raise ValuesError(f"{where}: expected {len(inner)} values, found {len(value)}")
    return list(zip(value, inner, strict=True))


def _word(value: Any, hint: type, where: str) -> Any:
    if not isinstance(value, str):
        raise ValuesError(f"{where}: expected text, found {_shown(value)}")
    try:
        return _WORDS[hint][1](value)
    except (HarmonyError, ValueError, ZeroDivisionError, KeyError):
        raise ValuesError(f"{where}: {_shown(value)} can't be read as a {hint.__name__.lower()}") from None


def _plain(value: Any, hint: type, where: str) -> Any:
    """Text, number or truth; a whole number may stand for any number, truth never for one."""
    if hint is float and type(value) is int:
        return float(value)
    if type(value) is not hint:
        raise ValuesError(f"{where}: expected {hint.__name__}, found {_shown(value)}")
    return value


def _object(value: Any, hint: Any, where: str) -> Any:
    if not dataclasses.is_dataclass(hint) or not isinstance(hint, type):
        raise TypeError(f"{where}: no way is known to read {hint!r}")
    if not isinstance(value, dict):
        raise ValuesError(f"{where}: expected an object, found {_shown(value)}")
    fields = {field.name: field for field in dataclasses.fields(hint)}
    if unknown := sorted(set(value) - set(fields)):
        raise NewerError(f"{where}: {', '.join(unknown)} is not known here")
    missing = [
        name
        for name, field in fields.items()
        if name not in value and field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    ]
    if missing:
        raise ValuesError(f"{where}: {', '.join(missing)} is missing")
    return hint(**{name: _read(one, _hints(hint)[name], f"{where}.{name}") for name, one in value.items()})


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
