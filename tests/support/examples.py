"""Number of examples of a property test, multiplied by the variable WALLWRIGHT_EXAMPLES."""

import os

FACTOR = max(1, int(os.environ.get("WALLWRIGHT_EXAMPLES", "1")))


def examples(usual: int) -> int:
    """Returns `usual` times the variable, which defaults to 1."""
    return usual * FACTOR
