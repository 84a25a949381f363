"""Renders the guide's pictures: drawings, and the real window with the examples in every language.

    python packaging/guide_pictures.py drawings     quick; guide_drawings.py
    python packaging/guide_pictures.py windows      plans the examples; some minutes. Optionally only those named
    python packaging/guide_pictures.py older        lists pictures that are older than the code they show

Drawings are shared by all languages. Pictures of the window are in a folder for each language.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["QT_SCALE_FACTOR"] = "1.5"  # sharp on high-resolution screens, with readable small text

from guide_drawings import DRAWINGS  # beside this script
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from wallwright.document.language import LANGUAGES
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models
from wallwright.window.widgets.theme import apply_theme

PICTURES = Path(__file__).resolve().parent.parent / "resources" / "guide" / "pictures"
COLOURS = 32
"""Number of palette colours of a drawing or of ink, to keep files small."""
INK_ONLY = ("poster", "portrait")
"""Pictures of the window that show only ink."""
WIDEST = 1080
"""Largest width of a picture of the window, pixels."""
PATIENCE = 300.0
"""Longest time for a plan, s."""


def spin(application: QApplication, until: Callable[[], bool], seconds: float = PATIENCE) -> None:
    """Runs the event loop until a condition holds."""
    end = time.monotonic() + seconds
    while not until() and time.monotonic() < end:
        application.processEvents()
        time.sleep(0.002)


def planned_window(application: QApplication, example: str) -> ProjectWindow:
    """Returns a window with an example, with its whole plan painted."""
    from wallwright.planning.examples import EXAMPLES

    (document,) = [one.document() for one in EXAMPLES if one.id == example]
    window = ProjectWindow(Models.of(document))
    window.models.project.saved = window.models.project.document
    window.resize(1100, 660)
    window.show()
    planning = window.models.planning
    planning.plan_now()
    spin(application, lambda: planning.plan_is_final and not planning.is_planning and window.canvas.ink.is_complete)
    window.canvas.fit()
    application.processEvents()
    return window


def whole(application: QApplication, window: ProjectWindow) -> QWidget:
    """Returns the window, with the machine at the mouse."""
    x, y = window.models.project.document.hangings[0].start_point
    window.canvas.show_machine((x + 230.0, y + 240.0))
    return window


def artwork(application: QApplication, window: ProjectWindow) -> QWidget:
    """Returns the wall around the artwork, as drawn."""
    preview = window.models.planning.preview
    assert preview is not None
    points = preview.strokes.points
    left, top = points.min(axis=0)
    right, bottom = points.max(axis=0)
    window.resize(1400, 900)
    application.processEvents()
    window.canvas.look_at((left, top, right, bottom))
    spin(application, lambda: window.canvas.ink.is_complete, 20.0)
    spin(application, lambda: False, 1.0)
    return window.canvas


def wall(application: QApplication, window: ProjectWindow) -> QWidget:
    """Returns the whole wall."""
    window.resize(1500, 660)
    application.processEvents()
    window.canvas.fit()
    spin(application, lambda: False, 0.5)
    return window.canvas


def calibration(application: QApplication, window: ProjectWindow) -> QWidget:
    """Returns the page for the readings."""
    from wallwright.window.features.calibration.wizard import CalibrationWizard

    wizard = CalibrationWizard(window.models, 0, window)
    wizard.show()
    spin(application, lambda: wizard.currentPage().isComplete(), 30.0)
    wizard.next()
    wizard.resize(1080, 640)
    spin(application, lambda: False, 1.0)
    return wizard


def continuing(application: QApplication, window: ProjectWindow) -> QWidget:
    """Returns the dialog for a job that stopped in the middle."""
    from wallwright.document.continuation import StrokePlace
    from wallwright.window.features.continue_job.dialog import ContinueDialog

    dialog = ContinueDialog(window.models, StrokePlace(170, 20.0), window)
    dialog.resize(1000, 640)
    dialog.show()
    spin(application, lambda: False, 8.0)
    return dialog


WINDOWS: dict[str, tuple[str, Callable[[QApplication, ProjectWindow], QWidget]]] = {
    "window": ("first-lines", whole),
    "poster": ("poster", artwork),
    "portrait": ("portrait", artwork),
    "hangings": ("frieze", wall),
    "calibration": ("first-lines", calibration),
    "continue": ("first-lines", continuing),
}
"""Pictures of the real window: example, and function that returns the shown widget."""

SHOWN = {
    "window": ("panels", "shell", "canvas", "timeline"),
    "hangings": ("canvas",),
    "calibration": ("features/calibration",),
    "continue": ("features/continue_job",),
}
"""Folders of the window's code that each picture shows; others show ink only."""


def older() -> list[str]:
    """Returns a line for each picture committed before the last change of its code, to be checked by eye."""
    project = PICTURES.parents[2]

    def changed(*paths: Path) -> int:
        command = ["git", "log", "-1", "--format=%ct", "--", *map(str, paths)]
        return int(subprocess.run(command, cwd=project, capture_output=True, text=True, check=True).stdout or 0)

    answer = []
    for name, rooms in SHOWN.items():
        code = changed(*(project / "app" / "wallwright" / "window" / room for room in rooms))
        for language in LANGUAGES:
            if changed(PICTURES / language / f"{name}.png") < code:
                answer.append(f"{language}/{name}.png is older than {', '.join(rooms)}")
    return answer


def windows(names: list[str]) -> None:
    """Renders the named pictures in every language."""
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    for language in LANGUAGES:
        os.environ["WALLWRIGHT_LANGUAGE"] = language
        apply_language(application)
        apply_theme(application, dark=False)
        for name in names:
            example, show = WINDOWS[name]
            window = planned_window(application, example)
            shown = show(application, window)
            application.processEvents()
            save(shown.grab().toImage(), f"{language}/{name}", WIDEST)
            if shown is not window and shown.isWindow():
                shown.close()
            window.models.project.saved = window.models.project.document
            window.close()


def save(image: QImage, name: str, widest: int = 0) -> None:
    """Writes a picture with a small palette. widest: largest width of a picture of the window, pixels; 0: a drawing."""
    if widest and image.width() > widest:
        image = image.scaledToWidth(widest, Qt.TransformationMode.SmoothTransformation)
    file = PICTURES / f"{name}.png"
    file.parent.mkdir(parents=True, exist_ok=True)
    image.save(str(file))
    from PIL import Image

    with Image.open(file) as picture:
        colours = 128 if widest and file.stem not in INK_ONLY else COLOURS
        picture.convert("RGB").quantize(colours).save(file, optimize=True)
    print(f"{name}.png: {file.stat().st_size / 1000:.0f} kB")


def main(arguments: list[str]) -> int:
    if not arguments or set(arguments) - {"drawings", "older", "windows", *WINDOWS}:
        print((__doc__ or "").strip())
        return 2
    if "older" in arguments:
        print("\n".join(older()) or "No picture is older than its code.")
        return 0
    application = QApplication.instance() or QApplication([])
    if "drawings" in arguments:
        for name, draw in DRAWINGS.items():
            save(draw(), name)
    if wanted := [name for name in WINDOWS if name in arguments or "windows" in arguments]:
        windows(wanted)
    del application
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
