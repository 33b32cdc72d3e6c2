"""Where `keyfarer` and `python -m trainer` begin and end."""

import gc
import sys

SELDOM = 100_000
"""New objects before the collector looks for cycles: a start makes many and drops few."""


def main() -> int:
    """Run the command line; returns the exit code."""
    gc.set_threshold(SELDOM)
    from trainer.cli import run

    code = run(sys.argv[1:])
    gc.freeze()  # what is left goes with the process and need not be searched for cycles first
    return code


if __name__ == "__main__":
    sys.exit(main())
