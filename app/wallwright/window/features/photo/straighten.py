"""Straightening the photo of the wall by four points with known distances."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QWidget,
)

from wallwright.document import edits_photo
from wallwright.document.document import Document
from wallwright.document.edits_keep_outs import is_rectangle
from wallwright.document.errors import BadValue
from wallwright.document.homography import quadrilateral
from wallwright.document.language import tr
from wallwright.document.typed_numbers import evaluate, shown
from wallwright.document.wall import Point
from wallwright.window.canvas.photo_layer import transform_of
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.model.models import Models
from wallwright.window.panels.position_fields import axis_title
from wallwright.window.widgets.explain import explain


class StraightenDialog(QDialog):
    """How far apart four clicked points are, and where the first of them is on the wall."""

    def __init__(self, models: Models, points: list[Point], parent: QWidget | None = None) -> None:
        """points: on the wall as the photo lies now, mm, clockwise from the top left."""
        super().__init__(parent)
        self.models, self._points = models, points
        self.setWindowTitle(tr("Straighten the photo"))
        form = QFormLayout(self)
        self.known = QComboBox()
        explain(
            self.known,
            tr("Click four points of the photo whose distances you know. The photo then fits the wall."),
            tr("The points are"),
        )
        for title, box in _rectangles(self.models.project.document):
            self.known.addItem(title, box)
        self.known.activated.connect(self._fill)
        form.addRow(tr("The points are"), self.known)
        self.fields: dict[str, QLineEdit] = {}
        origin = models.origin.present
        for name, title in (
            ("top", tr("Top side")),
            ("right", tr("Right side")),
            ("bottom", tr("Bottom side")),
            ("left", tr("Left side")),
            ("diagonal", tr("Top left to bottom right")),
            ("across", axis_title(origin.kind, 0, tr("Top left corner"))),
            ("along", axis_title(origin.kind, 1, tr("Top left corner"))),
        ):
            self.fields[name] = QLineEdit()
            explain(self.fields[name], tr("In mm. Calculations and units work too."), title)
            form.addRow(title, self.fields[name])
        self.trouble = QLabel()
        self.trouble.setWordWrap(True)
        form.addRow(self.trouble)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "wall")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        form.addRow(buttons)
        self._fill()

    def accept(self) -> None:
        try:
            sides = [evaluate(self.fields[n].text(), "mm") for n in ("top", "right", "bottom", "left", "diagonal")]
            across, along = (evaluate(self.fields[n].text(), "mm") for n in ("across", "along"))
            x, y = self.models.origin.present.to_wall(across, along)
            places = tuple((px + x, py + y) for px, py in quadrilateral(*sides))
            document = edits_photo.straighten_photo(self.models.project.document, self._on_photo(), places)
        except BadValue as trouble:
            self.trouble.setText(f"{trouble}.")
        else:
            if self.models.project.edit(tr("Straighten the photo"), document):
                super().accept()

    def _on_photo(self) -> tuple[Point, ...]:
        photo = self.models.project.document.photo
        if photo is None:
            raise BadValue(tr("There is no photo any more"))
        back, _ = transform_of(photo).inverted()
        return tuple((at.x(), at.y()) for at in (back.map(QPointF(x, y)) for x, y in self._points))

    def _fill(self) -> None:
        left, top, right, bottom = self.known.currentData()
        width, height = right - left, bottom - top
        values = {"top": width, "right": height, "bottom": width, "left": height, "diagonal": math.hypot(width, height)}
        for name, value in values.items():
            self.fields[name].setText(f"{shown(round(value, 1))} mm")
        for name, value in zip(("across", "along"), self.models.origin.present.from_wall(left, top), strict=True):
            self.fields[name].setText(f"{shown(round(value, 1) + 0.0)} mm")


def _rectangles(document: Document) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Rectangles of the wall whose corners may be seen on a photo: titles and boxes, mm."""
    wall = document.wall
    hanging = document.hangings[0]
    found = [(tr("The corners of the wall"), (wall.left, wall.top, wall.right, wall.floor))]
    for keep_out in wall.keep_outs:
        if is_rectangle(keep_out.outline):
            xs, ys = zip(*keep_out.outline, strict=True)
            found.append((tr("The corners of “{0}”", keep_out.name), (min(xs), min(ys), max(xs), max(ys))))
    below = (hanging.left.x, hanging.left.y, hanging.right.x, hanging.left.y + 1000.0)
    found.append((tr("Both anchors and two marks below them"), below))
    return found
