"""Accessibility checks of widgets: cut-off text, missing names and help, focus and contrast."""

from __future__ import annotations

import re

import shiboken6
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialogButtonBox,
    QDockWidget,
    QFormLayout,
    QGroupBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QMessageBox,
    QScrollArea,
    QScrollBar,
    QSizeGrip,
    QStyle,
    QStyleOptionComboBox,
    QTextEdit,
    QToolButton,
    QWidget,
    QWizard,
)

CONTROLS = (
    QAbstractButton,
    QLineEdit,
    QComboBox,
    QAbstractSlider,
    QAbstractItemView,
    QAbstractSpinBox,
    QTextEdit,
)
SLACK = 1
"""Tolerance for rounding, pixels."""


def shown(root: QWidget) -> list[QWidget]:
    """Returns all visible descendants, without Qt's internal widgets."""
    return [w for w in (root, *root.findChildren(QWidget)) if w.isVisible() and not _is_inner(w)]


def _is_inner(widget: QWidget) -> bool:
    if isinstance(widget, QScrollBar | QSizeGrip | QHeaderView):
        return True
    if widget.objectName().startswith("qt_"):
        return True
    parent = widget.parentWidget()
    if isinstance(parent, QComboBox | QLineEdit | QAbstractSpinBox):
        return True  # the line edit of an editable list, the clear button of a line edit
    kind = type(parent).__name__ if parent is not None else ""
    return kind in ("QTabBar", "QMenuBar", "QToolBar") and isinstance(widget, QToolButton) and not widget.text()


def describe(widget: QWidget) -> str:
    text = getattr(widget, "text", lambda: "")() if not isinstance(widget, QGroupBox) else widget.title()
    return f"{type(widget).__name__} '{text or widget.accessibleName()}'"


def cut_off(root: QWidget) -> list[str]:
    """Returns texts that are not fully visible: larger than their widget, or in a widget larger than its visible area."""
    found = []
    for widget in shown(root):
        needed = _needed(widget)
        if needed is not None and (needed[0] > widget.width() + SLACK or needed[1] > widget.height() + SLACK):
            found.append(f"{describe(widget)} needs {needed}, has {(widget.width(), widget.height())}")
        if isinstance(widget, CONTROLS + (QLabel,)) and (by := _beyond(widget)):
            found.append(f"{describe(widget)} is {by} pixels out of sight")
        if isinstance(widget, QAbstractItemView):
            for header in widget.findChildren(QHeaderView):
                found += _headers(header)
    return found


def _needed(widget: QWidget) -> tuple[int, int] | None:
    """Returns the width and height that the widget's text needs."""
    if isinstance(widget, QLabel):
        if not widget.text():
            return None
        if widget.wordWrap():
            return 0, widget.heightForWidth(widget.width())
        return widget.sizeHint().width(), widget.sizeHint().height()
    if isinstance(widget, QToolButton):
        return (widget.minimumSizeHint().width(), widget.minimumSizeHint().height())
    if isinstance(widget, QAbstractButton):
        size = widget.minimumSizeHint() if widget.minimumSizeHint().isValid() else widget.sizeHint()
        return size.width(), size.height()
    if isinstance(widget, QGroupBox):
        return widget.fontMetrics().horizontalAdvance(widget.title()), 0
    if isinstance(widget, QComboBox) and not widget.isEditable():
        option = QStyleOptionComboBox()
        widget.initStyleOption(option)
        kind, field = QStyle.ComplexControl.CC_ComboBox, QStyle.SubControl.SC_ComboBoxEditField
        room = widget.style().subControlRect(kind, option, field, widget)
        # Items with icons, such as pens, have names of any length given by a person.
        words = [widget.itemText(i) for i in range(widget.count()) if widget.itemIcon(i).isNull()]
        longest = max((widget.fontMetrics().horizontalAdvance(word) for word in words), default=0)
        return longest + widget.width() - room.width(), widget.minimumSizeHint().height()
    if isinstance(widget, QLineEdit) and not widget.isReadOnly():
        margins = widget.textMargins()
        room = margins.left() + margins.right() + 8
        longest = widget.text() if len(widget.text()) < 24 else ""  # paths and names scroll
        return widget.fontMetrics().horizontalAdvance(longest) + room, widget.minimumSizeHint().height()
    return None


