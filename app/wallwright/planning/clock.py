"""Progress callbacks and timings of planning stages."""

from __future__ import annotations

import time
from typing import Protocol

from wallwright.strokes.order import OrderSaving


class StageProgress(Protocol):
    """Receives the stage, its progress, 0 to 1, and, while strokes are being ordered, the saving so far."""

    def __call__(self, stage: str, done: float, saving: OrderSaving | None = None) -> None: ...


class Clock:
    """Seconds spent in each stage."""

    def __init__(self, spent: dict[str, float] | None = None) -> None:
        self.seconds: dict[str, float] = dict(spent or {})

    def __call__(self, stage: str) -> Span:
        return Span(self.seconds, stage)


class Span:
    def __init__(self, seconds: dict[str, float], stage: str) -> None:
        self._seconds, self._stage = seconds, stage

    def __enter__(self) -> None:
        self._start = time.perf_counter()

    def __exit__(self, *exc: object) -> None:
        spent = time.perf_counter() - self._start
        self._seconds[self._stage] = self._seconds.get(self._stage, 0.0) + spent
