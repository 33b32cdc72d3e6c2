"""The search as plain Python in a folder of its own, whether or not the package's is compiled.

Copies the trellis and the three files that import it, under another package's name; everything else, the
values of a reading included, is the package's own, so that readings of both can be compared.
"""

import importlib
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

import trainer.reading
from trainer.reading.trellis import cheapest, nodes, shares, steps, weights

PACKAGE = "plain_copy_of_reading"
READING = Path(trainer.reading.__file__).parent
COMPILED: tuple[ModuleType, ...] = (weights, steps, nodes, cheapest, shares)
"""The modules that are compiled where a compiler is."""
IMPORTERS = ("search.py", "homes.py", "analysis.py")
"""The modules outside the trellis that import it, or one another."""
MOVED = ("trainer.reading.trellis", "trainer.reading.search", "trainer.reading.homes")
"""What is imported from the copy in the copy."""


def _copy(source: Path, target: Path) -> None:
    text = source.read_text(encoding="utf-8")
    for name in MOVED:
        text = text.replace(name, name.replace("trainer.reading", PACKAGE))
    target.write_text(text, encoding="utf-8")


@contextmanager
def plain_reading(folder: Path) -> Iterator[dict[str, ModuleType]]:
    """The copy's modules by name (`analysis`, `search`, `trellis.shares`); they are gone again afterwards."""
    package = folder / PACKAGE
    (package / "trellis").mkdir(parents=True)
    (package / "__init__.py").write_text("", encoding="utf-8")
    for name in IMPORTERS:
        _copy(READING / name, package / name)
    for path in sorted((READING / "trellis").glob("*.py")):
        _copy(path, package / "trellis" / path.name)
    sys.path.insert(0, str(folder))
    importlib.invalidate_caches()
    try:
        names = (
            "analysis",
            "search",
            "homes",
            *(f"trellis.{path.stem}" for path in (package / "trellis").glob("[a-z]*.py")),
        )
        modules = {name: importlib.import_module(f"{PACKAGE}.{name}") for name in names}
        for name, module in modules.items():
            assert module.__file__ is not None
            assert module.__file__.endswith(".py"), f"{name} is no plain Python: {module.__file__}"
        yield modules
    finally:
        sys.path.remove(str(folder))
        for name in [name for name in sys.modules if name.split(".")[0] == PACKAGE]:
            del sys.modules[name]
