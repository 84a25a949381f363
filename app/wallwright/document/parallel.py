"""Work in parts on all cores, with a result that does not depend on how many there are."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Part = TypeVar("Part")
Result = TypeVar("Result")
MOST = 4
"""Threads: more would wait for memory, and each holds a part's arrays."""


def in_parts(
    work: Callable[[Part], Result],
    parts: Sequence[Part],
    progress: Callable[[float], None] = lambda done: None,
) -> list[Result]:
    """What work makes of each part, in their order.

    Worth it where work spends its time in numpy, scipy or compiled loops, which let other threads run. progress is called
    in this thread; what it raises ends the work after the parts already begun.
    """
    results: list[Result] = []
    pool = ThreadPoolExecutor(min(MOST, os.cpu_count() or 1))
    try:
        for result in pool.map(work, parts):
            results.append(result)
            progress(len(results) / len(parts))
    finally:
        pool.shutdown(cancel_futures=True)
    return results


def share_of(
    progress: Callable[[float], None], number: int, count: int, first: float = 0.0, last: float = 1.0
) -> Callable[[float], None]:
    """Progress of part `number` of so many equal parts, which together take the whole from one share to another."""
    return lambda done: progress(first + (last - first) * (number + done) / count)
