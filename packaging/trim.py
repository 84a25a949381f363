"""Makes the libraries of the self-contained forms smaller, on Linux: symbol tables that nothing reads, and ICU's data.

Used by wallwright.spec. Libraries are changed as copies in a folder; those that would no longer load stay as they are.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
import sys
from pathlib import Path

import icu_data  # beside this script

Entry = tuple[str, str, str]
"""As PyInstaller lists a file: its place in the package, where it comes from, its kind."""
LOAD, DYNAMIC = 1, 2
"""Kinds of ELF segments."""


def trimmed(entries: list[Entry], folder: Path) -> list[Entry]:
    """The entries with smaller copies of libraries, which are put into the folder."""
    if not sys.platform.startswith("linux") or not shutil.which("strip"):
        return entries
    shutil.rmtree(folder, ignore_errors=True)
    return [_trimmed(entry, folder) for entry in entries]


def _trimmed(entry: Entry, folder: Path) -> Entry:
    place, source, kind = entry
    file = Path(source)
    if kind not in ("BINARY", "EXTENSION") or not file.is_file():
        return entry
    copy = folder / place
    copy.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(file, copy)
    if copy.name.startswith("libicudata.so."):
        icu_data.smaller_library(copy)
    else:
        subprocess.run(["strip", "--strip-unneeded", str(copy)], capture_output=True)
    if copy.stat().st_size >= file.stat().st_size or not loads(copy.read_bytes()):
        return entry
    return place, str(copy), kind


def loads(data: bytes) -> bool:
    """Whether the system's loader takes a library: segments are aligned, and the dynamic one lies within a loaded one
    (ELF-64 object file format, program header). What some tools add to libraries does not survive strip."""
    if data[:5] != b"\x7fELF\x02":
        return True  # nothing that strip changes
    start, size, count = struct.unpack_from("<Q", data, 32)[0], *struct.unpack_from("<HH", data, 54)
    segments = [struct.unpack_from("<IIQQQQQQ", data, start + i * size) for i in range(count)]
    loaded = [(begin, length) for kind, _, begin, _, _, length, _, _ in segments if kind == LOAD]
    for kind, _, begin, address, _, length, _, alignment in segments:
        if kind == LOAD and alignment > 1 and (begin - address) % alignment:
            return False
        if kind == DYNAMIC and not any(b <= begin and begin + length <= b + n for b, n in loaded):
            return False
        if begin + length > len(data):
            return False
    return True
