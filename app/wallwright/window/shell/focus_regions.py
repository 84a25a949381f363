"""The parts of the window as the F6 key visits them: from one to the next without a step through every control."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDockWidget, QWidget

from wallwright.window.panels.page_area import PageArea, controls_of

if TYPE_CHECKING:
    from wallwright.window.shell.main_window import MainWindow


def parts(window: MainWindow) -> list[QWidget]:
    """Those that are shown: the wall, the time strip, then the panels."""
    docks = [dock.widget() for dock in window.findChildren(QDockWidget)]
    if window.at_start:
        return [window.start_page]
    return [part for part in (window.canvas, window.strip, *docks) if part.isVisible()]


def visit_next(window: MainWindow, back: bool = False) -> None:
    """Puts the keys to the next part, or the one before; where it was last there, else to its first control."""
    found = parts(window)
    focus = QApplication.focusWidget()
    inside = next(
        (i for i, p in enumerate(found) if focus is not None and (p is focus or p.isAncestorOf(focus))), None
    )
    number = 0 if inside is None else (inside + (-1 if back else 1)) % len(found)
    target = first_control(found[number])
    target.setFocus(Qt.FocusReason.TabFocusReason)
    window.setAttribute(
        Qt.WidgetAttribute.WA_KeyboardFocusChange
    )  # as Tab does: styles mark the focus from now on
    target.update()
    if isinstance(found[number], PageArea) and target is not found[number]:
        found[number].ensureWidgetVisible(target)


def first_control(part: QWidget) -> QWidget:
    """The part itself when it takes keys by Tab, else the first control in it that does; of a panel with a page the
    page's first control."""
    inside = controls_of(part.widget()) if isinstance(part, PageArea) else []
    for widget in (*inside, part, *part.findChildren(QWidget)):
        takes = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        if takes and widget.isVisible() and widget.isEnabled() and widget.focusProxy() is None:
            return widget
    return part
