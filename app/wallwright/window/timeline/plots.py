"""Plots of belt tension, pen speed, torque margin and belt length over the job; the moment of the player is their cursor."""

from __future__ import annotations

import html
from typing import Any

import numpy as np
import pyqtgraph as pg  # slow to import: this module is loaded when plots are first wanted
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QColor
from PySide6.QtWidgets import QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.motion.estimate import run_lengths, run_seconds
from wallwright.motion.plan import Motion
from wallwright.motion.plots import peaks, torque_margin
from wallwright.window.timeline.player import Player
from wallwright.window.widgets.elided_label import ElidedLabel
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.theme import CLOSE, NEAR

BUCKETS = 1200
"""Of a curve; each keeps its lowest and highest value, so that no peak is lost at any zoom."""
HIGHEST_MARGIN = 10.0
"""Torque margins above this make no difference to a person."""
LEFT, RIGHT, LIMIT = "#1f6fb4", "#b4631f", "#c02020"
LEAST_HEIGHT = 200
SIZE = (860, 460)
"""Pixels at first; the person makes it as large as they like."""
HEADROOM = 1.3
"""Of the highest value: the title stands over the curve."""
CLOCK_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 36_000)
"""Seconds."""


class _Clock(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """Time as on a clock, in steps a clock has."""

    def tickSpacing(self, minimum: float, maximum: float, size: float) -> list[tuple[float, float]]:
        wanted = (maximum - minimum) / max(size / 90, 1)
        return [(next((s for s in CLOCK_STEPS if s >= wanted), CLOCK_STEPS[-1]), 0.0)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        def words(value: float) -> str:
            minutes, seconds = divmod(round(value), 60)
            hours, minutes = divmod(minutes, 60)
            return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"

        return [words(value) for value in values]


def _faint(colour: QColor) -> QColor:
    """Of a curve that changes too often to be seen as a line."""
    faint = QColor(colour)
    faint.setAlpha(110)
    return faint


class Plots(QWidget):
    """Plots that share the axis of time and the cursor, in a window of their own: the wall keeps its room."""

    closed = Signal()
    """The person closed it."""

    def __init__(self, player: Player, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Tool)
        self.setWindowTitle(tr("Plots"))
        self._player = player
        self._curves: list[tuple[pg.PlotDataItem, np.ndarray]] = []
        self._motion: Motion | None = None
        self.readout = ElidedLabel(12)
        self._view = pg.GraphicsLayoutWidget()
        self._view.setMinimumHeight(LEAST_HEIGHT)
        self._view.setBackground(self.palette().base())
        self._view.setAccessibleName(tr("Belt tension, pen speed, motor reserve and belt length over time"))
        self._view.setWhatsThis(
            tr(
                "Click to go to a moment; the wheel zooms. Motor reserve: how many times the needed pull the "
                "motors have. Below 1 they lose steps."
            )
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(NEAR, CLOSE, NEAR, CLOSE)
        column.addWidget(self.readout)
        column.addWidget(self._view)
        ink = self.palette().text().color()
        self._axes: list[pg.PlotItem] = []
        self._cursors: list[pg.InfiniteLine] = []
        titles = tr("Tension, N"), tr("Speed, mm/s"), tr("Motor reserve"), tr("Belt length, m")
        for row, title in enumerate(titles):
            axes = self._view.addPlot(row=row, col=0, axisItems={"bottom": _Clock("bottom")})
            axes.getAxis("left").setWidth(40)
            # Within the plot: beside the low axis a title would run into the next one.
            label = pg.LabelItem(title, color=ink, justify="left")
            label.setParentItem(axes.vb)
            label.anchor(itemPos=(0, 0), parentPos=(0, 0), offset=(4, -2))
            axes.setMouseEnabled(x=True, y=False)
            axes.hideButtons()
            axes.setMenuEnabled(False)
            if self._axes:
                axes.setXLink(self._axes[0])
            for side in ("left", "bottom"):
                axes.getAxis(side).setPen(ink)
                axes.getAxis(side).setTextPen(ink)
            if row < len(titles) - 1:
                axes.getAxis("bottom").setStyle(showValues=False)
            cursor = pg.InfiniteLine(0.0, pen=pg.mkPen(ink, width=2), movable=True)
            cursor.sigDragged.connect(lambda line: self._player.seek(float(line.value())))
            axes.addItem(cursor, ignoreBounds=True)
            self._axes.append(axes)
            self._cursors.append(cursor)
        self._view.scene().sigMouseClicked.connect(self._clicked)
        self._axes[0].vb.sigXRangeChanged.connect(lambda *_: self._thin())
        player.moved.connect(self.follow)
        resize_within_screen(self, *SIZE)

    def closeEvent(self, event: QCloseEvent) -> None:
        super().closeEvent(event)
        self.closed.emit()

    def show_motion(self, motion: Motion, machine: Machine) -> None:
        """Draws the curves of a motion."""
        if motion is self._motion:
            return
        self._motion = motion
        for curve, _ in self._curves:
            curve.getViewBox().removeItem(curve)
        margin = np.minimum(torque_margin(motion, machine), HIGHEST_MARGIN)
        self._margin = margin
        self._seconds, self._lengths = run_seconds(motion), run_lengths(motion)
        text = self.palette().text().color()
        sides = pg.mkPen(LEFT, width=1), pg.mkPen(RIGHT, width=1, style=Qt.PenStyle.DashLine)
        parts = (
            *((0, motion.tension[:, side], pen) for side, pen in enumerate(sides)),
            (1, motion.speed, pg.mkPen(_faint(text), width=1)),
            (2, margin, pg.mkPen(text, width=1)),
            (2, np.ones(len(margin)), pg.mkPen(LIMIT, width=1, style=Qt.PenStyle.DashLine)),
            *((3, motion.belts[:, side] / 1000, pen) for side, pen in enumerate(sides)),
        )
        self._curves = [(self._axes[row].plot(pen=pen), values) for row, values, pen in parts]
        for row in range(len(self._axes)):
            top = max(float(values.max()) for r, values, _ in parts if r == row)
            self._axes[row].setYRange(0.0, top * HEADROOM, padding=0)
        end = float(motion.time[-1])
        self._axes[0].setLimits(xMin=0.0, xMax=end)
        self._axes[0].setXRange(0.0, end, padding=0)
        self._thin()
        self.follow()

    def _thin(self) -> None:
        if self._motion is None:
            return
        span = tuple(self._axes[0].vb.viewRange()[0])
        for curve, values in self._curves:
            curve.setData(*peaks(self._motion.time, values, span, BUCKETS))

    def follow(self) -> None:
        """Puts the cursors at the player's moment and says the numbers there."""
        if self._motion is None or self.isHidden():
            return
        now, motion = self._player.now, self._motion
        for cursor in self._cursors:
            cursor.setValue(now)
        i = int(np.clip(np.searchsorted(motion.time, now, side="right") - 1, 0, len(motion.time) - 1))
        text = tr(
            "Left belt (solid) {0:.1f} N, {1:.0f} mm, right belt (dashed) {2:.1f} N, {3:.0f} mm, speed "
            "{4:.0f} mm/s, motor reserve {5:.1f}",
            float(motion.tension[i, 0]),
            float(motion.belts[i, 0]),
            float(motion.tension[i, 1]),
            float(motion.belts[i, 1]),
            float(motion.speed[i]),
            float(self._margin[i]),
        )
        run = int(np.searchsorted(motion.runs, i, side="right")) - 1
        if motion.down[run]:
            text += "; " + tr(
                "stroke {0}: {1:.1f} s, {2:.0f} mm",
                int(motion.stroke[run]) + 1,
                float(self._seconds[run]),
                float(self._lengths[run]),
            )
        self.readout.show_parts([html.escape(text)])

    def _clicked(self, event: Any) -> None:
        """event: pyqtgraph's own MouseClickEvent."""
        for axes in self._axes:
            if axes.sceneBoundingRect().contains(event.scenePos()):
                self._player.pause()
                self._player.seek(float(axes.vb.mapSceneToView(event.scenePos()).x()))
