"""The program's door: `keyfarer`, or `python -m trainer`."""

import sys


def main() -> None:
    """Run the command line and leave with its exit code."""
    from trainer.cli import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
