"""Tries changed inputs on a reader for a while, and keeps each input that breaks it.

A finding is an exception that is not a sentence for a person, a hang, or too much memory. Every input follows from its
seed: "READER SEED:NUMBER" makes it again.
"""

from __future__ import annotations

import random
import re
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from tests.fuzz.readers import Fuzzed

HANG_S = 10.0
"""Of processor time, for one input."""
MOST_MEMORY_MB = 600
"""What one input may take."""


@dataclass(frozen=True)
class FuzzFinding:
    """An input that broke a reader."""

    seed: str
    data: bytes
    kind: str
    """Alike for the same cause: the error and where it was raised."""
    details: str


class Hang(BaseException):
    """An input took too long. Not an Exception: no reader may take it for one of its own."""


def input_of(reader: Fuzzed, corpus: list[bytes], seed: str) -> bytes:
    """The input of a seed such as "1:2500"."""
    return reader.change(random.Random(seed), corpus, reader.mutations)


def fuzz(
    reader: Fuzzed,
    seed: int,
    seconds: float = float("inf"),
    count: int | None = None,
    found: Callable[[FuzzFinding], None] = lambda finding: None,
) -> int:
    """Tries inputs for a time, or a number of them; how many were tried. found is called with the first of each kind."""
    corpus = list(reader.corpus())
    kinds: set[str] = set()
    started, number = time.monotonic(), 0
    while (count is None or number < count) and time.monotonic() - started < seconds:
        one = f"{seed}:{number}"
        finding = tried(reader, input_of(reader, corpus, one), one)
        if finding is not None and finding.kind not in kinds:
            kinds.add(finding.kind)
            found(finding)
        number += 1
    return number


def tried(reader: Fuzzed, data: bytes, seed: str = "") -> FuzzFinding | None:
    """What one input breaks, if anything."""
    before = _memory("VmRSS")
    _forget_peak()
    try:
        with _time_limit(HANG_S):
            reader.read(data)
    except reader.sentences:
        pass
    except (Exception, Hang) as error:
        where = traceback.extract_tb(error.__traceback__)
        own = [f"{Path(f.filename).name}:{f.name}" for f in where if "/wallwright/" in f.filename] or [where[-1].name]
        return FuzzFinding(seed, data, f"{type(error).__name__} in {own[-1]}", traceback.format_exc())
    taken = _memory("VmHWM") - before
    if taken > MOST_MEMORY_MB:
        return FuzzFinding(seed, data, "memory", f"{taken:.0f} MB")
    return None


@contextmanager
def _time_limit(seconds: float) -> Iterator[None]:
    if not hasattr(signal, "setitimer"):  # Windows: a hang is seen by whoever waits
        yield
        return

    def ring(*what: object) -> None:
        raise Hang(f"longer than {seconds:g} s")

    before = signal.signal(signal.SIGVTALRM, ring)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def _memory(what: str) -> float:
    """MB of this process, or 0 where the system does not say (proc(5))."""
    try:
        found = re.search(rf"{what}:\s+(\d+)", Path("/proc/self/status").read_text())
    except OSError:
        return 0.0
    return int(found[1]) / 1024 if found else 0.0


def _forget_peak() -> None:
    with suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")
