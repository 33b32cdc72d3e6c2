"""A reading as rows of comma-separated values (RFC 4180), one for each chord: the fields of the JSON laid flat.

What is not there is empty, truth is `true` and `false`, the reasons of a chord stand in one field.
"""

import csv
import io
from typing import Any

from trainer.reading.json_form import analysis_json
from trainer.reading.values import Analysis

OF_TUNE = ("file", "title", "home_tonic", "home_mode")
OF_CHORD = (
    "bar", "beat", "beats_exact", "meter", "written_bar", "section", "symbol", "written", "root", "bass",
    "quality", "continues", "pinned", "center_tonic", "center_mode", "numeral", "function", "applied_to",
    "leads_to", "confidence", "why",
)  # fmt: skip
COLUMNS = (*OF_TUNE, *OF_CHORD)
"""Named as in the JSON, `center` and `home` parted into tonic and mode; columns are added at the end, never changed."""


def header_row() -> str:
    """The names of the columns, as the first line."""
    return _written([list(COLUMNS)])


def chord_rows(analysis: Analysis) -> str:
    """A row for each chord, in order."""
    values = analysis_json(analysis)
    home: dict[str, Any] = values["home"] or {}
    of_tune = [values["file"], values["title"], home.get("tonic"), home.get("mode")]
    rows = []
    for chord in values["chords"]:
        center: dict[str, Any] = chord["center"] or {}
        flat = {**chord, "center_tonic": center.get("tonic"), "center_mode": center.get("mode")}
        flat["why"] = " ".join(chord["why"])
        rows.append([*of_tune, *(_field(flat[name]) for name in OF_CHORD)])
    return _written(rows)


def _field(value: Any) -> Any:
    return str(value).lower() if isinstance(value, bool) else value


def _written(rows: list[list[Any]]) -> str:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue()