def _beyond(widget: QWidget) -> int:
    """Returns the pixels by which a widget is cut off at the left or right, beyond the reach of scroll bars."""
    rect = QRect(QPoint(0, 0), widget.size())
    parent, child = widget.parentWidget(), widget
    while parent is not None and not child.isWindow():
        rect.moveTopLeft(rect.topLeft() + child.pos())
        area = parent.parentWidget()
        scrolls = isinstance(area, QAbstractScrollArea) and area.viewport() is parent
        can = scrolls and area.horizontalScrollBarPolicy() != Qt.ScrollBarPolicy.ScrollBarAlwaysOff
        if can:
            return 0
        if rect.left() < -SLACK or rect.right() > parent.width() + SLACK:
            return max(-rect.left(), rect.right() - parent.width())
        if scrolls and isinstance(area, QScrollArea):
            rect.setHeight(0)  # vertically there is a scroll bar
        child, parent = parent, parent.parentWidget()
    return 0


def off_window(root: QWidget) -> list[str]:
    """Returns controls and labels partly outside their window, beyond the reach of scroll areas."""
    found = []
    for widget in shown(root):
        if isinstance(widget, CONTROLS + (QLabel,)) and not _can_scroll(widget):
            window = widget.window()
            place = QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())
            if not window.rect().adjusted(-SLACK, -SLACK, SLACK, SLACK).contains(place):
                found.append(f"{describe(widget)} at {place.getRect()} of {window.size().toTuple()}")
    return found


def too_large(root: QWidget, screen: QSize) -> list[str]:
    """Returns the window if it cannot be made as small as a screen."""
    least = root.minimumSizeHint().expandedTo(root.minimumSize())
    fits = least.width() <= screen.width() and least.height() <= screen.height()
    return [] if fits else [f"{type(root).__name__} asks for {least.toTuple()}"]


def scrolls_sideways(root: QWidget) -> list[str]:
    """Returns tables and lists that are cut off at the right."""
    return [
        f"{type(view).__name__} {view.accessibleName()!r} in {view.width()} px"
        for view in root.findChildren(QAbstractItemView)
        if view.isVisible() and view.horizontalScrollBar().maximum() > 0
    ]


def long_titles(root: QWidget) -> list[str]:
    """Returns field titles of more than two lines."""
    found = []
    for form in root.findChildren(QFormLayout):
        for row in range(form.rowCount()):
            item = form.itemAt(row, QFormLayout.ItemRole.LabelRole)
            label = item.widget() if item is not None else None
            if isinstance(label, QLabel) and label.wordWrap():
                lines = label.heightForWidth(label.width()) / label.fontMetrics().lineSpacing()
                if lines > 2.5:
                    found.append(f"'{label.text()}' takes {lines:.0f} lines")
    return found


def _can_scroll(widget: QWidget) -> bool:
    parent = widget.parentWidget()
    while parent is not None and not parent.isWindow():
        area = parent.parentWidget()
        if isinstance(area, QScrollArea) and area.viewport() is parent:
            return True
        parent = area
    return False


def _headers(header: QHeaderView) -> list[str]:
    if not header.isVisible() or header.orientation() != Qt.Orientation.Horizontal:
        return []
    model, found = header.model(), []
    for section in range(header.count()):
        text = str(model.headerData(section, header.orientation()))
        if header.isSectionHidden(section):
            continue  # omitted if there is no room
        widest = max(map(header.fontMetrics().horizontalAdvance, text.split("\n")))
        if widest + 6 > header.sectionSize(section):
            found.append(f"heading '{text}' has {header.sectionSize(section)} pixels")
    return found


def name_of(widget: QWidget) -> str:
    """Returns the name for a screen reader: the accessible name, else a button's text, else that of its label."""
    text = widget.text() if isinstance(widget, QAbstractButton) else ""
    return widget.accessibleName() or text


def nameless(root: QWidget) -> list[str]:
    """Returns controls without a name for screen readers."""
    return [f"{describe(w)} in {_where(w)}" for w in shown(root) if isinstance(w, CONTROLS) and not name_of(w)]


def unexplained(root: QWidget) -> list[str]:
    """Returns controls without What's This help, of their own or of their action, group or dialog."""
    found = []
    for widget in shown(root):
        if not isinstance(widget, CONTROLS):
            continue
        action = widget.defaultAction() if isinstance(widget, QToolButton) else None
        help, part = (action.whatsThis() if action is not None else ""), widget
        while not help and part is not None and not part.isWindow():
            help = part.whatsThis()
            part = part.parentWidget() if not isinstance(part, QAbstractButton) else None
        if not help and not _standard(widget):
            found.append(f"{describe(widget)} in {_where(widget)}")
    return found


