"""How a window is laid out is kept between starts, and comes back on a screen that there is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QByteArray, QRect, Qt
from PySide6.QtWidgets import QApplication, QDockWidget, QPushButton, QToolBar, QVBoxLayout, QWidget

from wallwright.document import edits
from wallwright.document.language import Language, set_language
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.canvas.zone_layer import OUTLINE
from wallwright.window.model.items import MACHINE, WALL, HangingItem, KeepOutItem, PenItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.model.settings import settings
from wallwright.window.panels.page_area import MOST, PageArea
from wallwright.window.shell import project_view, window_layout
from wallwright.window.shell.window_layout import TITLE_BAR, placed_on_screens

RIGHT = Qt.DockWidgetArea.RightDockWidgetArea
SCREEN, SECOND = QRect(0, 0, 1366, 768), QRect(1366, 0, 1920, 1080)


@pytest.fixture
def another(qtbot):
    def make() -> ProjectWindow:
        window = ProjectWindow(Models.of(demo_document()))
        qtbot.addWidget(window)
        window.show()
        return window

    return make


def dock(window: ProjectWindow, name: str) -> QDockWidget:
    return next(d for d in window.findChildren(QDockWidget) if d.objectName() == name)


def test_the_size_comes_back(qtbot, another):
    """Its height: a screen of Qt's offscreen platform is narrower than the window may be."""
    window = another()
    usual = window.height()
    window.resize(window.width(), 700)
    window.close()
    assert another().height() == 700 != usual


def test_the_view_belongs_to_the_project(qtbot, another, tmp_path):
    """Each project comes back as it was seen, one that was seen whole is seen whole, and New shows all of its wall."""
    window = another()
    models, canvas = window.models, window.canvas
    one, other = tmp_path / "one.wallwright", tmp_path / "other.wallwright"
    models.project.load(demo_document(), one)
    whole = canvas.view
    canvas.zoom(2.5)
    canvas.show_zone("lowest tension")
    seen = canvas.view
    models.project.load(demo_document(), other)
    assert canvas.view == whole
    canvas.show_zone(OUTLINE)
    models.project.load(demo_document(), one)
    assert canvas.view.scale == pytest.approx(seen.scale, rel=1e-3)
    assert (canvas.view.left, canvas.view.top) == pytest.approx((seen.left, seen.top), abs=1.0)
    assert window.zone.currentData() == "lowest tension"
    models.project.load(demo_document(), None)
    assert canvas.view == whole
    models.project.load(demo_document(), other)
    assert canvas.view == whole and window.zone.currentData() == OUTLINE


def test_a_project_that_was_seen_whole_is_seen_whole_in_a_window_of_another_size(qtbot, another, tmp_path):
    """The wall of the next project was taken for the one that was in view, and the box was kept instead."""
    window = another()
    models, canvas = window.models, window.canvas
    one, other = tmp_path / "one.wallwright", tmp_path / "other.wallwright"
    models.project.load(demo_document(), one)
    canvas.fit()
    wide = edits.set_field(demo_document(), "wall.width", 9000.0)
    models.project.load(wide, other)
    window.resize(window.width(), 640)
    QApplication.processEvents()
    models.project.load(demo_document(), one)
    assert canvas.is_fitted
    canvas.zoom(2.5)
    assert not canvas.is_fitted
    models.project.load(wide, other)
    assert canvas.is_fitted


@pytest.mark.parametrize("damage", ["", ["a", "b", "c", "d", "outline"], ["1", "2"], ["nan", "0", "1", "1", "x"], 3])
def test_a_view_that_cannot_be_read_shows_the_whole_wall(qtbot, another, tmp_path, damage):
    window = another()
    window.canvas.fit()
    whole = window.canvas.view
    path = tmp_path / "one.wallwright"
    settings().setValue(project_view._key(path), damage)
    window.models.project.load(demo_document(), path)
    assert window.canvas.view == whole


def test_docks_and_draw_zone_come_back_whatever_the_language(qtbot, another):
    window = another()
    window.addDockWidget(RIGHT, dock(window, "contents"))
    window.zone.setCurrentIndex(3)
    window.zone.activated.emit(3)
    layer = window.zone.currentData()
    window.close()
    set_language(Language("de", ","))
    again = another()
    set_language(Language("en", "."))
    assert dock(again, "contents").windowTitle() == "Inhalt"
    assert again.dockWidgetArea(dock(again, "contents")) == RIGHT
    assert again.zone.currentData() == layer


def test_closing_on_the_start_page_keeps_the_layout_of_the_wall(qtbot, another):
    window = another()
    window.addDockWidget(RIGHT, dock(window, "checks"))
    window.parts.start.show()
    window.close()
    again = another()
    assert again.dockWidgetArea(dock(again, "checks")) == RIGHT
    for part in (*again.findChildren(QDockWidget), *again.findChildren(QToolBar)):
        assert part.isVisible(), part.objectName()


