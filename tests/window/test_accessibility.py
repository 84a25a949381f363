"""Every page and dialog, in every language: nothing cut off, nothing nameless, nothing without help, all by Tab.

What is asked for is WCAG 2.2: 1.4.4 (text is not lost), 4.1.2 (name of each control), 2.1.1, 2.4.3 and 2.4.7 (keyboard, focus order, focus seen).
"""

import base64
import gettext
import itertools
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QApplication, QFormLayout, QLabel, QTabWidget

from tests.support.drawing_pages import WHAT
from tests.support.jobs import SQUARE, document_of
from tests.support.widgets import (
    cut_off,
    long_titles,
    nameless,
    off_window,
    out_of_tab_order,
    scrolls_sideways,
    stops,
    too_large,
    unexplained,
    unmarked,
)
from wallwright.document import edits, edits_arrangement, edits_guide_lines, edits_photo
from wallwright.document.continuation import StrokePlace
from wallwright.document.controller import Controller
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.language import LANGUAGES
from wallwright.document.project import write_project
from wallwright.document.resources import resource
from wallwright.document.saved_presets import SavedPresets
from wallwright.planning.demo import demo_document
from wallwright.window.application.language_choice import apply_language
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.calibration.wizard import CalibrationWizard
from wallwright.window.features.continue_job.dialog import ContinueDialog
from wallwright.window.features.controller.dialog import ControllerDialog
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.export.typing_dialog import TypingDialog
from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
from wallwright.window.features.pens.photo_dialog import FrictionPhotoDialog
from wallwright.window.features.pens.saved_dialog import SavedPensDialog
from wallwright.window.features.photo.straighten import StraightenDialog
from wallwright.window.features.proof.dialog import ProofDialog
from wallwright.window.features.register_marks.dialog import LineUpDialog
from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen
from wallwright.window.features.shorter.dialog import ShorterDialog
from wallwright.window.model import recovery
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
from wallwright.window.model.settings import choose_language, remember
from wallwright.window.panels.page_area import PageArea
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.actions import ACTIONS
from wallwright.window.shell.command_search import CommandSearch
from wallwright.window.shell.focus_regions import visit_next

PNG = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNgAAAAAgABSK+kcQAAAABJRU5ErkJggg==")
"""A picture of one pixel."""
SMALL_SCREEN = QSize(1280, 720 - 48 - 36)
"""1280 x 720, less a task bar and a title bar."""
SELECTIONS = (
    WALL,
    MACHINE,
    HangingItem(0),
    KeepOutItem(1),
    GuideLineItem(0),
    GuideLineItem(1),
    PenItem("black"),
    PlacementItem("placement-1"),
    PartItem("placement-1", "", ("lighthouse",)),
)


