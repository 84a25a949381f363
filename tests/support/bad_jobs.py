"""Failing jobs, for tests of the worker pool."""

from __future__ import annotations

import os
import time


def run(job: str) -> str:
    """Crashes, hangs, computes endlessly or fills memory on request; else returns its argument."""
    if job == "crash":
        os.abort()
    if job == "leave":
        os._exit(3)
    if job == "hang":
        time.sleep(600)
    while job == "compute":
        pass
    if job == "memory":
        return str(len(b"\x01" * 3_000_000_000))
    return job
