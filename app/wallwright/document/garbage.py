"""The cyclic garbage collector, held back during work that makes many objects and few cycles."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collection_paused() -> Iterator[None]:
    """No cyclic collection inside. Each of them goes through all objects alive, a hundred thousand shapes of a large drawing
    among them, and finds next to nothing."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()
