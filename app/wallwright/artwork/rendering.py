"""A picture of what was understood of an artwork. It paints with QtGui, as only ink_layers.py does besides."""

from __future__ import annotations

import dataclasses
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from PySide6.QtCore import QBuffer, QByteArray, QDataStream, QIODevice, QPoint, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QImageWriter, QPainter, QPainterPath, QTransform

from wallwright.artwork.clipping import paint_reach
from wallwright.artwork.drawing import Drawing, Paint, PaintLayer, PaintMask, Shape
from wallwright.artwork.outlines import line_pieces
from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.raster.raster import Pixels, Raster
from wallwright.artwork.resampling import repeated
from wallwright.artwork.sampling import LIGHT
from wallwright.artwork.tile_paint import TilePaint
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.errors import BadFile
from wallwright.document.language import tr

LARGEST_TILE = 8000
"""Pixels; a pattern whose tile is larger on the picture, or less than a pixel, is painted in its mean colour."""
TOGETHER = 4_000
"""Pieces of lines that are filled as one path."""
SMALL_SIDE, SMALL_POINTS = 640, 200_000
"""Of a small picture: pixels of its longer side, and points of paths at most."""
LITTLE = 10
"""Per cent of the compression that PNG can have."""
MOST_PIXELS = 50_000_000
"""Of a picture: 200 MB, and as much again for each group that is painted apart."""


def render(drawing: Drawing, width: int, height: int) -> QImage:
    """The drawing on white, its page stretched to width by height pixels. Raises BadFile for a picture that is too large."""
    if not (0 < width <= 20_000 and 0 < height <= 20_000):
        raise BadFile(tr("A picture of {0} by {1} pixels cannot be made. Choose 1 to 20000 pixels.", width, height))
    if width * height > MOST_PIXELS:
        raise BadFile(
            tr(
                "A picture of {0} by {1} pixels is too large. Choose fewer than {2} million pixels.",
                width,
                height,
                MOST_PIXELS // 1_000_000,
            )
        )
    canvas = PixelCanvas.of(0, 0, width, height, np.array([width / drawing.width, height / drawing.height]))
    canvas.image.fill(Qt.GlobalColor.white)
    if drawing.raster is not None:
        canvas.paint_raster(drawing.raster)
    canvas.paint(drawing.shapes, drawing.layers)
    return canvas.image


def write_rendering(drawing: Drawing, width: int, height: int, path: Path) -> None:
    """Writes the picture as PNG. Raises BadFile."""
    if not QImageWriter(str(path), QByteArray(b"PNG")).write(render(drawing, width, height)):
        raise BadFile(tr("{0} could not be written. Choose another folder or free some disk space.", path))


def small_picture(drawing: Drawing) -> bytes:
    """The drawing on clear ground as PNG, SMALL_SIDE pixels wide or high; empty for one that takes long to paint, or that
    has no size."""
    longest = max(drawing.width, drawing.height)
    points = sum(len(path) for shape in drawing.shapes for path in shape.paths)
    if points > SMALL_POINTS or not min(drawing.width, drawing.height) > 0:
        return b""
    width, height = (max(round(SMALL_SIDE * side / longest), 1) for side in (drawing.width, drawing.height))
    canvas = PixelCanvas.of(0, 0, width, height, np.array([width / drawing.width, height / drawing.height]))
    if drawing.raster is not None:
        canvas.paint_raster(drawing.raster)
    canvas.paint(drawing.shapes, drawing.layers)
    return png_of(canvas.image)


