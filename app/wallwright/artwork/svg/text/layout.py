"""Where each cluster of letters stands: chunks with their anchor, spacing, stretched lengths, vertical lines."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.glyphs.fonts import faces_of
from wallwright.artwork.glyphs.joined_letters import dense, joined, with_next
from wallwright.artwork.glyphs.shaping import Cluster, shaped
from wallwright.artwork.svg.context import mapped
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.text.characters import Character, TextElement
from wallwright.artwork.svg.text.embedded import embedded_fonts
from wallwright.artwork.svg.text.text_path import TextPathTrack, track_of
from wallwright.artwork.svg.text.text_style import rise, spacing, wanted_of
from wallwright.artwork.svg.transforms import moved
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr

CURSIVE = ("ARABIC", "SYRIAC", "NKO", "MANICHAEAN", "MANDAIC", "MONGOLIAN", "PHAGS-PA")
"""Scripts whose letters join: they take no letter spacing (CSS Text 3, 8.2.1)."""
BEND = 0.05
"""Of the letter's size: between points of a letter that bends with a path."""


@dataclass
class PlacedCluster:
    """A cluster and its map to user units."""

    cluster: Cluster
    character: Character
    matrix: Floats
    """(3, 3) from the letter's own frame (size 1, y down, origin on the baseline) to user units."""
    width: float
    """User units of the way along the line that it takes."""
    size: float
    bent: tuple[Points, ...] | None = None
    """Rings in user units of a letter that joins its neighbours along a path and bends with it."""

    @property
    def rings(self) -> list[Points]:
        """Closed rings (n, 2) in user units."""
        return [mapped(self.matrix, ring) for ring in self.cluster.rings] if self.bent is None else list(self.bent)

    @property
    def part(self) -> TextElement:
        """The element its first character stands in."""
        return self.character.part


def laid_out(characters: list[Character], name: str, document: SvgDocument, sink: ShapeSink) -> list[PlacedCluster]:
    """All clusters of a text in their places, chunk by chunk."""
    found: list[PlacedCluster] = []
    names = embedded_fonts(document, sink)
    pen = np.zeros(2)
    for first, last in _chunks(characters):
        chunk = characters[first:last]
        path = next((p for p in chunk[0].part.chain() if p.tag == "textPath"), None)
        begins_path = path is not None and path.first == first
        track = track_of(path, name, sink) if path is not None else None
        if path is not None and track is None:
            continue
        if begins_path:
            pen = np.zeros(2)
        pen = np.array([pen[i] if asked is None else asked for i, asked in enumerate((chunk[0].x, chunk[0].y))])
        placed, pen = _chunk(chunk, pen, track, names, document)
        found += placed
        if track is not None:
            _report_beyond(chunk, placed, name, sink)
    _report_missing(found, name, sink)
    _report_replaced(found, names, name, sink)
    return found


def _report_beyond(chunk: list[Character], placed: list[PlacedCluster], name: str, sink: ShapeSink) -> None:
    """Says which letters are not drawn because they lie beyond the ends of their path."""
    there = {i for one in placed for i in range(one.cluster.start, one.cluster.start + one.cluster.count)}
    beyond = "".join(c.text for i, c in enumerate(chunk) if i not in there).strip()
    if beyond:
        text = tr("its text is longer than its path: “{0}” is not drawn. Use smaller letters or a longer path", beyond)
        sink.report(Severity.WARNING, name, text)


def _report_missing(placed: list[PlacedCluster], name: str, sink: ShapeSink) -> None:
    missing = "".join(dict.fromkeys(c for one in placed for c in one.cluster.missing))
    if missing:
        text = tr("no font on this computer has “{0}”: it is left out. Install a font that has it", missing)
        sink.report(Severity.WARNING, name, text)


def _report_replaced(placed: list[PlacedCluster], names: dict[str, str], name: str, sink: ShapeSink) -> None:
    """Says which letters the fonts that were asked for have not, and in which font they are drawn."""
    replaced: dict[str, str] = {}
    for one in placed:
        faces, _ = faces_of(wanted_of(one.part.context.style, names))
        if one.cluster.rings and all(one.cluster.face is not face for face in faces):
            family = one.cluster.face.family
            if one.character.text not in replaced.setdefault(family, ""):
                replaced[family] += one.character.text
    for family, letters in replaced.items():
        sink.report(Severity.NOTE, name, tr("its font lacks “{0}”: drawn in {1}", letters, family))


def _chunks(characters: list[Character]) -> list[tuple[int, int]]:
    """Ranges that begin where an absolute place is asked for, or another path begins or ends."""

    def path(character: Character) -> TextElement | None:
        return next((p for p in character.part.chain() if p.tag == "textPath"), None)

    starts = [
        i
        for i, c in enumerate(characters)
        if i == 0 or c.x is not None or c.y is not None or path(c) is not path(characters[i - 1])
    ]
    return list(zip(starts, [*starts[1:], len(characters)], strict=True)) if characters else []


