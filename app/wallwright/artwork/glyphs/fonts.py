"""Which font is meant: installed ones, files that come along, and generic names (CSS Fonts 4, section 5)."""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import struct
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from wallwright.artwork.glyphs.font_index import (
    REGULAR,
    SUFFIXES,
    FontRecord,
    installed_fonts,
    records_of,
    unpacked,
)
from wallwright.artwork.glyphs.open_font import FontFileError, OpenFont
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.whole_file import read_whole_file

EMBEDDED = "embedded "
"""What the names of fonts that documents bring begin with."""
GENERIC = {
    "serif": ("DejaVu Serif", "Times New Roman", "Times", "Liberation Serif", "Noto Serif", "Nimbus Roman"),
    "sans-serif": ("DejaVu Sans", "Arial", "Helvetica", "Liberation Sans", "Noto Sans", "Nimbus Sans"),
    "monospace": ("DejaVu Sans Mono", "Courier New", "Menlo", "Liberation Mono", "Noto Sans Mono", "Nimbus Mono PS"),
    "cursive": ("Comic Sans MS", "Apple Chancery", "Z003", "URW Chancery L"),
    "fantasy": ("Impact", "Papyrus", "DejaVu Serif"),
}
"""What generic names stand for, the first that is installed: what Linux, Windows and macOS come with."""
GENERIC_WORDS = {"serif": ("serif", "sans"), "sans-serif": ("sans", "mono"), "monospace": ("mono", "\0")}
"""A word in the names of fonts of a kind, and one that is not in them."""


class NoFonts(BadFile):
    """There is no font at all, which makes text alone impossible."""


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


class FontFace:
    """One font at one width, weight and slope. Its measures are shares of the letter's size."""

    def __init__(self, record: FontRecord, variations: dict[str, float] | None = None) -> None:
        """variations: places on the axes of a variable font, by tag. Raises OSError, FontFileError when it has gone."""
        self.family = record.family
        self.font = font = OpenFont(record.source, record.index)
        if variations:
            font.vary(variations)
        units = font.units
        self.ascent, self.descent = (extent / units for extent in font.vertical_extents())
        hhea, os2, post = (font.table(tag) for tag in ("hhea", "OS/2", "post"))
        if len(hhea) >= 8:
            high, low = struct.unpack(">hh", hhea[4:8])
            self.ascent, self.descent = high / units, -low / units
        self.x_height = 0.0
        if len(os2) >= 90 and struct.unpack(">H", os2[:2])[0] >= 2:
            self.x_height = struct.unpack(">h", os2[86:88])[0] / units
        self.x_height = self.x_height or font.height_of("x") / units or 0.5
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
        return self.font.glyph_of(character) is not None


class _GivenFonts:
    """The font files that came along, in this process."""

    def __init__(self) -> None:
        self._records: dict[str, list[FontRecord]] = {}
        """By their family's name in lower case, in order of arrival."""
        self._families: dict[str, list[str]] = {}
        """Of what was read already, by what is in it."""

    def add(self, data: bytes, family: str | None = None) -> list[str]:
        """Adds a font file under its own family or the one given; the families, empty when it cannot be read."""
        key = hashlib.sha256(data).hexdigest() + (family or "")
        if key not in self._families:
            records = records_of(unpacked(data))
            if family is not None:
                records = [dataclasses.replace(r, families=(family,)) for r in records]
            for record in records:
                for name in record.families:
                    self._records.setdefault(name.lower(), []).append(record)
            self._families[key] = list(dict.fromkeys(r.family for r in records))
            _forget_choices()
        return self._families[key]

    def clear(self) -> None:
        self._records.clear()
        self._families.clear()

    def of_family(self, name: str) -> Sequence[FontRecord]:
        return self._records.get(name.lower(), ())

    def families(self) -> list[str]:
        """Without those that documents bring for themselves."""
        names = {records[0].family for records in self._records.values()}
        return sorted(name for name in names if not name.startswith(EMBEDDED))


_given = _GivenFonts()


def add_fonts(folder: Path) -> list[str]:
    """Makes the font files of a folder and its subfolders known; the families found. Raises BadFile when there is none.

    They go before installed fonts of the same name, and generic names and missing fonts are searched among them first.
    """
    return sorted(font_files(folder))


def font_files(folder: Path) -> dict[str, list[bytes]]:
    """The font files of a folder and its subfolders by family. Raises BadFile when there is none."""
    found: dict[str, list[bytes]] = {}
    for data in _files(folder):
        for family in _given.add(data):
            found.setdefault(family, []).append(data)
    if not found:
        raise BadFile(tr("{0} contains no readable font ({1}).", folder, ", ".join(SUFFIXES)))
    return found


def _files(folder: Path) -> list[bytes]:
    if not folder.is_dir():
        raise BadFile(tr("{0} is not a folder of fonts.", folder))
    try:
        files = [p for p in sorted(folder.rglob("*")) if p.suffix.lower() in SUFFIXES]
    except OSError as error:
        raise BadFile(tr("{0} cannot be read: {1}.", error.filename or folder, error.strerror)) from error
    return [read_whole_file(p) for p in files]


def add_embedded(files: list[bytes]) -> str | None:
    """Makes the fonts of one family that a document brings known; the name they go by, None when none can be read.

    The name says nothing but what is in them, so that no other document is drawn with them.
    """
    name = EMBEDDED + hashlib.sha256(b"".join(files)).hexdigest()[:20]
    known = [_given.add(data, name) for data in files]
    return name if any(known) else None


def forget_fonts() -> None:
    """Only installed fonts are known again."""
    _given.clear()
    _forget_choices()


def _forget_choices() -> None:
    faces_of.cache_clear()
    _any_face.cache_clear()


