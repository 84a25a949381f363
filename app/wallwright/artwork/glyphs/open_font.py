"""A font file as HarfBuzz has it: tables, names, glyphs, shaping. The one module that knows uharfbuzz, which is untyped."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple, Protocol

import uharfbuzz as hb

Point = tuple[float, float]


class FontFileError(ValueError):
    """A file that HarfBuzz cannot open as a font."""


class OutlinePen(Protocol):
    """Takes a glyph's outline, in the font's units, y up (the protocol of fontTools' pens)."""

    def moveTo(self, to: Point) -> None:
        """Begins a ring."""

    def lineTo(self, to: Point) -> None:
        """A straight line."""

    def qCurveTo(self, control: Point, to: Point) -> None:
        """A quadratic curve."""

    def curveTo(self, first: Point, second: Point, to: Point) -> None:
        """A cubic curve."""

    def closePath(self) -> None:
        """Ends a ring, which closes."""

    def endPath(self) -> None:
        """Ends a ring that was left open."""


class ShapedGlyph(NamedTuple):
    """A glyph in its place, in the font's units, y up."""

    glyph: int
    cluster: int
    """Index of the first character it stands for."""
    advance: float
    x_offset: float
    y_offset: float


class Axis(NamedTuple):
    """An axis of a variable font (OpenType 1.9, fvar)."""

    tag: str
    least: float
    most: float


class OpenFont:
    """One font of a file, opened. Of a file only the parts that are asked for are read."""

    def __init__(self, source: Path | bytes, index: int = 0) -> None:
        """index: of the font in a collection. Raises OSError, FontFileError."""
        blob = _blob_of(source)
        try:
            self._face = hb.Face(blob, index)
            self._font = hb.Font(self._face)
            self._tags: list[str] = list(self._face.table_tags)
        except (hb.HarfBuzzError, UnicodeDecodeError) as error:  # the latter: a tag that is no ASCII
            raise FontFileError(str(error)) from error
        self.units: int = self._face.upem or 1000
        """In the letter's size."""

    def table_tags(self) -> list[str]:
        """Names of the tables in it."""
        return self._tags

    def table(self, tag: str) -> bytes:
        """A table's bytes, empty when there is none."""
        return bytes(self._face.reference_table(tag).data)

    def names(self, number: int) -> Iterator[str]:
        """What it is called by a number of OpenType's name table, in English first."""
        entries = {entry.language or "" for entry in self._face.list_names() if entry.name_id == number}
        for language in sorted(entries, key=lambda tag: (tag != "en", tag)):
            if name := self._face.get_name(number, language):
                yield str(name).strip()

    def axes(self) -> list[Axis]:
        """Of a variable font; empty for any other."""
        if not self._face.has_var_data:
            return []
        return [Axis(a.tag, float(a.min_value), float(a.max_value)) for a in self._face.axis_infos]

    def characters(self) -> Container[int]:
        """Code points it has glyphs for."""
        found: Container[int] = self._face.unicodes
        return found

    def vary(self, places: Mapping[str, float]) -> None:
        """Sets places on the axes, by tag."""
        self._font.set_variations(dict(places))

    def vertical_extents(self) -> tuple[float, float]:
        """Height above and depth below the baseline, the font's units, both positive."""
        extents = self._font.get_font_extents("ltr")
        return float(extents.ascender), -float(extents.descender)

    def glyph_of(self, character: str) -> int | None:
        """The glyph of a character; None when there is none."""
        glyph = self._font.get_nominal_glyph(ord(character))
        return None if glyph is None else int(glyph)

    def height_of(self, character: str) -> float:
        """Of a letter above the baseline, the font's units; 0 when there is none."""
        glyph = self.glyph_of(character)
        extents = None if glyph is None else self._font.get_glyph_extents(glyph)
        return 0.0 if extents is None else float(extents.y_bearing)

    def draw(self, glyph: int, pen: OutlinePen) -> None:
        """Gives a glyph's outline to a pen."""
        self._font.draw_glyph_with_pen(glyph, pen)

    def shape(
        self, codes: Sequence[int], first: int, last: int, script: str, is_rtl: bool, features: Mapping[str, int]
    ) -> list[ShapedGlyph]:
        """Glyphs from left to right of characters [first, last) of a text, given as code points.

        The surrounding text is taken into account, so that letters join over a change of look. script: ISO 15924. features:
        OpenType features and their values.
        """
        buffer = hb.Buffer()
        buffer.add_codepoints(list(codes), first, last - first)
        buffer.direction = "rtl" if is_rtl else "ltr"
        buffer.script = script
        buffer.language = "und"
        hb.shape(self._font, buffer, dict(features))
        if not len(buffer.glyph_infos):
            return []
        return [
            ShapedGlyph(i.codepoint, i.cluster, p.x_advance, p.x_offset, p.y_offset)
            for i, p in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
        ]


def font_count(source: Path | bytes) -> int:
    """How many fonts a file holds. Raises OSError, FontFileError."""
    try:
        return int(hb.Face(_blob_of(source)).count)
    except hb.HarfBuzzError as error:
        raise FontFileError(str(error)) from error


def _blob_of(source: Path | bytes) -> hb.Blob:
    try:
        return hb.Blob(source) if isinstance(source, bytes) else hb.Blob.from_file_path(str(source))
    except hb.HarfBuzzError as error:
        raise FontFileError(str(error)) from error
