"""Painting a piece of a sheet of ink: from a frozen order to a picture, in any thread.

Lines of one pen are painted opaque, so that joints and retraced strokes leave no dots; the ink of different pens is
then multiplied, as one transparent ink over another on paper.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPen

from wallwright.artwork.ink_layers import blank_layer, multiplied
from wallwright.window.ink.cells import Lines, Moments, SegmentGrid
from wallwright.window.ink.clipping import AnyFloat, clip
from wallwright.window.ink.cover import average_cover, in_colour
from wallwright.window.ink.line_drawing import draw_lines
from wallwright.window.ink.sampling import AXIS_PX, CELL_PX, Sampled, Sampling, samplings
from wallwright.window.ink.stroke_geometry import StrokeGeometry

ALL = 2**31 - 1
"""The moment after everything is drawn."""

_SQUARE_CAPS_TO_PX = 3.0
"""Round caps cost ten times square ones, and up to this width a person cannot tell them apart."""
_MOST_ROUND = 20_000
"""Lines a tile may draw with round caps (about 80 ms); beyond it the tile is black with ink anyway."""
_DOT_PX = 0.1
"""Shorter lines of a thin pen are taken for dots."""
_SPECK_PX = 1e-3
_THIN_PX = 2.0
"""Thinner lines of ink, close together, are painted finer than the screen: side by side in one pixel, soft edges leave up to
40 % of a fill's ink out, for each pretends to cover other parts of the pixel than those before it."""
_SLOPES = 6
"""Classes of slope for which a line's width is corrected."""
_FAINTEST_PX = 0.3
"""Thinner pens are shown as wide as this: a single fine line stays visible when the whole wall is in view."""


class InkStyle(msgspec.Struct, frozen=True):
    """How the pens look. Frozen, so that a worker may read it."""

    colours: tuple[tuple[int, int, int, int], ...]
    """Red, green, blue, alpha, 0 to 255, by pen."""
    widths: tuple[float, ...]
    """mm by pen, or pixels."""
    in_pixels: bool = False
    textures: tuple[QImage, ...] = ()
    """What the pens paint with instead of their colours, when there are any, by pen; never painted on."""
    least_px: tuple[float, ...] = ()
    """Width at which a line alone is seen at least, by pen; none: their ink is shown as wide as it is."""
    inks: tuple[int, ...] = ()
    """Pens of the same number here draw the same ink, which covers itself; none: all inks differ."""

    def true_px(self, pen: int, scale: float) -> float:
        """Width of the ink on screen at scale px/mm."""
        return max(_FAINTEST_PX, self.widths[pen] * (1.0 if self.in_pixels else scale))

    def width_px(self, pen: int, scale: float) -> float:
        """Width on screen, at most, at scale px/mm."""
        return max(self.true_px(pen, scale), self.least_px[pen] if self.least_px else 0.0)

    def widest_px(self, scale: float) -> float:
        return max((self.width_px(pen, scale) for pen in range(len(self.widths))), default=0.0)

    def colour(self, pen: int) -> QColor:
        return QColor(*self.colours[pen])

    def brush(self, pen: int) -> QBrush:
        """Opaque: of the texture, else of the colour."""
        return QBrush(self.textures[pen]) if self.textures else QBrush(QColor(*self.colours[pen][:3]))


class TilePicture(msgspec.Struct, frozen=True):
    """A painted box of the sheet, in pixels of the sheet at `scale`: pixel (0, 0) begins at the wall's origin."""

    scale: float
    """px/mm."""
    box: QRect
    """The whole box it stands for."""
    image: QImage | None
    """None: no ink in the box."""
    place: QRect
    """The part of the box that has ink, which image covers."""
    until: int = ALL
    """Painted up to this moment."""
    moments: Moments | None = None
    """(s,) ascending, of all segments in the box; kept while the drawing is being revealed."""
    layers: dict[int, QImage] = msgspec.field(default_factory=dict)
    """By pen, kept likewise to paint on."""

    @property
    def bytes(self) -> int:
        own = 0 if self.image is None else self.image.sizeInBytes()
        kept = 0 if self.moments is None else self.moments.nbytes
        return 200 + own + kept + sum(layer.sizeInBytes() for layer in self.layers.values())

    def shows(self, until: int) -> bool:
        """Whether painting up to this moment would give the same picture."""
        if self.until == until:
            return True
        if self.moments is None:
            return False
        a, b = np.searchsorted(self.moments, (self.until, until), side="right")
        return bool(a == b)


class PaintOrder(msgspec.Struct, frozen=True):
    """What to paint."""

    geometry: StrokeGeometry
    style: InkStyle
    scale: float
    box: QRect
    until: int = ALL
    earlier: TilePicture | None = None
    """The same box painted up to an earlier moment, to continue."""
    likeness: bool = False
    """A quick sample of the strokes will do."""


