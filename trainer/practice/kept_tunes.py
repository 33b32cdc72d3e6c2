"""The player's own charts in one folder: a file a tune, and an index of which are kept and which are learned by ear.

The index is small JSON of schema keyfarer/kept-tunes/1. A chart is never changed by the program once it is
kept; the player may edit it where it lies, and what is read is what lies there.
"""

import json
import os
import re
import unicodedata
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from trainer.errors import KeyfarerError
from trainer.practice.durable import alone_in, put_whole
from trainer.records import dataclass

SCHEMA = "keyfarer/kept-tunes/1"
INDEX = "index.json"
SUFFIX = ".chart"
REMOVED = "removed"
"""The folder that charts go to when they are no longer kept."""
MOST_BYTES_OF_ID = 100
"""File systems take 255 for a name."""
_DEVICES = frozenset({"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(10))})
"""Names that Windows keeps for devices (Microsoft, "Naming Files, Paths, and Namespaces")."""


class KeptError(KeyfarerError):
    """The player's tunes can't be read or kept."""


@dataclass(frozen=True, slots=True)
class KeptTune:
    """One tune of the player's."""

    id: str
    title: str
    """As it was when the chart was added."""
    composer: str = ""
    given_sha256: str = ""
    """Of the file that it was added from."""

    @property
    def file(self) -> str:
        """Its chart's name in the folder."""
        return self.id + SUFFIX


@dataclass(frozen=True, slots=True)
class KeptIndex:
    """What is kept, in the order it was added."""

    tunes: tuple[KeptTune, ...] = ()
    learning: frozenset[str] = frozenset()
    """Ids of the tunes, also of exercise tunes, whose routes the player wants to learn."""

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the kept tunes."""
        return tuple(tune.id for tune in self.tunes)

    def with_tune(self, tune: KeptTune) -> "KeptIndex":
        """The same with a tune in the place of the one of its id, or behind the others."""
        if tune.id not in self.ids:
            return replace(self, tunes=(*self.tunes, tune))
        return replace(self, tunes=tuple(tune if one.id == tune.id else one for one in self.tunes))

    def without(self, ids: Collection[str]) -> "KeptIndex":
        """The same without some tunes."""
        return KeptIndex(tuple(tune for tune in self.tunes if tune.id not in ids), self.learning - frozenset(ids))


def index_text(index: KeptIndex) -> str:
    """The index as its file's text; reading it gives the same index."""
    tunes = [
        {"id": tune.id, "title": tune.title, "composer": tune.composer, "given_sha256": tune.given_sha256}
        for tune in index.tunes
    ]
    values = {"schema": SCHEMA, "tunes": tunes, "learning": sorted(index.learning)}
    return json.dumps(values, ensure_ascii=False, indent=1) + "\n"


def read_index(text: str, file: str) -> KeptIndex:
    """Read the index's text. Raises KeptError, which says how to go on."""
    try:
        values = json.loads(text)
        if values["schema"] != SCHEMA:
            raise _broken(file, f"its schema is {values['schema']!r}; this program knows {SCHEMA!r}")
        index = KeptIndex(tuple(map(_tune, values["tunes"])), frozenset(map(_id, values["learning"])))
    except json.JSONDecodeError as error:
        raise _broken(file, f"line {error.lineno}, column {error.colno}: {error.msg}") from None
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise _broken(file, f"{type(error).__name__} {error}") from None
    if twice := sorted({id for id in index.ids if index.ids.count(id) > 1}):
        raise _broken(file, f"it has {twice[0]!r} twice")
    return index


def _tune(values: dict[str, Any]) -> KeptTune:
    texts = (values["title"], values["composer"], values["given_sha256"])
    if not all(isinstance(text, str) for text in texts):
        raise ValueError(f"in the tune {values['id']!r}: what should be text is none")
    return KeptTune(_id(values["id"]), *texts)


def _id(value: Any) -> str:
    """An id that is safe as a file's name. Raises ValueError."""
    if not isinstance(value, str) or value != id_from(value):
        raise ValueError(f"{value!r} is no tune's id")
    return value


def _broken(file: str, why: str) -> KeptError:
    folder = Path(file).parent
    return KeptError(
        f"{file}: this list of your tunes can't be read ({why}). Nothing was changed.\n"
        f"Mend it; or move it away and take the charts beside it in again: `keyfarer tunes add {folder}`."
    )


def id_from(title: str) -> str:
    """An id made from a title, safe as a file's name everywhere; empty where the title has no letter or digit."""
    plain: list[str] = []
    folded = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", title.casefold()).casefold())
    for sign in folded:
        if unicodedata.combining(sign) and plain and plain[-1].isascii():
            continue  # é is e; marks of other scripts stay, for there they make another letter
        plain.append(sign if sign.isalnum() or unicodedata.combining(sign) else "-" if sign not in "'’" else "")
    text = re.sub("-+", "-", unicodedata.normalize("NFC", "".join(plain))).strip("-")
    while len(text.encode("utf-8", "ignore")) > MOST_BYTES_OF_ID:
        text = text[:-1].rstrip("-")
    text = text.encode("utf-8", "ignore").decode("utf-8")
    return f"{text}-tune" if text in _DEVICES else text


def free_id(names: Iterable[str], taken: Collection[str]) -> str:
    """An id from the first of some names that gives one, with a number where others have it."""
    stem = next((id for id in map(id_from, names) if id), "tune")
    return next(id for id in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if id not in taken)


def load_index(folder: Path) -> KeptIndex:
    """The index of a folder; empty where there is none. Raises KeptError."""
    file = folder / INDEX
    try:
        return read_index(file.read_text(encoding="utf-8"), str(file))
    except FileNotFoundError:
        return KeptIndex()
    except UnicodeDecodeError:
        raise _broken(str(file), "it is no text") from None
    except OSError as error:
        raise KeptError(f"{file}: this list of your tunes can't be read ({error.strerror}).") from None


def change_index(folder: Path, change: Callable[[KeptIndex], KeptIndex]) -> KeptIndex:
    """Change the index while no other program does. Raises KeptError; what `change` raises leaves it as it is."""
    try:
        with alone_in(folder):
            before = load_index(folder)
            after = change(before)
            if after != before:
                put_whole(folder / INDEX, index_text(after).encode("utf-8"))
            return after
    except OSError as error:
        raise KeptError(
            f"{error.filename or folder}: your tunes can't be kept here ({error.strerror or error}). "
            "Make room or give yourself leave to write there; or keep them elsewhere with KEYFARER_HOME."
        ) from None


def marked(folder: Path, ids: Collection[str], learning: bool) -> KeptIndex:
    """Mark tunes as ones to learn, or no longer. Raises KeptError."""

    def change(index: KeptIndex) -> KeptIndex:
        now = index.learning | frozenset(ids) if learning else index.learning - frozenset(ids)
        return replace(index, learning=now)

    return change_index(folder, change)


def removed(folder: Path, ids: Collection[str]) -> tuple[Path, ...]:
    """Keep some tunes no longer; returns where their charts lie now. Raises KeptError."""
    moved: list[Path] = []

    def change(index: KeptIndex) -> KeptIndex:
        for tune in index.tunes:
            if tune.id in ids and (folder / tune.file).exists():
                (folder / REMOVED).mkdir(exist_ok=True)
                taken = {path.name.removesuffix(SUFFIX) for path in (folder / REMOVED).iterdir()}
                moved.append(folder / REMOVED / (free_id((tune.id,), taken) + SUFFIX))
                os.replace(folder / tune.file, moved[-1])
        return index.without(ids)

    change_index(folder, change)
    return tuple(moved)
