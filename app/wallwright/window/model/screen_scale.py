"""How many pixels of a screen make a millimetre: measured by the person, else what the screen says of itself."""

from __future__ import annotations

from PySide6.QtGui import QScreen

from wallwright.window.model.settings import settings

KEY = "pixels per mm"
LEAST, MOST = 1.0, 40.0
"""Pixels per mm that a screen can have: a large display on a wall, the finest of a telephone."""
USUAL = 96 / 25.4
"""Of a screen that says nothing: the reference pixel of CSS (W3C, CSS Values and Units; from memory)."""


def _name(screen: QScreen) -> str:
    """One screen is known again, on whichever socket, as long as it shows the same number of pixels."""
    size = screen.geometry().size() * screen.devicePixelRatio()
    parts = (screen.manufacturer(), screen.model(), screen.serialNumber() or screen.name())
    return f"{' '.join(p for p in parts if p)} {size.width()} x {size.height()}".replace("/", "-")


def reported(screen: QScreen) -> float:
    """Device pixels per mm as the screen says."""
    value = screen.physicalDotsPerInch() * screen.devicePixelRatio() / 25.4
    return value if LEAST <= value <= MOST else USUAL


def measured(screen: QScreen) -> float | None:
    """Device pixels per mm as a person has measured; None when nobody has."""
    try:
        value = float(settings().value(f"{KEY}/{_name(screen)}"))
    except (TypeError, ValueError):
        return None
    return value if LEAST <= value <= MOST else None


def pixels_per_mm(screen: QScreen) -> float:
    """The best that is known, in device pixels."""
    return measured(screen) or reported(screen)


def keep(screen: QScreen, value: float | None) -> None:
    """Keeps what was measured, device pixels per mm; None: what the screen says counts again."""
    if value is None:
        settings().remove(f"{KEY}/{_name(screen)}")
    else:
        settings().setValue(f"{KEY}/{_name(screen)}", repr(float(value)))
