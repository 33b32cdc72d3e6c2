"""`keyfarer keys`: what can be done in the terminal app, with its keys, and other keys for it, in lines of text."""

import click

from trainer import places
from trainer.commands.words import width, wrapped


def run_keys(id: str | None, key: str | None, usual: bool) -> int:
    """Tell all actions, or one; give it a key, or its usual one. Raises KeysError."""
    from trainer.screens.actions import ACTIONS, SCREENS, Action
    from trainer.screens.own_keys import EXPECTED, KeysError, acted_on, keys_told, load_keys, read_key, save_keys

    file = places.keys_file()
    keys = load_keys(file)
    if id is not None and key is not None:
        named = read_key(key)
        if named is None:
            raise KeysError(f"{key!r} is no key; expected {EXPECTED}")
        keys = save_keys(file, {**keys, id: named})
    elif usual:
        keys = save_keys(file, {one: its for one, its in keys.items() if id is not None and one != id})
    actions = acted_on(keys)
    known = [action.id for action in ACTIONS]
    if id is not None and id not in known:
        acted_on({id: ""})  # says which there are

    def told(action: Action) -> list[str]:
        screens = [SCREENS[screen].lower() for screen in action.screens]
        where = "everywhere" if len(screens) == len(SCREENS) else ", ".join(screens)
        words = f"{action.id}: {action.shown}. {keys_told(action.about, actions)} On: {where}."
        return wrapped(words, width(), later="  ")

    lines = [line for action in actions if id in (None, action.id) for line in told(action)]
    click.echo("\n".join(lines))
    return 0
