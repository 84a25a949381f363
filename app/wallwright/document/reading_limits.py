"""Limits on what reading a file may cost, and how far the person may agree to exceed them.

Unasked, a file takes less than a gigabyte. Who agrees may read files of AGREED times the limits, as far as the computer's
memory goes; what would bring the computer down is always refused.
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
"""Bytes that reading one file may take without asking."""
AGREED = 16
"""Times the limits that a person may agree to."""
SHARE_OF_MEMORY = 0.75
"""Of the computer's memory, that one file may take at most."""

_is_agreed: ContextVar[bool] = ContextVar("reading anyway", default=False)


class TooCostly(BadFile):
    """A file costs more than is read unasked. memory: bytes that it takes about; 0: not known."""

    def __init__(self, sentence: str, memory: float = 0.0) -> None:
        super().__init__(sentence)
        self.memory = max(float(memory), float(UNASKED))
        self._was_agreed = _is_agreed.get()

    @property
    def can_be_agreed(self) -> bool:
        """Whether asking the person makes sense: nobody has agreed yet, and the computer has the memory."""
        most = usable_memory()
        return not self._was_agreed and (most is None or self.memory <= most)

    @property
    def question(self) -> str:
        """The sentence, and what it costs to read the file anyway."""
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
    """What is read within may cost what is usual, or as much as a person can agree to. Its memory is limited where the
    system can do that; running into that limit raises TooCostly."""
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
    """A limit, or what it is once the person has agreed to read more."""
    return AGREED * limit if _is_agreed.get() else limit


def usable_memory() -> float | None:
    """Bytes that one file may take on this computer; None: the system does not say."""
    try:
        return SHARE_OF_MEMORY * os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, OSError, ValueError):  # Windows
        return None


@contextlib.contextmanager
def _memory_limit(size: int) -> Iterator[None]:
    """Limits how many bytes more this process may take (setrlimit(2), RLIMIT_DATA), where the system can."""
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
    """Bytes of this process that RLIMIT_DATA counts (proc(5)); None where the system does not say."""
    try:
        with open("/proc/self/status", encoding="ascii", errors="replace") as status:
            return next((int(line.split()[1]) << 10 for line in status if line.startswith("VmData:")), None)
    except OSError:
        return None
