"""Light or dark windows: as the system, or as chosen."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication

from wallwright.window.model.settings import ColourScheme, choose_colours, chosen_colours
from wallwright.window.widgets.theme import apply_theme

IS_DARK: dict[ColourScheme, bool | None] = {"system": None, "light": False, "dark": True}


def apply_chosen_colours(application: QApplication) -> None:
    """Applies the theme in the chosen colours."""
    apply_theme(application, IS_DARK[chosen_colours()])


def use_colours(scheme: ColourScheme) -> None:
    """Changes all windows and saves the choice."""
    choose_colours(scheme)
    application = QApplication.instance()
    if isinstance(application, QApplication):
        apply_chosen_colours(application)
