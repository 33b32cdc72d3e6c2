"""Which sound devices there are, by the names that they can be asked for.

Looking takes a while and may hang, so it has a limit; what goes wrong is a SoundError with the mend.
"""

from collections.abc import Callable
from typing import Final, TypeVar

from synth.errors import SoundError
from synth.outputs.feed import Feed
from synth.outputs.limits import Hanging, within
from synth.outputs.portaudio import output_names
from synth.outputs.search import WAYS, Search
from synth.outputs.sink import NoSink

LIMIT_S: Final = 6.0

Found = TypeVar("Found")


def devices_out(anew: bool = False) -> tuple[str, ...]:
    """Return the devices that sound can go to, each once; raises SoundError.

    anew: also those that came since the library was loaded.  What plays is ended by that, so close it before;
    a microphone goes on, and then nothing new is seen.
    """
    return _asked(lambda: tuple(dict.fromkeys(output_names(anew))))


def try_device(name: str) -> str:
    """Open a device for a moment, the system's own for no name; return what it is called.  Raises SoundError."""

    def opened() -> str:
        sink = Search(WAYS, name or None).exactly(Feed(48_000), others_stay=False)
        sink.close()
        return sink.name

    return _asked(opened)


def _asked(look: Callable[[], Found]) -> Found:
    try:
        return within(LIMIT_S, look)
    except Hanging as hanging:
        raise SoundError(f"the sound system hangs ({hanging}); mend: restart the sound server") from hanging
    except NoSink as failure:
        raise SoundError(f"{failure.reason}; mend: {failure.mend}") from failure
