"""The player's own keys: which action has another key than the registry's, read, checked and kept.

The file is a small TOML table, an action's name and its key as players write it (`again = "F10"`, `louder = "Ctrl+U"`).
It is only read here and written by `save_keys`, which refuses to touch a file it can't read.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from trainer.errors import KeyfarerError
from trainer.screens.actions import ACTIONS, LISTED, SCREENS, TYPED_ON, Action, shown_key

Keys = Mapping[str, str]
"""For the id of each action that the player moved, its key as Textual names it."""

NO_KEYS: Keys = MappingProxyType({})
NAMED = {
    "space": "space", "enter": "enter", "esc": "escape", "escape": "escape", "tab": "tab", "up": "up", "down": "down",
    "left": "left", "right": "right", "pgup": "pageup", "pageup": "pageup", "pgdn": "pagedown", "pagedown": "pagedown",
    "home": "home", "end": "end", "ins": "insert", "insert": "insert", "del": "delete", "delete": "delete",
    "backspace": "backspace", **{f"f{n}": f"f{n}" for n in range(1, 25)},
}  # fmt: skip
"""Keys that go by a name, as players write them, and as Textual names them."""
UNTYPED = frozenset({"escape", "pageup", "pagedown", *(f"f{n}" for n in range(1, 25))})
"""Keys that a line which is typed on leaves alone, beside those with Ctrl that it has no use for."""
LIST_KEYS = frozenset({"up", "down", "left", "right", "pageup", "pagedown", "home", "end", "enter"})
"""Keys that a list takes."""
FIXED = ("leave_now",)
"""Actions that keep their key: there must always be a way out."""
EXPECTED = "a sign, a key such as F10, Space, Left or PgDn, or one of these behind Ctrl+"
"""What a key may be."""


class KeysError(KeyfarerError):
    """Keys that can't be read, or that would mean two things; the file is left as it is."""


def read_key(text: str) -> str | None:
    """A key as Textual names it, from how a player writes it; None where it is none."""
    from textual.keys import _character_to_key  # what a sign is called is Textual's to say

    held, plus, key = text.strip().rpartition("+")
    if not key:  # the sign + itself, alone or held with Ctrl
        held, key = held.rstrip("+"), "+" if plus else ""
    named = NAMED.get(key.casefold())
    if named is None:
        if len(key) != 1 or not key.isprintable() or key.isspace():
            return None
        named = _character_to_key(key.lower())
    before = held.strip().casefold()
    if not before:
        return named
    return f"ctrl+{named}" if before == "ctrl" and (len(named) == 1 or named in NAMED.values()) else None


def acted_on(keys: Keys) -> tuple[Action, ...]:
    """All actions, each with the player's key where there is one. Raises KeysError with every fault."""
    faults = list(_faults(keys))
    if faults:
        raise KeysError("\n".join(faults))
    return tuple(
        replace(action, key=keys[action.id], shown=shown_key(keys[action.id])) if action.id in keys else action
        for action in ACTIONS
    )


def keys_told(words: str, actions: Iterable[Action]) -> str:
    """Words for the player, with the key of an action in the place of its name in braces."""
    if "{" not in words:
        return words
    return words.format_map({action.id: action.shown for action in actions})


def _faults(keys: Keys) -> Iterable[str]:
    if not keys:
        return
    from difflib import get_close_matches

    known = {action.id: action for action in ACTIONS}
    for id in keys:
        if id not in known:
            near = get_close_matches(id, known, n=3)
            yield f"there is no action {id!r}; " + (f"did you mean {' or '.join(near)}?" if near else _all(known))
        elif id in FIXED:
            yield f"{id} keeps its key, {known[id].shown}: it is the way out from anywhere"
    for screen, title in SCREENS.items():
        taken: dict[str, Action] = {}
        for action in ACTIONS:
            if screen not in action.screens:
                continue
            key = keys.get(action.id, action.key)
            if action.id in keys and screen in TYPED_ON and _typed(key):
                yield f"{action.id}: {shown_key(key)} is needed for typing on the screen {title!r}; take an F key"
            if action.id in keys and screen in LISTED and key in LIST_KEYS and key != action.key:
                yield f"{action.id}: {shown_key(key)} moves through the list on the screen {title!r}; take another key"
            other = taken.setdefault(key, action)
            if other is not action and (other.id in keys or action.id in keys):
                yield f"{shown_key(key)} would mean both {other.id} and {action.id} on the screen {title!r}"


def _all(known: Iterable[str]) -> str:
    return f"there are {', '.join(known)}"


def _typed(key: str) -> bool:
    """Whether a line that is typed on takes a key for itself."""
    from textual.binding import Binding
    from textual.widgets import Input

    own = {one for binding in Input.BINDINGS if isinstance(binding, Binding) for one in binding.key.split(",")}
    return key in own or not (key.startswith("ctrl+") or key in UNTYPED)


def keys_text(keys: Keys) -> str:
    """The keys as the file's text; reading it gives the same keys."""
    lines = ["# Keys of your own. Delete a line to have the usual key back."]
    for id, key in keys.items():
        shown = shown_key(key).replace("\\", "\\\\").replace('"', '\\"')
        lines.append(f'{id} = "{shown}"')
    return "\n".join(lines) + "\n"


def read_keys(text: str, file: str) -> Keys:
    """Read the file's text. Raises KeysError with every fault in it."""
    import tomllib  # only who has moved a key waits for it

    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise KeysError(f"{file}: these keys can't be read ({error}); mend the line or move the file away.") from None
    keys: dict[str, str] = {}
    faults = []
    for id, value in values.items():
        key = read_key(value) if isinstance(value, str) else None
        if key is None:
            faults.append(f"{file}: {id} is {value!r}; expected {EXPECTED}, in quotes")
        else:
            keys[id] = key
    faults += [f"{file}: {fault}" for fault in _faults(keys)]
    if faults:
        raise KeysError("\n".join(faults))
    return keys


def load_keys(file: Path) -> Keys:
    """The keys of a file; none where there is no file. Raises KeysError."""
    try:
        text = file.read_text(encoding="utf-8")
    except FileNotFoundError:
        return NO_KEYS
    except UnicodeDecodeError:
        raise KeysError(f"{file}: these keys are not text; mend the file or move it away.") from None
    except OSError as error:
        raise KeysError(f"{file}: these keys can't be read ({error.strerror}).") from None
    return read_keys(text, str(file))


def save_keys(file: Path, keys: Keys) -> Keys:
    """Keep keys, in the file's place as a whole. Raises KeysError and changes nothing if they mean two things."""
    acted_on(keys)
    load_keys(file)
    usual = {action.id: action.key for action in ACTIONS}
    kept = {id: key for id, key in keys.items() if usual[id] != key}
    fresh = file.with_name(file.name + ".new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(keys_text(kept), encoding="utf-8")
        fresh.replace(file)
    except OSError as error:
        raise KeysError(f"{file}: the keys can't be saved ({error.strerror}).") from None
    return kept
