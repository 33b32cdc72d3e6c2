"""What a player gets: the packages as installed, with their data and their one command.

In a clone this looks at the editable install; .ci/run has it look at the built wheel, with the
source folders out of the way.
"""

import re
import shutil
import subprocess
import sysconfig
from importlib.metadata import distribution, version
from importlib.resources import files

import pytest

from tests.house.sources import PACKAGES, modules


def keyfarer(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the installed command."""
    found = shutil.which("keyfarer", path=sysconfig.get_path("scripts"))
    assert found is not None, "the install made no keyfarer command"
    command = (found, *arguments)
    return subprocess.run(command, capture_output=True, encoding="utf-8", timeout=120, check=False)


def test_the_licence_ships_in_the_package() -> None:
    """The licence's text is where the metadata says, and in trainer/."""
    assert "MIT License" in files("trainer").joinpath("LICENSE").read_text(encoding="utf-8")
    assert distribution("keyfarer").metadata["License-Expression"] == "MIT"


@pytest.mark.parametrize("package", PACKAGES)
def test_types_ship_with_the_packages(package: str) -> None:
    """Each package says that its annotations are for use (PEP 561)."""
    assert files(package).joinpath("py.typed").is_file()


def test_data_ship_with_the_packages() -> None:
    """The exercise tunes, and the course and migrations once there, are data of the installed packages."""
    tunes = [path.name for path in files("exercises").joinpath("tunes").iterdir()]
    assert any(name.endswith(".chart") for name in tunes)
    if "trainer.memory.store" in modules():
        migrations = [path.name for path in files("trainer.memory").joinpath("migrations").iterdir()]
        assert any(name.endswith(".sql") for name in migrations)


def test_the_command_tells_its_version() -> None:
    """`keyfarer --version` prints the version of the distribution."""
    done = keyfarer("--version")
    assert (0, "") == (done.returncode, done.stderr)
    assert [version("keyfarer")] == re.findall(r"\d+\.\d+\S*", done.stdout)


def test_an_unknown_command_is_refused() -> None:
    """A word that is no command gives exit 2 and a line on stderr, nothing on stdout."""
    done = keyfarer("sing-it-for-me")
    assert (2, "") == (done.returncode, done.stdout)
    assert "sing-it-for-me" in done.stderr
