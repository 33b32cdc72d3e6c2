"""Files that appear under their name only when they are complete."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from synth.errors import SoundError


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """Yield a path beside the wanted one to write to; it takes the wanted name at the end.

    If writing fails, nothing is left behind and a file of that name stays as it was; what the
    system says against writing becomes a SoundError.
    """
    beside = path.with_name(f".{os.urandom(8).hex()}{path.suffix}")
    try:
        yield beside
        os.replace(beside, path)
    except OSError as error:
        raise SoundError(f"{path}: can't be written: {error.strerror or error}") from error
    finally:
        beside.unlink(missing_ok=True)
