"""Which font is meant: installed ones, files that come along, and generic names (CSS Fonts 4, section 5). Asks QtGui."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import io
import logging
import struct
import sys
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QByteArray
from PySide6.QtGui import QFont, QFontDatabase, QGuiApplication, QRawFont, QTextLayout

from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.whole_file import read_whole_file

EM = 2000
"""Pixels a font is asked at; Qt's positions are 1/64 of one."""
SUFFIXES = (".ttf", ".otf", ".ttc", ".woff", ".woff2")
GIVEN = " (given)"
"""What marks the families of files that came along."""
EMBEDDED = "embedded "
"""What the names of fonts that documents bring begin with."""
GENERIC = {
    "serif": QFont.StyleHint.Serif, "sans-serif": QFont.StyleHint.SansSerif, "monospace": QFont.StyleHint.Monospace,
    "cursive": QFont.StyleHint.Cursive, "fantasy": QFont.StyleHint.Fantasy,
}  # fmt: skip
WIDTHS = (
    ("ultra condensed", 50), ("extra condensed", 62), ("semi condensed", 87), ("semicondensed", 87), ("condensed", 75),
    ("narrow", 75), ("ultra expanded", 200), ("extra expanded", 150), ("semi expanded", 112), ("expanded", 125),
)  # fmt: skip
"""Widths by the words of a style's name, percent of normal."""

_application: list[QGuiApplication] = []
_added: dict[str, list[str]] = {}
"""Families of the font files that came along, by what is in them."""


@dataclass(frozen=True)
class FontRequest:
    """A font as a document asks for it."""

    families: tuple[str, ...]
    weight: int = 400
    italic: bool = False
    stretch: int = 100
    """Percent of the normal width."""
    features: tuple[tuple[str, int], ...] = ()
    """OpenType features and their values."""
    kerning: bool = True


def add_fonts(folder: Path) -> list[str]:
    """Makes the font files of a folder and its subfolders known; the families found. Raises BadFile when there is none.

    They go before installed fonts of the same name, and generic names and missing fonts are looked for among them first.
    """
    return sorted(font_files(folder))


def font_files(folder: Path) -> dict[str, list[bytes]]:
    """The font files of a folder and its subfolders by family. Raises BadFile when there is none."""
    found: dict[str, list[bytes]] = {}
    for data in _files(folder):
        for family in _add(data):
            found.setdefault(family, []).append(data)
    if not found:
        raise BadFile(tr("{0} holds no font that can be read ({1}).", folder, ", ".join(SUFFIXES)))
    return found


def _files(folder: Path) -> list[bytes]:
    if not folder.is_dir():
        raise BadFile(tr("{0} is no folder of fonts.", folder))
    try:
        files = [p for p in sorted(folder.rglob("*")) if p.suffix.lower() in SUFFIXES]
    except OSError as error:
        raise BadFile(tr("{0} cannot be read: {1}.", error.filename or folder, error.strerror)) from error
    return [read_whole_file(p) for p in files]


def add_embedded(files: list[bytes]) -> str | None:
    """Makes the fonts of one family that a document brings known; the name they go by, None when none can be read.

    The name tells nothing but what is in them, so that no other document is drawn with them.
    """
    name = EMBEDDED + hashlib.sha256(b"".join(files)).hexdigest()[:20]
    known = [_add(data, name) for data in files]
    return name if any(known) else None


def forget_fonts() -> None:
    """Only installed fonts are known again."""
    ensure_application()
    QFontDatabase.removeAllApplicationFonts()
    _added.clear()
    faces_of.cache_clear()
    _any_face.cache_clear()


