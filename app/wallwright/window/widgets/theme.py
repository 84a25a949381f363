"""The theme: text sizes, spacing, colours by role and the style of controls, light and dark.

Three text sizes, all relative to the system's, and two weights; a grid of 4 pixels; colours by purpose. The contrast of
text is at least 4.5 : 1, that of marks and edges of fields 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11).
"""

from __future__ import annotations

from enum import Enum
from string import Template
from typing import cast

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QPalette
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget

from wallwright.document.resources import resource

GRID = 4
"""Base of all spacing, px."""
TIGHT, CLOSE, NEAR, WIDE, FAR = GRID, 2 * GRID, 3 * GRID, 4 * GRID, 6 * GRID
"""Spacing within a control, between controls, between a panel's edge and its content, between groups, around pages, px."""
RADIUS = GRID
"""Corner radius of controls, px."""


class Role(Enum):
    """Purpose of a colour. The values are its light and dark forms."""

    WINDOW = ("#f5f5f3", "#26282b")
    """Ground of panels and bars."""
    SURFACE = ("#ffffff", "#1d1f21")
    """Ground of fields, lists and cards."""
    DESK = ("#cfd0cd", "#141516")
    """Area around the wall."""
    RAISED = ("#e9eae7", "#34373b")
    """Ground under the pointer."""
    PRESSED = ("#dadcd8", "#3f4348")
    TEXT = ("#1c1f22", "#eceeef")
    QUIET = ("#575d63", "#adb3b9")
    """Explanatory text."""
    FAINT = ("#868b90", "#7f858b")
    """Text of disabled controls."""
    DIVIDER = ("#dcddda", "#3a3d41")
    """Dividers between parts, decorative only."""
    EDGE = ("#84898e", "#83898f")
    """Edges of fields and buttons."""
    ACCENT = ("#1a5fa8", "#74b3f0")
    """Main button, focus, links."""
    ACCENT_HOVER = ("#154f8d", "#93c5f5")
    ON_ACCENT = ("#ffffff", "#0d1a27")
    SELECTED = ("#d3e4f6", "#1f4468")
    """Ground of a selected row; its text keeps its colour."""
    OK = ("#2e7d32", "#81c784")
    NOTE = ("#1a69ab", "#6cb4ee")
    WARNING = ("#955800", "#f2b64c")
    ERROR = ("#c62828", "#ff8a80")
    BUSY = ("#5f6368", "#b8bcc2")


class OnWall(Enum):
    """Colours of marks on the wall, which is light in dark mode too, since ink is judged against the wall."""

    PAPER = "#fbfaf7"
    TEXT = "#1c2733"
    QUIET = "#6d6a63"
    """Other hangings, and edges of items."""
    EDGE = "#8a8578"
    """Edge of the wall."""
    CHOSEN = "#1f6fb4"
    """Anchors and selected items."""
    GUIDE = "#0f7a6c"
    """Guide lines."""
    SNAP = "#8a1c7c"
    """Lines that a dragged item snaps to."""
    HANDOVER = "#7a3f9d"
    OUTSIDE = "#c0501a"
    """The machine at impossible positions."""
    MEASURED = "#b3400a"
    """Readings and highlighted items."""


def on_wall(role: OnWall) -> QColor:
    return QColor(role.value)


def is_dark(palette: QPalette) -> bool:
    """Whether the ground is dark."""
    return palette.color(QPalette.ColorRole.Window).lightness() < 128


def colour(role: Role, palette: QPalette) -> QColor:
    return QColor(role.value[1 if is_dark(palette) else 0])


class TextSize(Enum):
    """Text sizes relative to the system's."""

    SMALL = 0.92
    """Explanations."""
    BODY = 1.0
    TITLE = 1.45
    """Title of a page."""


def font_of(size: TextSize, is_strong: bool = False) -> QFont:
    """Returns the application's font in a size and weight."""
    font = QFont(QApplication.font())
    font.setPointSizeF(font.pointSizeF() * size.value)
    font.setWeight(QFont.Weight.DemiBold if is_strong else QFont.Weight.Normal)
    return font