@pytest.mark.parametrize("damage", [QByteArray(b"\x00\x01\x02"), "text", QByteArray(b"\xff" * 5000)])
def test_damaged_settings_give_the_usual_layout(qtbot, another, damage):
    kept = settings()
    for key in (window_layout.GEOMETRY, window_layout.STATE, window_layout.ZONE):
        kept.setValue(key, damage)
    kept.sync()
    window = another()
    assert window.dockWidgetArea(dock(window, "contents")) == Qt.DockWidgetArea.LeftDockWidgetArea
    assert all(part.isVisible() for part in window.findChildren(QDockWidget))
    assert window.zone.currentData() == OUTLINE


def test_a_state_of_another_version_is_left_out(qtbot, another, monkeypatch):
    window = another()
    window.addDockWidget(RIGHT, dock(window, "contents"))
    window.close()
    monkeypatch.setattr(window_layout, "VERSION", window_layout.VERSION + 1)
    again = another()
    assert again.dockWidgetArea(dock(again, "contents")) == Qt.DockWidgetArea.LeftDockWidgetArea


places = st.builds(
    QRect, st.integers(-5000, 9000), st.integers(-5000, 9000), st.integers(200, 4000), st.integers(200, 4000)
)


@given(places)
def test_the_whole_window_is_on_one_screen(place):
    found = placed_on_screens(place, [SCREEN, SECOND])
    assert any(s.contains(found.adjusted(0, -TITLE_BAR, 0, 0)) for s in (SCREEN, SECOND))
    assert found.width() <= place.width() and found.height() <= place.height()
    assert placed_on_screens(found, [SCREEN, SECOND]) == found


def test_a_window_on_a_screen_stays_where_it_is():
    for place in (QRect(100, 50, 900, 600), QRect(1900, 200, 1300, 800)):
        assert placed_on_screens(place, [SCREEN, SECOND]) == place
    assert placed_on_screens(QRect(5000, 5000, 800, 600), []) == QRect(5000, 5000, 800, 600)


def test_a_window_between_two_screens_goes_to_the_one_that_shows_more_of_it():
    assert placed_on_screens(QRect(900, 100, 1300, 600), [SCREEN, SECOND]) == QRect(1366, 100, 1300, 600)
    assert placed_on_screens(QRect(-700, 40, 1000, 500), [SCREEN, SECOND]) == QRect(0, 40, 1000, 500)


def test_a_page_that_the_new_width_replaces_is_let_go(qtbot):
    """A page that needs more width than there is widens its panel, and some panels fill themselves anew then."""

    class Refilled(PageArea):
        refills = 0

        def fill(self) -> None:
            page = QWidget()
            button = QPushButton("Move in")
            button.setMinimumWidth(120)
            QVBoxLayout(page).addWidget(button)
            self.setWidget(page)

        def resizeEvent(self, event) -> None:
            super().resizeEvent(event)
            if event.oldSize().width() not in (-1, event.size().width()):
                self.refills += 1
                self.fill()

    host = QWidget()  # what a page may demand grows with the window
    qtbot.addWidget(host)
    host.resize(2000, 300)
    area = Refilled(100, host)
    area.resize(100, 200)
    host.show()
    area.fill()
    assert area.refills == 1 and area.width() > 120
    assert len(area.findChildren(QPushButton)) == 1


def test_a_panel_has_one_width_for_its_pages(qtbot):
    """The wall once changed its width and zoom with each selection. Only a page that would not fit widens the panel."""
    host = QWidget()  # what a page may demand grows with the window
    qtbot.addWidget(host)
    host.resize(2000, 300)
    area = PageArea(200, host)
    host.show()
    usual = int(MOST * 200)
    bar = area.verticalScrollBar().sizeHint().width()
    for width, wanted in ((120, usual), (usual - bar, usual), (240, 240 + bar), (120, 240 + bar)):
        page, button = QWidget(), QPushButton()
        button.setMinimumWidth(width)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(button)
        area.setWidget(page)
        assert area.minimumWidth() == wanted


def test_selecting_does_not_change_the_width_of_the_wall(qtbot, window):
    """On a screen as notebooks have it, for every kind of thing."""
    window.resize(1360, 740)
    document, widths = window.models.project.document, set()
    window.models.selection.select(PlacementItem(document.placements[0].id))  # the panel learns how large the window is
    items = [WALL, MACHINE, HangingItem(0), KeepOutItem(0), PenItem(document.pens[0].id)]
    for item in (*items, PlacementItem(document.placements[0].id)):
        window.models.selection.select(item)
        QApplication.processEvents()
        widths.add(window.canvas.width())
    assert len(widths) == 1
