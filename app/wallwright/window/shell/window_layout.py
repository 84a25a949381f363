"""Keeps how a window is laid out between starts: its place, its docks, and what the draw zone shows."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QByteArray, QRect
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMainWindow

from wallwright.window.model.settings import settings

VERSION = 2
"""Of the docks and tool bars: a state of another version is not restored. Raise it when there are others."""
GEOMETRY, STATE, ZONE = "window/geometry", "window/docks", "window/draw zone"
TITLE_BAR = 36
"""Pixels above the window for the title bar that the desktop adds; its height is only known once it is there."""


def keep_layout(window: QMainWindow, state: QByteArray, zone: str) -> None:
    """Keeps the layout. state: as saved while the wall was shown."""
    kept = settings()
    kept.setValue(GEOMETRY, window.saveGeometry())
    kept.setValue(STATE, state)
    kept.setValue(ZONE, zone)


def restore_layout(window: QMainWindow) -> None:
    """Lays the window out as it was last; what is damaged, of another version or off the screens is left out."""
    kept = settings()
    geometry, state = kept.value(GEOMETRY), kept.value(STATE)
    if isinstance(geometry, QByteArray):
        window.restoreGeometry(geometry)
    if isinstance(state, QByteArray):
        window.restoreState(state, VERSION)
    if not window.isMaximized() and not window.isFullScreen():
        screens = [screen.availableGeometry() for screen in QGuiApplication.screens()]
        window.setGeometry(placed_on_screens(window.geometry(), screens))


def kept_zone(choices: Sequence[str], default: str) -> str:
    """What the draw zone showed last, when it is still one of the choices."""
    zone = settings().value(ZONE, default)
    return zone if isinstance(zone, str) and zone in choices else default


def placed_on_screens(place: QRect, screens: Sequence[QRect]) -> QRect:
    """The place of a window, moved and shrunk as little as needed so that all of it, title bar too, is on one screen.

    place, screens: logical pixels. The screen is the one that shows most of the window; the first when none shows any.
    """
    if not screens:
        return place
    shown = [screen.intersected(place) for screen in screens]
    areas = [part.width() * part.height() if part.isValid() else 0 for part in shown]
    screen = screens[areas.index(max(areas))].adjusted(0, TITLE_BAR, 0, 0)
    width, height = min(place.width(), screen.width()), min(place.height(), screen.height())
    left = min(max(place.left(), screen.left()), screen.right() + 1 - width)
    upper = min(max(place.top(), screen.top()), screen.bottom() + 1 - height)
    return QRect(left, upper, width, height)
