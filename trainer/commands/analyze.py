"""`keyfarer analyze`: charts read, as text for players or JSON for programs."""

import json
import sys
from collections.abc import Sequence

from trainer.charts.library import find_charts, load
from trainer.charts.pins import parse_pin_option
from trainer.charts.unfold import unfold
from trainer.commands.reading_text import reading_lines
from trainer.errors import TextError
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json

BAD_INPUT = 2


def run_analyze(arguments: Sequence[str], as_json: bool, why: bool, pins: Sequence[str]) -> int:
    """Read every chart that can be read; returns 2 where one could not."""
    placed = [parse_pin_option(pin) for pin in pins]
    sources = find_charts(arguments)
    several = len(sources) > 1
    code = 0
    for number, source in enumerate(sources):
        if isinstance(source, TextError):
            print(_told(source), file=sys.stderr)
            code = BAD_INPUT
            continue
        try:
            chart = load(source)
            reading = analyze(unfold(chart, placed))
        except TextError as error:
            print(_told(error), file=sys.stderr)
            code = BAD_INPUT
            continue
        for remark in chart.remarks:
            print(f"keyfarer: {remark.told(source.name)}", file=sys.stderr)
        if as_json:
            print(json.dumps(analysis_json(reading), ensure_ascii=False, indent=None if several else 1))
        else:
            if number:
                print()
            for line in reading_lines(reading, why):
                print(line)
    return code


def _told(error: TextError) -> str:
    return "\n".join(f"keyfarer: {line}" for line in str(error).splitlines())
