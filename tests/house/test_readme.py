"""README.md tells players what there is."""

from tests.house.sources import ROOT
from trainer.commands.handles import BY_KEY, HANDLES
from trainer.settings_told import TOLD, Told, default_of, told_allowed, told_value


def test_the_readme_tells_every_key_and_word() -> None:
    """The player's book has each key and each word of the table."""
    told = (ROOT / "README.md").read_text(encoding="utf-8")
    table = told[told.index("| key | word |") : told.index("The words are for pipes")]
    words = {
        row.word.replace("N-N", "5-8").replace("bar N", "bar 12").replace("tempo N", "tempo 96") for row in HANDLES
    }
    assert words <= set(table.split("`"))
    assert {key for key in BY_KEY if len(key) == 1} <= set(table.split("`"))
    assert all(name in table for name in ("space", "left, right arrow", "up, down arrow"))


def line_of(row: Told) -> str:
    """A setting's line: name, what it is called, what it usually is, what it means and may be."""
    usual = told_value(row.name, default_of(row.name))
    return f"- `{row.name}`, {row.called} ({usual}): {row.about} It may be {told_allowed(row.name)}."


def test_the_readme_tells_every_setting() -> None:
    """The player's book has a line for each setting, as the screen and `keyfarer settings` tell it."""
    told = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    assert [] == [line for line in map(line_of, TOLD.values()) if line not in told]