def _add(data: bytes, family: str | None = None) -> list[str]:
    """Registers a font file under its own family or the one given; the families, empty when it cannot be read.

    Qt would take an installed font of the same name, maybe of another version: the name is marked before.
    """
    from fontTools.ttLib import TTCollection, TTFont, TTLibError

    ensure_application()
    logging.getLogger("fontTools").setLevel(logging.CRITICAL)  # it warns of each odd record on standard error
    key = hashlib.sha256(data).hexdigest() + (family or "")
    if key in _added:
        return _added[key]
    _added[key] = []
    try:
        file = io.BytesIO(data)
        fonts = TTCollection(file, lazy=True).fonts if data[:4] == b"ttcf" else [TTFont(file, lazy=True)]
        for font in fonts:
            name = family or font["name"].getBestFamilyName()
            if not name:
                continue
            font.flavor = None
            for number in (1, 16):
                font["name"].removeNames(nameID=number)
            font["name"].setName(name + GIVEN, 1, 3, 1, 0x409)
            plain = io.BytesIO()
            font.save(plain, reorderTables=None)
            if (
                QFontDatabase.addApplicationFontFromData(QByteArray(plain.getvalue())) >= 0
                and name not in _added[key]
            ):
                _added[key].append(name)
    except TTLibError:
        pass  # not a font: the caller says so
    except Exception:  # a damaged one makes fontTools fail in any way
        logging.getLogger("wallwright").info("a font could not be read", exc_info=True)
    faces_of.cache_clear()
    _any_face.cache_clear()
    return _added[key]


class FontFace:
    """One font at one width, weight and slope."""

    def __init__(self, font: QFont) -> None:
        self.font = font
        self.raw = QRawFont.fromFont(font)
        self.family = self.raw.familyName().removesuffix(GIVEN)
        self._has: dict[str, bool] = {}
        ascent, descent = self.raw.ascent() / EM, self.raw.descent() / EM
        self.ascent, self.descent = ascent, descent
        self.x_height = self.raw.xHeight() / EM
        os2, post = bytes(self.raw.fontTable("OS/2")), bytes(self.raw.fontTable("post"))
        units = self.raw.unitsPerEm() or 1000
        if len(bytes(self.raw.fontTable("hhea"))) >= 8:
            high, low = struct.unpack(">hh", bytes(self.raw.fontTable("hhea"))[4:8])
            self.ascent, self.descent = high / units, -low / units
        if len(os2) >= 90 and struct.unpack(">H", os2[:2])[0] >= 2:
            self.x_height = struct.unpack(">h", os2[86:88])[0] / units or self.x_height
        thickness, under = struct.unpack(">hh", post[8:12])[::-1] if len(post) >= 12 else (50, -100)
        self.thickness = (thickness or 50) / units
        self.underline = -under / units
        """Below the baseline."""
        strike = struct.unpack(">hh", os2[26:30]) if len(os2) >= 30 else (0, 0)
        self.strike_thickness = (strike[0] or thickness) / units
        self.strike = (strike[1] / units) or self.x_height / 2
        """Above the baseline, like the offsets of sub- and superscripts."""
        self.sub, self.super = (0.2, 0.4)
        if len(os2) >= 26:
            self.sub, self.super = (
                struct.unpack(">h", os2[16:18])[0] / units,
                struct.unpack(">h", os2[24:26])[0] / units,
            )

    def has(self, character: str) -> bool:
        """Whether the font has a glyph for a character."""
        if character not in self._has:
            self._has[character] = self.raw.supportsCharacter(ord(character))
        return self._has[character]


@functools.cache
def faces_of(wanted: FontRequest) -> tuple[tuple[FontFace, ...], bool]:
    """The fonts to try for each character, in order, and whether the first is what was asked for."""
    ensure_application()
    known = {family.lower(): family for family in QFontDatabase.families()}
    found, exact = [], False
    for i, name in enumerate((*wanted.families, "")):
        lower = name.lower()
        family = _generic(lower) if lower in GENERIC else known.get(lower + GIVEN) or known.get(lower)
        if name == "" and not found:
            family = _generic("serif")
        if family is None:
            continue
        exact = exact or (not found and i < len(wanted.families))
        found.append(_face(family, wanted))
    return tuple(found), exact


