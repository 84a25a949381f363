"""Runs planning requests in another process, so that the window never waits.

Three threads are involved: the caller puts a request on a queue; a sender thread writes it to the worker's pipe (pickling a
large artwork takes time); a receiver thread reads answers (so does unpickling a million points). An answer whose id is no
longer wanted is dropped. Work that does not stop on request is ended with its process, and a new one takes over. The worker
holds no state of the document, so its crash costs only the current request.
"""

from __future__ import annotations

import dataclasses
import logging
import queue
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

import msgspec

from wallwright.document.language import tr
from wallwright.planning.plan import Progress, Request, Response
from wallwright.planning.program_change import is_program_changed, program_changed_sentence
from wallwright.planning.worker import STOP, PackedRequest, StopSearch, work
from wallwright.planning.worker_process import UNREADABLE, UnreadableAnswerError, start_worker, unpacked

CANCEL_GRACE = 0.15
"""Time that a cancelled request has to stop by itself before its process is ended, s; the user waits for it."""
SUPERSEDE_GRACE = 2.0
"""The same for a request superseded by a newer one, s: nobody waits, and ending the process would lose its caches."""


class Planner:
    """One worker process and its requests. All methods are for one thread and return at once.

    The worker starts with the first request, or earlier by start(), which takes the caller a few hundredths of a second.
    """

    def __init__(self, notify: Callable[[], None] | None = None) -> None:
        """notify is called, from another thread, whenever poll() has something new."""
        self.notify = notify
        """None: nobody is notified."""
        self._inbox: queue.SimpleQueue[tuple[int, Progress | Response | str | None]] = queue.SimpleQueue()
        self._generation = 0
        self._wanted: int | None = None
        self._running: set[int] = set()
        self._deadline: float | None = None
        self._closed = False
        self._started = False
        self._reapers: list[threading.Thread] = []

    @property
    def busy(self) -> bool:
        """True while an answer is still to come."""
        return self._wanted is not None

    @property
    def deadline(self) -> float | None:
        """Time on the clock of time.monotonic at which poll() must be called even without news, to end a worker that did
        not stop when asked."""
        return self._deadline

    def start(self) -> None:
        """Starts the worker, unless it runs already, so that it is ready sooner when the first request comes."""
        if not (self._started or self._closed):
            self._started = True
            self._start_process()

    def submit(self, request: Request) -> None:
        """Requests a plan; any earlier request is cancelled."""
        if self._closed:
            return
        self.start()
        if self._running and self._deadline is None:
            self._deadline = time.monotonic() + SUPERSEDE_GRACE
        self._wanted = request.id
        self._running.add(request.id)
        self._last_request = request
        self._outbox.put(request)

    def cancel(self) -> None:
        """Cancels the current request; no answer to it will come."""
        if self._closed:
            return
        self._wanted = None
        if self._running:
            self._outbox.put(None)
            self._deadline = time.monotonic() + CANCEL_GRACE

    def enough(self) -> None:
        """Stop the search for the order in the current request; the plan continues with the best order found so far."""
        if not self._closed and self._wanted is not None:
            self._outbox.put(StopSearch(self._wanted))

    def poll(self) -> list[Progress | Response]:
        """Returns what has arrived since the last call, oldest first. Call it when notified, and at the deadline."""
        if self._closed:
            return []
        found: list[Progress | Response] = []
        while True:
            try:
                generation, message = self._inbox.get_nowait()
            except queue.Empty:
                break
            if generation != self._generation:
                continue
            if message is None or isinstance(message, str):
                found.extend(self._after_crash(is_changed=message == UNREADABLE or is_program_changed()))
                continue
            if isinstance(message, Response) and message.details:
                logging.getLogger("wallwright.planner").error("request failed\n%s", message.details)
            if isinstance(message, Response) and message.final:
                self._running.discard(message.id)
            if message.id != self._wanted:
                continue
            found.append(message)
            if isinstance(message, Response) and message.final:
                self._wanted = None
        self._watch()
        return found

    def close(self) -> None:
        """Ends the worker. No process or thread is left."""
        if not self._closed:
            self._closed = True
            if self._started:
                self._stop_process(STOP)
            for thread in self._reapers:
                thread.join(5)

    def kill_worker(self) -> None:
        """Ends the worker at once, as a crash would."""
        self.start()
        self._process.kill()

    # The worker process and its two threads.

    def _start_process(self) -> None:
        self._generation += 1
        self._process, ours = start_worker("wallwright-planner", work)
        self._outbox: queue.SimpleQueue[Request | StopSearch | str | None] = queue.SimpleQueue()
        self._connection = ours
        self._threads = [
            threading.Thread(target=_send, args=(ours, self._outbox), name="planner-send", daemon=True),
            threading.Thread(
                target=_receive,
                args=(ours, self._inbox, self._generation, self._announce),
                name="planner-receive",
                daemon=True,
            ),
        ]
        for thread in self._threads:
            thread.start()

    def _announce(self) -> None:
        """Notifies the caller, from the receiver thread."""
        if self.notify is not None:
            self.notify()

    def _stop_process(self, word: str | None = None) -> None:
        self._generation += 1  # whatever the old threads still deliver is ignored
        self._outbox.put(word or STOP)
        self._process.join(0.5 if word else 0)
        if self._process.is_alive():
            self._process.kill()
        self._process.join()
        self._connection.close()
        for thread in self._threads:
            thread.join(2)
        self._process.close()

    def _watch(self) -> None:
        """Ends a worker that did not stop when asked."""
        stale = self._running - {self._wanted}
        if not stale:
            self._deadline = None
        elif self._deadline is not None and time.monotonic() > self._deadline:
            self._restart()
            if self._wanted is not None:
                self._running.add(self._wanted)
                self._outbox.put(self._last_request)

    def _restart(self) -> None:
        self._running.clear()
        self._deadline = None
        # Joining the old process takes a moment; the caller does not wait for it.
        old = (self._process, self._connection, self._threads, self._outbox)
        reaper = threading.Thread(target=_reap, args=old, name="planner-reaper", daemon=True)
        reaper.start()
        self._reapers = [t for t in self._reapers if t.is_alive()] + [reaper]
        self._start_process()

    def _after_crash(self, is_changed: bool) -> list[Response]:
        """is_changed: the program's files were changed, so that the next process would fail as well."""
        if self._closed:
            return []
        wanted, self._wanted = self._wanted, None
        self._restart()
        if wanted is None:
            return []
        return [
            Response(
                wanted,
                trouble=program_changed_sentence()
                if is_changed
                else tr(
                    "The planner stopped unexpectedly. Your project is unchanged; plan again. If it happens "
                    "again with the same artwork, hide that artwork and keep the log file."
                ),
            )
        ]


