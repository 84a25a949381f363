"""Pool of warm worker processes with limits: a job that crashes, hangs or fills memory does not affect others."""

from __future__ import annotations

import contextlib
import math
import multiprocessing
import resource
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

PATIENCE = 12.0
"""Wall-clock limit as a multiple of a job's core seconds: a job that blocks uses no core time, and other work may slow it
down."""


READY = "ready"
"""First message of a worker."""


@dataclass(frozen=True)
class Limits:
    """Limits of a job."""

    core_seconds: float
    megabytes: int
    """Limit of private memory, MB."""


@dataclass(frozen=True)
class Outcome:
    """Outcome of a job."""

    job: Any
    result: Any
    """Result of the work; None on failure."""
    failure: str
    """"" or "timeout", "memory", "crash (signal 11)" and the like."""
    core_seconds: float
    peak_mb: float


class _Worker:
    """A worker process with its current job and start time."""

    def __init__(self, work: Callable[[Any], Any], limits: Limits) -> None:
        context = multiprocessing.get_context("spawn")
        self.connection, other = context.Pipe()
        self.process = context.Process(target=_serve, args=(other, work, limits), daemon=True)
        self.process.start()
        other.close()
        self.job: Any = None
        self.is_ready = False
        self.since = math.inf

    def give(self, job: Any) -> None:
        self.job, self.since = job, time.monotonic() if self.is_ready else math.inf
        with contextlib.suppress(OSError):  # it has died, which is detected when waiting for its answer
            self.connection.send(job)

    def begin(self) -> None:
        """Notes that the process has started its first job."""
        self.is_ready, self.since = True, time.monotonic()

    def end(self) -> int:
        """Ends the process; returns its exit code."""
        self.connection.close()
        self.process.join(0.5)
        if self.process.is_alive():
            self.process.kill()
        self.process.join()
        return self.process.exitcode or 0


def run_jobs(jobs: Iterable[Any], work: Callable[[Any], Any], limits: Limits, workers: int = 2) -> Iterator[Outcome]:
    """Yields the outcomes of jobs as they end. work: a module-level function, run in the workers."""
    queue, pool = iter(jobs), [_Worker(work, limits) for _ in range(workers)]
    try:
        for worker in pool:
            _next(worker, queue)
        while any(w.job is not None for w in pool):
            ready = wait([w.connection for w in pool if w.job is not None], timeout=1.0)
            for number, worker in enumerate(pool):
                if worker.job is None:
                    continue
                outcome = None
                if worker.connection in ready:
                    outcome = _received(worker)
                elif time.monotonic() - worker.since > PATIENCE * limits.core_seconds:
                    worker.process.kill()
                    outcome = Outcome(worker.job, None, "timeout", limits.core_seconds, 0.0)
                if outcome is None:
                    continue
                if outcome.result is None:  # replace a process after a failure
                    worker.end()
                    worker = pool[number] = _Worker(work, limits)
                else:
                    worker.job = None
                yield outcome
                _next(worker, queue)
    finally:
        for worker in pool:
            worker.end()


def _next(worker: _Worker, queue: Iterator[Any]) -> None:
    job = next(queue, None)
    if job is not None:
        worker.give(job)


def _received(worker: _Worker) -> Outcome | None:
    try:
        message = worker.connection.recv()
        if message != READY:
            return Outcome(worker.job, *message)
        worker.begin()
        return None
    except (EOFError, OSError):
        worker.process.join()
        code = worker.process.exitcode or 0
        is_late = code == -24  # SIGXCPU
        failure = "timeout" if is_late else f"crash (signal {-code})" if code < 0 else f"crash (exit code {code})"
        return Outcome(worker.job, None, failure, 0.0, 0.0)


def _serve(connection: Connection, work: Callable[[Any], Any], limits: Limits) -> None:
    """Main function of a worker."""
    most = limits.megabytes * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_DATA, (most, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    connection.send(READY)
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        while True:
            job = connection.recv()
            _forget_peak()
            start = time.process_time()
            # Ends the process, even inside a compiled loop that never returns to Python.
            hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
            resource.setrlimit(resource.RLIMIT_CPU, (int(start + limits.core_seconds) + 1, hard))
            try:
                result, failure = work(job), ""
            except MemoryError:
                result, failure = None, "memory"
            connection.send((result, failure, time.process_time() - start, _peak_mb()))


def _forget_peak() -> None:
    """Resets the peak memory counter (Linux: proc(5), clear_refs)."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak_mb() -> float:
    """Returns the peak memory since _forget_peak, MB; where unsupported, since the process began."""
    try:
        status = Path("/proc/self/status").read_text()
        line = next(line for line in status.splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    except (OSError, StopIteration):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