def _chunk(
    chunk: list[Character],
    pen: Floats,
    track: TextPathTrack | None,
    names: dict[str, str],
    document: SvgDocument,
) -> tuple[list[PlacedCluster], Floats]:
    style = chunk[0].part.context.style
    is_vertical = style["writing-mode"] in ("tb", "tb-rl", "vertical-rl", "vertical-lr")
    is_rtl = style["direction"] == "rtl"
    parts = {id(c.part): c.part for c in chunk}
    fonts = {key: wanted_of(part.context.style, names) for key, part in parts.items()}
    wanted = [fonts[id(c.part)] for c in chunk]
    clusters = shaped("".join(c.text for c in chunk), wanted, is_rtl)
    sizes = [float(chunk[c.start].part.context.style["font-size"]) for c in clusters]
    upright = [is_vertical and _is_upright(chunk[c.start].text) for c in clusters]
    widths = np.array([s * (1.0 if up else c.advance) for c, s, up in zip(clusters, sizes, upright, strict=True)])
    stretch = np.ones(len(clusters))
    letters, words = (
        {key: spacing(part.context.style, name) for key, part in parts.items()}
        for name in ("letter-spacing", "word-spacing")
    )
    for k, cluster in enumerate(clusters):
        key, text = id(chunk[cluster.start].part), chunk[cluster.start].text
        if letters[key] and k < len(clusters) - 1 and not unicodedata.name(text, "").startswith(CURSIVE):
            widths[k] += letters[key]
        if text in " \u00a0":
            widths[k] += words[key]
    _fit_lengths(chunk, clusters, widths, stretch)
    move = np.array([[chunk[c.start].dx, chunk[c.start].dy] for c in clusters])
    along = 1 if is_vertical else 0
    total = widths.sum() + move[1:, along].sum()
    share = {"middle": 0.5, "end": 1.0}.get(style["text-anchor"], 0.0)
    share = 1 - share if is_rtl else share
    starts = np.cumsum(move[:, along]) + np.concatenate([[0.0], np.cumsum(widths)[:-1]]) - share * total
    across = np.cumsum(move[:, 1 - along])
    placed = []
    joins = joined(clusters) if track is not None else ()
    is_bent = with_next(joins)
    rises: dict[tuple[int, int], float] = {}
    for k, cluster in enumerate(clusters):
        if k % 64 == 0:
            document.limits.report_progress()
        character = chunk[cluster.start]
        pair = (id(character.part), id(cluster.face))
        if pair not in rises:
            rises[pair] = rise(character.part, cluster.face)
        up = rises[pair]
        letter = np.diag([sizes[k] * stretch[k], sizes[k], 1.0])
        turn = _turn(character.rotate)
        if track is not None:
            half = cluster.advance * sizes[k] * stretch[k] / 2
            middle = track.at(track.start + pen[0] + starts[k] + half)
            if middle is None:
                continue
            matrix = middle @ moved(-half, across[k] - up) @ turn @ letter
        elif is_vertical:
            x, y = pen[0] + across[k], pen[1] + starts[k]
            height = (cluster.face.ascent - cluster.face.descent) / 2
            if upright[k]:
                matrix = (
                    moved(x + up, y) @ turn @ moved(-cluster.advance * sizes[k] / 2, sizes[k] * (0.5 + height)) @ letter
                )
            else:
                matrix = moved(x + up, y) @ _turn(90.0) @ moved(0, sizes[k] * height) @ turn @ letter
        else:
            matrix = moved(pen[0] + starts[k], pen[1] + across[k] - up) @ turn @ letter
        bent = None
        if track is not None and is_bent[k] and character.rotate == 0:
            origin = np.array([track.start + pen[0] + starts[k], across[k] - up])
            scale = np.array([sizes[k] * stretch[k], sizes[k]])
            bent = tuple(track.laid(dense(ring, BEND) * scale + origin) for ring in cluster.rings)
        placed.append(PlacedCluster(cluster, character, matrix, float(widths[k]), sizes[k], bent))
    end = starts[-1] + widths[-1] if len(clusters) else 0.0
    last = across[-1] if len(clusters) else 0.0
    pen = pen + ([last, end] if is_vertical else [end, last])
    return placed, pen


def _fit_lengths(chunk: list[Character], clusters: list[Cluster], widths: Floats, stretch: Floats) -> None:
    """textLength of the elements that lie in the chunk whole: widths and stretches of glyphs, in place (SVG 2, 11.5.1)."""
    parts: dict[int, TextElement] = {id(p): p for c in chunk for p in c.part.chain()}
    for part in sorted(parts.values(), key=lambda p: -len(p.chain())):
        style = part.context.style
        try:
            wanted = length(part.element.get("textLength"), part.context.viewport[0], -1.0, float(style["font-size"]))
        except BadNumber:
            continue
        if wanted < 0:
            continue
        mine = np.array([part in chunk[c.start].part.chain() for c in clusters])
        if not mine.any():
            continue
        natural = widths[mine].sum()
        if part.element.get("lengthAdjust") == "spacingAndGlyphs":
            if natural > 0:
                stretch[mine] *= wanted / natural
                widths[mine] *= wanted / natural
        elif mine.sum() > 1:
            gaps = np.flatnonzero(mine)[:-1]
            widths[gaps] += (wanted - natural) / len(gaps)


def _is_upright(character: str) -> bool:
    """Whether a character stands upright in vertical lines: wide ones do (UAX 11, close to what UAX 50 lists)."""
    return unicodedata.east_asian_width(character) in "WF"


def _turn(degrees: float) -> Floats:
    if degrees == 0:
        return np.eye(3)
    a = np.radians(degrees)
    return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1.0]])