@functools.cache
def faces_of(wanted: FontRequest) -> tuple[tuple[FontFace, ...], bool]:
    """The fonts to try for each character, in order, and whether the first is what was asked for.

    Raises NoFonts.
    """
    found: list[FontFace] = []
    exact = False
    for name in wanted.families:
        family = _generic(name.lower()) if name.lower() in GENERIC else name
        face = None if family is None else _face_of_family(family, wanted)
        if face is not None:
            exact = exact or not found
            found.append(face)
    if not found:
        family = _generic("serif")
        face = None if family is None else _face_of_family(family, wanted)
        if face is None:
            raise NoFonts(tr("There is no font on this computer to draw text with; install one."))
        found.append(face)
    return tuple(found), exact


def face_of(wanted: FontRequest, character: str) -> FontFace:
    """The font for a character: the first of those asked for that has it, else any that is known.

    Raises NoFonts.
    """
    faces, _ = faces_of(wanted)
    for face in faces:
        if face.has(character):
            return face
    return _any_face(wanted, character) or faces[0]


@functools.cache
def _any_face(wanted: FontRequest, character: str) -> FontFace | None:
    """A font that has the character: among the files that came along, else what is installed, the usual ones first."""
    upright = dataclasses.replace(wanted, italic=False)
    for family in _families_with(ord(character)):
        for want in dict.fromkeys((wanted, upright, dataclasses.replace(upright, weight=REGULAR))):
            face = _face_of_family(family, want)
            if face is not None and face.has(character):
                return face
    return None


def _families_with(code: int) -> Iterator[str]:
    yield from _given.families()
    for family, coverages in _installed_coverage():
        if any(code in characters for characters in coverages):
            yield family


@functools.cache
def _installed_coverage() -> list[tuple[str, list[Container[int]]]]:
    """The code points that the fonts of each installed family have, the usual families first. Read once: documents
    with thousands of characters that their own font has not got would open every font for each."""
    usual = [*GENERIC["sans-serif"], *GENERIC["serif"]]
    found: list[tuple[str, list[Container[int]]]] = []
    for family in dict.fromkeys([*usual, *_installed_families()]):
        faces = [_face(record, ()) for record in _installed().get(family.lower(), ())]
        found.append((family, [face.font.characters() for face in faces if face is not None]))
    return found


@functools.cache
def _installed() -> dict[str, list[FontRecord]]:
    """Installed fonts by each name in lower case."""
    found: dict[str, list[FontRecord]] = {}
    for record in installed_fonts():
        for name in record.families:
            found.setdefault(name.lower(), []).append(record)
    return found


@functools.cache
def _installed_families() -> tuple[str, ...]:
    return tuple(dict.fromkeys(record.family for record in installed_fonts()))


def _generic(name: str) -> str | None:
    """A family for a generic name: of the files that came along when there is one of the kind."""
    word, without = GENERIC_WORDS.get(name, (name, "\0"))

    def fitting(families: Sequence[str]) -> list[str]:
        kind = (f for f in families if word in f.lower() and without not in f.lower())
        return sorted(kind, key=lambda f: (len(f), f))

    given = fitting(_given.families())
    usual = [family for family in GENERIC[name] if family.lower() in _installed()]
    installed = _installed_families()
    return next(iter([*given, *usual, *fitting(installed), *installed, *_given.families()]), None)


def _face_of_family(family: str, wanted: FontRequest) -> FontFace | None:
    """The style of a family that comes nearest: width first, then slope, then weight (CSS Fonts 4, 5.2)."""
    records = _given.of_family(family) or _installed().get(family.lower(), ())
    for record in sorted(records, key=lambda r: _distance(r, wanted)):
        face = _face(record, _variations(record, wanted))
        if face is not None:
            return face
    return None


def _distance(record: FontRecord, wanted: FontRequest) -> tuple[bool, float, bool, tuple[int, float], str]:
    axes = dict(record.axes)
    width = axes["wdth"].nearest(wanted.stretch) if "wdth" in axes else record.width
    weight = axes["wght"].nearest(wanted.weight) if "wght" in axes else record.weight
    narrower = width <= 100 if wanted.stretch <= 100 else width >= 100
    slanted = record.is_slanted or (wanted.italic and any(tag in axes for tag in ("ital", "slnt")))
    return (
        not narrower,
        abs(width - wanted.stretch),
        slanted != wanted.italic,
        _weight_distance(weight, wanted.weight),
        record.style,
    )


def _weight_distance(weight: float, wanted: int) -> tuple[int, float]:
    """CSS Fonts 4, 5.2: between 400 and 500 up to 500 first, then lighter; below 400 lighter first; above 500 bolder."""
    if 400 <= wanted <= 500:
        if wanted <= weight <= 500:
            return 0, weight - wanted
        return (1, wanted - weight) if weight < wanted else (2, weight - wanted)
    lighter_first = wanted < 400
    on_first_side = weight <= wanted if lighter_first else weight >= wanted
    return (0 if on_first_side else 1), abs(weight - wanted)


def _variations(record: FontRecord, wanted: FontRequest) -> tuple[tuple[str, float], ...]:
    """Places on the axes of a variable font."""
    asked = {"wght": float(wanted.weight), "wdth": float(wanted.stretch)}
    if wanted.italic and not record.is_slanted:
        asked |= {"ital": 1.0, "slnt": -90.0}  # as far as the axis goes
    return tuple((tag, axis.nearest(asked[tag])) for tag, axis in record.axes if tag in asked)


@functools.lru_cache(maxsize=500)
def _face(record: FontRecord, variations: tuple[tuple[str, float], ...]) -> FontFace | None:
    """None for a file that has gone since it was found."""
    try:
        return FontFace(record, dict(variations))
    except (OSError, FontFileError):
        return None
