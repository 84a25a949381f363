"""How the C library keeps memory that a window no longer needs."""

from __future__ import annotations

import ctypes
import logging
import sys

M_MMAP_THRESHOLD = -3
"""As malloc.h of the GNU C library has it."""
LARGE = 1 << 20
"""Bytes: blocks from this size on are given back to the system as soon as they are freed."""


def give_back_large_blocks() -> bool:
    """Keeps the window's memory flat over thousands of edits; returns whether the C library knows how.

    The GNU C library raises the size from which it maps blocks singly to that of the largest block freed so far (mallopt(3),
    M_MMAP_THRESHOLD). Arrays and pictures of some MB then come from the heap, which they fragment: 30 MB more after 3,000
    edits, and rising. A size that is set stays as it is.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        return bool(ctypes.CDLL(None).mallopt(M_MMAP_THRESHOLD, LARGE))
    except (OSError, AttributeError):  # another C library
        logging.getLogger("wallwright").info("this C library has no mallopt")
        return False
