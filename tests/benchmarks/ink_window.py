"""A window with only ink, driven through the moves of the canvas benchmark."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable

import numpy as np
from PySide6.QtCore import QEventLoop, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QTransform
from PySide6.QtWidgets import QApplication, QWidget

from tests.support.drawings import made_up_drawing
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink import InkLayer

COLOURS = [QColor(16, 48, 160), QColor(192, 48, 32), QColor(32, 128, 64)]
WIDTHS = [0.5, 0.5, 0.3]
FRAME_S = 1 / 60
FIT = 0.6
"""Scale at which the drawing fills the window, px/mm."""


def process_until(moment: float) -> None:
    """Runs the event loop until a time of perf_counter."""
    while (left := moment - time.perf_counter()) > 0:
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 1)
        time.sleep(min(left, 0.001))


def paced_frames(widget: QWidget, moves: Iterable[Callable[[], None]]) -> list[float]:
    """Makes a move before each frame, 60 per second; returns the time of each frame with its move, ms."""
    taken, due = [], time.perf_counter()
    for move in moves:
        start = time.perf_counter()
        move()
        widget.repaint()
        taken.append((time.perf_counter() - start) * 1e3)
        due = max(due + FRAME_S, time.perf_counter())
        process_until(due)
    return taken


class InkWindow(QWidget):
    """Shows the wall from (x, y) mm at scale px/mm."""

    def __init__(self, width: int, height: int) -> None:
        self._app = QApplication.instance() or QApplication([])
        super().__init__()
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.resize(width, height)
        self.ink = InkLayer()
        self.place = (0.0, 0.0, FIT)
        self.dirty = False
        self.ink.updated.connect(self._mark_dirty)

    def __enter__(self) -> InkWindow:
        self.show()
        self._app.processEvents()
        return self

    def __exit__(self, *_: object) -> None:
        self.ink.close()
        self.close()

    def _mark_dirty(self) -> None:
        self.dirty = True

    def paintEvent(self, event) -> None:
        painter = QPainter(self)
        self._draw(painter)
        painter.end()

    def _draw(self, painter: QPainter) -> None:
        painter.fillRect(self.rect(), Qt.GlobalColor.white)
        x, y, scale = self.place
        view = QRectF(x, y, self.width() / scale, self.height() / scale)
        self.ink.paint(painter, view, scale, self.rect(), 1.0)

    def frames(self, moves: Iterable[Callable[[], None]]) -> list[float]:
        """See paced_frames."""
        return paced_frames(self, moves)

    def rest(self) -> None:
        """Paints frames until everything is complete."""
        while True:
            self.frames([lambda: None])
            if self.ink.is_complete:
                return

    def go(self, x: float, y: float, scale: float) -> None:
        self.place = (x, y, scale)

    def watch(self, change: Callable[[], None], where_ink_was: bool = False) -> dict[str, float]:
        """Returns ms after a change until every spot with ink in the final picture has some, and until the final picture.

        where_ink_was: checks only spots that also had ink before the change.
        """
        kept = _inked_spots(self._grab(), 50) if where_ink_was else True
        start = time.perf_counter()
        change()
        grabs, shown = [], []
        while not grabs or not self.ink.is_complete:
            grabs.append(self._grab())
            shown.append((time.perf_counter() - start) * 1e3)
            process_until(start + len(grabs) * FRAME_S)
        final = grabs[-1]
        kept &= _inked_spots(final, 50)
        blank = [(kept & ~_inked_spots(grab, 1)).sum() > 0.01 * kept.sum() for grab in grabs]
        stale = [(np.abs(grab.astype(np.int16) - final) > 40).mean() > 0.002 for grab in grabs]
        return {"blank": _after_last(shown, blank), "fresh": _after_last(shown, stale)}

    def _grab(self) -> np.ndarray:
        """Returns (h, w) uint8, the green channel of the present picture."""
        image = QImage(self.size(), QImage.Format.Format_RGB32)
        painter = QPainter(image)
        self._draw(painter)
        painter.end()
        return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1, 4)[..., 1].copy()

    def measure(self, segments: int) -> list[dict]:
        """Measures panning, zooming, jumping, and showing a new drawing, with a number of segments."""
        drawing, other = made_up_drawing(segments), made_up_drawing(segments, seed=2)
        rows = []
        self.ink.set_strokes(Strokes.empty(), COLOURS, WIDTHS)
        self.go(0, 0, FIT)
        self.rest()
        stalls = _Stalls(self)
        for name, strokes in (("opening", drawing), ("an edit", other)):
            seen = self.watch(lambda s=strokes: self.ink.set_strokes(s, COLOURS, WIDTHS), name == "an edit")
            rows += [{"what": f"{what} after {name}", "max": ms} for what, ms in seen.items()]
            self.rest()
        stalls.watch(lambda: self.ink.set_strokes(drawing, COLOURS, WIDTHS))
        rows.append({"what": "stall by a new drawing", **figures(stalls.gaps)})
        for name, scale in (("all", FIT), ("close", 4.0)):
            self.go(300, 200, scale)
            self.rest()
            path = [(300 + 12 * i / scale, 200 + 7 * i / scale) for i in range(150)]
            path += path[::-1]
            moves = [lambda x=x, y=y, s=scale: self.go(x, y, s) for x, y in path]
            rows.append({"what": f"pan {name}", **figures(self.frames(moves))})
        rows.append({"what": "zoom", **figures(self.frames(self._zoom_moves()))})
        jumps = [(0, 0, FIT), (700, 500, 6.0), (200, 800, 1.3), (1100, 600, 25.0), (0, 0, 0.15)]
        seen_after = []
        for jump in jumps:
            seen_after.append(self.watch(lambda j=jump: self.go(*j)))
            self.rest()
        for what in ("blank", "fresh"):
            rows.append({"what": f"{what} after a jump", **figures([seen[what] for seen in seen_after])})
        return rows

    def _zoom_moves(self) -> list[Callable[[], None]]:
        """Returns moves that zoom from the whole wall to about 100 mm and out again, about a point."""
        factors = np.exp(np.concatenate([np.linspace(0, 3.7, 180), np.linspace(3.7, -0.7, 200)]))
        at, px = np.array([900.0, 600.0]), np.array([self.width() / 2, self.height() / 2])
        corners = [(*(at - px / (FIT * f)), FIT * f) for f in factors]
        return [lambda c=c: self.go(*c) for c in corners]

    def measure_drag(self, segments: int) -> list[dict]:
        """Measures dragging and rotating artwork with a number of segments on top of ten times as many."""
        art = made_up_drawing(segments, 700.0, 500.0, seed=3)
        rest = made_up_drawing(10 * segments)
        groups = np.repeat([0, 1], [len(rest), len(art)])
        self.ink.set_strokes(Strokes.join([rest, art]), COLOURS, WIDTHS, groups)
        self.go(0, 0, FIT)
        self.rest()
        shifts = [QTransform.fromTranslate(3 * i, 2 * i) for i in range(150)]
        turns = [QTransform().translate(350, 250).rotate(i).translate(-350, -250) for i in range(150)]
        sizes = [QTransform.fromScale(1 + i / 150, 1 + i / 150) for i in range(150)]
        return [
            {
                "what": f"drag {name}",
                **figures(self.frames([lambda t=t: self.ink.move_group(1, t) for t in path])),
            }
            for name, path in (("moving", shifts), ("turning", turns), ("scaling", sizes))
        ]

    def measure_play(self, segments: int) -> list[dict]:
        """Measures playing a drawing forwards, backwards and in jumps."""
        drawing = made_up_drawing(segments)
        self.ink.set_strokes(drawing, COLOURS, WIDTHS)
        self.go(0, 0, FIT)
        self.ink.reveal(len(drawing) // 2, 0.5)
        self.rest()
        start = len(drawing) // 2
        paths = {
            "slowly": [(start + i // 4, (i % 4) / 4) for i in range(150)],
            "fast": [(start + 200 * i, 0.5) for i in range(150)],
            "backwards": [(start + 200 * (150 - i), 0.5) for i in range(150)],
            "by leaps": [(len(drawing) * (i * 37 % 100) // 100, 0.0) for i in range(60)],
        }
        return [
            {"what": f"play {name}", **figures(self.frames([lambda p=p: self.ink.reveal(*p) for p in path]))}
            for name, path in paths.items()
        ]


class _Stalls:
    """Measures gaps between iterations of the event loop while the workers are busy."""

    def __init__(self, window: InkWindow) -> None:
        self._window = window
        self.gaps: list[float] = []

    def watch(self, change: Callable[[], None]) -> None:
        last = time.perf_counter()
        change()
        while not self._window.ink.is_complete or len(self.gaps) < 20:
            self._window._app.processEvents()
            if self._window.dirty:
                self._window.dirty = False
                self._window.repaint()
            time.sleep(0.0005)
            now = time.perf_counter()
            self.gaps.append((now - last) * 1e3)
            last = now


def figures(values: list[float]) -> dict[str, float]:
    return {
        "p50": float(np.percentile(values, 50)),
        "p95": float(np.percentile(values, 95)),
        "max": max(values),
    }


def _after_last(moments: list[float], bad: list[bool]) -> float:
    """Returns the first moment after the last bad one."""
    return moments[max((i + 1 for i, is_bad in enumerate(bad) if is_bad), default=0)]


def _inked_spots(green: np.ndarray, least: int) -> np.ndarray:
    """Returns (h / 32, w / 32) bool: whether squares of 32 px have at least `least` pixels darker than the wall."""
    h, w = (side // 32 * 32 for side in green.shape)
    return (green[:h, :w] < 250).reshape(h // 32, 32, w // 32, 32).sum(axis=(1, 3)) >= least
