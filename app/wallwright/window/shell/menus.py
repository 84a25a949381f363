"""Menus and tool bar, built from the table of actions."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QMainWindow, QMenu, QSizePolicy, QToolBar, QWidget

from wallwright.document.language import LANGUAGES, tr
from wallwright.jobs.label_placing import shortened
from wallwright.statics.zone_layer_titles import LAYER_TITLES
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.zone_layer import OUTLINE
from wallwright.window.model.host import WindowHost
from wallwright.window.model.settings import ColourScheme, choose_language, chosen_colours, chosen_language, recent
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.shell.actions import ACTIONS, LEAVE_TOOLS, MENU_TITLES
from wallwright.window.shell.ready_status import ReadyStatus
from wallwright.window.shell.tool_bar_fit import ToolBarFit
from wallwright.window.shell.window_layout import kept_zone
from wallwright.window.shell.window_parts import WindowParts
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.line_text import finish_typing, redo_sequences, undo_sequences
from wallwright.window.widgets.theme import Kind, as_kind

TOOL_BAR = "tools"
"""Object name of the tool bar in the saved layout."""
STATUS_BAR = "state of the job"
"""Object name of the tool bar with the state of the job."""
QUIET = (ActionId.OPEN, ActionId.SAVE, ActionId.UNDO, ActionId.REDO, ActionId.FIT)
"""Actions of the tool bar with familiar icons, whose titles are hidden first."""
SEVERAL_KEYS = {ActionId.UNDO: undo_sequences, ActionId.REDO: redo_sequences}
"""Actions that fields share, with their key sequences."""


NO_ZONE = ""
"""Value for no draw zone, instead of the name of a layer."""


def add_menus(window: QMainWindow, parts: WindowParts, status: ReadyStatus) -> QComboBox:
    """Fills the menu bar, adds the tool bars and registers the actions in parts; returns the chooser of the draw zone."""
    bar = QToolBar(tr("Tools"))
    bar.setObjectName(TOOL_BAR)
    bar.setMovable(False)
    bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    colours = QMenu(tr("Colo&urs"), window)
    menus = {name: window.menuBar().addMenu(tr(title)) for name, title in MENU_TITLES.items()}
    for declared in ACTIONS:
        action = parts.actions[declared.id] = _action(parts, declared)
        if declared.apart:
            menus[declared.menu].addSeparator()
        if declared.id in COLOURS:
            colours.addAction(action)
            if declared.id is ActionId.SYSTEM_COLOURS:
                menus[declared.menu].addMenu(colours)
        else:
            menus[declared.menu].addAction(action)
        if declared.in_tool_bar:
            bar.addAction(action)
        if declared.id is ActionId.OPEN:
            _recent_menu(parts, menus[declared.menu].addMenu(tr("Open &recent")))
        if declared.id is ActionId.ACTUAL_SIZE and parts.windows is not None:
            _language_menu(parts.windows, menus[declared.menu].addMenu(tr("&Language")))
    _mark_colours(parts, colours)
    bar.addSeparator()
    label = bar.addWidget(QLabel(tr("Draw zone:") + " "))
    zone = _zone_box(parts.canvas)
    bar.addWidget(zone)
    export = bar.widgetForAction(parts.actions[ActionId.EXPORT])
    if isinstance(export, QAbstractButton):
        as_kind(export, Kind.PRIMARY)
    window.addToolBar(bar)
    beside = _status_bar(status)
    window.addToolBar(beside)
    ToolBarFit(window, bar, [parts.actions[name] for name in QUIET], [label], status)
    return zone


def _status_bar(status: QWidget) -> QToolBar:
    """Returns a separate tool bar at the right end of the line, which keeps its width when the other one shrinks."""
    bar, space = QToolBar(tr("State of the job")), QWidget()
    bar.setObjectName(STATUS_BAR)
    bar.setMovable(False)
    space.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    bar.addWidget(space)
    bar.addWidget(status)
    bar.setMinimumWidth(status.minimumSizeHint().width() + 12)
    return bar


def _action(parts: WindowParts, declared: Action) -> QAction:
    help = tr(declared.help)
    action = QAction(tr(declared.title), parts.widget)
    if declared.icon is not None:
        action.setIcon(icon(declared.icon, is_on_accent=declared.id is ActionId.EXPORT))
    if declared.shortcut is not None:
        several = SEVERAL_KEYS.get(declared.id)
        action.setShortcuts(several() if several is not None else [QKeySequence(declared.shortcut)])
    action.setStatusTip(help)
    action.setToolTip(tip_of(action))
    action.setWhatsThis(help)

    def run() -> None:
        finish_typing()
        if declared.menu not in LEAVE_TOOLS:
            parts.canvas.stand_down()
        declared.run(parts)

    action.triggered.connect(lambda _=False: run())
    return action


def tip_of(action: QAction) -> str:
    """Returns an action's tool tip: its help and keys."""
    keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
    return f"{action.statusTip()} {keys}".strip()


MOST_LETTERS = 48
"""Of a project's name in a menu; its tip has the whole path."""


def _recent_menu(parts: WindowParts, menu: QMenu) -> None:
    def fill() -> None:
        menu.clear()
        for path in recent():
            name = shortened(path.name, MOST_LETTERS).replace("&", "&&")
            menu.addAction(name, partial(parts.files.open_recent, path)).setToolTip(str(path))
        if menu.isEmpty():
            menu.addAction(tr("None yet")).setEnabled(False)

    menu.setToolTipsVisible(True)
    menu.aboutToShow.connect(fill)


COLOURS: dict[ActionId, ColourScheme] = {
    ActionId.SYSTEM_COLOURS: "system",
    ActionId.LIGHT_COLOURS: "light",
    ActionId.DARK_COLOURS: "dark",
}


def _mark_colours(parts: WindowParts, menu: QMenu) -> None:
    """Checks the chosen colours in the menu, whichever window they were chosen in."""
    group = QActionGroup(menu)
    for name in COLOURS:
        parts.actions[name].setCheckable(True)
        group.addAction(parts.actions[name])

    def mark() -> None:
        for name, scheme in COLOURS.items():
            parts.actions[name].setChecked(scheme == chosen_colours())

    menu.aboutToShow.connect(mark)


def _language_menu(windows: WindowHost, menu: QMenu) -> None:
    group = QActionGroup(menu)
    for code, name in {"": tr("System language"), **LANGUAGES}.items():
        action = group.addAction(name)
        action.setCheckable(True)
        action.setData(code)
        menu.addAction(action)

    def mark() -> None:
        for action in group.actions():
            action.setChecked(action.data() == chosen_language())

    def choose(action: QAction) -> None:
        choose_language(action.data())
        windows.retranslate()

    menu.aboutToShow.connect(mark)
    group.triggered.connect(choose)


def _zone_box(canvas: Canvas) -> QComboBox:
    zone = QComboBox()
    zone.setAccessibleName(tr("Draw zone shows"))
    zone.setToolTip(tr("What the colours of the draw zone show."))
    zone.setWhatsThis(zone.toolTip())
    zone.addItem(tr("Outline"), OUTLINE)
    for name, title in LAYER_TITLES.items():
        zone.addItem(tr(title), name)
    zone.addItem(tr("No draw zone"), NO_ZONE)
    zone.activated.connect(lambda: canvas.show_zone(zone.currentData()))
    canvas.zone_choice_changed.connect(lambda choice: zone.setCurrentIndex(zone.findData(choice)))
    canvas.show_zone(kept_zone((OUTLINE, *LAYER_TITLES, NO_ZONE), OUTLINE))
    return zone