def png_of(image: QImage) -> bytes:
    """A picture as PNG, little compressed: it is wanted at once."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"PNG"))
    writer.setCompression(LITTLE)
    writer.write(image)
    return bytes(buffer.data().data())


@dataclass(frozen=True)
class PixelCanvas:
    """A part of the page as pixels."""

    image: QImage
    left: int
    """Of the page's pixels."""
    top: int
    scale: Floats
    """(2,) pixels in a mm, across and down."""
    tiles: dict[tuple[float, ...], QImage] = field(default_factory=dict)
    """Tiles painted already, by scene and pixels; canvases of one picture share them."""

    @staticmethod
    def of(left: int, top: int, width: int, height: int, scale: Floats) -> PixelCanvas:
        """A clear canvas for a part of the page, in its pixels. scale: (2,) pixels in a mm.

        A clear canvas of so many pixels. scale: (2,) pixels in a mm, across and down.
        """
        image = QImage(width, height, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(Qt.GlobalColor.transparent)
        return PixelCanvas(image, left, top, scale)

    def paint(self, shapes: Sequence[Shape], layers: Sequence[PaintLayer], depth: int = 0) -> None:
        """Paints shapes in order; runs of shapes in the same layer are painted apart and laid on as one."""
        painter = self._painter()
        i = 0
        while i < len(shapes):
            if len(shapes[i].layers) <= depth:
                self._shape(painter, shapes[i])
                i += 1
                continue
            number, end = shapes[i].layers[depth], i
            while end < len(shapes) and shapes[end].layers[depth : depth + 1] == (number,):
                end += 1
            self._layer(painter, shapes[i:end], layers, layers[number], depth + 1)
            i = end
        painter.end()

    def paint_raster(self, raster: Raster) -> None:
        """A picture that fills the page."""
        rows, columns, _ = raster.pixels.shape
        pixels = QImage(raster.pixels.data, columns, rows, 3 * columns, QImage.Format.Format_RGB888)
        painter = QPainter(self.image)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(self.image.rect(), pixels)
        painter.end()

    def _painter(self) -> QPainter:
        painter = QPainter(self.image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        return painter

    def _layer(
        self,
        painter: QPainter,
        shapes: Sequence[Shape],
        layers: Sequence[PaintLayer],
        layer: PaintLayer,
        depth: int,
    ) -> None:
        box = self._box(shapes)
        if box is None or layer.opacity <= 0:
            return
        apart = self.beside(*box, self.scale)
        apart.paint(shapes, layers, depth)
        for mask in layer.masks:
            apart.let_through(mask)
        painter.resetTransform()
        painter.setOpacity(layer.opacity)
        painter.drawImage(QPoint(apart.left - self.left, apart.top - self.top), apart.image)
        painter.setOpacity(1.0)

    def let_through(self, mask: PaintMask) -> None:
        """Multiplies what is painted by a mask."""
        over = self.blank()
        over.paint(mask.scene.shapes, mask.scene.layers)
        if mask.box is not None:
            over.keep_inside([mask.box])
        pixels = _bytes(over.image) / 255.0  # blue, green, red, alpha; colours multiplied by alpha
        through = pixels[..., 2::-1] @ LIGHT if mask.is_luminance else pixels[..., 3]
        own = _bytes(self.image)
        own[:] = np.round(own * through[..., None]).astype(np.uint8)

    def keep_inside(self, rings: Sequence[Points]) -> None:
        """Wipes out what is painted outside rings (even-odd), mm. Each ring (n, 2)."""
        inside = self.blank()
        painter = inside._painter()
        path = path_of(rings, True)
        painter.fillPath(inside.to_pixels().map(path), QColor(Qt.GlobalColor.black))
        painter.end()
        self.keep_under(inside)

    def keep_under(self, other: PixelCanvas) -> None:
        """Multiplies what is painted by another canvas's opacity; both cover the same pixels."""
        painter = QPainter(self.image)
        painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_DestinationIn)
        painter.drawImage(0, 0, other.image)
        painter.end()

    def blank(self) -> PixelCanvas:
        """A clear canvas of the same pixels."""
        return self.beside(self.left, self.top, self.image.width(), self.image.height(), self.scale)

    def beside(self, left: int, top: int, width: int, height: int, scale: Floats) -> PixelCanvas:
        """A clear canvas for a part of the same picture, in the page's pixels. scale: (2,) pixels in a mm.

        scale: (2,) pixels in a mm, across and down.
        """
        return dataclasses.replace(PixelCanvas.of(left, top, width, height, scale), tiles=self.tiles)

    def to_pixels(self) -> QTransform:
        """From mm of the page to this canvas's pixels."""
        return QTransform(self.scale[0], 0, 0, self.scale[1], -self.left, -self.top)

    def _box(self, shapes: Sequence[Shape]) -> tuple[int, int, int, int] | None:
        """left, top, width, height in the page's pixels of what shapes may touch, within this canvas."""
        low, high = np.full(2, np.inf), np.full(2, -np.inf)
        for shape in shapes:
            far = paint_reach(shape)
            for path in shape.paths:
                low = np.minimum(low, path.min(axis=0) - far)
                high = np.maximum(high, path.max(axis=0) + far)
        corner = np.array([self.left, self.top])
        size = np.array([self.image.width(), self.image.height()])
        start = np.clip(np.floor(low * self.scale) - 1, corner, corner + size)
        stop = np.clip(np.ceil(high * self.scale) + 1, corner, corner + size)
        if not (stop > start).all():
            return None
        return (*start.astype(int).tolist(), *(stop - start).astype(int).tolist())

    def _shape(self, painter: QPainter, shape: Shape) -> None:
        if not shape.paths:
            return
        if shape.clip is not None or isinstance(shape.paint, TilePaint):
            self._apart(painter, shape)
            return
        brush = self._brush(shape)
        if brush is None:
            return
        painter.resetTransform()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, not shape.is_crisp)
        outlines = self._outlines(shape)
        if len(outlines) == 1:
            painter.fillPath(outlines[0], brush)
        elif outlines:
            self._together(painter, shape, outlines, brush)

    def _together(self, painter: QPainter, shape: Shape, outlines: Sequence[QPainterPath], brush: QBrush) -> None:
        """Paints parts of a shape as one: where they touch or overlap they cover no more than once."""
        box = self._box([shape])
        if box is None:
            return
        covered = self.beside(*box, self.scale)
        own = covered._painter()
        own.setRenderHint(QPainter.RenderHint.Antialiasing, not shape.is_crisp)
        own.setCompositionMode(QPainter.CompositionMode.CompositionMode_Plus)
        own.translate(self.left - covered.left, self.top - covered.top)
        for outline in outlines:
            own.fillPath(outline, QColor(Qt.GlobalColor.black))
        own.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceIn)
        own.fillRect(self.image.rect(), brush)
        own.end()
        painter.drawImage(QPoint(covered.left - self.left, covered.top - self.top), covered.image)

    def _outlines(self, shape: Shape) -> list[QPainterPath]:
        """What a shape covers, in this canvas's pixels. Lines of many pieces come in parts: the time that Qt takes for a
        path grows with the square of its pieces."""
        if shape.is_region:
            path = path_of(shape.paths, shape.even_odd)
            return [self.to_pixels().map(path)]
        closed, nib = shape.closed or (False,) * len(shape.paths), np.eye(2)
        paths: Sequence[Points] = shape.paths
        if shape.nib:
            nib = np.reshape(shape.nib, (2, 2))
            paths = [p @ np.linalg.inv(nib).T for p in paths]
        flatness = 0.05 / self.scale.max()
        pieces = line_pieces(paths, closed, shape.width, shape.cap, shape.join, shape.miter_limit, flatness)
        if not pieces:
            return []
        corners = np.concatenate([kind.reshape(-1, 2) for kind in pieces])
        pixels = (corners @ nib.T) * self.scale - np.array([self.left, self.top])
        counts = np.concatenate([np.full(len(kind), kind.shape[1]) for kind in pieces])
        starts = np.concatenate([[0], np.cumsum(counts)])
        return [
            qt_path(pixels[starts[i] : starts[min(i + TOGETHER, len(counts))]], counts[i : i + TOGETHER], False)
            for i in range(0, len(counts), TOGETHER)
        ]

    def _apart(self, painter: QPainter, shape: Shape) -> None:
        """Paints a shape whose pixels are worked out on a canvas of their own: one that is clipped, or tiled."""
        box = self._box([shape])
        if box is None:
            return
        covered = self.beside(*box, self.scale)
        own = covered._painter()
        paint = Paint("#000000") if isinstance(shape.paint, TilePaint) else shape.paint
        covered._shape(own, dataclasses.replace(shape, clip=None, paint=paint))
        own.end()
        if shape.clip is not None:
            covered.keep_inside(shape.clip)
        painter.resetTransform()
        place = QPoint(covered.left - self.left, covered.top - self.top)
        if not isinstance(shape.paint, TilePaint):
            painter.drawImage(place, covered.image)
            return
        tiled = covered.blank()
        tiled._tile(shape.paint)
        tiled.keep_under(covered)
        painter.setOpacity(shape.paint.strength)
        painter.drawImage(place, tiled.image)
        painter.setOpacity(1.0)

    def _tile(self, tiles: TilePaint) -> None:
        """Covers the whole canvas with tiles: one is painted, a whole number of pixels wide and high, and repeated."""
        to_pixels = np.diag([*self.scale, 1.0]) @ tiles.to_page
        fine = np.hypot(*to_pixels[:2, :2].T)  # pixels in a unit of the tile's frame, across and down
        width, height = np.round(fine * tiles.size).astype(int).tolist()
        if not (0 < width <= LARGEST_TILE and 0 < height <= LARGEST_TILE):
            mean = QColor(tiles.colour)
            mean.setAlphaF(min(tiles.opacity / max(tiles.strength, 1e-9), 1.0))
            self.image.fill(mean)
            return
        key = id(tiles.scene), width, height, *fine.tolist()
        if key not in self.tiles:
            tile = self.beside(0, 0, width, height, fine)
            tile.paint(tiles.scene.shapes, tiles.scene.layers)
            self.tiles[key] = tile.image
        to_here = np.array([[1, 0, -self.left], [0, 1, -self.top], [0, 0, 1.0]]) @ to_pixels
        to_tile = np.diag([*fine, 1.0]) @ np.linalg.inv(to_here)
        own = _bytes(self.image)
        pixels = repeated(_bytes(self.tiles[key]), to_tile, self.image.width(), self.image.height())
        alpha = np.clip(pixels[..., 3:], 0, 255)
        own[:] = np.round(np.clip(pixels, 0, alpha))

    def _brush(self, shape: Shape) -> QBrush | None:
        """What fills a shape; of a paint that varies, a picture of it in this canvas's pixels. None: out of sight."""
        if not isinstance(shape.paint, VaryingPaint):
            colour = QColor(shape.paint.colour)
            colour.setAlphaF(shape.paint.opacity)
            return QBrush(colour)
        box = self._box([shape])
        if box is None:
            return None
        left, top, width, height = box
        image = QImage(self.image.width(), self.image.height(), QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(Qt.GlobalColor.transparent)
        x = (left + np.arange(width) + 0.5) / self.scale[0]
        y = (top + np.arange(height) + 0.5) / self.scale[1]
        pixels = _bytes(image)[top - self.top : top - self.top + height, left - self.left : left - self.left + width]
        rows = max(1, (1 << 20) // width)  # a million points at a time
        for first in range(0, height, rows):
            part = y[first : first + rows]
            points = np.column_stack([np.tile(x, len(part)), np.repeat(part, width)])
            rgba = shape.paint.rgba_at(points).reshape(len(part), width, 4)
            pixels[first : first + rows, :, :3] = np.round(rgba[..., 2::-1] * rgba[..., 3:] * 255)
            pixels[first : first + rows, :, 3] = np.round(rgba[..., 3] * 255)
        return QBrush(image)


def path_of(rings: Sequence[Points], even_odd: bool) -> QPainterPath:
    """Rings, (n, 2) each, as Qt's path. rings: (n, 2) each, mm."""
    return qt_path(np.concatenate(rings), np.array([len(ring) for ring in rings]), even_odd)


def qt_path(points: Points, counts: Integers, even_odd: bool) -> QPainterPath:
    """(n, 2) points of rings, counts (k,) to a ring, as Qt's path; by way of Qt's stream form, as a call a point would
    take seconds in large drawings."""
    elements = np.zeros(len(points), dtype=[("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
    elements["kind"] = 1  # a line; 0 is a move
    elements["kind"][np.concatenate([[0], np.cumsum(counts)[:-1]])] = 0
    elements["x"], elements["y"] = points[:, 0], points[:, 1]
    last_move = len(points) - int(counts[-1])
    data = struct.pack(">i", len(points)) + elements.tobytes() + struct.pack(">ii", last_move, 0 if even_odd else 1)
    path = QPainterPath()
    stream = QDataStream(QByteArray(data))
    stream >> path
    return path


def _bytes(image: QImage) -> Pixels:
    """(h, w, 4) the picture's own memory: blue, green, red, alpha, on machines with the low byte first."""
    rows = np.frombuffer(image.bits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 4 * image.width()].reshape(image.height(), image.width(), 4)
