"""The time strip: estimate by pen, playing the planned job, and its plots."""

from __future__ import annotations

import contextlib
import html
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.document import Document
from wallwright.document.language import duration, format_number, plural, tr
from wallwright.motion.trajectory import block_times, nearest_time, place_at, sample_at
from wallwright.planning.plan import Plan
from wallwright.planning.stages import PROVISIONAL
from wallwright.strokes.remaining import arc_lengths
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.timeline.player import LADDER, Player
from wallwright.window.timeline.time_bar import TimeBar
from wallwright.window.widgets.choices import narrow, swatch_html
from wallwright.window.widgets.elided_label import ElidedLabel
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.line_text import LineField

if TYPE_CHECKING:
    from wallwright.window.timeline.plots import Plots

FASTEST_TYPED = 10_000.0
"""Playing speed that the field has room for."""
SPEED_FRAME = 24
"""Pixels of the field's edges and of the space around its text."""


class HangingChooser(QComboBox):
    """Chooses the current hanging from all in the order in which they are drawn; seen only when there are several."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        narrow(self, 14)
        explain(
            self,
            tr("Current hanging. Draw zone, plan, checks and timeline show this one."),
            tr("Current hanging"),
        )
        self.activated.connect(lambda number: models.selection.select(HangingItem(number)))
        for signal in (models.project.changed, models.selection.hanging_changed):
            signal.connect(self._fill)
        self._fill()

    def beside(self, widget: QWidget) -> QHBoxLayout:
        """A line with the chooser and a widget that takes the rest."""
        line = QHBoxLayout()
        line.addWidget(self, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(widget, 1)
        return line

    def _fill(self) -> None:
        names = [h.name for h in self.models.project.document.hangings]
        if names != [self.itemText(i) for i in range(self.count())]:
            self.clear()
            self.addItems(names)
        self.setCurrentIndex(self.models.selection.hanging)
        self.setVisible(len(names) > 1)


class TimeStrip(QWidget):
    """Shows the plan over time. `moved` tells the canvas where the machine is and what is drawn by then."""

    menu_wanted = Signal(QPoint)
    """Where on the screen."""
    shorter_wanted = Signal()
    """The person wants to see what shortens the job."""
    moved = Signal(object)
    """(pen x, pen y, strokes done, share of the present one) or None when the whole job is shown."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        self.player = Player(self)
        self._plots: Plots | None = None
        self.estimate = ElidedLabel(12)
        self.estimate.setAccessibleName(tr("Estimate"))
        self.estimate.setWhatsThis(
            tr("Drawing and travel time of each pen, and the total. Pen changes are not included.")
        )
        self.back = self._button(tr("Play backwards"), lambda: self.player.toggle(backwards=True))
        self.play = self._button(tr("Play"), self.player.toggle)
        self.bar = TimeBar(self.player)
        self.speed = QComboBox()
        self._speed_line = LineField()
        self.speed.setEditable(True)
        self.speed.setLineEdit(self._speed_line)
        self.speed.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.speed.addItems([_times(speed) for speed in LADDER])
        typed = self.speed.fontMetrics().horizontalAdvance(_times(FASTEST_TYPED)) + SPEED_FRAME
        self.speed.setMinimumWidth(typed + self.speed.fontMetrics().height())
        self.speed.setAccessibleName(tr("Playing speed"))
        self.speed.setToolTip(tr("How many times faster than the machine. Choose or type a number."))
        self.speed.setWhatsThis(self.speed.toolTip())
        self.speed.activated.connect(self._speed_entered)
        self._speed_line.editingFinished.connect(self._speed_entered)
        self.number = ElidedLabel(0, tr("Stroke {0} of {1}", 8888, 8888))
        self.clock = ElidedLabel(0, "00 h 00 min / 00 h 00 min")
        self.number.setAccessibleName(tr("Stroke at this moment"))
        self.clock.setAccessibleName(tr("Time at this moment"))
        self.plots = QToolButton()
        self.plots.setText(tr("Plots"))
        self.plots.setCheckable(True)
        self.plots.setToolTip(tr("Belt tension, pen speed, motor reserve and belt length over time."))
        self.plots.setWhatsThis(self.plots.toolTip())
        self.plots.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.plots.toggled.connect(self._show_plots)
        line = QHBoxLayout()
        for widget in (self.back, self.play, self.bar, self.speed, self.plots):
            line.addWidget(widget, 1 if widget is self.bar else 0)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(10, 4, 10, 6)
        self.shorter = QPushButton(tr("Shorter…"))
        explain(self.shorter, tr("Lists changes that shorten the drawing time, with about how much each saves."))
        self.shorter.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.shorter.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.shorter.clicked.connect(lambda _=False: self.shorter_wanted.emit())
        first = HangingChooser(models, self).beside(self.estimate)
        for label in (self.number, self.clock):  # not beside the bar, which would shrink when playing begins
            first.addWidget(label)
        first.addWidget(self.shorter)
        self._column.addLayout(first)
        self._column.addLayout(line)
        self.player.moved.connect(self._show_moment)
        self.player.changed.connect(self._show_state)
        models.planning.plan_changed.connect(self._plan_changed)
        models.project.loaded.connect(lambda: self.plots.setChecked(False))
        self._plan_changed()
        self._show_state()

    def _button(self, title: str, run: Callable[[], None]) -> QToolButton:
        button = QToolButton()
        button.setAccessibleName(title)
        button.setToolTip(title)
        button.setWhatsThis(title)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.clicked.connect(lambda _=False: run())
        return button

    def _plan_changed(self) -> None:
        planning = self.models.planning
        plan, document, fresh = planning.plan, planning.plan_document, planning.fresh_plan
        is_usable = fresh is not None and len(fresh.motion.time) > 1
        for widget in (self.back, self.play, self.bar, self.speed, self.plots, self.shorter):
            widget.setEnabled(is_usable)
        if plan is None or document is None or not plan.estimate.per_pen:
            self.estimate.show_text(tr("The estimate appears once the job is planned."))
        else:
            is_stale = fresh is None
            whole, *shorter = self._estimate_parts(plan, document, is_stale)
            self.estimate.show_parts(whole, self._estimate_tip(plan, document, is_stale), shorter)
        if fresh is None or document is None or not is_usable:
            self.number.hide()
            self.clock.hide()
            # What was edited is seen whole: a moment of the old plan says nothing about it.
            if plan is None or fresh is not None:
                self.player.show(None)
                self.bar.show_blocks(np.zeros((0, 2)), ())
                self.clock.show_text("")
            else:
                self.player.pause()
                self.player.seek(self.player.length)
            self.moved.emit(None)
        elif self.player.motion is not fresh.motion:
            pens = document.pens
            self.player.show(fresh.motion)
            longest = duration(self.player.length)
            self.clock.ask_for(f"{longest} / {longest}")
            self.bar.show_blocks(block_times(fresh.motion), tuple(pens[b.pen] for b in fresh.motion.blocks))
            self._draw_plots()
        elif self.player.at_moment:
            self._show_moment()

    def _estimate_parts(self, plan: Plan, document: Document, is_stale: bool) -> list[list[str]]:
        """The total, what all hangings take, then each pen, as rich text; the same with pens by their colour alone, as in
        the bar below; the same without pen changes."""
        named, plain = [], []
        for part in plan.estimate.per_pen:
            pen = document.pens[part.pen]
            # No line ends between a number and its unit.
            time = duration(part.drawing_s + part.travel_s + part.lifting_s).replace(" ", "&nbsp;")
            patch = swatch_html(pen.colour)
            named.append(f"{patch}&nbsp;{html.escape(pen.name)}&nbsp;{time}")
            plain.append(f"{patch}&nbsp;{time}")
        total, every = self._total(plan, is_stale), self._of_all(document)
        bare = self._total(plan, is_stale, has_changes=False)
        return [[total, *every, *named], [total, *every, *plain], [bare, *every, *plain]]

    def _estimate_tip(self, plan: Plan, document: Document, is_stale: bool) -> str:
        """The same with the ink of each pen, a line each."""
        lines = [self._total(plan, is_stale), *self._of_all(document)]
        for part in plan.estimate.per_pen:
            pen = document.pens[part.pen]
            seconds = part.drawing_s + part.travel_s + part.lifting_s
            ink = plural("{1:.1f} m of ink, {0} stroke", "{1:.1f} m of ink, {0} strokes", part.strokes, part.ink_m)
            lines.append(f"{swatch_html(pen.colour)} {html.escape(pen.name)}: {duration(seconds)}, {ink}")
        return "<br>".join(lines)

    def _total(self, plan: Plan, is_stale: bool, has_changes: bool = True) -> str:
        total = tr("Total {0}", duration(plan.estimate.total_s))
        if plan.estimate.changing_s and has_changes:
            total = tr(
                "Total {0}, plus {1} for pen changes",
                duration(plan.estimate.total_s),
                duration(plan.estimate.changing_s),
            )
        note = tr("Before your last change:") if is_stale else tr(PROVISIONAL) if plan.is_provisional else ""
        return f"<i>{note}</i> <b>{total}</b>" if note else f"<b>{total}</b>"

    def _of_all(self, document: Document) -> list[str]:
        """What all hangings take together, as far as they are planned; nothing of a single one."""
        plans, count = self.models.planning.plans, len(document.hangings)
        if count == 1:
            return []
        seconds = duration(sum(plan.estimate.total_s for plan in plans.values()))
        if len(plans) == count:
            ink = sum(part.ink_m for plan in plans.values() for part in plan.estimate.per_pen)
            total = tr("All {0} hangings: {1}, {2:.1f} m of ink", count, seconds, ink)
        else:
            total = tr("{0} of {1} hangings planned: {2}", len(plans), count, seconds)
        return [f"<b>{total}</b>"]

    # The moment.

    def seek_point(self, point: tuple[float, float], reach: float) -> bool:
        """Goes to the moment at which a point of the wall, mm, is drawn; False when nothing within reach, mm, is."""
        plan = self.models.planning.fresh_plan
        if plan is None:
            return False
        time = nearest_time(plan.motion, point, reach)
        if time is None:
            return False
        self.player.pause()
        self.player.seek(time)
        return True

    def _show_moment(self) -> None:
        player, plan = self.player, self.models.planning.fresh_plan
        self.bar.follow()
        if player.motion is None or plan is None:
            return
        self._show_number(plan)
        self.clock.setVisible(player.at_moment)  # else it would repeat the total
        if not player.at_moment:
            self.clock.show_text(duration(player.length))
            self.moved.emit(None)
            return
        self.clock.show_text(f"{duration(player.now)} / {duration(player.length)}")
        self.moved.emit(_drawn_by(plan, player.now))

    def _show_number(self, plan: Plan) -> None:
        """Which stroke is under way, or next."""
        self.number.setVisible(self.player.at_moment)
        if self.player.at_moment:
            place = place_at(plan.motion, self.player.now)
            count = len(plan.strokes)
            self.number.show_text(tr("Stroke {0} of {1}", count if place is None else place.stroke + 1, count))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self.menu_wanted.emit(event.globalPos())

    def _show_state(self) -> None:
        player = self.player
        for button, back, name in ((self.back, True, "back"), (self.play, False, "play")):
            running = player.playing and player.backwards == back
            button.setIcon(icon("pause" if running else name))
        if not self._speed_line.isModified():
            self.speed.setEditText(_times(player.speed))
        self._show_moment()

    def _speed_entered(self) -> None:
        with contextlib.suppress(ValueError):  # what is not a number leaves the speed as it was
            self.player.set_speed(float(self.speed.currentText().rstrip("× ").replace(",", ".")))
        self.speed.setEditText(_times(self.player.speed))
        self._speed_line.setModified(False)

    # Plots.

    def _show_plots(self, on: bool) -> None:
        if on and self._plots is None:
            from wallwright.window.timeline.plots import Plots  # imports pyqtgraph

            plots = self._plots = Plots(self.player, self)
            plots.closed.connect(lambda: self.plots.setChecked(False))
        if self._plots is not None:
            self._plots.setVisible(on)
            self._draw_plots()

    def _draw_plots(self) -> None:
        plan, document = self.models.planning.plan, self.models.planning.plan_document
        if self._plots is None or plan is None or document is None or not self.plots.isChecked():
            return
        self._plots.show_motion(plan.motion, document.machine)
        self._plots.follow()


def _times(speed: float) -> str:
    return f"{format_number(speed)}×"


def _drawn_by(plan: Plan, now: float) -> tuple[float, float, int, float]:
    """Where the pen is at a time, how many strokes are drawn, and which share of the next one is."""
    x, y = sample_at(plan.motion, np.array([now])).pen_xy[0].tolist()
    place = place_at(plan.motion, now)
    if place is None:
        return x, y, len(plan.strokes), 0.0
    whole = arc_lengths(plan.strokes[place.stroke])[-1]
    return x, y, place.stroke, min(place.along / max(whole, 1e-9), 1.0)
