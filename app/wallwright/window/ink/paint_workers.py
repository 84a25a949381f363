"""Worker threads that render the most urgent pictures first."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Hashable
from queue import Empty, SimpleQueue
from typing import Generic, TypeVar

from wallwright.window.ink.tile import PaintOrder, TilePicture, paint

_NICENESS = 10
"""Niceness of workers, below the window's priority: halves the time of the slowest frames when zooming on two processors."""


Key = TypeVar("Key", bound=Hashable)
"""The caller's key of a picture."""


class PaintWorkers(Generic[Key]):
    """Renders orders in worker threads, in the order of the latest wish list; others are dropped.

    ring: called from a worker thread when a picture is ready to be fetched.
    """

    def __init__(self, ring: Callable[[], None], threads: int | None = None) -> None:
        """threads: by default one less than the number of processors, leaving one for the window."""
        self._ring = ring
        self._changed = threading.Condition()
        self._wishes: list[tuple[Key, PaintOrder]] = []
        self._busy: set[Key] = set()
        self._failed: set[Key] = set()
        self._open = True
        self._done: SimpleQueue[tuple[Key, TilePicture | Exception]] = SimpleQueue()
        count = max(1, min(4, (os.cpu_count() or 2) - 1)) if threads is None else threads
        self._threads = [threading.Thread(target=self._work, name=f"ink-{i}", daemon=True) for i in range(count)]
        for thread in self._threads:
            thread.start()

    def want(self, wishes: list[tuple[Key, PaintOrder]]) -> None:
        """Replaces the wish list, most urgent first; pictures already being rendered are finished."""
        with self._changed:
            self._wishes = wishes
            if wishes:
                self._changed.notify_all()

    @property
    def idle(self) -> bool:
        """Whether nothing is wanted, being rendered or waiting to be fetched."""
        with self._changed:
            return not self._wishes and not self._busy and self._done.empty()

    def fetch(self) -> list[tuple[Key, TilePicture]]:
        """Returns the pictures finished since the last call. Raises a worker's exception once per key, which is not tried
        again."""
        pictures: list[tuple[Key, TilePicture]] = []
        while True:
            try:
                key, result = self._done.get_nowait()
            except Empty:
                return pictures
            if isinstance(result, Exception):
                raise result
            pictures.append((key, result))

    def close(self) -> None:
        """Ends the threads after their current pictures, and waits for them."""
        with self._changed:
            self._open = False
            self._wishes = []
            self._changed.notify_all()
        for thread in self._threads:
            if thread is not threading.current_thread():  # the garbage collector may call this in a worker
                thread.join()

    def _next(self) -> tuple[Key, PaintOrder] | None:
        with self._changed:
            while self._open:
                while self._wishes:
                    key, order = self._wishes.pop(0)
                    if key not in self._busy and key not in self._failed:
                        self._busy.add(key)
                        return key, order
                self._changed.wait()
            return None

    def _work(self) -> None:
        if sys.platform == "linux":  # here it affects the calling thread alone
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), _NICENESS)
        while (job := self._next()) is not None:
            key, order = job
            try:
                result: TilePicture | Exception = paint(order)
            except Exception as error:  # fetch() raises it in the GUI thread
                result = error
            self._done.put((key, result))
            with self._changed:
                self._busy.discard(key)
                if isinstance(result, Exception):
                    self._failed.add(key)
            if self._open:
                self._ring()
