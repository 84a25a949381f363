"""The time strip: estimate by pen, a player for the planned job, and plots of belt tension and speed."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QSlider,
    QStyle,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.jobs.sheet.text import duration
from app.motion.moment import at
from app.window.session import Session

TICK_MS = 33
STEPS = 10_000
"""Of the slider."""
PLOT_POINTS = 1500
"""Buckets of a plot; each keeps its lowest and highest value, so that no peak is lost."""
SPEEDS = (1, 10, 60, 300)


class TimeStrip(QWidget):
    """Shows the plan over time. `moved` tells the canvas where the machine is and what is drawn by then."""

    moved = Signal(object)
    """(pen x, pen y, strokes done, share of the present one) or None when the whole job is shown."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._now = 0.0
        self._plot = None
        self._playing = QTimer(self, interval=TICK_MS)
        self._playing.timeout.connect(self._tick)
        self.estimate = QLabel()
        self.estimate.setTextFormat(Qt.TextFormat.RichText)
        self.estimate.setWordWrap(True)
        self.estimate.setMinimumWidth(200)
        self.estimate.setAccessibleName(self.tr("Estimate"))
        self.play = QToolButton()
        self.play.setAccessibleName(self.tr("Play"))
        self.play.setToolTip(self.tr("Play the job"))
        self.play.setIcon(self.style().standardIcon(QStyle.StandardPixmap.SP_MediaPlay))
        self.play.clicked.connect(self.toggle)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, STEPS)
        self.slider.setValue(STEPS)
        self.slider.setAccessibleName(self.tr("Moment of the job"))
        self.slider.valueChanged.connect(self._slid)
        self.speed = QComboBox()
        self.speed.setAccessibleName(self.tr("Playing speed"))
        for factor in SPEEDS:
            self.speed.addItem(f"{factor}×", factor)
        self.speed.setCurrentIndex(2)
        self.clock = QLabel()
        self.clock.setMinimumWidth(150)
        self.plots = QToolButton()
        self.plots.setText(self.tr("Plots"))
        self.plots.setCheckable(True)
        self.plots.setToolTip(self.tr("Belt tension and pen speed over time"))
        self.plots.toggled.connect(self._show_plots)
        line = QHBoxLayout()
        for widget in (self.play, self.slider, self.clock, self.speed, self.plots):
            line.addWidget(widget, 1 if widget is self.slider else 0)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(10, 4, 10, 6)
        self._column.addWidget(self.estimate)
        self._column.addLayout(line)
        session.plan_changed.connect(self._plan_changed)
        self._plan_changed()

    @property
    def _length(self) -> float:
        plan = self.session.plan
        return float(plan.motion.time[-1]) if plan is not None and len(plan.motion.time) else 0.0

    def _plan_changed(self) -> None:
        plan, stale = self.session.plan, self.session.plan_is_stale
        usable = self._length > 0 and not stale
        for widget in (self.play, self.slider, self.speed, self.plots):
            widget.setEnabled(usable)
        if not usable and self._playing.isActive():
            self.toggle()
        self.estimate.setText(self._words(plan, stale))
        if usable and self.slider.value() == STEPS:
            self.clock.setText(duration(self._length))
        if self._plot is not None and usable:
            self._draw_plots()

    def _words(self, plan, stale: bool) -> str:
        if plan is None:
            return self.tr("The estimate appears when the job is planned.")
        document = self.session.plan_document
        parts = []
        for part in plan.estimate.per_pen:
            pen = document.pens[part.pen]
            seconds = part.drawing_s + part.travel_s + part.lifting_s
            parts.append(
                f'<span style="color:{pen.colour}">■</span>&nbsp;{pen.name}: {duration(seconds)}, '
                + self.tr("{0:.1f} m of ink, {1} strokes").format(part.ink_m, part.strokes)
            )
        total = self.tr("In all {0}").format(duration(plan.estimate.total_s))
        text = "<b>" + total + "</b>&nbsp;&nbsp; " + "&nbsp;&nbsp; ".join(parts)
        return f'<span style="color:gray">{self.tr("Before the last edit:")} </span>{text}' if stale else text

    # Playing.

    def toggle(self) -> None:
        """Starts or stops playing."""
        if self._playing.isActive():
            self._playing.stop()
        elif self._length:
            if self.slider.value() == STEPS:
                self._now = 0.0
            self._playing.start()
        icon = (
            QStyle.StandardPixmap.SP_MediaPause
            if self._playing.isActive()
            else QStyle.StandardPixmap.SP_MediaPlay
        )
        self.play.setIcon(self.style().standardIcon(icon))

    def _tick(self) -> None:
        self._now += TICK_MS / 1000 * self.speed.currentData()
        if self._now >= self._length:
            self._now = self._length
            self.toggle()
        self.slider.blockSignals(True)
        self.slider.setValue(round(STEPS * self._now / max(self._length, 1e-9)))
        self.slider.blockSignals(False)
        self._show()

    def _slid(self, value: int) -> None:
        self._now = self._length * value / STEPS
        self._show()

    def _show(self) -> None:
        if self.session.plan is None or self.session.plan_is_stale or not self._length:
            return
        if self._plot is not None:
            self._cursor.setValue(self._now)
        if self.slider.value() >= STEPS and not self._playing.isActive():
            self.clock.setText(duration(self._length))
            self.moved.emit(None)
            return
        motion = self.session.plan.motion
        moment = at(motion, np.array([self._now]))
        run = int(moment.run[0])
        done = int(motion.stroke[: run + (0 if motion.down[run] else 1)].max(initial=-1)) + 1
        share = 0.0
        if motion.down[run]:
            first, last = motion.runs[run], motion.runs[run + 1] - 1
            way = np.concatenate(
                [[0.0], np.cumsum(np.hypot(*np.diff(motion.pen_xy[first : last + 1], axis=0).T))]
            )
            here = int(np.clip(moment.sample[0] - first, 0, last - first))
            share = float(way[here] / max(way[-1], 1e-9))
        x, y = moment.pen_xy[0]
        self.clock.setText(f"{duration(self._now)} / {duration(self._length)}")
        self.moved.emit((float(x), float(y), done, share))

    # Plots.

    def _show_plots(self, on: bool) -> None:
        if on and self._plot is None:
            import pyqtgraph as pg  # slow to import: only when plots are wanted

            self._pg = pg
            self._plot = pg.GraphicsLayoutWidget()
            self._plot.setFixedHeight(190)
            self._plot.setBackground(self.palette().base())
            self._plot.setAccessibleName(self.tr("Belt tension and pen speed over time"))
            ink = self.palette().text().color()
            self._axes = []
            for row, (title, unit) in enumerate(((self.tr("Tension"), "N"), (self.tr("Pen speed"), "mm/s"))):
                axes = self._plot.addPlot(row=row, col=0)
                axes.setLabel("left", title, units=None)
                axes.getAxis("left").setLabel(f"{title}, {unit}", color=ink)
                axes.setMouseEnabled(x=True, y=False)
                axes.hideButtons()
                axes.setMenuEnabled(False)
                if self._axes:
                    axes.setXLink(self._axes[0])
                for side in ("left", "bottom"):
                    axes.getAxis(side).setPen(ink)
                    axes.getAxis(side).setTextPen(ink)
                self._axes.append(axes)
            self._cursor = pg.InfiniteLine(self._now, pen=pg.mkPen("#c8541b", width=2))
            self._axes[0].scene().sigMouseClicked.connect(self._clicked)
            self._column.addWidget(self._plot)
            self._draw_plots()
        if self._plot is not None:
            self._plot.setVisible(on)

    def _clicked(self, event) -> None:
        for axes in self._axes:
            if axes.sceneBoundingRect().contains(event.scenePos()):
                self._now = float(np.clip(axes.vb.mapSceneToView(event.scenePos()).x(), 0, self._length))
                self.slider.setValue(min(round(STEPS * self._now / self._length), STEPS - 1))

    def _draw_plots(self) -> None:
        motion, pg = self.session.plan.motion, self._pg
        for axes in self._axes:
            axes.clear()
        colours = ("#1f6fb4", "#b4631f")
        for side, style in ((0, Qt.PenStyle.SolidLine), (1, Qt.PenStyle.DashLine)):
            x, y = peaks(motion.time, motion.tension[:, side])
            self._axes[0].plot(x, y, pen=pg.mkPen(colours[side], width=1, style=style))
        x, y = peaks(motion.time, motion.speed)
        self._axes[1].plot(x, y, pen=pg.mkPen(self.palette().text().color(), width=1))
        self._axes[0].addItem(self._cursor)


def peaks(time: np.ndarray, values: np.ndarray, buckets: int = PLOT_POINTS) -> tuple[np.ndarray, np.ndarray]:
    """A curve of at most two points a bucket, its lowest and highest, in the order in which they come."""
    n = len(time)
    if n <= 2 * buckets:
        return time, values
    edges = np.linspace(0, n, buckets + 1).astype(int)[:-1]
    low, high = np.minimum.reduceat(values, edges), np.maximum.reduceat(values, edges)
    x = np.repeat(time[edges], 2)
    return x, np.column_stack([low, high]).ravel()
