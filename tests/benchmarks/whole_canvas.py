"""The window's canvas with wall, zone, machine and artwork, timed in the same moves as the ink alone."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF

from tests.benchmarks.ink_window import COLOURS, WIDTHS, figures, paced_frames
from tests.support.drawings import made_up_drawing
from wallwright.document import edits
from wallwright.document.document import Artwork, Document, Pen, Placement
from wallwright.planning.outside_zone import OutsideZone
from wallwright.planning.plan import StrokePreview
from wallwright.statics.limits import Limit
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.interaction import Drag
from wallwright.window.canvas.view import View
from wallwright.window.ink.groups import flagged_runs
from wallwright.window.model.models import Models

DRAGGED = 100_000
"""Number of segments of the dragged artwork."""


class _NoPlanner:
    """A planner that never answers."""

    busy = False
    deadline = notify = None

    def start(self) -> None:
        pass

    def submit(self, request: object) -> None:
        pass

    def poll(self) -> list:
        return []

    def cancel(self) -> None:
        pass

    def close(self) -> None:
        pass


def _models(segments: int) -> Models:
    """Returns models of a document with two artworks of the given size, with a made-up planning answer."""
    document = Document(
        pens=tuple(Pen(f"p{i}", f"Pen {i}", c.name(), w) for i, (c, w) in enumerate(zip(COLOURS, WIDTHS, strict=True))),
        artworks=(Artwork("a", "a.svg", "image/svg+xml"), Artwork("b", "b.svg", "image/svg+xml")),
        placements=(
            Placement("large", "a", 1000.0, 900.0, 1900.0, 1300.0),
            Placement("small", "b", 1000.0, 700.0, 700.0, 500.0),
        ),
    )
    large, small = made_up_drawing(segments), made_up_drawing(DRAGGED, 700.0, 500.0, seed=3)
    strokes = Strokes.join([_placed(large, 50.0, 250.0, 0), _placed(small, 650.0, 450.0, 1)])
    models = Models.of(document, _NoPlanner())
    models.planning.preview = StrokePreview(strokes, np.array([0, 1], np.int32), (), _outside(strokes))
    models.planning.preview_document = document
    return models


def _placed(strokes: Strokes, x: float, y: float, source: int) -> Strokes:
    sources = np.full(len(strokes), source, np.int32)
    return Strokes(strokes.points + (x, y), strokes.offsets, strokes.pen, sources, strokes.is_fill)


def _outside(strokes: Strokes) -> OutsideZone:
    """Returns strokes at the left edge as exceeding one of two limits."""
    flags = strokes.points[:, 0] < 150
    pieces = flagged_runs(strokes, flags)
    broken = np.where(np.arange(len(pieces)) % 2, Limit.SLACK, Limit.TILT).astype(np.uint16)
    bits = np.where(flags, Limit.SLACK, 0).astype(np.uint16)
    return OutsideZone(bits, pieces, broken, np.zeros(len(pieces), dtype=np.int64))


def measure_canvas(segments: int, window: tuple[int, int]) -> list[dict]:
    """Measures panning, zooming, hovering, dragging artwork and dragging an anchor."""
    models = _models(segments)
    canvas = Canvas(models)
    canvas.resize(*window)
    canvas.show()
    canvas.fit()
    models.planning.preview_changed.emit()
    _rest(canvas)
    rows = []

    def time_moves(what: str, moves: list[Callable[[], None]]) -> None:
        rows.append({"what": f"canvas {what}", **figures(paced_frames(canvas, moves))})

    def look(view: View) -> None:
        canvas.view = view

    document = models.project.document
    models.project.edit("Hide", edits.set_placement(document, "small", visible=False))
    start = View(300.0, 300.0, 3.0)
    look(start)
    _rest(canvas)
    path = [start.moved(-12 * i, -7 * i) for i in range(120)]
    time_moves("pan", [lambda v=v: look(v) for v in path + path[::-1]])
    canvas.fit()
    _rest(canvas)
    middle, view, views = QPointF(window[0] / 2, window[1] / 2), canvas.view, []
    for factor in [1.02] * 160 + [1 / 1.02] * 160:
        view = view.zoomed(factor, middle)
        views.append(view)
    time_moves("zoom", [lambda v=v: look(v) for v in views])
    models.project.edit("Show", document)
    canvas.fit()
    _rest(canvas)
    time_moves("hover", [lambda i=i: canvas.show_machine((600.0 + 8 * i, 700.0 + 3 * i)) for i in range(100)])
    canvas.show_machine(None)

    def drag(i: int) -> None:
        document = edits.set_placement(models.project.document, "small", x=1000.0 + 3 * i, y=700.0 + 2 * i)
        models.project.edit("Move", document, merge="drag")

    time_moves("drag", [lambda i=i: drag(i) for i in range(120)])

    def pull(i: int) -> None:
        models.project.edit(
            "Move an anchor", edits.move_anchor(models.project.document, 0, "right", (2000.0 + 2 * i, 0.0))
        )

    canvas.pointer.drag = Drag()  # coarse, as while dragging
    time_moves("zone while an anchor moves", [lambda i=i: pull(i) for i in range(60)])
    canvas.pointer.drag = None
    canvas.close_ink()
    models.close()
    canvas.close()
    return rows


def _rest(canvas: Canvas) -> None:
    while True:
        paced_frames(canvas, [lambda: None])
        if canvas.ink.is_complete:
            return