def paint(order: PaintOrder) -> TilePicture:
    """Paints an order. The box must be of a size that fits an image."""
    revealing = order.until != ALL
    cells = order.geometry.likeness() if order.likeness else order.geometry.cells(order.scale)
    found = {pen: _lines_in(cells, pen, order) for pen in cells.pens}
    place = _inked(found, order)
    moments = np.sort(np.concatenate([m for _, m in found.values()])) if revealing and found else None
    if revealing and moments is None:
        moments = np.zeros(0, dtype=np.int32)
    layers: dict[int, QImage] = {}
    after = -1
    earlier = order.earlier
    if revealing and earlier is not None and earlier.moments is not None and earlier.until < order.until:
        layers, after = dict(earlier.layers), earlier.until
    for pen, (lines, moment) in found.items():
        # By all lines, so that it stays the same while they are revealed.
        ways = samplings(
            lines,
            order.style.true_px(pen, order.scale),
            order.style.width_px(pen, order.scale),
            order.box.height(),
            _is_fine(order, pen),
        )
        due = moment <= order.until
        fresh = due & (moment > after)
        if not fresh.any() or place.isEmpty():
            continue
        layer = layers.get(pen)
        if layer is not None and any(how.times > 1 and (fresh & which).any() for which, how in ways):
            marked = _marked(lines.compress(fresh, axis=1), order, pen)
            layers[pen] = _redrawn(layer, _sampled(lines, due, ways), marked, order, pen, place)
        else:
            layers[pen] = _drawn(layer, _sampled(lines, fresh, ways), order, pen, place)
    image, place = _combined(layers, order.style), place.translated(order.box.topLeft())
    return TilePicture(order.scale, order.box, image, place, order.until, moments, layers if revealing else {})


def draw_pen(
    painter: QPainter, lines: npt.NDArray[np.floating], brush: QBrush, width: float, enlarged: int = 1
) -> None:
    """Draws lines (4, n), rows x1 y1 x2 y2, px, with a pen of `width` px, painter in pixels, antialiasing on. enlarged: how
    many of them make one on the screen."""
    pen = QPen(brush, width)
    if width <= 1.0 or enlarged > 1:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        lines = _lengthened(lines, _DOT_PX * enlarged, width * np.pi / 4)  # a dot has the area of a disc
        if width <= AXIS_PX:
            for alike, corrected in _by_slope(lines, width):
                pen.setWidthF(corrected)
                painter.setPen(pen)
                draw_lines(painter, alike.T)
            return
    else:
        square = width <= _SQUARE_CAPS_TO_PX or lines.shape[1] > _MOST_ROUND
        pen.setCapStyle(Qt.PenCapStyle.SquareCap if square else Qt.PenCapStyle.RoundCap)
        lines = _lengthened(lines, _SPECK_PX, _SPECK_PX)  # no caps are drawn on lines of no length
    painter.setPen(pen)
    draw_lines(painter, lines.T)


def _lines_in(cells: SegmentGrid, pen: int, order: PaintOrder) -> tuple[Lines, Moments]:
    """Lines (4, m) in px from the box's corner, cut to the box and a margin for the pen, and their moments."""
    box, scale = order.box, order.scale
    margin = CELL_PX if _is_fine(order, pen) else order.style.width_px(pen, scale) / 2 + 1
    low, high = (-margin, -margin), (box.width() + margin, box.height() + margin)
    corner = np.array((box.x(), box.y()))
    lines, moment = cells.near(pen, *((corner + low) / scale), *((corner + high) / scale))
    offset = (cells.origin * scale - corner).astype(np.float32)
    lines, kept = clip(lines * np.float32(scale) + np.tile(offset, 2)[:, None], low, high)
    return lines, moment[kept]


def _inked(found: dict[int, tuple[Lines, Moments]], order: PaintOrder) -> QRect:
    """The part of the box the lines can mark, px from the box's corner."""
    place = QRect()
    for pen, (lines, _) in found.items():
        if lines.shape[1]:
            place = place.united(_marked(lines, order, pen))
    return place.intersected(QRect(QPoint(0, 0), order.box.size()))


def _marked(lines: Lines, order: PaintOrder, pen: int) -> QRect:
    """What lines (4, n) of a pen, n > 0, can mark, px from the box's corner."""
    grow = order.style.width_px(pen, order.scale) / 2 + 1
    ends = lines.reshape(2, 2, -1)
    low = np.floor(ends.min(axis=(0, 2)) - grow).astype(int)
    size = np.ceil(ends.max(axis=(0, 2)) + grow).astype(int) - low
    return QRect(*low.tolist(), *size.tolist())


def _is_fine(order: PaintOrder, pen: int) -> bool:
    """Whether lines of a pen are painted finer than the screen where it makes a difference."""
    style = order.style
    return style.width_px(pen, order.scale) < _THIN_PX and not (style.in_pixels or style.textures or order.likeness)


