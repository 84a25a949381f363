"""Second question: where does the machine hang now? Three ways to know, each with what is to be measured."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFormLayout,
    QGroupBox,
    QLabel,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.continuation import Continuation, WallReading
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.origin import height_text, left_anchor
from wallwright.document.quantity import quantities
from wallwright.statics.belt_slip import BeltSlip, PenOffsetReading, estimate_slip, start_after_slip
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.pose_recovery import (
    RecoveredPose,
    pack_covariance,
    recover_from_anchor_distances,
    recover_from_offsets,
)
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

TAPES = ("to_left", "to_right", "sure")
PLACES = ("across", "down", "place_sure")
SLIPS = ("x", "y", "off_right", "off_down", "off_sure")


class _Page(QWidget):
    """What is asked for one way of telling the position."""

    def __init__(self) -> None:
        super().__init__()
        self.form = QFormLayout(self)
        self.form.setContentsMargins(24, 0, 0, 4)


class PositionForm(QGroupBox):
    """Gives where the pen is when the rest begins, and how surely that is known."""

    changed = Signal()
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("2. Where is the machine now?"), parent)
        usual = Document()
        self._machine, self._place = usual.machine, usual.hangings[0]
        self._origin = left_anchor(usual, self._place)
        self.measured = WallReading()
        self.found: RecoveredPose | BeltSlip | None = None
        known = quantities(WallReading)
        self.fields = {name: NumberField(q, getattr(self.measured, name)) for name, q in known.items()}
        self._ways = QButtonGroup(self)
        self.start = self._way(
            tr("At the starting point: I set the belts by tape"),
            tr("The safest way: bring the machine back to where the job started."),
        )
        self.anchors = self._way(
            tr("Where it stopped: I measure from the pen to the anchors"),
            tr("Two tape readings along the wall, from the pen tip to the centre of each anchor."),
        )
        self.place = self._way(
            tr("Where it stopped: I measure right and down"),
            tr("With a plumb line and a spirit level from the left anchor."),
        )
        self.slip = self._way(
            tr("It draws off its position: I measure how far"),
            tr(
                "Use this if the drawing is off although the controller kept counting, for example after a "
                "bump or a slip. Also use it if the pen was off when the job paused for a check."
            ),
        )
        self._numbers = QLabel()
        pages = {
            self.start: self._page((), self._numbers),
            self.anchors: self._page(TAPES),
            self.place: self._page(PLACES),
            self.slip: self._page(SLIPS),
        }
        self.whole = QCheckBox(tr("A belt slipped by whole teeth or steps"))
        explain(
            self.whole,
            tr(
                "Tick this if the belt jumped by whole teeth or steps; the exact slip can then be found. Leave "
                "it unticked after re-hanging by hand."
            ),
        )
        self.whole.setChecked(True)
        self.whole.toggled.connect(lambda _: self.changed.emit())
        pages[self.slip].form.addRow(self.whole)
        self.message = QLabel()
        column = QVBoxLayout(self)
        for way, page in pages.items():
            column.addWidget(way)
            column.addWidget(page)
            page.setVisible(way is self.start)
            way.toggled.connect(page.setVisible)
            way.toggled.connect(self._way_toggled)
        column.addWidget(self.message)
        for label in (self._numbers, self.message):
            label.setWordWrap(True)
        self.start.setChecked(True)

    def _way_toggled(self, is_on: bool) -> None:
        if is_on:
            self.changed.emit()

    def _way(self, title: str, help: str) -> QRadioButton:
        button = QRadioButton(title)
        explain(button, help)
        self._ways.addButton(button)
        return button

    def _page(self, names: tuple[str, ...], label: QLabel | None = None) -> _Page:
        page = _Page()
        form = page.form
        if label is not None:
            form.addRow(label)
        for name in names:
            field = self.fields[name]
            field.setMaximumWidth(110)
            field.entered.connect(lambda value, n=name: self._entered(n, value))
            field.refused.connect(self.refused)
            form.addRow(tr(field.quantity.title), field)
        return page

    def show_document(self, document: Document, hanging: int) -> None:
        """hanging: number of the one that the job is drawn from."""
        self._machine = document.machine
        place = self._place = document.hangings[hanging]
        self._origin = left_anchor(document, place)
        pose = inverse_kinematics(
            CableRobotModel.of(document.machine, place), np.array([place.start_point], dtype=float)
        )
        anchors = np.array([(place.left.x, place.left.y), (place.right.x, place.right.y)])
        chords = np.hypot(*(pose.exits[0] - anchors).T)
        self._numbers.setText(
            tr(
                "Left belt {0:.1f} mm and right belt {1:.1f} mm from anchor to body, straight by tape. Pen {2}, {3}.",
                *chords,
                left_anchor(document, place).text(*place.start_point),
                height_text(document, place.start_point[1]),
            )
        )

    def go_to(self, point: npt.NDArray[np.float64]) -> None:
        """A place on the wall, mm, that may be one where it drew off its line."""
        left = self._place.left
        self.measured = replace(
            self.measured, x=round(float(point[0] - left.x), 1), y=round(float(point[1] - left.y), 1)
        )
        for name in ("x", "y"):
            self.fields[name].show_value(getattr(self.measured, name))

    @property
    def seen(self) -> tuple[float, float]:
        """Where a slip was measured, mm on the wall."""
        left = self._place.left
        return self.measured.x + left.x, self.measured.y + left.y

    def _entered(self, name: str, value: float) -> None:
        self.measured = replace(self.measured, **{name: value})
        self.changed.emit()

    def hung(self, rest: Continuation) -> Continuation:
        """The rest with what is known of the machine's place; says what that is. Raises BadValue."""
        self.found = None
        self.message.clear()
        machine, place = self._machine, self._place
        read = self.measured
        if self.start.isChecked():
            return rest
        if self.slip.isChecked():
            if not (read.off_right or read.off_down):
                raise BadValue(tr("Measure how far off it drew, and enter it"))
            reading = PenOffsetReading(self.seen, (read.off_right, read.off_down))
            slip = estimate_slip(machine, place, (reading,), read.off_sure, self.whole.isChecked())
            self.found = slip
            start = start_after_slip(machine, place, slip)
            self.message.setText(
                slip.describe(machine) + " " + tr("Move the machine to its starting point by its own count.")
            )
            return replace(rest, start=start, known_by="slip", spread=pack_covariance(slip.spread))
        if self.anchors.isChecked():
            if not (read.to_left and read.to_right):
                raise BadValue(tr("Measure from the pen tip to both anchors, and enter both"))
            found = recover_from_anchor_distances(machine, place, read.to_left, read.to_right, read.sure)
        else:
            if not (read.across or read.down):
                raise BadValue(tr("Measure where the pen is, and enter it"))
            found = recover_from_offsets(machine, place, read.across, read.down, read.place_sure)
        self.found = found
        self.message.setText(
            tr(
                "The pen is {0}, within about ± {1:.1f} mm; belts {2:.1f} and {3:.1f} mm. Leave the machine hanging there.",
                self._origin.text(*found.pen),
                found.within,
                *found.belts,
            )
        )
        return replace(rest, start=found.pen, known_by="tape", spread=pack_covariance(found.belts_spread))
