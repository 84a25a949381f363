"""No page and no text makes the window larger than a small screen; test_accessibility.py walks through the smallest one.

Screens: 1366 x 768 and 1280 x 720, each less a task bar of 48 pixels and a title bar (common practice, no source).
"""

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication, QLabel

from tests.support.widgets import cut_off, off_window, too_large
from wallwright.document.language import LANGUAGES, tr
from wallwright.planning.demo import demo_document
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen
from wallwright.window.features.start.guided_start import PAGES
from wallwright.window.features.start.start_page import StartPage
from wallwright.window.model.items import MACHINE, WALL, HangingItem, PenItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.model.settings import choose_language
from wallwright.window.shell.tool_bar_fit import Fullness, ToolBarFit

SCREENS = (QSize(1366, 768 - 48 - 36), QSize(1280, 720 - 48 - 36))
TEXT_SCALES = ((1.25, SCREENS[0]), (1.5, SCREENS[1]), (2.0, SCREENS[0]), (2.0, SCREENS[1]))
"""Of the system's text size, each with the screen it is tried on."""
SELECTIONS = (WALL, MACHINE, HangingItem(0), PenItem("black"), PlacementItem("placement-1"))


@pytest.fixture(params=sorted(LANGUAGES))
def window(qtbot, request):
    choose_language(request.param)
    apply_language(QApplication.instance())
    window = ProjectWindow(Models.of(demo_document()))
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window)
    window.resize(SCREENS[0])
    window.show()
    qtbot.waitExposed(window)
    yield window
    choose_language("en")
    apply_language(QApplication.instance())


def settle() -> None:
    for _ in range(3):  # layouts ask for a second pass
        QApplication.processEvents()


def looked_over(window, screen: QSize) -> list[str]:
    """What is wrong on each page."""
    window.resize(screen)
    found = []
    for selection in SELECTIONS:
        window.models.selection.select(selection)
        settle()
        trouble = [*too_large(window, screen), *off_window(window)]
        if window.size() != screen:
            trouble.append(f"the window is {window.size().toTuple()}")
        found += [f"{screen.toTuple()}, {selection}: {text}" for text in trouble]
    return found


def test_the_window_keeps_to_its_screen(window):
    """Whatever is said in it, and with text of 125 to 200 %: then panels scroll sideways and titles become icons."""
    window.models.messages.say("The job is somewhere. " * 20)
    window.strip.number.show_text("Stroke 100000 of 200000")
    window.strip.number.show()
    window.strip.estimate.show_parts([f"Pen {i}: 10 min" for i in range(40)])
    window.status.show_state(window.status.state, "Ready to export: " + "1 h, " * 40)
    found = [text for screen in SCREENS for text in looked_over(window, screen)]
    found += cut_off(window)
    assert window.strip.estimate.text().endswith("…") and "Pen 39" in window.strip.estimate.toolTip()
    application = QApplication.instance()
    usual, large = application.font(), application.font()
    try:
        for scale, screen in TEXT_SCALES:
            large.setPointSizeF(scale * usual.pointSizeF())
            application.setFont(large)
            found += [f"{scale:.0%}, {text}" for text in looked_over(window, screen)]
    finally:
        application.setFont(usual)
    assert found == [], "\n".join(found)


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_the_start_page_never_scrolls_sideways(qtbot, language):
    """Its picture stands beside the pages while there is room, and below them with large text."""
    application = QApplication.instance()
    usual, large = application.font(), application.font()
    choose_language(language)
    apply_language(application)
    below = {}
    try:
        for scale, screen in ((1.0, SCREENS[1]), *TEXT_SCALES):
            large.setPointSizeF(scale * usual.pointSizeF())
            application.setFont(large)
            page = StartPage()
            qtbot.addWidget(page)
            page.resize(screen)
            page.show()
            for number in range(PAGES):
                page.guide.show_page(number)
                settle()
                assert page.horizontalScrollBar().maximum() == 0, (scale, number)
            below[scale] = page.guide.picture.y() > page.guide.make.y()
            page.hide()
    finally:
        application.setFont(usual)
        choose_language("en")
        apply_language(application)
    assert not below[1.0] and below[2.0]


def test_dialogs_cut_nothing_off_with_text_of_200_percent(qtbot, window):
    application = QApplication.instance()
    usual, large = application.font(), application.font()
    found = []
    try:
        large.setPointSizeF(2 * usual.pointSizeF())
        application.setFont(large)
        for kind in (ProofDialog, MeasureScreen, MeasurePensDialog, CalibrationWizard):
            given = (window,) if kind is MeasureScreen else (window.models, window)
            dialog = kind(window.models, 0, window) if kind is CalibrationWizard else kind(*given)
            qtbot.addWidget(dialog)
            dialog.show()
            dialog.resize(dialog.size().boundedTo(SCREENS[0]))
            if kind is CalibrationWizard:
                qtbot.waitUntil(lambda wizard=dialog: wizard.currentPage().isComplete())
            settle()
            found += [f"{kind.__name__}: {text}" for text in cut_off(dialog)]
            if kind is CalibrationWizard:
                dialog.next()
                settle()
                found += [f"{kind.__name__}, 2: {text}" for text in cut_off(dialog)]
            dialog.close()
    finally:
        application.setFont(usual)
    assert found == [], "\n".join(found)


def test_the_tool_bar_gives_up_titles_before_the_state_of_the_job(window):
    fit = window.findChild(ToolBarFit)
    assert fit.fullness is not Fullness.ICONS
    window.resize(1366, 700)
    settle()
    labels = [label for label in window.findChildren(QLabel) if label.text().startswith(tr("Draw zone:"))]
    assert [label.isVisible() for label in labels] == [True], "a list of choices says what it is for"
    window.resize(4000, 600)
    settle()
    assert fit.fullness is Fullness.ALL_TITLES
    window.resize(880, 600)
    settle()
    assert fit.fullness is Fullness.ICONS
    status = window.status
    assert status.visibleRegion().boundingRect().size() == status.size()
    assert status.width() >= status.minimumSizeHint().width()
