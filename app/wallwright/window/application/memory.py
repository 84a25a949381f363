"""Settings of the C library's memory allocator."""

from __future__ import annotations

import ctypes
import logging
import sys

M_MMAP_THRESHOLD = -3
"""Parameter number of mallopt(), from the GNU C library's malloc.h."""
LARGE = 1 << 20
"""Block size, bytes, from which memory is returned to the system as soon as it is freed."""


def give_back_large_blocks() -> bool:
    """Keeps memory use constant over thousands of edits; returns whether the C library supports it.

    The GNU C library raises the size from which it maps blocks separately to that of the largest block freed so far
    (mallopt(3), M_MMAP_THRESHOLD). Arrays and pictures of some MB then fragment the heap: 30 MB more after 3,000 edits, and
    rising. A size set explicitly stays fixed.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        return bool(ctypes.CDLL(None).mallopt(M_MMAP_THRESHOLD, LARGE))
    except (OSError, AttributeError):  # another C library
        logging.getLogger("wallwright").info("this C library has no mallopt")
        return False
