"""Parallel work in parts, with a result that does not depend on the number of cores."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from typing import TypeVar

Part = TypeVar("Part")
Result = TypeVar("Result")
MOST_THREADS = 4
"""Largest number of threads: more would wait for memory, and each holds a part's arrays."""


def in_parts(
    work: Callable[[Part], Result],
    parts: Sequence[Part],
    progress: Callable[[float], None] = lambda done: None,
) -> list[Result]:
    """Returns the result of work for each part, in order.

    Useful where work spends its time in numpy, scipy or compiled loops, which release the GIL. progress is called in this
    thread; an exception from it ends the work after the parts already begun.
    """
    results: list[Result] = []
    pool = ThreadPoolExecutor(min(MOST_THREADS, os.cpu_count() or 1))
    try:
        for result in pool.map(work, parts):
            results.append(result)
            progress(len(results) / len(parts))
    finally:
        pool.shutdown(cancel_futures=True)
    return results


CHECK_INTERVAL_S = 0.05
"""Interval between checks for cancellation while long parts run, s."""


class _Stopped(Exception):
    """Ends a part whose result is no longer needed."""


def in_long_parts(
    work: Callable[[Part, Callable[[float], None]], Result],
    parts: Sequence[Part],
    costs: Sequence[float],
    progress: Callable[[float], None] = lambda done: None,
) -> list[Result]:
    """Like in_parts, for a few long parts; work also takes a function to report its progress to.

    The parts of the highest cost, in any unit, begin first. progress is called in this thread; an exception from it or from
    a part ends every other part at its next report.
    """
    if len(parts) == 1:
        return [work(parts[0], progress)]
    done = [0.0] * len(parts)
    is_over = threading.Event()

    def run(number: int) -> Result:
        def report(share: float) -> None:
            if is_over.is_set():
                raise _Stopped
            done[number] = share

        return work(parts[number], report)

    total = max(sum(costs), 1e-300)
    order = sorted(range(len(parts)), key=lambda number: -costs[number])
    pool = ThreadPoolExecutor(min(MOST_THREADS, os.cpu_count() or 1))
    try:
        futures = {number: pool.submit(run, number) for number in order}
        unfinished = set(futures.values())
        while unfinished:
            finished, unfinished = wait(unfinished, CHECK_INTERVAL_S, FIRST_EXCEPTION)
            for future in finished:
                future.result()
            progress(min(sum(cost * share for cost, share in zip(costs, done, strict=True)) / total, 1.0))
        return [futures[number].result() for number in range(len(parts))]
    finally:
        is_over.set()
        pool.shutdown(cancel_futures=True)


def share_of(
    progress: Callable[[float], None], number: int, count: int, first: float = 0.0, last: float = 1.0
) -> Callable[[float], None]:
    """Returns the progress function of part `number` of count equal parts, which together cover first to last."""
    return lambda done: progress(first + (last - first) * (number + done) / count)
