"""How many examples a property test tries: so many in every run, more by the variable WALLWRIGHT_EXAMPLES."""

import os

FACTOR = max(1, int(os.environ.get("WALLWRIGHT_EXAMPLES", "1")))


def examples(usual: int) -> int:
    """So many times the variable's number, 1 where it is not set."""
    return usual * FACTOR
