"""Limits on the cost of reading a file, and how far the person may exceed them.

By default a file takes less than a gigabyte. With the person's consent the limits are AGREED times as high, as far as the
computer's memory allows; more is always refused.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from contextvars import ContextVar

from wallwright.document.errors import BadFile
from wallwright.document.language import format_number, tr

GB = 1 << 30
UNASKED = 1 * GB
"""Memory that reading a file may take without asking, bytes."""
AGREED = 16
"""Factor on the limits with the person's consent."""
SHARE_OF_MEMORY = 0.75
"""Largest share of the computer's memory for one file."""

_is_agreed: ContextVar[bool] = ContextVar("reading anyway", default=False)


class TooCostly(BadFile):
    """Reading a file costs more than the default limits. memory: approximate bytes needed; 0: unknown."""

    def __init__(self, sentence: str, memory: float = 0.0) -> None:
        super().__init__(sentence)
        self.memory = max(float(memory), float(UNASKED))
        self._was_agreed = _is_agreed.get()

    @property
    def can_be_agreed(self) -> bool:
        """Whether the person can be asked: not agreed yet, and the computer has the memory."""
        most = usable_memory()
        return not self._was_agreed and (most is None or self.memory <= most)

    @property
    def question(self) -> str:
        """Sentence with the cost of reading the file anyway."""
        if self.can_be_agreed:
            cost = tr("Reading it takes about {0} of memory and may take minutes.", gigabytes(self.memory))
        elif self._was_agreed:
            cost = tr("This is the most that can be read.")
        else:
            cost = tr(
                "Reading it takes about {0} of memory, more than this computer can give.",
                gigabytes(self.memory),
            )
        return f"{self} {cost}"


def gigabytes(size: float) -> str:
    """ "2 GB", "1.4 GB"."""
    value = size / GB
    return f"{format_number(value, '.0f' if value >= 9.5 or abs(value - round(value)) < 0.05 else '.1f')} GB"


@contextlib.contextmanager
def reading(is_agreed: bool) -> Iterator[None]:
    """Sets the limits for reading in this context: the default ones, or those with consent. Memory is limited where the
    system supports it; exceeding that limit raises TooCostly."""
    token = _is_agreed.set(is_agreed)
    allowed = (usable_memory() or AGREED * UNASKED) if is_agreed else UNASKED
    try:
        with _memory_limit(int(allowed)):
            try:
                yield
            except MemoryError as error:
                sentence = tr(
                    "The file takes more memory to read than it may have ({0}). Simplify it in the program it "
                    "comes from.",
                    gigabytes(allowed),
                )
                raise TooCostly(sentence, 2 * allowed) from error
    finally:
        _is_agreed.reset(token)


def most(limit: int) -> int:
    """Returns a limit, multiplied by AGREED where the person has agreed to read more."""
    return AGREED * limit if _is_agreed.get() else limit


def usable_memory() -> float | None:
    """Returns the bytes that a file may take on this computer; None if the system does not report its memory."""
    try:
        return SHARE_OF_MEMORY * os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, OSError, ValueError):  # Windows
        return None


@contextlib.contextmanager
def _memory_limit(size: int) -> Iterator[None]:
    """Limits further memory of this process, in bytes, where supported (setrlimit(2), RLIMIT_DATA)."""
    if sys.platform == "win32":
        yield
        return
    import resource

    kind = getattr(resource, "RLIMIT_DATA", None)
    taken = _data_size()
    if kind is None or taken is None:
        yield
        return
    before, hard = resource.getrlimit(kind)
    bounds = [taken + size, *(b for b in (before, hard) if b != resource.RLIM_INFINITY)]
    resource.setrlimit(kind, (min(bounds), hard))
    try:
        yield
    finally:
        resource.setrlimit(kind, (before, hard))


def _data_size() -> int | None:
    """Returns the bytes of this process that count for RLIMIT_DATA (proc(5)); None if the system does not report them."""
    try:
        with open("/proc/self/status", encoding="ascii", errors="replace") as status:
            return next((int(line.split()[1]) << 10 for line in status if line.startswith("VmData:")), None)
    except OSError:
        return None
