"""Pixels per mm of a screen: as measured by the person, else as reported by the screen."""

from __future__ import annotations

from PySide6.QtGui import QScreen

from wallwright.window.model.settings import settings

KEY = "pixels per mm"
LEAST, MOST = 1.0, 40.0
"""Range of pixels per mm: from a large wall display to the finest phone."""
USUAL = 96 / 25.4
"""Pixels per mm of a screen that reports no size: the reference pixel of CSS (W3C, CSS Values and Units; from memory)."""


def _name(screen: QScreen) -> str:
    """Returns a key that identifies a screen on any port, as long as its resolution is the same."""
    size = screen.geometry().size() * screen.devicePixelRatio()
    parts = (screen.manufacturer(), screen.model(), screen.serialNumber() or screen.name())
    return f"{' '.join(p for p in parts if p)} {size.width()} x {size.height()}".replace("/", "-")


def reported(screen: QScreen) -> float:
    """Returns device pixels per mm as reported by the screen."""
    value = screen.physicalDotsPerInch() * screen.devicePixelRatio() / 25.4
    return value if LEAST <= value <= MOST else USUAL


def measured(screen: QScreen) -> float | None:
    """Returns measured device pixels per mm; None if not measured."""
    try:
        value = float(settings().value(f"{KEY}/{_name(screen)}"))
    except (TypeError, ValueError):
        return None
    return value if LEAST <= value <= MOST else None


def pixels_per_mm(screen: QScreen) -> float:
    """Returns the best known device pixels per mm."""
    return measured(screen) or reported(screen)


def keep(screen: QScreen, value: float | None) -> None:
    """Stores measured device pixels per mm; None: uses the reported value again."""
    if value is None:
        settings().remove(f"{KEY}/{_name(screen)}")
    else:
        settings().setValue(f"{KEY}/{_name(screen)}", repr(float(value)))