def _reap(
    process: BaseProcess,
    connection: Connection,
    threads: list[threading.Thread],
    outbox: queue.SimpleQueue[Any],
) -> None:
    outbox.put(STOP)
    process.kill()
    process.join()
    connection.close()
    for thread in threads:
        thread.join(2)
    process.close()


def _send(connection: Connection, outbox: queue.SimpleQueue[Any]) -> None:
    """Writes requests to the worker; each artwork's bytes are sent once."""
    sent: set[str] = set()
    while True:
        item = outbox.get()
        try:
            if isinstance(item, Request):
                document = item.document
                digests = tuple(a.digest for a in document.artworks)
                new = {d: a.data for d, a in zip(digests, document.artworks, strict=True) if d not in sent}
                sent |= set(new)
                bare = tuple(msgspec.structs.replace(a, data=b"") for a in document.artworks)
                document = msgspec.structs.replace(document, artworks=bare)
                connection.send(PackedRequest(dataclasses.replace(item, document=document), digests, new))
            else:
                connection.send(item)
        except (OSError, ValueError):  # the worker is gone; the receiver has noticed it too
            return
        if item == STOP:
            return


def _receive(
    connection: Connection, inbox: queue.SimpleQueue[Any], generation: int, notify: Callable[[], None]
) -> None:
    while True:
        try:
            received = connection.recv_bytes()
        except (EOFError, OSError, TypeError):  # TypeError: the handle was closed while waiting on it
            inbox.put((generation, None))
            notify()
            return
        try:
            message = unpacked(received)
        except UnreadableAnswerError:
            inbox.put((generation, UNREADABLE))
            notify()
            return
        inbox.put((generation, message))
        notify()
