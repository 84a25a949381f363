"""Saved layout of a window: its geometry, its docks, and the draw zone's layer."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QByteArray, QRect
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMainWindow

from wallwright.window.model.settings import settings

VERSION = 2
"""Version of docks and tool bars; a state of another version is not restored. Raise it when they change."""
GEOMETRY, STATE, ZONE = "window/geometry", "window/docks", "window/draw zone"
TITLE_BAR = 36
"""Assumed height of the desktop's title bar, px; its true height is known only after the window is shown."""


def keep_layout(window: QMainWindow, state: QByteArray, zone: str) -> None:
    """Saves the layout. state: as saved while the wall was shown."""
    kept = settings()
    kept.setValue(GEOMETRY, window.saveGeometry())
    kept.setValue(STATE, state)
    kept.setValue(ZONE, zone)


def restore_layout(window: QMainWindow) -> None:
    """Restores the last layout, except parts that are damaged, of another version or off screen."""
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
    """Returns the last layer of the draw zone if it is still a choice, else the default."""
    zone = settings().value(ZONE, default)
    return zone if isinstance(zone, str) and zone in choices else default


def placed_on_screens(place: QRect, screens: Sequence[QRect]) -> QRect:
    """Returns a window's rectangle, moved and shrunk by the least amount so that it is on one screen with its title bar.

    place, screens: logical pixels. The screen is the one with most of the window, else the first.
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
