"""Finding a command by words, the shortcuts page, and moving between the parts of the window by keys."""

import re

import pytest
from PySide6.QtCore import QRect, Qt, QTimer
from PySide6.QtGui import QColor, QIcon, QImage, QPainter, QPalette
from PySide6.QtWidgets import QApplication, QTextBrowser, QWidget

from wallwright.document.document import Document
from wallwright.document.language import (
    DECIMAL_SIGNS,
    LANGUAGES,
    Language,
    current_language,
    set_language,
    tr,
)
from wallwright.document.new_wall import NewWall, usual_machine
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models
from wallwright.window.shell.actions import ACTIONS, MENU_TITLES, MENUS
from wallwright.window.shell.command_search import CommandSearch, best, worth
from wallwright.window.shell.field_search import fields_of
from wallwright.window.shell.focus_regions import regions
from wallwright.window.shell.help import shortcuts_html
from wallwright.window.shell.menus import COLOURS
from wallwright.window.widgets.icons import DRAWN, icon


@pytest.fixture
def window(qtbot):
    window = ProjectWindow(Models.of(demo_document()))
    window.models.project.saved = window.models.project.document
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    return window


def test_words_match_without_accents_and_in_any_order():
    assert worth("offnen", "Öffnen (Datei)", "Ein Projekt öffnen.") > 0
    assert worth("size actual", "Actual size", "") == worth("actual size", "Actual size", "")
    assert worth("actual nothing", "Actual size", "") == 0
    assert worth("ize", "Actual size", "") > worth("screen", "Actual size", "on this screen") > 0


def test_the_best_comes_first_and_nothing_typed_shows_all():
    texts = [("Undo", "Undo the last edit."), ("Last stroke", ""), ("Blast", "")]
    assert best("last", texts) == [1, 2, 0]
    assert best("  ", texts) == [0, 1, 2]
    assert best("xyz", texts) == []


def test_a_command_is_found_by_words_and_run_by_enter(qtbot, window):
    seen = []

    def type_it():
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, CommandSearch)
        qtbot.keyClicks(dialog.line, "colours pens")
        seen.append((dialog.list.currentItem().text(0), dialog.help.text()))
        qtbot.keyClick(dialog.line, Qt.Key.Key_Down)
        dialog.line.clear()
        qtbot.keyClicks(dialog.line, "add keep-out")
        qtbot.keyClick(dialog.line, Qt.Key.Key_Return)

    before = len(window.models.project.document.wall.keep_outs)
    QTimer.singleShot(0, type_it)
    window.parts.actions["search"].trigger()
    assert seen == [("Pens for these colours (Add)", seen[0][1])]
    assert len(window.models.project.document.wall.keep_outs) == before + 1


@pytest.mark.parametrize("typed", ["dark", "theme dark"])
def test_who_looks_for_dark_colours_finds_them_first(qtbot, window, typed):
    dialog = CommandSearch(window, ACTIONS, window.parts.actions)
    qtbot.addWidget(dialog)
    dialog.line.setText(typed)
    titles = [dialog.list.topLevelItem(i).text(0) for i in range(dialog.list.topLevelItemCount())]
    assert titles[0] == "Dark colours (View)" and "System colours (View)" in titles
    assert all(window.parts.actions[name].isCheckable() for name in COLOURS)


def test_what_cannot_be_done_now_says_so_and_is_not_run(qtbot, window):
    dialog = CommandSearch(window, ACTIONS, window.parts.actions)
    qtbot.addWidget(dialog)
    dialog.line.setText("redo")
    assert "just now" in dialog.help.text()
    qtbot.keyClick(dialog.line, Qt.Key.Key_Return)
    assert dialog.chosen is None
    dialog.line.setText("no such command")
    assert dialog.list.topLevelItemCount() == 0 and dialog.help.text()


@pytest.mark.parametrize(
    ("typed", "path"),
    [
        ("belt stiffness", "machine.belt.stiffness"),
        ("centre of mass", "machine.body.centre"),
        ("pen black drying", "pens.3.drying"),
        ("right anchor fixing", "hangings.0.right.rating"),
        ("outside zone", "settings.outside"),
    ],
)
def test_a_field_is_found_by_words_and_opened_by_enter(qtbot, window, typed, path):
    window.models.project.load(demo_document(), None)
    window.activateWindow()

    def type_it():
        dialog = QApplication.activeModalWidget()
        assert dialog.list.topLevelItemCount() == len(ACTIONS) - 1, "commands alone until something is typed"
        qtbot.keyClicks(dialog.line, typed)
        fields = [dialog.list.topLevelItem(i) for i in range(dialog.list.topLevelItemCount())]
        dialog.list.setCurrentItem(next(row for row in fields if row.text(1) == "field"))
        qtbot.keyClick(dialog.line, Qt.Key.Key_Return)

    QTimer.singleShot(0, type_it)
    window.parts.actions["search"].trigger()
    field = window.properties.widget().findChild(QWidget, path)
    assert field is not None and field.isVisible() and window.focusWidget() is field


