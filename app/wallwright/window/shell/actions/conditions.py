"""When actions can be used, and what several of them share."""

from __future__ import annotations

from collections.abc import Callable

from wallwright.document.document import Document
from wallwright.window.model.items import GuideLineItem, HangingItem, KeepOutItem, PenItem, PhotoItem
from wallwright.window.shell.window_parts import WindowParts


def playable(parts: WindowParts) -> bool:
    """Whether there is a fresh plan to play."""
    return parts.strip.bar.isEnabled()


def can_continue(parts: WindowParts) -> bool:
    """Whether strokes have the numbers that they have in the job."""
    return playable(parts) and parts.models.planning.plan_is_final


def has_windows(parts: WindowParts) -> bool:
    """Whether the window is one of several that there can be."""
    return parts.windows is not None


def selected(parts: WindowParts, least: int = 1) -> bool:
    """Whether so many artworks are selected."""
    return len(parts.models.selection.placement_ids) >= least


def several(parts: WindowParts) -> bool:
    """Whether there is more than one hanging."""
    return len(parts.models.project.document.hangings) > 1


def show_start(parts: WindowParts) -> None:
    """Shows the start page. The project stays: only what replaces it asks about changes."""
    parts.start.show()


def begin_project(parts: WindowParts) -> None:
    """Shows the first question of the guided start. The project stays until the new one is made."""
    parts.start.begin()


def quit_all(parts: WindowParts) -> None:
    """Closes all windows."""
    if parts.windows is not None:
        parts.windows.quit()


def can_duplicate(parts: WindowParts) -> bool:
    """Whether artwork or a hanging is selected."""
    return selected(parts) or isinstance(parts.models.selection.item, HangingItem)


def can_remove(parts: WindowParts) -> bool:
    """Whether something is selected that the document can do without."""
    item = parts.models.selection.item
    if isinstance(item, HangingItem):
        return several(parts)
    return selected(parts) or isinstance(item, PenItem | KeepOutItem | GuideLineItem | PhotoItem)


def arranged(
    title: str, edit: Callable[..., Document], *values: object, **named: object
) -> Callable[[WindowParts], None]:
    """Does an edit to the selected artworks."""
    return lambda parts: parts.editing.arrange(title, edit, *values, **named)
