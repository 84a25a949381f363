"""Progress callbacks of fills, through which they can also be cancelled."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[float], None]
"""Receives the share done, 0 to 1; an exception it raises ends the fill."""


def no_progress(done: float) -> None:
    """Ignore the progress."""
