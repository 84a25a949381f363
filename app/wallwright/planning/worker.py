"""The worker process: takes requests from a pipe, runs the newest, and stops when a newer one or a cancel arrives."""

from __future__ import annotations

import dataclasses
import pickle
import queue
import threading
import time
import traceback
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

import msgspec

from wallwright.document.errors import Cancelled, StartUnreachable, UserError
from wallwright.document.language import current_language, set_language, tr
from wallwright.planning.plan import Progress, Request, Response

if TYPE_CHECKING:
    from wallwright.strokes.order import OrderSaving

STOP = "stop"
PROGRESS_EVERY = 0.05
"""Time between two progress messages, s."""


class StopSearch(msgspec.Struct, frozen=True):
    """Message to the current request that the order found so far is good enough."""

    id: int


class PackedRequest(msgspec.Struct, frozen=True):
    """A request sent to the worker, with the artwork taken out."""

    request: Request
    digests: tuple[str, ...]
    """Digest of each artwork of the document, in order."""
    files: dict[str, bytes]
    """Artwork that this worker does not have yet, by digest."""


def work(connection: Connection) -> None:
    """Main function of the worker process."""
    # Heavy imports: scipy, shapely, numba; the parent does without them.
    from wallwright.planning.runner import CostlyArtwork, Runner

    newest: list[int | None] = [None]  # id of the request that should be running
    enough: list[int | None] = [None]  # id of the request whose order is good enough
    todo: queue.SimpleQueue[Any] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(connection, todo, newest, enough), daemon=True).start()
    runner = Runner()
    files: dict[str, bytes] = {}
    while True:
        packed = todo.get()
        if packed == STOP:
            return
        files |= packed.files
        request = _unpacked(packed, files)
        if request.language != current_language():
            set_language(request.language)
            runner = Runner()  # the old caches contain sentences in the other language
        if newest[0] != request.id:
            _reply(connection, Response(request.id))
            continue
        reported = [0.0]

        def progress(
            stage: str,
            done: float,
            saving: OrderSaving | None = None,
            request: Request = request,
            reported: list[float] = reported,
        ) -> None:
            if newest[0] != request.id:
                raise Cancelled
            now = time.monotonic()
            if now - reported[0] >= PROGRESS_EVERY:
                reported[0] = now
                _reply(connection, Progress(request.id, stage, done, saving))

        def is_enough(request: Request = request) -> bool:
            return enough[0] == request.id

        try:
            answer = runner.run(request, progress, lambda early: _reply(connection, early), is_enough)
        except Cancelled:
            answer = Response(request.id)
        except CostlyArtwork as costly:
            agreeable = costly.artwork if costly.can_be_agreed else ""
            answer = Response(request.id, trouble=costly.question, costly=agreeable)
        except UserError as trouble:
            no_start = isinstance(trouble, StartUnreachable)
            answer = Response(request.id, trouble=str(trouble), start_is_unreachable=no_start)
        except MemoryError:
            answer = Response(
                request.id,
                trouble=tr(
                    "The job needs more memory than this computer has. Widen the fill spacing, or draw it in parts."
                ),
            )
        except Exception as error:
            answer = Response(
                request.id,
                details=traceback.format_exc(),
                trouble=tr(
                    "Planning failed because of a program error ({0}). Details are in the log file. Your "
                    "project is unchanged.",
                    type(error).__name__,
                ),
            )
        try:
            _reply(connection, answer)
        except Cancelled:
            return


def _listen(
    connection: Connection, todo: queue.SimpleQueue[Any], newest: list[int | None], enough: list[int | None]
) -> None:
    """Puts what arrives through the pipe into todo: PackedRequests, and STOP."""
    while True:
        try:
            item = connection.recv()
        except (EOFError, OSError):  # the window has ended: so does this process
            item = STOP
        if isinstance(item, StopSearch):
            enough[0] = item.id
            continue
        newest[0] = item.request.id if isinstance(item, PackedRequest) else None
        if item is not None:
            todo.put(item)
        if item == STOP:
            return


def _reply(connection: Connection, message: Progress | Response) -> None:
    try:
        connection.send_bytes(pickle.dumps(message, protocol=5))
    except OSError as error:
        raise Cancelled from error  # nobody listens any more


def _unpacked(packed: PackedRequest, files: dict[str, bytes]) -> Request:
    document = packed.request.document
    artworks = tuple(
        msgspec.structs.replace(artwork, data=files[digest])
        for artwork, digest in zip(document.artworks, packed.digests, strict=True)
    )
    return dataclasses.replace(packed.request, document=msgspec.structs.replace(document, artworks=artworks))
