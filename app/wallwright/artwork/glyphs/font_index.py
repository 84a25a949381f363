"""Which fonts there are: the files in the folders where each system keeps fonts, and files that come along.

The folders are scanned by the program itself, alike on Linux, Windows and macOS: fontconfig is not on all of them, Qt needs
an application and takes an installed font for a file of the same name, and the systems' own interfaces are three libraries.
"""

from __future__ import annotations

import functools
import io
import logging
import os
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from fontTools.ttLib import TTFont

from wallwright.artwork.glyphs.open_font import FontFileError, OpenFont, font_count

INSTALLED_SUFFIXES = (".ttf", ".otf", ".ttc", ".otc", ".dfont")
SUFFIXES = (".ttf", ".otf", ".ttc", ".woff", ".woff2")
"""Of files that come along."""
FONTCONFIG = Path("/etc/fonts/fonts.conf")
OUTLINES = ("glyf", "CFF ", "CFF2")
"""Tables one of which a font with outlines has."""
WIDTH_CLASSES = (50, 62, 75, 87, 100, 112, 125, 150, 200)
"""Percent of the normal width by usWidthClass from 1 (OpenType 1.9, OS/2)."""
WIDTH_WORDS = (
    ("ultra condensed", 50),
    ("extra condensed", 62),
    ("semi condensed", 87),
    ("semicondensed", 87),
    ("condensed", 75),
    ("narrow", 75),
    ("ultra expanded", 200),
    ("extra expanded", 150),
    ("semi expanded", 112),
    ("expanded", 125),
)
"""The same by the words of a style's name, for fonts whose class says nothing."""
REGULAR = 400


@dataclass(frozen=True)
class AxisRange:
    """How far one axis of a variable font goes (OpenType 1.9, fvar)."""

    least: float
    most: float

    def nearest(self, value: float) -> float:
        """The value on the axis that comes nearest."""
        return min(max(value, self.least), self.most)


@dataclass(frozen=True)
class FontRecord:
    """One font in a file: what it is called and how it looks."""

    source: Path | bytes
    index: int
    """Of the font in a collection."""
    families: tuple[str, ...]
    """Names it goes by, the one that is shown first."""
    style: str
    weight: int
    """100 to 900."""
    width: int
    """Percent of normal."""
    is_slanted: bool
    axes: tuple[tuple[str, AxisRange], ...] = ()
    """Of a variable font, by tag."""

    @property
    def family(self) -> str:
        """The name that is shown."""
        return self.families[0]


def system_folders() -> list[Path]:
    """Where this system keeps fonts: of all users and of this one."""
    home = Path.home()
    if sys.platform == "win32":
        local = os.environ.get("LOCALAPPDATA", str(home / "AppData" / "Local"))
        return [
            Path(os.environ.get("WINDIR", r"C:\Windows")) / "Fonts",
            Path(local, "Microsoft", "Windows", "Fonts"),
        ]
    if sys.platform == "darwin":
        return [
            Path("/System/Library/Fonts"),
            Path("/System/Library/AssetsV2"),
            Path("/Library/Fonts"),
            Path("/Network/Library/Fonts"),
            home / "Library" / "Fonts",
        ]
    data = os.environ.get("XDG_DATA_DIRS") or "/usr/local/share:/usr/share"
    own = os.environ.get("XDG_DATA_HOME") or str(home / ".local" / "share")
    standard = [Path(folder, "fonts") for folder in (*data.split(":"), own) if folder]
    # A sandbox finds the fonts of its host under /run/host.
    return [*standard, home / ".fonts", Path("/run/host/fonts"), *_configured(FONTCONFIG, own)]


def _configured(file: Path, data_home: str) -> list[Path]:
    """Further folders from fontconfig's settings, for systems that keep fonts elsewhere."""
    try:
        root = ET.parse(file).getroot()
    except (OSError, ET.ParseError):
        return []
    found = []
    for element in root.iter("dir"):
        text = (element.text or "").strip()
        if text and element.get("prefix") == "xdg":
            text = str(Path(data_home, text))
        if text:
            found.append(Path(text).expanduser())
    return found


@functools.cache
def installed_fonts() -> tuple[FontRecord, ...]:
    """The outline fonts of the system, by family and file."""
    files = {path.resolve() for folder in system_folders() for path in _files(folder)}
    found = [record for path in sorted(files) for record in records_of(path)]
    return tuple(sorted(found, key=lambda r: (r.family.lower(), str(r.source), r.index)))


def _files(folder: Path) -> Iterator[Path]:
    for directory, _, names in os.walk(folder):  # leaves out what it may not read
        for name in names:
            if name.lower().endswith(INSTALLED_SUFFIXES):
                yield Path(directory, name)


def records_of(source: Path | bytes) -> list[FontRecord]:
    """The fonts with outlines in a file or its bytes; empty for what is no font."""
    try:
        indices = range(font_count(source))
        return [r for index in indices if (r := _record(source, OpenFont(source, index), index))]
    except (OSError, FontFileError):
        logging.getLogger("wallwright").info("a font could not be read", exc_info=True)
        return []


def unpacked(data: bytes) -> bytes:
    """The font in a WOFF or WOFF2 file; other bytes as they are, and those that cannot be unpacked empty."""
    if data[:4] not in (b"wOFF", b"wOF2"):
        return data
    logging.getLogger("fontTools").setLevel(logging.CRITICAL)  # it warns of each odd record on standard error
    try:
        font = TTFont(io.BytesIO(data), lazy=True)
        font.flavor = None
        plain = io.BytesIO()
        font.save(plain, reorderTables=None)
    except Exception:  # a damaged one makes fontTools fail in any way
        logging.getLogger("wallwright").info("a font could not be unpacked", exc_info=True)
        return b""
    return plain.getvalue()


def _record(source: Path | bytes, font: OpenFont, index: int) -> FontRecord | None:
    """None for a font without outlines or without a name."""
    if not any(tag in OUTLINES for tag in font.table_tags()):
        return None
    names = [*font.names(16), *font.names(1)]
    if not names:
        return None
    style = next(iter([*font.names(17), *font.names(2)]), "")
    os2, head = font.table("OS/2"), font.table("head")
    weight, width_class, selection = REGULAR, 5, 0
    if len(os2) >= 64:
        weight, width_class = int.from_bytes(os2[4:6], "big"), int.from_bytes(os2[6:8], "big")
        selection = int.from_bytes(os2[62:64], "big")
    elif len(head) >= 46:
        weight = 700 if head[45] & 1 else REGULAR
    words = f"{names[-1]} {style}".lower().replace("-", " ")
    width = next((w for word, w in WIDTH_WORDS if word in words), 100)
    if width_class != 5 and 1 <= width_class <= 9:
        width = WIDTH_CLASSES[width_class - 1]
    slanted = bool(selection & 0x201) or (len(head) >= 46 and bool(head[45] & 2)) or "oblique" in words
    axes = tuple((axis.tag, AxisRange(axis.least, axis.most)) for axis in font.axes())
    return FontRecord(
        source, index, tuple(dict.fromkeys(names)), style, min(max(weight, 1), 1000), width, slanted, axes
    )
