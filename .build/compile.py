"""Compiles the inner parts of search, memory and synthesizer while the package is built, where a C compiler is.

Without one the same files run as plain Python, or arrays take their place: slower, with the same readings and sound.
"""

import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

COMPILED = {
    "trainer/reading/trellis": ("weights", "steps", "nodes", "cheapest", "shares"),
    "synth/powers": ("loops",),
    "trainer/memory": ("growing", "tallies", "derive_newest"),
}
"""Modules by the package that they lie in."""


class CompileHook(BuildHookInterface):  # type: ignore[type-arg]
    """Runs for wheels and for editable installs."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile, and hand what came of it to the wheel; an editable install gets it beside the source."""
        root = Path(self.root)
        self.scratch = Path(tempfile.mkdtemp(prefix="keyfarer-build-"))
        try:
            made = _compiled(root, self.scratch)
        except (Exception, SystemExit) as error:  # whatever a missing or broken compiler may raise
            print(f"keyfarer: not compiled ({type(error).__name__}: {error}); it runs as plain Python", file=sys.stderr)
            return
        for place, built in made.items():
            if version == "editable":
                shutil.copy2(built, root / place)
            else:
                build_data["force_include"][str(built)] = place
        if version != "editable":
            build_data["pure_python"] = False
            build_data["infer_tag"] = True

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Throw the scratch folder away."""
        shutil.rmtree(self.scratch, ignore_errors=True)


def _compiled(root: Path, scratch: Path) -> dict[str, Path]:
    """Where each compiled module belongs, and where it lies now."""
    from Cython.Build import cythonize
    from setuptools import Distribution, Extension
    from setuptools.command.build_ext import build_ext

    there = scratch / "source"
    optimize = [] if sys.platform == "win32" else ["-O3", "-g0", "-ffp-contract=off"]
    extensions = []
    for package, names in COMPILED.items():
        for folder in list(Path(package).parents)[:-1]:
            (there / folder).mkdir(parents=True, exist_ok=True)
            (there / folder / "__init__.py").touch()
        shutil.copytree(root / package, there / package, ignore=shutil.ignore_patterns("*.so", "*.pyd", "__pycache__"))
        extensions += [
            Extension(f"{package}/{name}".replace("/", "."), [f"{package}/{name}.py"], extra_compile_args=optimize)
            for name in names
        ]
    before = os.getcwd()
    os.chdir(there)
    try:
        modules = cythonize(extensions, language_level=3, quiet=True, build_dir="c", show_all_warnings=False)
        command = build_ext(Distribution({"name": "keyfarer", "ext_modules": modules}))
        command.build_lib, command.build_temp = str(scratch / "lib"), str(scratch / "temp")
        command.ensure_finalized()
        command.parallel = os.cpu_count()
        command.run()
        places = [Path(command.get_ext_fullpath(extension.name)) for extension in modules]
    finally:
        os.chdir(before)
    return {str(place.relative_to(scratch / "lib")): place for place in places}
