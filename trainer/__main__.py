"""Where `keyfarer` and `python -m trainer` begin."""

import sys


def main() -> int:
    """Run the command line; returns the exit code."""
    from trainer.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