def face_of(wanted: FontRequest, character: str) -> FontFace:
    """The font for a character: the first of those asked for that has it, else any installed one."""
    faces, _ = faces_of(wanted)
    for face in faces:
        if face.has(character):
            return face
    return _any_face(wanted, character) or faces[0]


@functools.cache
def _any_face(wanted: FontRequest, character: str) -> FontFace | None:
    """A font that has the character: among the files that came along, else the system's choice."""
    font = QFont(faces_of(wanted)[0][0].font)
    font.setStyleStrategy(QFont.StyleStrategy.PreferDefault)
    layout = QTextLayout(character, font)
    layout.beginLayout()
    line = layout.createLine()
    layout.endLayout()
    systems = [run.rawFont().familyName() for run in line.glyphRuns() if 0 not in run.glyphIndexes()]
    upright = dataclasses.replace(wanted, italic=False)
    for family in (*_came_along(), *systems):
        for want in (wanted, upright, dataclasses.replace(upright, weight=400)):
            face = _face(family, want)
            if face.has(character):
                return face
    return None


def _came_along() -> list[str]:
    families = {family for names in _added.values() for family in names}
    return sorted(family + GIVEN for family in families if not family.startswith(EMBEDDED))


def _generic(name: str) -> str | None:
    """A family for a generic name: of the files that came along when there is one of the kind."""
    word, without = {
        "serif": ("serif", "sans"),
        "sans-serif": ("sans", "mono"),
        "monospace": ("mono", "\0"),
    }.get(name, (name, "\0"))
    fitting = sorted(
        (f for f in _came_along() if word in f.lower() and without not in f.lower()),
        key=lambda f: (len(f), f),
    )
    if fitting:
        return fitting[0]
    font = QFont()
    font.setFamilies([name])
    font.setStyleHint(GENERIC[name])
    return QRawFont.fromFont(font).familyName() or None


def _face(family: str, wanted: FontRequest) -> FontFace:
    """The style of a family that comes nearest: width first, then slope, then weight (CSS Fonts 4, 5.2)."""
    styles = QFontDatabase.styles(family)

    def distance(style: str) -> tuple:
        width = next((w for words, w in WIDTHS if words in style.lower().replace("-", " ")), 100)
        narrower = width <= 100 if wanted.stretch <= 100 else width >= 100
        slanted = QFontDatabase.italic(family, style) or "oblique" in style.lower()
        return (not narrower, abs(width - wanted.stretch), slanted != wanted.italic,
                _weight_distance(QFontDatabase.weight(family, style), wanted.weight), style)  # fmt: skip

    if styles:
        font = QFontDatabase.font(family, min(styles, key=distance), 12)
    else:
        font = QFont(family)
    font.setPixelSize(EM)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setStyleStrategy(QFont.StyleStrategy.NoFontMerging)
    font.setKerning(wanted.kerning)
    for tag, value in wanted.features:
        font.setFeature(QFont.Tag(tag), value)
    return FontFace(font)


def _weight_distance(weight: int, wanted: int) -> tuple[int, int]:
    """CSS Fonts 4, 5.2: between 400 and 500 up to 500 first, then lighter; below 400 lighter first; above 500 bolder."""
    if 400 <= wanted <= 500:
        if wanted <= weight <= 500:
            return 0, weight - wanted
        return (1, wanted - weight) if weight < wanted else (2, weight - wanted)
    lighter_first = wanted < 400
    on_first_side = weight <= wanted if lighter_first else weight >= wanted
    return (0 if on_first_side else 1), abs(weight - wanted)


def ensure_application() -> None:
    """Qt knows no fonts without an application."""
    if QGuiApplication.instance() is None:
        _application.append(screenless_application())


def screenless_application() -> QGuiApplication:
    """An application that asks for no screen: outlines and paper need none. Whatever platform the environment names, for
    one that cannot be reached would end the process."""
    screenless = [] if sys.platform.startswith(("win", "darwin")) else ["-platform", "offscreen"]
    return QGuiApplication(["wallwright", *screenless])
