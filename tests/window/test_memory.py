"""Memory that the window no longer needs goes back to the system."""

import platform
import subprocess
import sys

import pytest

CODE = """
import ctypes, sys
import numpy as np
from wallwright.window.application.memory import give_back_large_blocks

class Numbers(ctypes.Structure):
    _fields_ = [(f"field{i}", ctypes.c_size_t) for i in range(10)]

libc = ctypes.CDLL(None)
libc.mallinfo2.restype = Numbers
if sys.argv[1] == "set":
    assert give_back_large_blocks()
block = np.empty(16 << 20, np.uint8)
del block  # blocks up to this size would come from the heap from now on
before = libc.mallinfo2().field4
block = np.empty(4 << 20, np.uint8)
print(libc.mallinfo2().field4 - before)
"""
"""field4 is hblkhd, the bytes in blocks that are mapped singly: mallinfo2(3)."""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="the GNU C library is judged")
@pytest.mark.parametrize(("how", "least", "most"), [("set", 4 << 20, 5 << 20), ("left", 0, 0)])
def test_large_blocks_are_mapped_singly(how, least, most):
    done = subprocess.run([sys.executable, "-c", CODE, how], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert least <= int(done.stdout) <= most
