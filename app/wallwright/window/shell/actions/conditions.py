"""Conditions of actions, and functions shared by several menus."""

from __future__ import annotations

from collections.abc import Callable

from wallwright.document.document import Document
from wallwright.window.model.items import GuideLineItem, HangingItem, KeepOutItem, PenItem, PhotoItem
from wallwright.window.shell.window_parts import WindowParts


def playable(parts: WindowParts) -> bool:
    """Whether there is a fresh plan to play."""
    return parts.strip.bar.isEnabled()


def can_continue(parts: WindowParts) -> bool:
    """Whether stroke numbers are those of the job."""
    return playable(parts) and parts.models.planning.plan_is_final


def has_windows(parts: WindowParts) -> bool:
    """Whether the process can have several windows."""
    return parts.windows is not None


def selected(parts: WindowParts, least: int = 1) -> bool:
    """Whether at least this many artworks are selected."""
    return len(parts.models.selection.placement_ids) >= least


def several(parts: WindowParts) -> bool:
    """Whether there is more than one hanging."""
    return len(parts.models.project.document.hangings) > 1


def show_start(parts: WindowParts) -> None:
    """Shows the start page. The project stays loaded until another one replaces it."""
    parts.start.show()


def begin_project(parts: WindowParts) -> None:
    """Shows the first page of the guided start. The project stays until the new one is made."""
    parts.start.begin()


def quit_all(parts: WindowParts) -> None:
    """Closes all windows."""
    if parts.windows is not None:
        parts.windows.quit()


def can_duplicate(parts: WindowParts) -> bool:
    """Whether artwork or a hanging is selected."""
    return selected(parts) or isinstance(parts.models.selection.item, HangingItem)


def can_remove(parts: WindowParts) -> bool:
    """Whether a removable item is selected."""
    item = parts.models.selection.item
    if isinstance(item, HangingItem):
        return several(parts)
    return selected(parts) or isinstance(item, PenItem | KeepOutItem | GuideLineItem | PhotoItem)


def arranged(
    title: str, edit: Callable[..., Document], *values: object, **named: object
) -> Callable[[WindowParts], None]:
    """Returns the function of an action that edits the selected artworks."""
    return lambda parts: parts.editing.arrange(title, edit, *values, **named)