def _sampled(lines: Lines, which: npt.NDArray[np.bool_], ways: list[tuple[npt.NDArray[np.bool_], Sampling]]) -> Sampled:
    """Some of the lines (4, n), in the order of the ways in which they are painted."""
    return [(lines.compress(which & own, axis=1), how) for own, how in ways]


def _by_slope(lines: npt.NDArray[AnyFloat], width: float) -> Iterator[tuple[npt.NDArray[AnyFloat], float]]:
    """Lines (4, n) of alike slope, and the width along an axis, at most AXIS_PX, that makes them `width` px wide."""
    way = np.abs(lines[2:] - lines[:2])
    cosine = way.max(axis=0) / np.maximum(np.hypot(*way), 1e-9)
    of = np.minimum(-2 * np.log2(np.maximum(cosine, 1e-9)) * _SLOPES, _SLOPES - 1).astype(np.int64)
    for k in np.unique(of).tolist():
        yield lines[:, of == k], min(width * 2 ** ((k + 0.5) / (2 * _SLOPES)), AXIS_PX)


def _drawn(layer: QImage | None, sampled: Sampled, order: PaintOrder, pen: int, place: QRect) -> QImage:
    """A copy of the pen's layer with more lines on it."""
    page = None if layer is None else QImage(layer)
    corner = np.tile(np.array((place.x(), place.y()), dtype=np.float32), 2)[:, None]
    for lines, sampling in sampled:
        if not lines.shape[1]:
            continue
        if sampling.times == 1:
            page = blank_layer(place.size()) if page is None else page
            _draw_on(page, lines - corner, sampling, order, pen, place)
            continue
        mask = QImage(place.size() * sampling.times, QImage.Format.Format_Alpha8)
        mask.fill(0)
        _draw_on(mask, (lines - corner) * np.float32(sampling.times), sampling, order, pen, place)
        averaged = in_colour(average_cover(mask, sampling.times), order.style.colours[pen][:3])
        if page is None:
            page = averaged
            continue
        painter = QPainter(page)
        painter.drawImage(0, 0, averaged)
        painter.end()
    return blank_layer(place.size()) if page is None else page


def _draw_on(page: QImage, lines: Lines, sampling: Sampling, order: PaintOrder, pen: int, place: QRect) -> None:
    """Draws lines (4, n), in the page's pixels."""
    painter = QPainter(page)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, sampling.soft)
    painter.setBrushOrigin(-(order.box.topLeft() + place.topLeft()))  # textures go on from tile to tile
    draw_pen(painter, lines, order.style.brush(pen), sampling.width * sampling.times, sampling.times)
    painter.end()


def _redrawn(layer: QImage, sampled: Sampled, marked: QRect, order: PaintOrder, pen: int, place: QRect) -> QImage:
    """A copy of the pen's layer with the marked part of it drawn anew with all of its lines: soft edges of one averaged
    picture over another would leave ink out."""
    marked = marked.intersected(place)
    if marked.isEmpty():
        return layer
    margin = order.style.width_px(pen, order.scale) / 2 + 1
    low, high = (
        (marked.left() - margin, marked.top() - margin),
        (marked.right() + 1 + margin, marked.bottom() + 1 + margin),
    )
    part = _drawn(None, [(clip(lines, low, high)[0], how) for lines, how in sampled], order, pen, marked)
    page = QImage(layer)
    painter = QPainter(page)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_Source)
    painter.drawImage(marked.topLeft() - place.topLeft(), part)
    painter.end()
    return page


def _combined(layers: dict[int, QImage], style: InkStyle) -> QImage | None:
    """The layers' inks over one another; the single layer itself if there is only one, opaque."""
    inks: dict[int, QImage] = {}
    opacity: dict[int, float] = {}
    for pen in sorted(layers):
        ink = style.inks[pen] if style.inks else pen
        opacity[ink] = style.colours[pen][3] / 255
        inks[ink] = _over(inks[ink], layers[pen]) if ink in inks else layers[pen]
    if len(inks) <= 1 and all(share == 1.0 for share in opacity.values()):
        return next(iter(inks.values()), None)
    size = next(iter(layers.values())).size()
    return multiplied(size, ((inks[ink], opacity[ink]) for ink in sorted(inks)))


def _over(below: QImage, above: QImage) -> QImage:
    """Two pictures of the same ink as one."""
    page = QImage(below)
    painter = QPainter(page)
    painter.drawImage(0, 0, above)
    painter.end()
    return page


def _lengthened(lines: npt.NDArray[AnyFloat], below: float, length: float) -> npt.NDArray[AnyFloat]:
    """Lines shorter than `below` px replaced by level ones of `length` px about the same middle."""
    x1, y1, x2, y2 = lines
    short = (np.abs(x2 - x1) < below) & (np.abs(y2 - y1) < below)
    if not short.any():
        return lines
    lines = lines.copy()
    x, y = (x1[short] + x2[short]) / 2, (y1[short] + y2[short]) / 2
    lines[:, short] = x - length / 2, y, x + length / 2, y
    return lines
