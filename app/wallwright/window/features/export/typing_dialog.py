"""What to type at a machine that takes drawings, shown when its files are written."""

from __future__ import annotations

import json
import logging
from collections.abc import Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from wallwright.document.language import N_, tr
from wallwright.jobs.sheet.drawing_section import typing_html
from wallwright.jobs.what_to_type import WhatToType
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.theme import StyledLabel, TextSize


def typing_of_files(paths: Sequence[Path]) -> WhatToType | None:
    """What the report among written files says of typing; None for machines of other kinds."""
    for path in paths:
        if path.suffix == ".json":
            try:
                content = json.loads(path.read_bytes())
                if isinstance(content, dict) and "what_to_type" in content:
                    return msgspec.convert(content["what_to_type"], WhatToType)
            except (OSError, ValueError, msgspec.ValidationError):
                logging.getLogger("wallwright").exception("the report %s cannot be read", path)
    return None


SEAT = N_("The drawing on the wall (solid) and on the machine's page (dashed), the anchors and the start.")
LEAST_PICTURE = 150
"""Pixels high."""
STYLE = """th { text-align: left; font-weight: normal; padding-right: 12px; padding-bottom: 3px; }
td { padding-right: 12px; padding-bottom: 3px; }
h2 { font-size: large; }"""
"""Tables as on the hanging sheet, in the window's colours."""


class SeatPicture(QWidget):
    """Where the drawing will sit: between the anchors, on the wall and as the machine's page shows it."""

    def __init__(self, what: WhatToType, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._what = what
        self.setMinimumHeight(LEAST_PICTURE)
        explain(self, tr(SEAT), tr("Where the drawing sits"))

    def paintEvent(self, event: QPaintEvent) -> None:
        what, start = self._what, self._what.start
        anchors = QPointF(0.0, 0.0), QPointF(*what.right_anchor)
        pen_place = QPointF(start.right, start.down)
        boxes = [QRectF(QPointF(*box[:2]), QPointF(*box[2:])) for box in (what.page, what.drawing)]
        whole = QPolygonF([*anchors, pen_place]).boundingRect().united(boxes[0]).united(boxes[1])
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink, room = self.palette().color(QPalette.ColorRole.WindowText), self.rect().adjusted(10, 10, -10, -10)
        scale = min(room.width() / max(whole.width(), 1.0), room.height() / max(whole.height(), 1.0))
        painter.translate(room.center())
        painter.scale(scale, scale)
        painter.translate(-whole.center())
        for box, style in zip(boxes, (Qt.PenStyle.DashLine, Qt.PenStyle.SolidLine), strict=True):
            line = QPen(ink, 1.5, style)
            line.setCosmetic(True)
            painter.setPen(line)
            painter.drawRect(box)
        belts = QPen(ink, 1.0, Qt.PenStyle.DotLine)
        belts.setCosmetic(True)
        painter.setPen(belts)
        for anchor in anchors:
            painter.drawLine(anchor, pen_place)
        painter.setBrush(ink)
        for place, size in ((anchors[0], 4.0), (anchors[1], 4.0), (pen_place, 3.0)):
            painter.drawEllipse(place, size / scale, size / scale)
        painter.end()


class TypingDialog(QDialog):
    """Stays open beside the window while the person types."""

    def __init__(self, what: WhatToType, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("What to type"))
        self.text = QTextBrowser()
        self.text.document().setDefaultStyleSheet(STYLE)
        self.text.setHtml(typing_html(what))
        explain(self.text, tr("The same is on the hanging sheet."), tr("What to type"))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        add_help_button(buttons, "files")
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text, 3)
        layout.addWidget(SeatPicture(what), 2)
        layout.addWidget(StyledLabel(tr(SEAT), TextSize.SMALL))
        layout.addWidget(buttons)
        resize_within_screen(self, 640, 660)
