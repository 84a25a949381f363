"""Makes the libraries of the self-contained folder smaller, on Linux.

Omits unneeded libraries and those of every desktop; makes numpy share scipy's OpenBLAS; replaces duplicates from several
wheels by one copy; strips symbol tables and most of ICU's data. Used by wallwright.spec. Libraries are changed as copies in
a folder; those that would no longer load are left unchanged.
"""

from __future__ import annotations

import os
import re
import shutil
import struct
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

import icu_data  # beside this script

Entry = tuple[str, str, str]
"""PyInstaller's entry of a file: destination, source, kind."""
PAGE = 0x10000
"""Largest memory page of the supported processors, bytes."""
LOAD, DYNAMIC = 1, 2
"""Kinds of ELF segments."""
SYSTEM = re.compile(r"lib(X11|dbus-1|expat|fontconfig|freetype|gcc_s|glib-2\.0|gthread-2\.0|stdc\+\+)\.so\.")
"""Libraries of every Linux desktop, which must match its configuration: fonts, keyboards, IPC. Those of the compiler must be
as new as the system's drivers require; wheels require no more than the oldest system has."""
LIBRARY = re.compile(r"lib[^/]*\.so[.\d]*$")
NAME = re.compile(r"(lib.+?)((?:-[0-9a-f]{8})*)\.so\.(\d+)")
"""Matches a library's name, the suffixes that wheels add, and its interface number."""
OPENED_BY_NAME = re.compile(r"/plugins/|^libpython")
"""Matches libraries that are loaded by name, without being listed by another one."""
BRIDGE = Path(__file__).resolve().parent / "blas_bridge.c"
LIBC = ("-Wl,--no-as-needed", "-lc")
"""Links the C library although the bridge does not use it, since tools expect it in every library."""
WIDE_BLAS, NARROW_BLAS = "libscipy_openblas64_", "libscipy_openblas-"
"""Prefixes of the names of numpy's and scipy's OpenBLAS."""


def trimmed(entries: list[Entry], folder: Path) -> list[Entry]:
    """Returns the needed entries, with smaller copies of libraries written to the folder."""
    if not sys.platform.startswith("linux") or not (shutil.which("strip") and shutil.which("cc")):
        return entries
    shutil.rmtree(folder, ignore_errors=True)
    entries = [entry for entry in entries if not SYSTEM.match(Path(entry[0]).name)]
    return [_trimmed(entry, folder) for entry in without_copies(needed(with_one_blas(entries, folder)))]


def with_one_blas(entries: list[Entry], folder: Path) -> list[Entry]:
    """Replaces numpy's OpenBLAS by blas_bridge.c, if that has every routine that numpy calls."""
    libraries = {Path(place).name: (place, source) for place, source, kind in entries if kind == "BINARY"}
    wide = next((name for name in libraries if name.startswith(WIDE_BLAS)), "")
    narrow = next((name for name in libraries if name.startswith(NARROW_BLAS)), "")
    if not wide or not narrow:
        return entries
    place = libraries[wide][0]
    made = folder / place
    made.parent.mkdir(parents=True, exist_ok=True)
    link = [f"-Wl,-soname,{wide}", "-Wl,-rpath,$ORIGIN/../scipy.libs", "-o", str(made)]
    subprocess.run(["cc", "-O2", "-shared", "-fPIC", *link, str(BRIDGE), libraries[narrow][1], *LIBC], check=True)
    users = [source for _, source, kind in entries if kind == "EXTENSION" and wide in names_needed(Path(source))]
    if missing := {
        name for user in users for name in symbols(user, "--undefined-only") if name.startswith("scipy_")
    } - symbols(str(made), "--defined-only"):
        print(f"blas_bridge.c has no {', '.join(sorted(missing))}: numpy keeps its own OpenBLAS")
        made.unlink()
        return entries
    return [
        (place, str(made), kind) if (at, kind) == (place, "BINARY") else (at, source, kind)
        for at, source, kind in entries
    ]


def without_copies(entries: list[Entry]) -> list[Entry]:
    """Replaces libraries of the same name and interface by links to one that has every symbol, with version, needed of the
    others. The loader resolves links and loads it once."""
    alike: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    wanted: dict[str, set[str]] = defaultdict(set)
    for entry in entries:
        place, source, kind = entry
        if kind not in ("BINARY", "EXTENSION"):
            continue
        if match := NAME.match(Path(place).name):
            alike[match[1], match[3]].append(entry)
        for name in names_needed(Path(source)):
            wanted[name] |= versioned_symbols(source, "--undefined-only")
    links: dict[str, Entry] = {}
    for copies in alike.values():
        has = {e: versioned_symbols(e[1], "--defined-only") for e in copies} if len(copies) > 1 else {}
        for one in sorted(has, key=lambda e: Path(e[1]).stat().st_size):
            others = [e for e in copies if e != one]
            if all(wanted[Path(e[0]).name] & has[e] <= has[one] for e in others):
                links |= {
                    e[0]: (e[0], os.path.relpath(one[0], os.path.dirname(e[0]) or "."), "SYMLINK") for e in others
                }
                break
    return [links.get(entry[0], entry) for entry in entries]


def symbols(library: str, which: str) -> set[str]:
    """Returns the names in a library's symbol table, by nm. which: --undefined-only or --defined-only."""
    return {symbol.partition("@")[0] for symbol in versioned_symbols(library, which)}


def versioned_symbols(library: str, which: str) -> set[str]:
    """Like symbols, with versions: "name@version"."""
    done = subprocess.run(["nm", "-D", which, library], capture_output=True, text=True, check=True)
    return {line.split()[-1].replace("@@", "@") for line in done.stdout.splitlines() if line}


