"""How far a fill has come: what fills are given to tell it by, and to be stopped by."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[float], None]
"""Takes the share done, 0 to 1; what it raises ends the fill."""


def no_progress(done: float) -> None:
    """For whoever does not wait."""
