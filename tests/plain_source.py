"""A module from its Python source, where it is compiled too."""

import importlib.util
from pathlib import Path
from types import ModuleType


def plain(module: ModuleType) -> ModuleType:
    """The same module run as plain Python, beside the one that is imported."""
    name = module.__name__.rpartition(".")[2]
    source = Path(str(module.__file__)).with_name(f"{name}.py")
    found = importlib.util.spec_from_file_location(f"plain_{name}", source)
    assert found is not None
    assert found.loader is not None
    made = importlib.util.module_from_spec(found)
    found.loader.exec_module(made)
    return made
