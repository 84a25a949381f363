"""The mark in the status bar while limits are ignored."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QStatusBar

from wallwright.document.language import plural, tr
from wallwright.window.model.limits_ignored import limits_ignored_now
from wallwright.window.model.models import Models


class IgnoredLimitsStatus(QLabel):
    """Visible while the project draws outside the zone anyway and something is outside."""

    def __init__(self, models: Models, bar: QStatusBar) -> None:
        super().__init__(bar)
        self._models = models
        font = self.font()
        font.setBold(True)
        self.setFont(font)
        self.setAccessibleName(tr("Limits ignored"))
        bar.addPermanentWidget(self)
        models.planning.preview_changed.connect(self.refresh)
        models.project.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        ignored = limits_ignored_now(self._models)
        self.setVisible(bool(ignored))
        self.setToolTip(ignored.text)
        self.setWhatsThis(ignored.text)
        self.setAccessibleDescription(ignored.text)
        self.setText(
            plural("LIMITS IGNORED: {0} stroke", "LIMITS IGNORED: {0} strokes", ignored.strokes) if ignored else ""
        )
