"""The regions of the window that F6 cycles through."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDockWidget, QWidget

from wallwright.window.panels.page_area import PageArea, controls_of
from wallwright.window.shell.window_parts import WindowParts


def regions(parts: WindowParts) -> list[QWidget]:
    """Returns the visible regions: the wall, the time strip, then the panels."""
    if parts.start.is_shown and parts.start.page is not None:
        return [parts.start.page]
    panels = [dock.widget() for dock in parts.widget.findChildren(QDockWidget)]
    return [region for region in (parts.canvas, parts.strip, *panels) if region.isVisible()]


def visit_next(parts: WindowParts, back: bool = False) -> None:
    """Moves the focus to the next region, or the previous one: to its last focused control, else its first."""
    found = regions(parts)
    focus = QApplication.focusWidget()
    inside = next((i for i, p in enumerate(found) if focus is not None and (p is focus or p.isAncestorOf(focus))), None)
    number = 0 if inside is None else (inside + (-1 if back else 1)) % len(found)
    target = first_control(found[number])
    target.setFocus(Qt.FocusReason.TabFocusReason)
    parts.widget.setAttribute(Qt.WidgetAttribute.WA_KeyboardFocusChange)  # as Tab does, so that styles show the focus
    target.update()
    area = found[number]
    if isinstance(area, PageArea) and target is not area:
        area.ensureWidgetVisible(target)


def first_control(part: QWidget) -> QWidget:
    """Returns the region itself if it takes the focus by Tab, else its first control that does; in a panel with a page, the
    page's first control."""
    page = part.widget() if isinstance(part, PageArea) else None
    inside = controls_of(page) if page is not None else []
    for widget in (*inside, part, *part.findChildren(QWidget)):
        takes = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        if takes and widget.isVisible() and widget.isEnabled() and widget.focusProxy() is None:
            return widget
    return part
