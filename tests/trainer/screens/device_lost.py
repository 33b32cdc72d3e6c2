"""A drill in a real terminal while the sound server goes and comes: run by test_device_loss.py with a virtual server.

Writes what the screen said at each step, and what the loudspeaker gave once the server was there again.
"""

import json
import sys
import time
from pathlib import Path

from tests.synth.devices import server
from tests.trainer.commands.played_aloud import recorded
from tests.trainer.screens.terminal import Terminal
from trainer.memory.store import open_store


def main(folder: Path) -> int:
    """A question, the server gone in its middle, an answer without sound, the server back, a question heard again."""
    (folder / "home").mkdir()
    (folder / "home" / "settings.toml").write_text("level_set = true\n", encoding="utf-8")
    terminal = Terminal(folder, 80, 24, "drill --type major-two-five-one --kind name-functions --rung 1 --count 3")
    screens = {}
    try:
        terminal.shows("Question 1 of 3")
        screens["before"] = terminal.screen
        server("kill")
        time.sleep(1.0)
        terminal.press("F2")
        screens["gone"] = terminal.shows("no sound")
        terminal.press("1")
        screens["answered"] = terminal.shows(": the answer")
        server("start")
        terminal.press("Enter")
        terminal.shows("Question 2 of 3")
        with recorded(folder / "after.raw"):
            terminal.press("F2")
            screens["back"] = terminal.shows("the sound is back")
            time.sleep(4.0)
        terminal.press("1")
        terminal.shows(": the answer")
        terminal.press("Escape")
        screens["end"] = terminal.shows("What it came to")
        terminal.press("q")
        terminal.shows("left with 0")
    finally:
        screens["last"] = terminal.screen
        (folder / "screens.json").write_text(json.dumps(screens), encoding="utf-8")
        terminal.close()
    with open_store(folder / "home" / "memory.db") as store:
        (folder / "trials.txt").write_text(f"{len(list(store.trials()))}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