def test_every_field_that_is_offered_is_on_its_page(qtbot, window):
    window.models.project.load(demo_document(), None)
    for entry in fields_of(window.models):
        window.models.selection.select(entry.item)
        assert window.properties.widget().findChild(QWidget, entry.path) is not None, entry


def test_every_action_stands_on_the_shortcuts_page(qtbot, window):
    browser = QTextBrowser()
    qtbot.addWidget(browser)
    browser.setHtml(shortcuts_html(ACTIONS, window.parts.actions))
    text = browser.toPlainText()
    for declared in ACTIONS:
        assert declared.title.replace("&", "") in text and declared.help in text
        keys = window.parts.actions[declared.id].shortcut().toString()
        assert keys in text


def test_f6_visits_every_part_and_comes_back(qtbot, window):
    window.canvas.setFocus()
    seen = []
    for _ in regions(window.parts):
        window.parts.actions["next-part"].trigger()
        focus = QApplication.focusWidget()
        seen.append(next(i for i, p in enumerate(regions(window.parts)) if p is focus or p.isAncestorOf(focus)))
    assert sorted(seen) == list(range(len(regions(window.parts)))) and seen[-1] == 0
    window.parts.actions["previous-part"].trigger()
    assert (
        regions(window.parts)[-1].isAncestorOf(QApplication.focusWidget())
        or regions(window.parts)[-1] is QApplication.focusWidget()
    )


def test_a_new_project_is_the_default_one_in_english():
    assert NewWall().document(usual_machine()) == Document()


@pytest.mark.parametrize("name", sorted(DRAWN))
def test_icons_are_seen_on_light_and_on_dark(name, qapp):
    """Dark strokes on light, light ones on dark, fainter when off, and nothing touches the border."""
    before = qapp.palette()
    try:
        shades = {}
        for text, ground in (("#101010", "#f0f0f0"), ("#f0f0f0", "#101010")):
            qapp.setPalette(QPalette(QColor(text), QColor(ground)))
            for mode in (QIcon.Mode.Normal, QIcon.Mode.Disabled):
                image = QImage(48, 48, QImage.Format.Format_RGB32)
                image.fill(QColor(ground))
                painter = QPainter(image)
                icon(name).paint(painter, QRect(0, 0, 48, 48), Qt.AlignmentFlag.AlignCenter, mode)
                painter.end()
                grey = [[QColor(image.pixel(x, y)).lightness() for x in range(48)] for y in range(48)]
                rim = {grey[0][0], *grey[0], *grey[47], *(row[0] for row in grey), *(row[47] for row in grey)}
                assert rim == {QColor(ground).lightness()}
                far = max(abs(value - grey[0][0]) for row in grey for value in row)
                shades[text, mode] = far
            assert shades[text, QIcon.Mode.Normal] > 150
    finally:
        qapp.setPalette(before)


def test_every_action_has_an_icon_that_is_drawn_and_no_two_in_the_bar_share_one():
    named = [a.icon for a in ACTIONS if a.icon is not None]
    assert set(named) <= set(DRAWN)
    in_bar = [a.icon for a in ACTIONS if a.in_tool_bar]
    assert None not in in_bar and len(set(in_bar)) == len(in_bar)


@pytest.mark.parametrize("code", LANGUAGES)
def test_access_keys_of_a_menu_are_its_own(code):
    """A letter pressed in an open menu runs one action, and Alt with a letter opens one menu."""
    before = current_language()
    set_language(Language(code, DECIMAL_SIGNS[code]))
    try:
        titles = {menu: [tr(a.title) for a in ACTIONS if a.menu == menu] for menu in MENUS}
        titles["menu bar"] = [tr(title) for title in MENU_TITLES.values()]
        for menu, shown in titles.items():
            keys = [key[1].lower() for title in shown if (key := re.search(r"&(\w)", title))]
            assert len(keys) == len(set(keys)), (menu, shown)
            assert menu != "menu bar" or len(keys) == len(shown)
    finally:
        set_language(before)


def test_menus_are_in_groups(window):
    """Lines between groups: none at an end, none twice, and no group longer than nine entries."""
    for entry in window.menuBar().actions():
        menu = entry.menu()
        lines = [action.isSeparator() for action in menu.actions()]
        groups = "".join("|" if line else "x" for line in lines).split("|")
        assert len(groups) > 1 and all(0 < len(group) <= 9 for group in groups), (menu.title(), groups)
