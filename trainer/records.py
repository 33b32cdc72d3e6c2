"""Frozen dataclasses that cost a start little.

`@dataclass(frozen=True, slots=True)` of the standard library writes and compiles six methods for each class,
half a millisecond each time the program starts; a hundred classes are more than the interpreter itself takes.
Here the constructor alone is compiled, and the other methods are shared: a fifth of the time, with the same
fields, the same comparing, and the same words.  What asks for more goes to the standard library.
"""

import dataclasses
from dataclasses import MISSING, FrozenInstanceError
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(**asked: Any) -> Any:
        """Return what makes a class a dataclass, as `dataclasses.dataclass` does."""
        return _frozen if asked == {"frozen": True, "slots": True} else dataclasses.dataclass(**asked)


def _frozen(written: type) -> type:
    made: Any = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(written)
    fields = dataclasses.fields(made)
    made.__init__ = _constructor(made, fields)
    made._compared = _values([field.name for field in fields if field.compare])
    made._hashed = _values(
        [field.name for field in fields if (field.compare if field.hash is None else field.hash)]
    )
    for method in (_eq, _hash, _repr, _setattr, _delattr, _getstate, _setstate):
        name = f"__{method.__name__[1:]}__"
        if name not in written.__dict__:
            setattr(made, name, method)
    frozen: type = made
    return frozen


def _values(names: list[str]) -> Any:
    """Return what gives an object's values of some fields, to be compared."""
    return attrgetter(*names) if names else staticmethod(_nothing)


def _nothing(_: object) -> tuple[()]:
    return ()


def _constructor(made: type, fields: tuple[Any, ...]) -> Any:
    """Compile `__init__` for a class with these fields."""
    known: dict[str, Any] = {"_set": object.__setattr__, "_missing": MISSING}
    heads, body, last = ["self"], [], False
    for field in fields:
        name = field.name
        value = name
        if field.default is not MISSING:
            known[f"_{name}"] = field.default
            default = f"=_{name}"
        elif field.default_factory is not MISSING:
            known[f"_{name}"] = field.default_factory
            default = "=_missing"
            value = f"_{name}() if {name} is _missing else {name}" if field.init else f"_{name}()"
        else:
            default = ""
        if not field.init and not default:
            continue
        if field.init:
            if last and not default:
                raise TypeError(f"non-default argument {name!r} follows default argument")
            last = bool(default)
            heads.append(name + default)
        elif default and field.default is not MISSING:
            value = f"_{name}"
        body.append(f" _set(self,{name!r},{value})")
    if hasattr(made, "__post_init__"):
        body.append(" self.__post_init__()")
    exec(f"def __init__({','.join(heads)}):\n" + ("\n".join(body) or " pass"), known)
    constructor = known["__init__"]
    constructor.__qualname__ = f"{made.__qualname__}.__init__"
    return constructor


def _eq(self: Any, other: Any) -> Any:
    return self._compared(self) == self._compared(other) if other.__class__ is self.__class__ else NotImplemented


def _hash(self: Any) -> int:
    return hash((self._hashed(self),))


def _repr(self: Any) -> str:
    shown = (f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self) if field.repr)
    return f"{self.__class__.__qualname__}({', '.join(shown)})"


def _setattr(self: Any, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _getstate(self: Any) -> list[Any]:
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _setstate(self: Any, state: list[Any]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)
