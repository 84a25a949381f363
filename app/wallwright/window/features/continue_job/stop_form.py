"""First question: where did the job stop? By stroke, by the clock, or by a click on the picture."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QTime, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QTimeEdit,
    QWidget,
)

from wallwright.document.continuation import Continuation, StrokePlace
from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.quantity import quantities
from wallwright.motion.trajectory import block_times, place_at, place_before, time_of
from wallwright.planning.plan import Plan
from wallwright.strokes.remaining import arc_lengths, fingerprint, normalize_place, strokes_digest
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

MOST_BACK = 600
"""min: nobody draws ten hours again."""


class StopForm(QGroupBox):
    """Holds a place along the strokes, and how much before it is drawn again."""

    changed = Signal()
    refused = Signal(str)
    find_line = Signal()
    """The place is to be found by a line of the file that ran."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("1. Where did it stop?"), parent)
        self._plan: Plan | None = None
        self._place = StrokePlace()
        self._overlap, self._setting = Continuation().overlap, False
        self._shown_time = 0, QTime()
        """Number of the pen and its clock, as the place gave them."""
        self.stroke, self.along = QSpinBox(), QDoubleSpinBox()
        explain(
            self.stroke,
            tr("The first unfinished stroke. Its number is in the sheet's table and in the file's comments."),
            tr("Stroke"),
        )
        self.of, self.same = QLabel(), QLabel()
        self.same.setWordWrap(True)
        self.along.setDecimals(0)
        self.along.setSuffix(" mm")
        explain(
            self.along,
            tr("How much of that stroke is drawn, from its beginning."),
            tr("Drawn of that stroke"),
        )
        self.pen, self.clock = QComboBox(), QTimeEdit()
        explain(self.pen, tr("The pen in use when it stopped. Its time starts when that pen began."), tr("Pen"))
        self.clock.setDisplayFormat("h:mm:ss")
        explain(
            self.clock,
            tr("How long that pen had been drawing when the job stopped, in hours, minutes and seconds."),
            tr("Time since the pen began"),
        )
        self.line = QPushButton(tr("By line of the file…"))
        explain(
            self.line,
            tr(
                "If the controller reports a line number of the RS-274 file. It reads ahead, so check on the "
                "wall how far it drew."
            ),
        )
        self.line.setAutoDefault(False)
        self.line.clicked.connect(self.find_line)
        self.back = QSpinBox()
        self.back.setRange(0, MOST_BACK)
        self.back.setSuffix(" min")
        explain(
            self.back,
            tr("After a pen ran dry: also draw the last minutes again."),
            tr("Minutes to draw again"),
        )
        self.overlap = NumberField(quantities(Continuation)["overlap"], self._overlap)
        self.overlap.setMaximumWidth(100)
        form = QFormLayout(self)
        form.addRow(self.same)
        for title, parts in (
            (tr("Stroke"), (self.stroke, self.of)),
            (tr("Drawn of it"), (self.along,)),
            (tr("By the clock"), (self.pen, self.clock)),
            ("", (self.line,)),
            (tr("Also redraw the last minutes"), (self.back,)),
            (tr("Overlap"), (self.overlap,)),
        ):
            line = QHBoxLayout()
            for part in parts:
                line.addWidget(part)
            line.addStretch(1)
            form.addRow(title, line)
        self.stroke.valueChanged.connect(self._by_stroke)
        self.along.valueChanged.connect(self._by_stroke)
        self.pen.activated.connect(self._by_clock)
        self.clock.timeChanged.connect(self._by_clock)
        self.back.valueChanged.connect(lambda _: self._tell())
        self.overlap.entered.connect(self._overlap_entered)
        self.overlap.refused.connect(self.refused)
        for spin in (self.stroke, self.along, self.back, self.clock):
            spin.setKeyboardTracking(False)

    def show_plan(self, plan: Plan, document: Document) -> None:
        """The strokes that are counted; the place stays as far as there is one."""
        self._plan = plan
        self._setting = True
        self.stroke.setRange(1, max(len(plan.strokes), 1))
        self.of.setText(tr("of {0}", len(plan.strokes)))
        own = fingerprint(strokes_digest(plan.strokes))
        self.same.setText(tr("Fingerprint {0}. If the sheet shows another one, the drawing has changed since.", own))
        self.pen.clear()
        for block in plan.motion.blocks:
            self.pen.addItem(document.pens[block.pen].name)
        self._setting = False
        last = len(plan.strokes) - 1
        self.go_to(self._place if self._place.stroke <= last else StrokePlace(last))

    @property
    def _shown_plan(self) -> Plan:
        """The plan whose strokes are counted. Raises ValueError when none is shown yet."""
        if self._plan is None:
            raise ValueError("no plan is shown")
        return self._plan

    @property
    def place(self) -> StrokePlace:
        """Where it stopped."""
        return self._place

    def rest(self) -> Continuation:
        """What is drawn from where. Raises BadValue when nothing is left."""
        place = normalize_place(self._shown_plan.strokes, self._place)
        if self.back.value():
            place = place_before(self._shown_plan.motion, place, 60.0 * self.back.value())
        return Continuation(place, self._overlap)

    def go_to(self, place: StrokePlace) -> None:
        """Shows a place in all fields."""
        length = float(arc_lengths(self._shown_plan.strokes[place.stroke])[-1])
        self._place = StrokePlace(place.stroke, min(place.along, length))
        self._setting = True
        self.stroke.setValue(place.stroke + 1)
        self.along.setRange(0.0, np.ceil(length))
        self.along.setValue(place.along)
        time = time_of(self._shown_plan.motion, self._place)
        blocks = block_times(self._shown_plan.motion)
        number = int(np.searchsorted(blocks[:, 0], time, side="right")) - 1
        self.pen.setCurrentIndex(number)
        self.clock.setTime(QTime(0, 0).addSecs(round(time - blocks[number, 0])))
        self._setting = False
        self._shown_time = self.pen.currentIndex(), self.clock.time()
        self._tell()

    def _by_stroke(self) -> None:
        if not self._setting and self._plan is not None:
            stroke = self.stroke.value() - 1
            self.go_to(StrokePlace(stroke, self.along.value() if stroke == self._place.stroke else 0.0))

    def _by_clock(self) -> None:
        if self._setting or self._plan is None:
            return
        if (self.pen.currentIndex(), self.clock.time()) == self._shown_time:
            return  # the same pen again; the clock shows whole seconds, and the place is known better
        begin, end = block_times(self._shown_plan.motion)[max(self.pen.currentIndex(), 0)]
        time = min(begin + QTime(0, 0).secsTo(self.clock.time()), end)
        found = place_at(self._shown_plan.motion, time)
        last = len(self._shown_plan.strokes) - 1
        self.go_to(found or StrokePlace(last, float(arc_lengths(self._shown_plan.strokes[last])[-1])))

    def _overlap_entered(self, value: float) -> None:
        self._overlap = value
        self._tell()

    def _tell(self) -> None:
        if not self._setting:
            self.changed.emit()
