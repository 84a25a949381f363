"""Pictures of every caution where it appears, in each language; and the hanging sheet, page by page.

    QT_QPA_PLATFORM=offscreen .venv/bin/python -m tests.benchmarks.caution_pictures FOLDER [de]

Pages of the sheet are made by pdftoppm (poppler), where it is installed.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication, QWidget

from tests.support.jobs import planned_job
from wallwright.document.continuation import StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.language import DECIMAL_SIGNS, Language, set_language
from wallwright.document.register import RegisterMark
from wallwright.jobs.sheet.pdf import hanging_sheet
from wallwright.planning.demo import demo_document
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.continue_job.dialog import ContinueDialog
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.register_marks.dialog import LineUpDialog
from wallwright.window.features.start.guided_start import GuidedStart
from wallwright.window.model.items import WALL, HangingItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.widgets.caution_note import CautionNote

MARKS = (RegisterMark("1A", 900.0, 700.0), RegisterMark("1B", 900.0, 900.0))


def page(models: Models, item: object) -> PropertiesPanel:
    panel = PropertiesPanel(models)
    models.selection.select(item)  # type: ignore[arg-type]
    panel.resize(360, 720)
    return panel


PLACES: dict[str, Callable[[Models], QWidget]] = {
    "anchors": lambda models: page(models, HangingItem(0)),
    "better-anchors": AnchorAdviceDialog,
    "new-wall": lambda models: GuidedStart(),
    "calibration": CalibrationWizard,
    "line-up": lambda models: LineUpDialog(models, MARKS),
    "export": lambda models: ExportDialog(Path("/job"), Controller(), project=models.project),
    "continue": lambda models: ContinueDialog(models, StrokePlace(0)),
    "page-of-artwork": lambda models: page(models, PlacementItem("placement-1")),
    "page-of-wall": lambda models: page(models, WALL),
}


def main(folder: Path, code: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    set_language(Language(code, DECIMAL_SIGNS[code]))
    application = QApplication.instance() or QApplication([])
    for name, make in PLACES.items():
        models = Models.of(demo_document())
        widget = make(models)
        widget.show()
        for note in widget.findChildren(CautionNote):
            note.more.click()
        for _ in range(6):
            application.processEvents()
        widget.grab().save(str(folder / f"{code}-{name}.png"))
        if hasattr(widget, "done"):
            widget.done(0)
        models.close()
        widget.deleteLater()
    sheet = folder / f"{code}-sheet.pdf"
    sheet.write_bytes(hanging_sheet(planned_job(demo_document())))
    if shutil.which("pdftoppm"):
        subprocess.run(["pdftoppm", "-r", "70", "-png", str(sheet), str(folder / f"{code}-sheet")], check=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "en")
