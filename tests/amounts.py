"""How much a test looks at: all of it, or what CI has time for."""

import os

IN_CI = bool(os.environ.get("CI")) and os.environ.get("HYPOTHESIS_PROFILE") != "long"
"""CI has a quarter of an hour; at one's own machine, and with `--long`, everything is looked at."""


def amount(all_of_it: int, in_ci: int) -> int:
    """So many."""
    return in_ci if IN_CI else all_of_it