class StyledLabel(QLabel):
    """A label in one of the text sizes, which follows the system's text size and colour scheme."""

    def __init__(
        self, text: str = "", size: TextSize = TextSize.BODY, is_strong: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(text, parent)
        self._size, self._is_strong = size, is_strong
        self.setWordWrap(size is not TextSize.BODY)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.fontChanged.connect(self._restyle)
            application.paletteChanged.connect(self._restyle)
        self._restyle()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._restyle()  # a new style sheet gives back the colours from before the one it replaces

    def _restyle(self) -> None:
        self.setFont(font_of(self._size, self._is_strong))
        application = QApplication.instance()
        has_theme = isinstance(application, QApplication) and bool(application.styleSheet())
        if self._size is TextSize.SMALL and has_theme:
            palette = QPalette(QApplication.palette())
            palette.setColor(QPalette.ColorRole.WindowText, colour(Role.QUIET, palette))
            self.setPalette(palette)


class Kind(Enum):
    """Kinds of buttons; others are secondary."""

    PRIMARY = "primary"
    """The main action, at most one on a page."""
    QUIET = "quiet"
    """Rarely used actions."""
    FOLD = "fold"
    """Shows or hides a part of a page; aligned with its titles."""


def as_kind(button: QAbstractButton, kind: Kind) -> QAbstractButton:
    """Styles a button by its kind."""
    button.setProperty("kind", kind.value)
    return button


def apply_theme(application: QApplication, dark: bool | None = None) -> None:
    """Applies the theme to all windows, and follows the system's choice of light or dark from now on.

    dark: None follows the system. A system that asks for high contrast keeps its own colours and controls.
    """
    hints = application.styleHints()
    if hints.accessibility().contrastPreference() is Qt.ContrastPreference.HighContrast:
        return
    application.setStyle("Fusion")
    if dark is None:
        hints.unsetColorScheme()
    else:  # for what is not ours: title bars, and dialogs of the system
        hints.setColorScheme(Qt.ColorScheme.Dark if dark else Qt.ColorScheme.Light)
    follower = application.findChild(_Follower) or _Follower(application)
    follower.dark = dark
    follower.apply()


class _Follower(QObject):
    """Applies the theme again when the system's scheme changes."""

    def __init__(self, application: QApplication) -> None:
        super().__init__(application)
        self._application, self.dark = application, cast(bool | None, None)
        application.styleHints().colorSchemeChanged.connect(self.apply)

    def apply(self) -> None:
        scheme = self._application.styleHints().colorScheme()
        system = QGuiApplication.palette() if scheme is Qt.ColorScheme.Unknown else None
        dark = self.dark
        if dark is None:
            dark = scheme is Qt.ColorScheme.Dark or (system is not None and is_dark(system))
        self._application.setPalette(palette_of(dark))
        sheet = style_sheet(dark)
        if self._application.styleSheet() != sheet:
            self._application.setStyleSheet(sheet)


def palette_of(dark: bool) -> QPalette:
    """Returns the palette for what the style paints itself."""
    which, palette, to = QPalette.ColorRole, QPalette(), int(dark)
    for colour_role, role in (
        (which.Window, Role.WINDOW),
        (which.WindowText, Role.TEXT),
        (which.Base, Role.SURFACE),
        (which.AlternateBase, Role.WINDOW),
        (which.Text, Role.TEXT),
        (which.Button, Role.WINDOW),
        (which.ButtonText, Role.TEXT),
        (which.BrightText, Role.ERROR),
        (which.ToolTipBase, Role.SURFACE),
        (which.ToolTipText, Role.TEXT),
        (which.PlaceholderText, Role.QUIET),
        (which.Highlight, Role.ACCENT),
        (which.HighlightedText, Role.ON_ACCENT),
        (which.Accent, Role.ACCENT),
        (which.Link, Role.ACCENT),
        (which.LinkVisited, Role.ACCENT),
        (which.Light, Role.RAISED),
        (which.Midlight, Role.RAISED),
        (which.Mid, Role.EDGE),
        (which.Dark, Role.DESK),
        (which.Shadow, Role.DIVIDER),
    ):
        palette.setColor(colour_role, QColor(role.value[to]))
    for colour_role in (which.WindowText, which.Text, which.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, colour_role, QColor(Role.FAINT.value[to]))
    return palette


def style_sheet(dark: bool) -> str:
    """Returns the style sheet for what the style would paint differently."""
    names = {role.name.lower(): role.value[int(dark)] for role in Role}
    check = "check-dark.png" if dark else "check-light.png"
    return Template(_SHEET).substitute(
        names, radius=RADIUS, arrow=_url("down.png"), up=_url("up.png"), check=_url(check)
    )


def _url(name: str) -> str:
    """Returns the URL of an icon for style sheets. A file with @2x in its name is used on high-resolution screens."""
    return str(resource("icons", name)).replace("\\", "/")


_SHEET = """
QMainWindow::separator { background: $window; width: 5px; height: 5px; }
QMainWindow::separator:hover { background: $pressed; }
QMenuBar { background: $window; border: none; }
QMenuBar::item { padding: 4px 8px; border-radius: ${radius}px; background: transparent; }
QMenuBar::item:selected { background: $raised; }
QMenu { background: $surface; border: 1px solid $divider; padding: 4px; }
QMenu::item { padding: 5px 24px 5px 12px; border-radius: ${radius}px; }
QMenu::icon { padding-left: 6px; }
QMenu::item:selected { background: $selected; color: $text; }
QMenu::item:disabled { color: $faint; }
QMenu::separator { height: 1px; background: $divider; margin: 4px 8px; }
QToolBar { background: $window; border: none; border-bottom: 1px solid $divider; padding: 3px 6px; spacing: 2px; }
QToolBar::separator { background: $divider; width: 1px; margin: 5px 6px; }
QStatusBar { background: $window; }
QStatusBar::item { border: none; }
QToolTip { background: $surface; color: $text; border: 1px solid $edge; padding: 3px 5px; }

QToolButton { border: 2px solid transparent; border-radius: ${radius}px; padding: 2px 4px; background: transparent; }
QToolButton[kind="fold"] { padding: 2px 4px 2px 0px; }
QToolButton:hover { background: $raised; }
QToolButton:pressed, QToolButton:checked { background: $pressed; }
QToolButton:focus { border-color: $accent; }
QToolButton:disabled { color: $faint; }

QPushButton, QToolButton, QCheckBox, QRadioButton, QComboBox, QTabBar { outline: none; }

QDialogButtonBox { dialogbuttonbox-buttons-have-icons: 0; }
QPushButton { background: $surface; color: $text; border: 1px solid $edge; border-radius: ${radius}px; padding: 4px 12px; }
QPushButton:hover { background: $raised; }
QPushButton:pressed, QPushButton:checked { background: $pressed; }
QPushButton:focus { border: 2px solid $accent; padding: 3px 11px; }
QPushButton:disabled { color: $faint; background: $window; border-color: $divider; }
QPushButton:default, QPushButton[kind="primary"], QToolButton[kind="primary"]:enabled
    { background: $accent; color: $on_accent; border-color: $accent; }
QPushButton:default:hover, QPushButton[kind="primary"]:hover, QToolButton[kind="primary"]:enabled:hover
    { background: $accent_hover; border-color: $accent_hover; }
QPushButton:default:focus, QPushButton[kind="primary"]:focus { border: 2px solid $text; padding: 3px 11px; }
QPushButton:default:disabled, QPushButton[kind="primary"]:disabled
    { color: $faint; background: $window; border-color: $divider; }
QPushButton[kind="quiet"] { background: transparent; border-color: transparent; color: $accent; }
QPushButton[kind="quiet"]:hover { background: $raised; }
QPushButton[kind="quiet"]:focus { border-color: $accent; }
QPushButton[kind="quiet"]:disabled { color: $faint; }
QPushButton[kind="quiet"]:checked { background: $selected; color: $text; }

QCheckBox::indicator, QRadioButton::indicator, QAbstractItemView::indicator
    { width: 13px; height: 13px; border: 1px solid $edge; background: $surface; border-radius: 3px; }
QRadioButton::indicator { border-radius: 7px; }
QCheckBox::indicator:hover, QRadioButton::indicator:hover { border-color: $text; }
QCheckBox::indicator:checked, QAbstractItemView::indicator:checked
    { background: $accent; border-color: $accent; image: url($check); }
QRadioButton::indicator:checked { border: 4px solid $accent; width: 7px; height: 7px; }
QCheckBox::indicator:disabled, QRadioButton::indicator:disabled { border-color: $divider; background: $window; }
QCheckBox::indicator:checked:disabled { background: $faint; }
QCheckBox, QRadioButton { spacing: 4px; }
QCheckBox::indicator:focus { border: 2px solid $accent; width: 11px; height: 11px; }
QCheckBox::indicator:checked:focus { border-color: $text; }
QRadioButton::indicator:focus { border-color: $text; }

QLineEdit, QComboBox, QAbstractSpinBox, QTextEdit, QPlainTextEdit
    { background: $surface; color: $text; border: 1px solid $edge; border-radius: ${radius}px; padding: 2px 5px;
      selection-background-color: $accent; selection-color: $on_accent; }
QLineEdit:hover, QComboBox:hover, QAbstractSpinBox:hover { border-color: $text; }
QLineEdit:focus, QComboBox:focus, QAbstractSpinBox:focus, QTextEdit:focus, QPlainTextEdit:focus
    { border: 2px solid $accent; padding: 1px 4px; }
QLineEdit:disabled, QComboBox:disabled, QAbstractSpinBox:disabled
    { background: $window; color: $faint; border-color: $divider; }
QComboBox QLineEdit { border: none; padding: 0; background: transparent; }
QComboBox { padding-left: 4px; padding-right: 2px; combobox-popup: 0; }
QComboBox:focus { padding-left: 3px; padding-right: 1px; }
QComboBox::drop-down { border: none; width: 15px; }
QComboBox::down-arrow { image: url($arrow); width: 10px; height: 10px; }
QAbstractSpinBox::up-button, QAbstractSpinBox::down-button { border: none; background: transparent; width: 18px; }
QAbstractSpinBox::up-button { subcontrol-position: top right; }
QAbstractSpinBox::down-button { subcontrol-position: bottom right; }
QAbstractSpinBox::up-button:hover, QAbstractSpinBox::down-button:hover { background: $raised; }
QAbstractSpinBox::up-arrow { image: url($up); width: 10px; height: 10px; }
QAbstractSpinBox::down-arrow { image: url($arrow); width: 10px; height: 10px; }
QComboBox QAbstractItemView, QComboBox QAbstractItemView:focus
    { background: $surface; border: 1px solid $edge; padding: 0; outline: none;
      selection-background-color: $selected; selection-color: $text; }
QTableView QLineEdit { border: none; border-radius: 0; padding: 0 2px; }

QAbstractItemView { background: $surface; border: 2px solid transparent; outline: none;
      selection-background-color: $selected; selection-color: $text; }
QAbstractItemView:focus { border-color: $accent; }
QTreeView::item, QListView::item { padding: 3px 2px; border: none; }
QTreeView::item:hover, QListView::item:hover { background: $raised; }
QTreeView::item:selected, QListView::item:selected { background: $selected; color: $text; }
QHeaderView::section { background: $window; color: $quiet; border: none; border-bottom: 1px solid $divider; padding: 4px; }

QScrollArea { border: none; }
QScrollBar:vertical { background: transparent; width: 12px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 12px; margin: 0; }
QScrollBar::handle { background: $edge; border-radius: 3px; margin: 3px; }
QScrollBar::handle:vertical { min-height: 28px; }
QScrollBar::handle:horizontal { min-width: 28px; }
QScrollBar::handle:hover { background: $quiet; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QGroupBox { border: none; margin-top: 1.6em; padding: 0; }
QGroupBox::title { subcontrol-origin: margin; subcontrol-position: top left; padding: 0; }
QProgressBar { border: none; border-radius: 3px; background: $pressed; max-height: 6px; color: transparent; }
QProgressBar::chunk { background: $accent; border-radius: 3px; }
#card { background: $surface; border: 1px solid $divider; border-radius: 6px; }
#banner { background: $surface; border: 1px solid $edge; border-radius: 6px; }
"""