def _standard(widget: QWidget) -> bool:
    """Whether it is a standard button of desktop programs."""
    parent = widget.parentWidget()
    above = parent.parentWidget() if parent is not None else None
    kinds = (QDialogButtonBox, QWizard, QMessageBox, QDockWidget)
    return isinstance(parent, kinds) or (isinstance(above, QWizard) and isinstance(widget, QAbstractButton))


def _where(widget: QWidget) -> str:
    names = []
    while (widget := widget.parentWidget()) is not None:
        names.append(type(widget).__name__)
    return " < ".join(names[:4])


def stops(root: QWidget) -> list[QWidget]:
    """Returns the widgets that the Tab key visits, in order."""
    found, widget = [], root
    for _ in range(5000):
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isVisible() and widget.isEnabled():
            found.append(widget)
        widget = widget.nextInFocusChain()
        if widget is root:
            break
    return [w for w in found if (w is root or root.isAncestorOf(w)) and w.focusProxy() is None]


def unmarked(window: QWidget) -> list[str]:
    """Returns widgets reached by Tab that look the same with and without the focus."""
    found = []
    for _ in range(3):  # layouts need a second pass, and panels are rebuilt for their width
        QApplication.processEvents()
    for widget in stops(window):
        if not shiboken6.isValid(widget):
            continue  # of a page that was rebuilt meanwhile
        (QApplication.focusWidget() or window).clearFocus()
        widget.setFocus(Qt.FocusReason.TabFocusReason)
        for area in window.findChildren(QScrollArea):
            if area.widget() is not None and area.widget().isAncestorOf(widget):
                area.ensureWidgetVisible(widget)  # as Tab does
        QApplication.processEvents()
        window.setAttribute(Qt.WidgetAttribute.WA_KeyboardFocusChange)  # as a press of Tab does
        if QApplication.focusWidget() is not widget:
            continue  # passes the focus on
        place = QRect(widget.mapTo(window, QPoint(0, 0)), widget.size()).adjusted(-3, -3, 3, 3)
        marked = window.grab(place).toImage()
        widget.clearFocus()
        QApplication.processEvents()
        if marked == window.grab(place).toImage():
            found.append(f"{describe(widget)} in {_where(widget)}")
    return found


def out_of_tab_order(root: QWidget) -> list[str]:
    """Returns controls that the Tab key does not reach from the first one."""
    wanted = {
        w
        for w in shown(root)
        if isinstance(w, CONTROLS) and w.isEnabled() and w.focusProxy() is None and not isinstance(w, QToolButton)
    }
    reached, widget = set(), root
    for _ in range(5000):
        widget = widget.nextInFocusChain()
        if widget is root:
            break
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            reached.add(widget)
    return [f"{describe(w)} in {_where(w)}" for w in wanted - reached]


def luminance(colour: QColor) -> float:
    """Returns the relative luminance, 0 to 1 (WCAG 2.2, glossary)."""
    parts = [colour.redF(), colour.greenF(), colour.blueF()]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: QColor, b: QColor) -> float:
    """Returns the contrast ratio, 1 to 21 (WCAG 2.2, glossary)."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def dark_palette() -> QPalette:
    """Returns a typical palette of desktops in dark mode (invented)."""
    role, palette = QPalette.ColorRole, QPalette(QColor("#323232"))
    for which, colour in (
        (role.Window, "#323232"),
        (role.WindowText, "#f0f0f0"),
        (role.Base, "#242424"),
        (role.Text, "#f0f0f0"),
        (role.AlternateBase, "#2b2b2b"),
        (role.Button, "#3a3a3a"),
        (role.ButtonText, "#f0f0f0"),
        (role.ToolTipBase, "#3c3c3c"),
        (role.ToolTipText, "#f0f0f0"),
        (role.PlaceholderText, "#9a9a9a"),
        (role.Highlight, "#308cc6"),
        (role.HighlightedText, "#ffffff"),
        (role.Link, "#6cb4ee"),
    ):
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor("#8a8a8a"))
    return palette


def faint(root: QWidget) -> list[str]:
    """Returns labels whose contrast is below 4.5 : 1 (WCAG 2.2, 1.4.3)."""
    found = []
    for label in shown(root):
        if not isinstance(label, QLabel) or not label.isEnabled():
            continue
        palette = label.palette()
        ground = palette.color(QPalette.ColorRole.Window)
        colours = [palette.color(label.foregroundRole())] if label.text() else []
        colours += [QColor(name) for name in re.findall(r"[^-]color:\s*(#?\w+)", label.text())]
        if any(contrast(colour, ground) < 4.5 for colour in colours):
            found.append(f"{describe(label)} in {_where(label)}")
    return found
