"""The words of `keyfarer words` on the command line; what they do is imported when it is asked for."""

from pathlib import Path

import click

from trainer.commands.asked import KEY, WORD
from trainer.commands.examples import examples


@click.command(
    epilog=examples(
        "keyfarer words", "keyfarer words guide tones", "keyfarer words backdoor --hear --key Bb",
        "keyfarer words drop-2 --to drop-2.wav",
    )
)  # fmt: skip
@click.argument("words", nargs=-1, type=WORD, metavar="[WORD]")
@click.option("--hear", is_flag=True, help="Play its example.")
@click.option("--to", type=click.Path(path_type=Path), metavar="PATH", help="Write it as .wav, .flac or .mid.")
@click.option("--key", type=KEY, metavar="KEY", help="The example in this key; C if not given.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object.")
def words(words: tuple[str, ...], hear: bool, to: Path | None, key: str | None, as_json: bool) -> int:
    """List the words of the trade, or tell one and let you hear it."""
    from trainer.commands.told_words import run_words

    return run_words(words, hear, to, key, as_json)
