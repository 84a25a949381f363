"""Pictures of every caution in its context, in each language, and of the pages of the hanging sheet.

    QT_QPA_PLATFORM=offscreen .venv/bin/python -m tests.benchmarks.caution_pictures FOLDER [de]

Pages of the sheet are rendered by pdftoppm (poppler), if installed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication, QWidget

from tests.support.jobs import planned_job
from wallwright.document import edits
from wallwright.document.continuation import StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.language import VARIABLE
from wallwright.document.register import RegisterMark
from wallwright.jobs.file_names import BELTS
from wallwright.jobs.sheet.pdf import hanging_sheet
from wallwright.planning.demo import demo_document
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.continue_job.dialog import ContinueDialog
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.register_marks.dialog import LineUpDialog
from wallwright.window.features.start.guided_start import GuidedStart
from wallwright.window.model.items import WALL, HangingItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.widgets.caution_note import CautionNote
from wallwright.window.widgets.theme import apply_theme

LONGEST = 120.0
"""Timeout of a plan or an export, s."""
SETTLED = 0.4
"""Time for a page's layout, s."""
MARKS = (RegisterMark("1A", 900.0, 700.0), RegisterMark("1B", 900.0, 900.0))


def page(models: Models, item: object) -> PropertiesPanel:
    panel = PropertiesPanel(models)
    models.selection.select(item)  # type: ignore[arg-type]
    panel.resize(360, 720)
    return panel


def anchors_page(_: Models) -> GuidedStart:
    guide = GuidedStart()
    guide.show_page(1)
    return guide


def drawing_machine(models: Models) -> Models:
    models.project.edit("", edits.set_field(models.project.document, "machine.controller.takes", "drawing"))
    return models


def after_export(models: Models) -> QWidget:
    """Returns the window with the message on an exported job."""
    window, folder = ProjectWindow(models, Path(tempfile.mkdtemp())), Path(tempfile.mkdtemp()) / "job"
    window.resize(1366, 720)
    said: list[object] = []
    models.planning.exported.connect(said.append)
    models.planning.export(str(folder))
    wait(lambda: bool(said))
    return window


def wait(until: Callable[[], bool]) -> None:
    end = time.monotonic() + LONGEST
    while time.monotonic() < end and not until():
        QApplication.processEvents()
        time.sleep(0.02)


def settle() -> None:
    end = time.monotonic() + SETTLED
    wait(lambda: time.monotonic() > end)


def planned(models: Models) -> Models:
    models.planning.plan_now()
    wait(lambda: models.planning.fresh_plan is not None)
    return models


PLACES: dict[str, Callable[[Models], QWidget]] = {
    "anchors": lambda models: page(models, HangingItem(0)),
    "better-anchors": AnchorAdviceDialog,
    "new-wall": anchors_page,
    "calibration": CalibrationWizard,
    "line-up": lambda models: LineUpDialog(models, MARKS),
    "export": lambda models: ExportDialog(Path("/job"), Controller(), project=models.project),
    "proof-drawing": lambda models: ProofDialog(drawing_machine(models)),
    "measure-pens": MeasurePensDialog,
    "after-export": after_export,
    "continue": lambda models: ContinueDialog(planned(models), StrokePlace(100)),
    "page-of-artwork": lambda models: page(models, PlacementItem("placement-1")),
    "page-of-wall": lambda models: page(models, WALL),
}


def main(folder: Path, code: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    os.environ[VARIABLE] = code
    application = QApplication.instance() or QApplication([])
    apply_language(application)
    apply_theme(application, dark=False)
    for name, make in PLACES.items():
        models = Models.of(demo_document())
        widget = make(models)
        widget.show()
        for note in widget.findChildren(CautionNote):
            note.more.click()
        settle()
        if not isinstance(widget, ProjectWindow | PropertiesPanel):
            widget.resize(widget.width(), max(widget.height(), widget.minimumSizeHint().height()))
        widget.grab().save(str(folder / f"{code}-{name}.png"))
        if hasattr(widget, "done"):
            widget.done(0)
        models.close()
        widget.deleteLater()
    sheet = folder / f"{code}-sheet.pdf"
    sheet.write_bytes(hanging_sheet(planned_job(demo_document()), [BELTS]))
    if shutil.which("pdftoppm"):
        subprocess.run(["pdftoppm", "-r", "70", "-png", str(sheet), str(folder / f"{code}-sheet")], check=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "en")
