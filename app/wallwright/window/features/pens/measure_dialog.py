"""What is measured of pens: how far each tip is off in its holder, and how each draws on this wall.

Each page offers its small drawing to export, and has a field for everything that is read of it.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QScrollArea, QTabWidget, QVBoxLayout, QWidget

from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.window.features.export.dialog import ExportDialog, proposed_folder
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.features.pens.friction_page import FrictionPage
from wallwright.window.features.pens.offset_page import OffsetPage
from wallwright.window.features.pens.reading_page import MeasurePage
from wallwright.window.features.pens.strip_page import StripPage
from wallwright.window.model.models import Models
from wallwright.window.panels.caution_notes import caution_note
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen, scrolled

MEASURE_PAGES: tuple[MeasurePage, ...] = ("offsets", "strip", "friction")


class MeasurePensDialog(QDialog):
    """Puts what was read into the pens, as one edit."""

    def __init__(
        self, models: Models, parent: QWidget | None = None, pen: str = "", first: MeasurePage | None = None
    ) -> None:
        """pen: id of the one whose part of the strip is asked for first. first: the page shown first; None: the offsets, or
        the strip where there is one pen."""
        super().__init__(parent)
        self._models = models
        document, hanging = models.project.document, models.selection.hanging
        self.setWindowTitle(tr("Measure pens"))
        self._tabs = QTabWidget()
        self.offsets = OffsetPage(document, hanging)
        self.strip = StripPage(document, hanging, pen)
        self.friction = FrictionPage(document, hanging)
        self._pages = (self.offsets, self.strip, self.friction)
        areas = [scrolled(page) for page in self._pages]
        titles = (tr("Tip in the holder"), tr("How it draws"), tr("Friction"))
        for area, title in zip(areas, titles, strict=True):
            area.setFrameShape(QScrollArea.Shape.NoFrame)
            self._tabs.addTab(area, title)
        self._tabs.setCurrentIndex(MEASURE_PAGES.index(first or ("offsets" if len(document.pens) > 1 else "strip")))
        buttons = QDialogButtonBox()  # Tab goes in the order of adding
        self.apply = buttons.addButton(tr("Apply to the pens"), QDialogButtonBox.ButtonRole.AcceptRole)
        explain(self.apply, tr("Enters your readings of the drawings into the pens. You can undo it."))
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "pens")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self._tabs)
        column.addWidget(caution_note(Occasion.LADDER, models.project))
        column.addWidget(buttons)
        for page, kind in zip(self._pages, MEASURE_PAGES, strict=True):
            page.changed = self._update
            page.export.clicked.connect(lambda _=False, page=page, kind=kind: self._export(page.drawing, kind))
        self._update()
        width = max(area.minimumWidth() for area in areas)
        pages = max(page.column.totalHeightForWidth(width) for page in self._pages)
        around = column.totalHeightForWidth(width) - areas[0].sizeHint().height()
        resize_within_screen(self, column.totalSizeHint().width(), pages + around)

    def _export(self, drawing: Callable[[], Document], kind: str) -> None:
        """Plans and writes one of the drawings as a separate job."""
        project = self._models.project
        try:
            document = drawing()
        except BadValue as trouble:
            self._models.messages.say(f"{trouble}.")
            return
        dialog = ExportDialog(proposed_folder(project.path, kind), document.machine.controller, self, project=project)
        if dialog.exec():
            self._models.planning.export(str(dialog.folder), document)

    def _update(self) -> None:
        self.apply.setEnabled(all(page.is_good for page in self._pages) and any(page.is_read for page in self._pages))

    def accept(self) -> None:
        document = self.friction.learnt(self.strip.learnt(self.offsets.learnt(self._models.project.document)))
        self._models.project.edit(tr("Measure pens"), document)
        super().accept()
