"""Menus and tool bar, made from the table of actions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QComboBox, QLabel, QMenu, QToolBar

from wallwright.document.language import LANGUAGES, tr
from wallwright.statics.zone_layer_titles import LAYER_TITLES
from wallwright.window.application.settings import choose_language, chosen_language, recent
from wallwright.window.canvas.zone_layer import OUTLINE
from wallwright.window.shell.actions import ACTIONS, LEAVE_TOOLS, MENU_TITLES, Action
from wallwright.window.widgets.icons import icon

if TYPE_CHECKING:
    from wallwright.window.shell.main_window import MainWindow


def make_actions(window: MainWindow) -> dict[str, QAction]:
    """Fills the menu bar and adds the tool bar; returns the actions by id."""
    bar = QToolBar(tr("Tools"))
    bar.setObjectName("tools")
    bar.setMovable(False)
    bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    menus = {name: window.menuBar().addMenu(tr(title)) for name, title in MENU_TITLES.items()}
    made = {}
    for declared in ACTIONS:
        action = made[declared.id] = _action(window, declared)
        if declared.apart:
            menus[declared.menu].addSeparator()
        menus[declared.menu].addAction(action)
        if declared.in_tool_bar:
            bar.addAction(action)
        if declared.id == "open":
            _recent_menu(window, menus[declared.menu].addMenu(tr("Open &recent")))
        if declared.id == "actual-size" and window.windows is not None:
            _language_menu(window, menus[declared.menu].addMenu(tr("&Language")))
    bar.addSeparator()
    bar.addWidget(QLabel(tr("Draw zone:") + " "))
    bar.addWidget(_zone_box(window))
    window.addToolBar(bar)
    return made


def _action(window: MainWindow, declared: Action) -> QAction:
    help = tr(declared.help)
    action = QAction(tr(declared.title), window)
    if declared.icon is not None:
        action.setIcon(icon(declared.icon))
    if declared.shortcut is not None:
        action.setShortcut(QKeySequence(declared.shortcut))
    action.setStatusTip(help)
    action.setToolTip(tip_of(action))
    action.setWhatsThis(help)

    def run() -> None:
        if declared.menu not in LEAVE_TOOLS:
            window.canvas.stand_down()
        declared.run(window)

    action.triggered.connect(lambda _=False: run())
    return action


def tip_of(action: QAction) -> str:
    """What an action does, and by which keys."""
    keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
    return f"{action.statusTip()} {keys}".strip()


def _recent_menu(window: MainWindow, menu: QMenu) -> None:
    def fill() -> None:
        menu.clear()
        for path in recent():
            menu.addAction(path.name, lambda p=path: window.files.open_recent(p)).setToolTip(str(path))
        if menu.isEmpty():
            menu.addAction(tr("None yet")).setEnabled(False)

    menu.setToolTipsVisible(True)
    menu.aboutToShow.connect(fill)


def _language_menu(window: MainWindow, menu: QMenu) -> None:
    group = QActionGroup(menu)
    for code, name in {"": tr("As the system"), **LANGUAGES}.items():
        action = group.addAction(name)
        action.setCheckable(True)
        action.setData(code)
        menu.addAction(action)

    def mark() -> None:
        for action in group.actions():
            action.setChecked(action.data() == chosen_language())

    def choose(action: QAction) -> None:
        choose_language(action.data())
        window.windows.speak_anew()

    menu.aboutToShow.connect(mark)
    group.triggered.connect(choose)


def _zone_box(window: MainWindow) -> QComboBox:
    zone = QComboBox()
    zone.setAccessibleName(tr("Draw zone shows"))
    zone.setToolTip(tr("What the colours of the draw zone show"))
    zone.setWhatsThis(zone.toolTip())
    zone.addItem(tr("Outline"), OUTLINE)
    for name, title in LAYER_TITLES.items():
        zone.addItem(tr(title), name)
    zone.addItem(tr("No draw zone"), "")
    zone.activated.connect(lambda: window.choose_layer(zone.currentData()))
    window.canvas.zone_choice_changed.connect(lambda choice: zone.setCurrentIndex(zone.findData(choice)))
    return zone
