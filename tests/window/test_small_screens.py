"""Everything is usable on small screens: 1366 x 768 with a task bar of 48 pixels and 1280 x 720, below a title bar, in
every language, with text of 100 and 200 %."""

import base64

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication, QFormLayout, QLabel, QWidget

from tests.support.jobs import SQUARE, document_of
from tests.support.widgets import cut_off, off_window
from wallwright.document import edits, edits_guide_lines, edits_photo
from wallwright.document.continuation import StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.language import LANGUAGES
from wallwright.planning.demo import demo_document
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.continue_job.dialog import ContinueDialog
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.photo.straighten import StraightenDialog
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen
from wallwright.window.model.items import (
    MACHINE,
    PHOTO,
    WALL,
    GuideLineItem,
    HangingItem,
    KeepOutItem,
    PartItem,
    PenItem,
    PlacementItem,
)
from wallwright.window.model.models import Models
from wallwright.window.model.settings import choose_language
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.actions import ACTIONS
from wallwright.window.shell.command_search import CommandSearch
from wallwright.window.shell.tool_bar_fit import Fullness, ToolBarFit

TITLE_BAR = 36
SCREENS = (QSize(1366, 768 - 48 - TITLE_BAR), QSize(1280, 720 - 48 - TITLE_BAR))
SMALLEST = QSize(min(s.width() for s in SCREENS), min(s.height() for s in SCREENS))
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg=="
)
SELECTIONS = (
    WALL, MACHINE, PHOTO, HangingItem(0), HangingItem(1), KeepOutItem(1), GuideLineItem(0), PenItem("black"),
    PlacementItem("placement-1"), PartItem("placement-1", "", ("lighthouse",)),
)  # fmt: skip


@pytest.fixture(params=sorted(LANGUAGES))
def language(request):
    choose_language(request.param)
    apply_language(QApplication.instance())
    yield request.param
    choose_language("en")
    apply_language(QApplication.instance())


@pytest.fixture
def window(qtbot, language):
    document = edits_guide_lines.add_guide_line(demo_document(), True, 300.0)
    window = ProjectWindow(Models.of(edits_photo.add_photo(document, "w.png", "image/png", PNG, (400, 300))))
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(
        window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document)
    )
    window.resize(SCREENS[0])
    window.show()
    qtbot.waitExposed(window)
    return window


def planned(qtbot, window) -> None:
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)


def settled() -> None:
    for _ in range(3):  # layouts ask for a second pass
        QApplication.processEvents()


def too_large(widget: QWidget, most: QSize) -> list[str]:
    least = widget.minimumSizeHint().expandedTo(widget.minimumSize())
    fits = least.width() <= most.width() and least.height() <= most.height()
    return [] if fits else [f"{type(widget).__name__} asks for {least.toTuple()}"]


def test_every_page_of_the_window(qtbot, window):
    project = window.models.project
    project.edit("Move", edits.set_placement(project.document, "placement-1", x=1500.0))
    window.parts.actions["hang-right"].trigger()
    planned(qtbot, window)
    window.models.cancel()
    window.strip.player.seek(100.0)
    window.models.messages.say("The job is somewhere. " * 8)
    for row in window.checks.rows():
        row.set_open(True)
    found = []
    for screen in SCREENS:
        window.resize(screen)
        for selection in SELECTIONS:
            window.models.selection.select(selection)
            settled()
            trouble = [*too_large(window, screen), *off_window(window), *cut_off(window)]
            if window.size() != screen:
                trouble.append(f"the window is {window.size().toTuple()}")
            trouble += long_titles(window.properties)
            found += [f"{screen.toTuple()} {selection}: {text}" for text in trouble]
    window.parts.start.show()
    settled()
    found += [*too_large(window, SMALLEST), *off_window(window), *cut_off(window)]
    assert found == [], "\n".join(dict.fromkeys(found))


def long_titles(panel: PropertiesPanel) -> list[str]:
    """Titles of fields that take more than two lines."""
    found = []
    for form in panel.findChildren(QFormLayout):
        for row in range(form.rowCount()):
            item = form.itemAt(row, QFormLayout.ItemRole.LabelRole)
            label = item.widget() if item is not None else None
            if isinstance(label, QLabel) and label.wordWrap():
                lines = label.heightForWidth(label.width()) / label.fontMetrics().lineSpacing()
                if lines > 2.5:
                    found.append(f"'{label.text()}' takes {lines:.0f} lines")
    return found


def test_text_of_200_per_cent(qtbot, window):
    """Panels scroll sideways and titles become icons, but the window does not grow beyond its screen."""
    planned(qtbot, window)
    application, found = QApplication.instance(), []
    usual, large = application.font(), application.font()
    large.setPointSizeF(2 * usual.pointSizeF())
    application.setFont(large)
    try:
        for screen in SCREENS:
            window.resize(screen)
            for selection in (WALL, MACHINE, PlacementItem("placement-1")):
                window.models.selection.select(selection)
                window.strip.player.seek(100.0)
                settled()
                found += [
                    f"{selection}: {text}" for text in (*too_large(window, screen), *off_window(window))
                ]
    finally:
        application.setFont(usual)
    assert found == [], "\n".join(dict.fromkeys(found))


def test_dialogs(qtbot, window, tmp_path):
    models, found = window.models, []
    window.parts.actions["hang-right"].trigger()
    planned(qtbot, window)
    wizard = CalibrationWizard(models, 0, window)
    dialogs = [
        *(ExportDialog(tmp_path / "job", Controller(), window, name) for name in ("", "Hanging 2")),
        ProofDialog(models, window),
        CommandSearch(window, ACTIONS, window.parts.actions),
        StraightenDialog(models, [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)], window),
        AnchorAdviceDialog(models, window),
        MeasureScreen(window),
        wizard,
    ]
    for dialog in dialogs:
        qtbot.addWidget(dialog)
        dialog.show()
        if dialog is wizard:
            qtbot.waitUntil(wizard.currentPage().isComplete, timeout=20_000)
            found += looked_over(dialog)
            wizard.next()
        found += looked_over(dialog)
        dialog.close()
    assert found == [], "\n".join(found)


def looked_over(dialog: QWidget) -> list[str]:
    settled()
    found = too_large(dialog, SMALLEST)
    dialog.resize(dialog.size().boundedTo(SMALLEST))
    settled()
    return [f"{type(dialog).__name__}: {text}" for text in (*found, *off_window(dialog), *cut_off(dialog))]


def test_dialogs_about_what_is_on_the_wall(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    planned(qtbot, window)
    qtbot.waitUntil(lambda: not window.models.planning.is_planning, timeout=60_000)
    dialog = ContinueDialog(window.models, StrokePlace(0, 500.0), window)
    qtbot.addWidget(dialog)
    dialog.show()
    found = []
    for way in (dialog.hang.slip, dialog.hang.anchors, dialog.hang.place, dialog.hang.start):
        way.setChecked(True)
        found += looked_over(dialog)
    dialog.close()
    assert found == [], "\n".join(found)


def test_the_tool_bar_gives_up_titles_before_the_state_of_the_job(qtbot, window):
    fit = window.findChild(ToolBarFit)
    planned(qtbot, window)
    wide = fit.fullness
    window.resize(4000, 600)
    settled()
    assert fit.fullness is Fullness.ALL_TITLES <= wide
    window.resize(900, 600)
    settled()
    assert fit.fullness is Fullness.ICONS
    assert window.status.visibleRegion().boundingRect().size() == window.status.size()
    assert window.status.width() >= window.status.minimumSizeHint().width()
