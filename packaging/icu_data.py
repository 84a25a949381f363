"""Reduces ICU's data for the self-contained folder: of 32 MB of languages and codecs, the program needs little.

Qt uses it to compare and convert text. The tables for all characters and the program's languages are kept. Other
languages fall back to the root tables.

A library of ICU's data holds one package: a header, a table of contents with names and offsets, and the items (udata.h and
"ICU Data" in the ICU User Guide). The package is rewritten with fewer items and linked into a library of the same name.
"""

from __future__ import annotations

import re
import struct
import subprocess
import tempfile
from pathlib import Path

ALIGNMENT = 16
"""Alignment of items, bytes."""
MAGIC = b"\xda\x27"
LANGUAGES = ("de", "en")
NAMES = ("brkitr", "curr", "lang", "rbnf", "region", "translit", "unit", "zone")
"""Folders with names of currencies, languages and places, word breaks, transliteration: Qt has its own."""
COMMON = ("root", "pool", "res_index", "ucadata")


def is_kept(name: str) -> bool:
    """Whether the program needs an item, by its name without the package's, such as "coll/de.res"."""
    folder, _, file = name.rpartition("/")
    stem, _, kind = file.rpartition(".")
    if kind in ("cnv", "spp") or folder in NAMES:
        return False  # cnv: legacy codecs; spp: profiles for internet names
    if folder == "coll" or re.fullmatch(r"[a-z]{2,3}(_\w+)?", stem):
        return stem in COMMON or stem.split("_")[0] in LANGUAGES
    return True


def items_of(package: bytes) -> tuple[bytes, dict[str, bytes]]:
    """Returns the header, and every item by its name prefixed with the package's. Raises ValueError for other data."""
    size = struct.unpack_from("<H", package)[0]
    if package[2:4] != MAGIC or package[12:16] != b"CmnD":
        raise ValueError("this is no package of ICU data")
    (count,) = struct.unpack_from("<I", package, size)
    places = [struct.unpack_from("<II", package, size + 4 + 8 * i) for i in range(count)]
    ends = [place for _, place in places[1:]] + [len(package) - size]
    items = {}
    for (name, begin), end in zip(places, ends, strict=True):
        text = package[size + name : package.index(b"\0", size + name)].decode("ascii")
        items[text] = package[size + begin : size + end]
    return package[:size], items


def package_of(header: bytes, items: dict[str, bytes]) -> bytes:
    """The inverse of items_of. Items are sorted by name for ICU's binary search."""
    names = sorted(items)
    place = 4 + 8 * len(names)
    strings, name_places = b"", []
    for name in names:
        name_places.append(place + len(strings))
        strings += name.encode("ascii") + b"\0"
    body = bytearray()
    begin = place + len(strings)
    begin += -(len(header) + begin) % ALIGNMENT
    data_places = []
    for name in names:
        data_places.append(begin + len(body))
        body += items[name]
        body += b"\0" * (-len(body) % ALIGNMENT)
    table = struct.pack("<I", len(names))
    table += b"".join(struct.pack("<II", *pair) for pair in zip(name_places, data_places, strict=True))
    return (header + table + strings).ljust(len(header) + begin, b"\0") + bytes(body)


def smaller_library(file: Path) -> None:
    """Replaces a library of ICU data, libicudata.so.NN, by one with only the needed items. Needs a C compiler."""
    data = file.read_bytes()
    version = file.name.rpartition(".")[2]
    header = data.index(MAGIC + b"\x14\0\0\0\0\0\x02\0CmnD") - 2
    package = data[header:]
    prefix, items = items_of(package)  # data after the package is kept with the last item
    kept = {name: item for name, item in items.items() if is_kept(name.partition("/")[2])}
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        (folder / "icu.dat").write_bytes(package_of(prefix, kept))
        source = f""".section .rodata
.balign {ALIGNMENT}
.globl icudt{version}_dat
.type icudt{version}_dat, @object
icudt{version}_dat: .incbin "{folder / "icu.dat"}"
.size icudt{version}_dat, .-icudt{version}_dat
.section .note.GNU-stack,"",@progbits
"""
        (folder / "icu.s").write_text(source)
        made = folder / file.name
        command = ["cc", "-shared", "-nostdlib", f"-Wl,-soname,{file.name}", "-o", str(made), str(folder / "icu.s")]
        subprocess.run(command, check=True)
        file.write_bytes(made.read_bytes())