def names_needed(library: Path) -> list[str]:
    """Returns the libraries that a library needs, by readelf."""
    done = subprocess.run(["readelf", "-dW", str(library)], capture_output=True, text=True)
    return re.findall(r"\(NEEDED\).*\[(.*)\]", done.stdout)


def needed(entries: list[Entry]) -> list[Entry]:
    """Removes libraries that nothing needs."""
    by_name: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_name[Path(entry[0]).name].append(entry)
    todo = [e for e in entries if e[2] != "SYMLINK" and not _is_plain_library(e)]
    kept = set(todo)
    while todo:
        _, source, kind = todo.pop()
        if kind == "SYMLINK":
            continue
        for name in names_needed(Path(source)):
            beside = [e for e in by_name[name] if e[2] == "BINARY" and Path(e[1]).parent == Path(source).parent]
            found = {e for e in by_name[name] if e in beside or not beside or e[2] == "SYMLINK"} - kept
            kept |= found
            todo += found
    places = {place for place, _, kind in kept if kind != "SYMLINK"}
    return [e for e in entries if e in kept and (e[2] != "SYMLINK" or _target(e) in places)]


def relinked(entries: list[Entry], binaries: list[Entry]) -> list[Entry]:
    """Redirects links whose target was omitted to an existing binary of that name."""
    places = {place for place, _, kind in entries if kind != "SYMLINK"} | {place for place, _, _ in binaries}
    by_name = {Path(place).name: place for place, _, _ in binaries}
    answer = []
    for entry in entries:
        place, _, kind = entry
        if kind != "SYMLINK" or _target(entry) in places:
            answer.append(entry)
        elif other := by_name.get(Path(_target(entry)).name):
            answer.append((place, os.path.relpath(other, os.path.dirname(place) or "."), kind))
    return answer


def with_short_records(entries: list[Entry], folder: Path) -> list[Entry]:
    """Shortens each distribution's list of installed files (RECORD) to its metadata files, through which licences are found.
    The other files are in the package under other names or not at all; this saves a megabyte."""
    answer = []
    for place, source, kind in entries:
        if place.endswith(".dist-info/RECORD"):
            lines = Path(source).read_text(encoding="utf-8").splitlines(keepends=True)
            source = str(folder / place)
            Path(source).parent.mkdir(parents=True, exist_ok=True)
            Path(source).write_text("".join(line for line in lines if ".dist-info/" in line), encoding="utf-8")
        answer.append((place, source, kind))
    return answer


def _target(link: Entry) -> str:
    """Returns the target of a link."""
    return os.path.normpath(os.path.join(os.path.dirname(link[0]), link[1]))


def _is_plain_library(entry: Entry) -> bool:
    place, _, kind = entry
    return kind == "BINARY" and bool(LIBRARY.search(place)) and not OPENED_BY_NAME.search(place)


def _trimmed(entry: Entry, folder: Path) -> Entry:
    place, source, kind = entry
    file = Path(source)
    if kind not in ("BINARY", "EXTENSION") or not file.is_file():
        return entry
    copy = folder / place
    copy.parent.mkdir(parents=True, exist_ok=True)
    if file != copy:
        shutil.copy(file, copy)
    if copy.name.startswith("libicudata.so."):
        icu_data.smaller_library(copy)
    else:
        subprocess.run(["strip", "--strip-unneeded", str(copy)], capture_output=True)
        copy.write_bytes(without_gaps(copy.read_bytes()))
    if copy.stat().st_size > file.stat().st_size or not loads(copy.read_bytes()):
        return entry
    return place, str(copy), kind


def without_gaps(data: bytes) -> bytes:
    """Removes the megabytes of padding that tools leave where they add a segment: later data moves forward in the file by
    whole pages, with unchanged memory addresses."""
    if data[:5] != b"\x7fELF\x02":
        return data
    start, sections = struct.unpack_from("<QQ", data, 32)
    size, count, section_size, section_count = struct.unpack_from("<HHHH", data, 54)
    places = [(start + i * size + 8, "segment") for i in range(count)]
    places += [(sections + i * section_size + 24, "section") for i in range(section_count)]
    begins = {place: struct.unpack_from("<Q", data, place)[0] for place, _ in places}
    used = sorted(
        [
            (begins[p], begins[p] + struct.unpack_from("<Q", data, p + (24 if kind == "segment" else 8))[0])
            for p, kind in places
        ]
        + [(sections, sections + section_count * section_size)]
    )
    gaps, end = [], 0
    for begin, until in used:
        if (pages := (begin - end) // PAGE) > 0 and not any(data[begin - pages * PAGE : begin]):
            gaps.append((begin, pages * PAGE))
        end = max(end, until)
    if not gaps:
        return data

    def moved(place: int) -> int:
        return place - sum(length for begin, length in gaps if begin <= place)

    changed = bytearray(data)
    for place, kind in places:
        struct.pack_into("<Q", changed, place, moved(begins[place]))
        if kind == "segment" and struct.unpack_from("<I", data, place - 8)[0] == LOAD:
            struct.pack_into("<Q", changed, place + 40, PAGE)
    struct.pack_into("<Q", changed, 40, moved(sections))
    for begin, length in reversed(gaps):
        del changed[begin - length : begin]
    return bytes(changed)


def loads(data: bytes) -> bool:
    """Whether the system's loader accepts a library: segments are aligned, and the dynamic one is within a loaded one
    (ELF-64 object file format, program header). Changes by some tools do not survive strip."""
    if data[:5] != b"\x7fELF\x02":
        return True  # not affected by strip
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
