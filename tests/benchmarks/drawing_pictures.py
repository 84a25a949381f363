"""Pictures of planned strokes, in the pens' colours and widths, beside resvg's rendering of the file."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from tests.support.whole_way import PENS, placed
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.media import media_of
from wallwright.document.document import Document
from wallwright.document.placing import placement_box
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.strokes.strokes import Strokes

WIDTH = 900
"""Width of each picture, pixels."""


def paint_drawings(folder: Path, names: list[str], into: Path) -> None:
    """Writes a PNG per drawing: the drawing, and the strokes with two and with four pens."""
    into.mkdir(parents=True, exist_ok=True)
    for name in names:
        data = (folder / name).read_bytes()
        drawing = read_artwork(data, media_of(data, name), name, 1.0)
        pictures = [resvg_picture(data, drawing.height / drawing.width)]
        for pens in PENS.values():
            document = placed(data, name, pens, drawing)
            answer = Runner().run(Request(0, document, Goal.PREVIEW))
            pictures.append(ink_picture(answer.preview.strokes, document))
        height = min(p.shape[0] for p in pictures)
        target = into / (name.replace("/", " ").removesuffix(".svg") + ".png")
        Image.fromarray(np.concatenate([p[:height] for p in pictures], axis=1)).save(target)
        print(target)


def resvg_picture(data: bytes, aspect: float) -> np.ndarray:
    """Returns (h, w, 3) uint8 on white; blank if resvg refuses the file."""
    size = (WIDTH, max(1, round(WIDTH * aspect)))
    try:
        text = data.decode("utf-8", errors="replace")
        png = resvg_py.svg_to_bytes(svg_string=text, background="white", width=WIDTH, dpi=96)
        image = Image.open(io.BytesIO(bytes(png))).convert("RGB").resize(size)
    except ValueError:
        image = Image.new("RGB", size, "white")
    return np.asarray(image)


def ink_picture(strokes: Strokes, document: Document) -> np.ndarray:
    """Returns (h, w, 3) uint8: strokes of a document with one placement, over its page."""
    left, top, right, bottom = placement_box(document.placements[0])
    scale = WIDTH / (right - left)
    image = QImage(WIDTH, max(1, round(scale * (bottom - top))), QImage.Format.Format_RGB888)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(scale, scale)
    painter.translate(-left, -top)
    for number, line in enumerate(strokes):
        pen = document.pens[int(strokes.pen[number])]
        cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
        painter.setPen(QPen(QColor(pen.colour), pen.width, Qt.PenStyle.SolidLine, cap, join))
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in line.tolist()]))
    painter.end()
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * WIDTH].reshape(image.height(), WIDTH, 3).copy()
