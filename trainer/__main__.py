"""Where `keyfarer` and `python -m trainer` begin and end."""

import gc
import sys

SELDOM = 100_000
"""New objects before the collector looks for cycles: a start makes many and drops few."""


def main() -> int:
    """Run the command line; returns the exit code."""
    gc.set_threshold(SELDOM)
    code = _run(sys.argv[1:])
    gc.freeze()  # what is left goes with the process and need not be searched for cycles first
    return code


def _run(arguments: list[str]) -> int:
    """The app alone needs no words of the command line, and its first paint waits for none."""
    if not arguments:
        from trainer.terminal import can_draw

        if can_draw():
            from trainer.commands.start import started

            return started()
    from trainer.cli import run

    return run(arguments)


if __name__ == "__main__":
    sys.exit(main())