class Missed(gettext.NullTranslations):
    """Stands behind a catalogue and keeps what it is asked for; letters that name marks are nobody's words."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: set[str] = set()

    def gettext(self, text: str) -> str:
        if len(text) > 1:
            self.texts.add(text)
        return text

    def ngettext(self, one: str, many: str, count: int) -> str:
        return self.gettext(one if count == 1 else many)


@pytest.fixture(params=sorted(LANGUAGES))
def language(request, monkeypatch):
    """The language spoken; whatever is shown in it must be in its catalogue."""
    missed = Missed()
    if request.param != "en":
        with resource("languages", f"{request.param}.mo").open("rb") as stream:
            catalogue = gettext.GNUTranslations(stream)
        catalogue.add_fallback(missed)
        monkeypatch.setattr("wallwright.document.language._catalogue", lambda code: catalogue)
    choose_language(request.param)
    apply_language(QApplication.instance())
    yield request.param
    assert missed.texts == set(), "run packaging/translations.py and translate these"
    choose_language("en")
    apply_language(QApplication.instance())


@pytest.fixture
def window(qtbot, language):
    document = edits_guide_lines.add_guide_line(demo_document(), True, 300.0)
    window = ProjectWindow(Models.of(edits_guide_lines.add_guide_line(document, False, 500.0)))
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(SMALL_SCREEN)
    window.show()
    qtbot.waitExposed(window)
    return window


def found_in(widget) -> list[str]:
    """What is wrong with a window or a part of one, on a small screen."""
    settle()
    if widget.isWindow():
        widget.resize(widget.size().boundedTo(SMALL_SCREEN))
        settle()
    found = {
        "cut off": cut_off(widget),
        "nameless": nameless(widget),
        "unexplained": unexplained(widget),
        "out of tab order": out_of_tab_order(widget),
        "off the window": off_window(widget),
        "too large": too_large(widget, SMALL_SCREEN),
        "scrolls sideways": scrolls_sideways(widget),
        "long title": long_titles(widget),
    }
    return [f"{kind}: {one}" for kind, ones in found.items() for one in ones]


def settle() -> None:
    for _ in range(3):  # layouts ask for a second pass
        QApplication.processEvents()


def test_the_window_with_everything_selected_in_turn(qtbot, window):
    window.models.project.edit("Move", edits.set_placement(window.models.project.document, "placement-1", x=1500.0))
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    window.parts.generated_artwork.words()
    window.models.cancel()  # what comes and goes while planning is not laid out yet
    words, found = window.models.selection.item, []
    for selection in (*SELECTIONS, words):
        window.models.selection.select(selection)
        found += found_in(window)
    assert found == [], "\n".join(found)


DRAWING_PAGES = (
    DrawingPage(is_known=False, asks=("distance", "left", "top")),
    DrawingPage(placing="area", asks=()),
    DrawingPage(
        placing="centred", box="ink", asks=("distance", "top", "scale"), switch_off=("fill",), always=("sort",)
    ),
)


def test_the_page_of_a_machine_that_takes_drawings(qtbot, window):
    """Every field has a name and a tip, nothing is cut off, and Tab goes down the page as the eye does."""
    window.models.selection.select(MACHINE)
    panel, found = window.findChild(PropertiesPanel), []
    for page in DRAWING_PAGES:
        document = window.models.project.document
        controller = edits.replace(document.machine.controller.taking("drawing"), page=page)
        window.models.project.edit("Page", edits.with_field(document, "machine.controller", controller))
        window.models.cancel()
        found += found_in(window)
        body, widget = panel.widget(), panel.widget()
        places = []
        while (widget := widget.nextInFocusChain()) is not body:
            if body.isAncestorOf(widget) and widget.isVisible() and widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
                places.append((widget.mapTo(body, QPoint(0, 0)).y(), widget.accessibleName()))
        assert len(places) > 25
        assert [place for place, _ in places] == sorted(place for place, _ in places), places
    assert found == [], "\n".join(found)


def test_fields_of_a_page_begin_at_one_edge(qtbot, window):
    """All that have a title beside them."""
    for selection in SELECTIONS:
        window.models.selection.select(selection)
        inspector = window.findChild(PropertiesPanel)
        for _ in range(3):  # layouts ask for a second pass
            QApplication.processEvents()
        edges = set()
        for form in inspector.widget().findChildren(QFormLayout):
            for row in range(form.rowCount()):
                items = [form.itemAt(row, r) for r in (QFormLayout.ItemRole.LabelRole, QFormLayout.ItemRole.FieldRole)]
                if all(item is not None and item.widget() is not None for item in items):
                    label, field = (item.widget() for item in items)
                    beside = field.y() < label.geometry().bottom()
                    if beside and field.isVisible() and label.text():
                        edges.add(field.mapTo(inspector, QPoint(0, 0)).x())
        assert len(edges) <= 1, (selection, edges)


def test_the_start_page_with_projects_and_work_that_a_crash_left(qtbot, window, tmp_path):
    for name in ("harbour", "a name that is too long for the place below its picture"):
        write_project(tmp_path / f"{name}.wallwright", demo_document())
        remember(tmp_path / f"{name}.wallwright")
    recovery.folder().mkdir(parents=True)
    write_project(recovery.folder() / "999999999-1.wallwright", demo_document())
    window.parts.start.show()
    guide = window.parts.start.page.guide
    guide.look()
    for step in range(4):
        guide.show_page(step)
        assert found_in(window) == [], step


def test_the_message_above_the_wall(qtbot, window, tmp_path):
    window.models.messages.say_files("The job is somewhere. " * 6, [tmp_path / "sheet.pdf"])
    window.models.cancel()
    assert found_in(window) == []


def test_dialogs(qtbot, window, tmp_path):
    for dialog in (
        *(ExportDialog(tmp_path / "job", Controller(), window, name) for name in ("", "Hanging 2")),
        ProofDialog(window.models, window),
        MeasurePensDialog(window.models, window),
        FrictionPhotoDialog(window.models.project.document, 0, tmp_path / "photo.jpg", window),
        SavedPensDialog(SavedPresets().with_pen(window.models.project.document.pens[0]), window),
        ControllerDialog(window.models, window),
        TypingDialog(WHAT, window),
        CommandSearch(window, ACTIONS, window.parts.actions),
    ):
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
        qtbot.addWidget(dialog)
        dialog.show()
        assert found_in(dialog) == []
        for tabs in dialog.findChildren(QTabWidget):
            for number in range(tabs.count()):
                tabs.setCurrentIndex(number)
                assert found_in(dialog) == [], tabs.tabText(number)
        dialog.close()


def test_parts_of_artwork_several_and_the_photo(qtbot, window):
    models = window.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    document, (second,) = edits_arrangement.duplicate_placements(models.project.document, ["placement-1"])
    models.project.edit("Two", edits_photo.add_photo(document, "wall.png", "image/png", PNG, (400, 300)))
    models.cancel()
    found, group = [], models.planning.report_of("placement-1").parts[-1].group
    for chosen in (
        (PlacementItem("placement-1"), PlacementItem(second)),
        (PHOTO,),
        (PartItem("placement-1", "#c02020"),),
        (PartItem("placement-1", "", group),),
    ):
        models.selection.select(*chosen)
        found += found_in(window.findChild(PropertiesPanel))
    assert group and found == [], "\n".join(found)
    dialog = StraightenDialog(window.models, [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)], window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert found_in(dialog) == []


def test_several_hangings(qtbot, window):
    window.parts.actions["hang-right"].trigger()
    models, found = window.models, []
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    for chosen in (WALL, HangingItem(0), HangingItem(1)):
        models.selection.select(chosen)
        models.cancel()
        found += found_in(window)
    dialog = LineUpDialog(models, window.parts.register_marks.marks, window)
    qtbot.addWidget(dialog)
    dialog.show()
    found += found_in(dialog)
    for row in dialog._rows:
        row.right.setText("2")
        row.down.setText("1")
    found += found_in(dialog)
    assert dialog._rows and found == [], "\n".join(found)


def test_calibration(qtbot, window):
    wizard = CalibrationWizard(window.models, 0, window)
    qtbot.addWidget(wizard)
    wizard.show()
    qtbot.waitUntil(lambda: wizard.currentPage().isComplete(), timeout=20_000)
    assert found_in(wizard) == []
    wizard.next()
    assert found_in(wizard) == []


def test_continuing(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )
    dialog = ContinueDialog(window.models, StrokePlace(0, 500.0), window)
    qtbot.addWidget(dialog)
    dialog.show()
    found = []
    for way in (dialog.hang.slip, dialog.hang.anchors, dialog.hang.place, dialog.hang.start):
        way.setChecked(True)
        found += found_in(dialog)
    qtbot.waitUntil(dialog.export.isEnabled, timeout=60_000)
    found += found_in(dialog)
    found += found_in(ExportDialog(dialog.models.project.path or Path("/job"), Controller(), dialog, rest_from=1))
    window.parts.continue_job.open()
    window.strip.player.seek(30.0)
    found += found_in(window.strip)
    window.parts.continue_job.dialog.close()
    assert found == [], "\n".join(found)
    dialog.close()


def test_advice(qtbot, window):
    dialog = AnchorAdviceDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert found_in(dialog) == []


def test_a_shorter_job(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.plan_is_final)
    dialog = ShorterDialog(window.models, window)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(lambda: len(dialog.rows) > 2 and not dialog.busy.isVisible())
    assert found_in(dialog) == []


def test_measuring_the_screen(qtbot, window):
    dialog = MeasureScreen(window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert found_in(dialog) == []
    dialog.ruler.setChecked(True)
    assert found_in(dialog) == []


def test_focus_begins_where_it_is_of_use(qtbot, window):
    window.parts.start.show()
    assert window.parts.start.page.demo_button.focusPolicy() & Qt.FocusPolicy.TabFocus
    window.parts.start.show_wall()
    assert window.canvas.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_where_the_keys_go_is_seen(qtbot, window):
    window.activateWindow()
    window.models.project.edit("Move", edits.set_placement(window.models.project.document, "placement-1", x=1500.0))
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    window.models.selection.select(PlacementItem("placement-1"))
    qtbot.waitActive(window)
    found = unmarked(window)
    window.parts.start.show()
    found += unmarked(window)
    assert found == [], "\n".join(found)


def test_tab_goes_through_a_page_that_was_made_again(qtbot, window):
    """Checks and properties are made anew after every plan and choice: their controls once came last in the window."""
    window.models.project.edit("Move", edits.set_placement(window.models.project.document, "placement-1", x=1500.0))
    for selection in (MACHINE, PlacementItem("placement-1")):
        window.models.selection.select(selection)
        window.models.planning.plan_now()
        qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
        for area in window.findChildren(PageArea):
            QApplication.processEvents()
            order = stops(window)
            inside = [i for i, w in enumerate(order) if area.widget().isAncestorOf(w)]
            assert len(inside) > 2
            assert inside == list(range(order.index(area) + 1, order.index(area) + 1 + len(inside)))
            heights = [order[i].mapTo(area.widget(), QPoint(0, 0)).y() for i in inside]
            assert all(b >= a - 12 for a, b in itertools.pairwise(heights)), "from top to bottom"


def test_f6_goes_to_the_first_control_of_each_part_and_round(qtbot, window):
    window.activateWindow()
    window.models.selection.select(PlacementItem("placement-1"))
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    qtbot.waitActive(window)
    window.canvas.setFocus()
    reached = []
    for _ in range(5):
        visit_next(window.parts)
        reached.append(QApplication.focusWidget())
    assert reached[-1] is window.canvas and len(set(reached)) == 5
    assert not any(isinstance(w, PageArea) for w in reached)
    for area in window.findChildren(PageArea):
        assert sum(area.widget().isAncestorOf(w) for w in reached) == 1


def test_a_form_is_never_wider_than_its_panel(qtbot, window, tmp_path):
    """A picture's sliders once ended beyond the window's edge."""
    picture = QImage(40, 30, QImage.Format.Format_Grayscale8)
    picture.fill(90)
    picture.save(str(tmp_path / "grey.png"))
    window.files.open_path(tmp_path / "grey.png")
    qtbot.waitUntil(lambda: len(window.models.project.document.placements) > 1, timeout=20_000)
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    assert window.models.selection.placement_ids == (window.models.project.document.placements[-1].id,)
    panel = window.findChild(PropertiesPanel)
    assert found_in(panel) == []
    assert panel.widget().minimumSizeHint().width() <= panel.viewport().width()


def test_letters_of_the_start_page_and_of_the_menus_differ(window):
    """Alt and a letter that stands twice presses nothing."""
    window.parts.start.show()
    texts = [a.text() for a in window.menuBar().actions()]
    texts += [w.text() for w in window.parts.start.page.findChildren(QAbstractButton)]
    texts += [w.text() for w in window.parts.start.page.findChildren(QLabel) if w.buddy() is not None]
    letters = [t[t.index("&") + 1].lower() for t in texts if "&" in t]
    assert len(letters) > 10 and sorted(letters) == sorted(set(letters))
