"""The guided calibration: draw, measure, result. It stays beside the main window while the person is at the wall."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget, QWizard

from wallwright.document.language import tr
from wallwright.window.features.calibration.draw_page import DrawPage
from wallwright.window.features.calibration.measure_page import MeasurePage
from wallwright.window.features.calibration.result_page import ResultPage
from wallwright.window.features.calibration.state import CalibrationState
from wallwright.window.features.guide.feature import show_guide
from wallwright.window.model.models import Models
from wallwright.window.widgets.screen_size import resize_within_screen


class CalibrationWizard(QWizard):
    """For one hanging of a window's document."""

    def __init__(self, models: Models, index: int = 0, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        self._state = CalibrationState(models, index)
        self.setWindowTitle(tr("Calibrate: {0}", self._state.hanging.name))
        self.setWizardStyle(QWizard.WizardStyle.ModernStyle)
        self.setOption(QWizard.WizardOption.NoBackButtonOnStartPage)
        self.setOption(QWizard.WizardOption.HaveHelpButton)
        self.helpRequested.connect(lambda: show_guide(self, "calibration"))
        self.setButtonText(QWizard.WizardButton.FinishButton, tr("Apply the result"))
        self.draw = DrawPage(self._state, self)
        self.measure = MeasurePage(self._state, self)
        self.result_page = ResultPage(self._state, self)
        for page in (self.draw, self.measure, self.result_page):
            self.addPage(page)
        resize_within_screen(self, 980, 640)

    def accept(self) -> None:
        """Writes what was found, once it has been shown."""
        if (result := self.result_page.outcome) is not None:
            self._state.keep_result(result)
        super().accept()

    def done(self, result: int) -> None:
        self.result_page.abandon()
        super().done(result)
